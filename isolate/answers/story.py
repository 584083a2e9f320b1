"""The whole story of a room for somebody else: verdicts, why, what to do, to try, to hear, and how sure it
is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from isolate.answers import inputs
from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import Array
from isolate.describe import rooms, words
from isolate.describe.layers import Cavity
from isolate.describe.rooms import Noise, Room
from isolate.physics import treatment
from isolate.remedies import panels
from isolate.remedies.cautions.changes import facts
from isolate.remedies.cautions.facts import Caution
from isolate.remedies.cautions.table import raised
from isolate.remedies.combined import Combined
from isolate.remedies.contrast import Contrast, contrast, with_noise
from isolate.remedies.effect import Effect
from isolate.remedies.judgement.judgement import Judgement, judge
from isolate.remedies.remedy import YOURS, Remedy
from isolate.room import DRAWS, SEED, audibility, prediction, scenario
from isolate.room.chances import Progress
from isolate.room.scenario import Sampled, Scenario, Sure
from isolate.standards import hearing
from isolate.standards.weighting import dba

GAPS = (0.03, 0.05, 0.075, 0.1, 0.15, 0.2, 0.3)  # [m] to the second layer
STEPS = 5  # numbers of panels to try, up to what the walls take
MOST = 8  # noises, those that stick out most


@dataclass(frozen=True, eq=False)
class Tries:
    """Every noise with a second layer at each distance and each number of panels.

    Both change other things (what comes in, and what becomes of it in the room), so that their decibels add.
    `gaps` [m], the first 0: none; `counts` of panels, the first 0. `inside_db` (gaps, noises, 27) without
    panels, `drop_db` (counts, 27) what they take off; `dba` and `margin` (gaps, counts, noises), the latter
    known to `sigma_db` (gaps, noises); `mass` [kg] the layer adds, `leaf` what it is of, empty where none can
    be tried.
    """

    noises: tuple[Noise, ...]
    outside_db: Array
    gaps: tuple[float, ...]
    counts: tuple[int, ...]
    inside_db: Array
    drop_db: Array
    dba: Array
    margin: Array
    sigma_db: Array
    mass: float
    leaf: str
    side: str

    def verdict(self, gap: int, count: int, noise: int) -> str:
        """The word for one of them."""
        margin = float(self.margin[gap, count, noise])
        return audibility.verdict(margin, prediction.chance_above(margin, float(self.sigma_db[gap, noise])))

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        verdicts = [
            [[self.verdict(g, c, n) for n in range(len(self.noises))] for c in range(len(self.counts))]
            for g in range(len(self.gaps))
        ]
        return {
            "noises": [one.name for one in self.noises],
            "leaf": self.leaf,
            "side": self.side,
            "mass_kg": self.mass,
            "gaps_mm": [round(1e3 * gap) for gap in self.gaps],
            "counts": list(self.counts),
            "outside_db": self.outside_db,
            "inside_db": self.inside_db,
            "drop_db": self.drop_db,
            "inside_dba": self.dba,
            "margin_db": self.margin,
            "verdict": verdicts,
        }


@dataclass(frozen=True, repr=False, eq=False)
class Story(Answer):
    """Everything about one noise in a room, and about the room: the `contrast` of panels with what helps, and
    the judgement it rests on. `sure`: what to find out first. A page adds what is to be heard and
    recorded."""

    contrast: Contrast
    sure: Sure | None

    @property
    def judgement(self) -> Judgement:
        return self.contrast.judgement

    @property
    def room(self) -> Room:
        return self.contrast.room

    @property
    def now(self) -> Scenario:
        """The room as it is."""
        return self.contrast.scenario

    @cached_property
    def options(self) -> tuple[Effect, ...]:
        """What each of the file's options does."""
        yours = [one for one in self.judgement.remedies if one.origin == YOURS]
        return tuple(self.judgement.effect(self.judgement.chosen_of(one)) for one in yours)

    @cached_property
    def tries(self) -> Tries:
        """What the reader may try."""
        return tries(self.contrast)

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """What building anything that is told may hurt."""
        told = [*self.options, *self.judgement.best, *(one for _, one in self.contrast.effects)]
        found = facts(self.now, [one for effect in told for one in effect.remedies])
        return raised(replace(found, hung=(self.contrast.plan.hung,)))

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return [
            (one.name, name, value)
            for one in self.now.heard
            for name, value in (
                ("inside_dba", one.dba), ("margin_db", one.margin), ("chance_heard", one.chance),
            )
        ]  # fmt: skip

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        found = self.contrast
        body = {
            "noise": found.noise.name,
            "now": found.now.to_dict(),
            "states": [
                {"key": key, "name": one.name, "gain_dba": found.gain(one), **found.then(one).to_dict()}
                for key, one in found.effects
            ],
            "judgement": self.judgement.to_dict(),
            "options": [one.to_dict() for one in self.options],
            "noises": [one.to_dict() for one in self.now.heard],
            "neighbours": [one.to_dict() for one in self.now.neighbours],
            "tries": self.tries.to_dict(),
            "uncertainty": self.sure.to_dict() if self.sure else None,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        return headed("explain", inputs.room(self.room), body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: what can be tried, a row a distance, number of panels and
        noise."""
        found, rows = self.tries, []
        for g, gap in enumerate(found.gaps):
            for c, count in enumerate(found.counts):
                for n, noise in enumerate(found.noises):
                    level, margin = float(found.dba[g, c, n]), float(found.margin[g, c, n])
                    rows.append([noise.name, 1e3 * gap, count, level, margin, found.verdict(g, c, n)])
        return ["noise", "gap_mm", "panels", "inside_dba", "margin_db", "verdict"], rows


def story(
    described: Room | str | None = None,
    *,
    noise: str | None = None,
    count: int | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
    processes: int = 1,
    progress: Progress | None = None,
) -> Story:
    """Answer: all there is to tell of a room, for a friend, a landlord or a builder.

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    noise : the noise the story is about; None: its siren, or its first.
    count : how many panels; None: a dozen.
    draws, seed, processes, progress : as for a room.

    Raises
    ------
    InputError
        A room, noise or take that does not work.

    Examples
    --------
    >>> import isolate
    >>> found = isolate.explain("voice booth", draws=50)
    >>> found.contrast.gain(found.contrast.panels) < 5  # half as loud would be 10
    True
    """
    built = described if isinstance(described, Room) else rooms.load(described)
    built, chosen = with_noise(built, noise)
    sampled = Sampled(built, seed=seed, count=draws, processes=processes, progress=progress)
    judged = judge(scenario.present(built), sampled=sampled)
    plan = panels.planned(judged.now, count=count)
    return Story(contrast(judged, chosen, plan), sampled.sure(judged.first.scenario))


# --- to try ---


def tries(found: Contrast) -> Tries:
    """Everything there is to try in the room of a contrast."""
    now = found.scenario
    heard = sorted(now.heard, key=lambda one: (one.name != found.noise.name, -one.margin))[:MOST]
    names = [one.name for one in heard]
    layers = list(_layers(found))
    states = [now, *(state for _, state in layers)]
    inside = np.array([[state.sound(name).level_db for name in names] for state in states])
    counts = _counts(found)
    drop = np.array([_drop(found, count) for count in counts])
    levels = inside[:, None] - drop[None, :, None]
    second = found.second.remedy if found.second else None
    last = second.option.construction.layers[-1] if second and second.option.construction else None
    return Tries(
        noises=tuple(one.noise for one in heard),
        outside_db=np.array([one.made_db for one in heard]),
        gaps=(0.0, *(gap for gap, _ in layers)),
        counts=counts,
        inside_db=inside,
        drop_db=drop,
        dba=np.asarray(dba(levels)),
        margin=hearing.margin(levels, now.envelope.background_db).max(-1),
        sigma_db=np.array([[state.sound(name).margin_sigma_db for name in names] for state in states]),
        mass=second.mass if second else 0.0,
        leaf=words.layer(last) if last is not None else "",
        side=found.weak.side.name,
    )


def _layers(found: Contrast) -> Iterator[tuple[float, Scenario]]:
    """The second layer of the contrast at each distance."""
    second = found.second
    built = second.remedy.option.construction if second else None
    if second is None or built is None or not isinstance(built.layers[-2], Cavity):
        return
    *before, cavity, leaf = built.layers
    assert isinstance(cavity, Cavity)
    gaps = sorted({*GAPS, cavity.depth})
    remedies = [_moved(second.remedy, (*before, _deep(cavity, gap), leaf)) for gap in gaps]
    combined = Combined(found.scenario, remedies)
    for i, gap in enumerate(gaps):
        yield gap, combined.scenario(frozenset({i}))


def _deep(cavity: Cavity, depth: float) -> Cavity:
    return replace(cavity, depth=depth, fill_depth=min(cavity.fill_depth, depth))


def _moved(remedy: Remedy, layers: tuple[Any, ...]) -> Remedy:
    built = remedy.option.construction
    assert built is not None
    moved = replace(built, layers=layers, measured=None)
    return replace(remedy, option=replace(remedy.option, construction=moved))


def _counts(found: Contrast) -> tuple[int, ...]:
    """None, what the answer is about, and even steps up to what the walls take."""
    most = found.plan.fit
    steps = {round(most * k / STEPS) for k in range(1, STEPS + 1)} - {0}
    near = min(steps, key=lambda n: abs(n - found.plan.count))
    return (0, *sorted(steps - {near} | {found.plan.count}))


def _drop(found: Contrast, count: int) -> Array:
    """What so many panels take off every level in the room [dB] (27,)."""
    if count == 0:
        return np.zeros(27)
    area = found.scenario.envelope.absorption
    return treatment.level_drop(area, area + replace(found.plan, count=count).added)
