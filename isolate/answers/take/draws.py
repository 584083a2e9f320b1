"""Takes draw by draw, block after block, so that any number of draws fits into memory."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import partial
from typing import NamedTuple

import numpy as np

from isolate.bands import Array
from isolate.room.chances import Case, Progress, Sampler, mapped
from isolate.room.contributions import Contribution
from isolate.room.draws import Draws, blocks
from isolate.room.takes import AtMicrophone, Met
from isolate.standards.weighting import dba


@dataclass(frozen=True)
class Drawable:
    """A take at its microphone over a background [dB] (27,), the noises that may come as cases, and what is
    not known of the background."""

    at: AtMicrophone
    background_db: Array
    cases: tuple[Case, ...]
    quiet: tuple[Contribution, ...]


class DrawnNoise(NamedTuple):
    """What becomes of a noise in each draw, and its levels at the microphone [dB] (draws, 27)."""

    met: Met
    level_db: Array


class DrawnTake(NamedTuple):
    """Draws of the noises of a take, and of its floor [dBA] (draws,)."""

    noises: tuple[DrawnNoise, ...]
    floor_dba: Array


def draw(
    takes: Sequence[Drawable], *, seed: int, count: int, processes: int, progress: Progress
) -> list[DrawnTake]:
    """Every take with the same draws; any number of `processes` gives the same answer."""
    todo, found = blocks(seed, count), []
    for i, block in enumerate(mapped(partial(_block, takes=takes), todo, processes), 1):
        found.append(block)
        progress(min(i * todo[0].count, count), count)
    return [_joined([block[i] for block in found]) for i in range(len(takes))]


def _block(draws: Draws, takes: Sequence[Drawable]) -> list[DrawnTake]:
    sampler = Sampler(draws)
    return [_drawn(one, sampler) for one in takes]


def _drawn(take: Drawable, sampler: Sampler) -> DrawnTake:
    noises = []
    for case in take.cases:
        sample = sampler.sample(case)
        level: Array = (sample.level_db + take.at.room_db).astype(np.float32)
        noises.append(DrawnNoise(take.at.meet(sample), level))
    moved = sampler.total(take.quiet)
    return DrawnTake(tuple(noises), dba(take.at.floor(take.background_db + moved)))


def _joined(parts: Sequence[DrawnTake]) -> DrawnTake:
    noises = tuple(
        DrawnNoise(_together([one.met for one in blocks]), np.concatenate([one.level_db for one in blocks]))
        for blocks in zip(*(part.noises for part in parts), strict=True)
    )
    return DrawnTake(noises, np.concatenate([part.floor_dba for part in parts]))


def _together(mets: Sequence[Met]) -> Met:
    return Met(*(np.concatenate([getattr(met, one.name) for met in mets]) for one in fields(Met)))
