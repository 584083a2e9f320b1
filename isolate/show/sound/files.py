"""The folder of an answer made audible: a WAV file a scene, the volume to set first, what is what."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from isolate.answers.listen.answer import CALIBRATION_DBA, Listening
from isolate.bands import Array
from isolate.describe import wav
from isolate.show.sound import scenes, take
from isolate.show.sound.scenes import Rendered, Signal

BITS = 24
MOST_DBA = 85.0
"""Level [dBA] that no file exceeds at the volume the listener is told to set: what workplaces allow for eight
hours (ISO 1999, NIOSH 1998; from memory)."""

_LONGEST_NAME = 60


@dataclass(frozen=True)
class File:
    """One file: its `name`, `what` it is, the level of its loudest second [dBA], None for takes, which have a
    gain of their own, the `signal` [re 20 uPa] and what full scale stands for in it [dB]; the `verdict` where
    sound arrives."""

    name: str
    what: str
    dba: float | None
    signal: Signal
    full_scale_db: float
    verdict: str = ""

    @property
    def samples(self) -> Array:
        """Its samples, full scale 1."""
        return self.signal.astype(float) * 10.0 ** (-self.full_scale_db / 20.0)

    @property
    def peak_db(self) -> float:
        """Its highest sample re full scale [dB]."""
        return 20.0 * float(np.log10(np.abs(self.signal).max() + 1e-12)) - self.full_scale_db

    def to_dict(self) -> dict[str, Any]:
        """Plain data, for JSON."""
        dba = None if self.dba is None else round(self.dba, 1)
        return {
            "file": self.name, "what": self.what, "loudest_dba": dba, "peak_dbfs": round(self.peak_db, 1),
            "verdict": self.verdict or None,
        }  # fmt: skip


@dataclass(frozen=True)
class Folder:
    """All files at `rate` [Hz] and what full scale stands for [dB]."""

    rate: int
    files: tuple[File, ...]
    full_scale_db: float

    def contents(self) -> dict[str, Callable[[], bytes]]:
        """What makes the bytes of each file, by its name: one after the other they take little memory."""
        return {one.name: partial(self._encoded, one) for one in self.files}

    def _encoded(self, one: File) -> bytes:
        return wav.encode(one.samples, rate=self.rate, bits=BITS)

    def to_dict(self) -> dict[str, Any]:
        """Plain data, for JSON."""
        return {
            "rate_hz": self.rate,
            "full_scale_db": round(self.full_scale_db, 2),
            "files": [one.to_dict() for one in self.files],
        }


def folder(answer: Listening) -> Folder:
    """Everything the answer makes audible."""
    heard = scenes.rendered(answer, most_dba=MOST_DBA)
    files = [*_scenes(answer, heard), *(_takes(answer, heard) if answer.in_take else ())]
    return Folder(scenes.RATE, tuple(files), heard.full_scale_db)


def _scenes(answer: Listening, heard: Rendered) -> Iterator[File]:
    noise, full = scenes.single(scenes.calibration(heard.rate)), heard.full_scale_db
    what = f"noise to set the volume by: {CALIBRATION_DBA:.0f} dBA where you sit makes the others lifelike"
    yield File("0 set the volume.wav", what, CALIBRATION_DBA, noise, full)
    for number, one in enumerate(answer.scenes, 1):
        name, what = plain_name(one.name), f"{answer.sound}, {one.name}"
        if softer := heard.softer_db.get(one.key):
            name += f", {softer:.0f} dB softer"
            what += f", turned down by {softer:.1f} dB to {MOST_DBA:.0f} dBA: at its true level it harms"
        name = f"{number} {name}.wav"
        yield File(name, what, heard.loudest_dba[one.key], heard.scenes[one.key], full, one.verdict)
    where = answer.at.name if answer.at else "the room"
    name = f"{len(answer.scenes) + 1} quiet, without it.wav"
    yield File(name, f"{where} without {answer.sound}", answer.background_dba, heard.quiet, full)


def _takes(answer: Listening, heard: Rendered) -> Iterator[File]:
    assert answer.in_take is not None
    made = take.takes(answer, heard)
    for (key, squeezed), mixed in made.signals.items():
        scene = answer.scene(key)
        name = scene.name if scene else key
        how = f"compressed by {answer.in_take.reduction_db:.0f} dB" if squeezed else "as it is"
        yield File(
            f"take, {plain_name(name)}{', compressed' if squeezed else ''}.wav",
            f"{answer.in_take.take.name} with {answer.sound}, {name}, {how}",
            None,
            mixed,
            made.full_scale_db,
        )


def plain_name(text: str) -> str:
    """A name as a file may be called anywhere: letters, digits, spaces, commas and hyphens.

    >>> plain_name("pane: 4/6 mm <new>")
    'pane 4 6 mm new'
    """
    kept = re.sub(r"[^\w ,+-]+", " ", text)
    return re.sub(r"\s+", " ", kept).strip()[:_LONGEST_NAME].strip() or "sound"
