"""Several constructions side by side, each against the first, with the same draws of what they share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from isolate.answers.base import Answer
from isolate.answers.curve.answer import Curve, curve
from isolate.answers.plain import headed, plain
from isolate.bands import THIRD_OCTAVES, Array, octave_tl
from isolate.describe import noises
from isolate.describe.noises import NoiseSpectrum
from isolate.physics.stack import LAB_SIZE
from isolate.remedies.cautions.facts import Caution
from isolate.remedies.cautions.table import for_constructions
from isolate.room import DRAWS, SEED, levels
from isolate.room.chances import HIGH, LOW
from isolate.room.draws import Draws
from isolate.room.element_unknowns import TESTED, ElementUnknowns
from isolate.standards.weighting import dba

SAME_DB, AHEAD = 0.5, 2  # less than that is no difference, of levels and of Rw


@dataclass(frozen=True, repr=False)
class Comparison(Answer):
    """The curves of several constructions, in the order they were named; `noise` that comes, None if nobody
    said: then road traffic, as Ctr has it."""

    curves: tuple[Curve, ...]
    noise: NoiseSpectrum | None = None

    @property
    def labels(self) -> tuple[str, ...]:
        """A name for each, as it was asked for, told apart by number where one comes twice."""
        names = [one.construction.called for one in self.curves]
        return tuple(
            name if names.count(name) == 1 else f"{name} ({index})" for index, name in enumerate(names, 1)
        )

    @property
    def noise_name(self) -> str:
        """What the noise is called: the word it was read from, or its name."""
        return self.noise.called if self.noise else "road traffic"

    @cached_property
    def kept_out_dba(self) -> tuple[float, ...]:
        """What each takes off the noise [dBA], all bands together."""
        if self.noise is None:
            return tuple(float(one.ratings["Rw"] + one.ratings["Ctr"]) for one in self.curves)
        outside = levels.shifted(self.noise, None)
        return tuple(float(dba(outside) - dba(outside - one.tl_db)) for one in self.curves)

    @property
    def steps_db(self) -> tuple[int, ...]:
        """Ln,w [dB] of each, where all are floors; else none."""
        found = [one.impact.numbers.lnw if one.impact else None for one in self.curves]
        known = tuple(one for one in found if one is not None)
        return known if len(known) == len(found) else ()

    @property
    def best(self) -> int:
        """Which keeps out most of the noise."""
        return int(np.argmax(self.kept_out_dba))

    @property
    def misled(self) -> tuple[int, int] | None:
        """Which has the best Rw, and which with less keeps out more of the noise, or with `AHEAD` less as
        much; None where Rw does not mislead."""
        rw, kept = [one.ratings["Rw"] for one in self.curves], self.kept_out_dba
        top = int(np.argmax(rw))
        lower = [i for i, value in enumerate(rw) if value < rw[top]]
        rival = max(lower, key=lambda i: kept[i], default=top)
        alike = SAME_DB if rw[top] - rw[rival] >= AHEAD else -SAME_DB
        return None if rival == top or kept[top] > kept[rival] + alike else (top, rival)

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Those of building any of them."""
        built = zip(self.labels, self.curves, strict=True)
        return for_constructions([(label, one.construction, one.surface_mass) for label, one in built])

    @cached_property
    def gains_db(self) -> tuple[tuple[Array, Array, Array], ...]:
        """Octaves of each less the first one's [dB] (9,): as predicted, and their 5 % and 95 % limits."""
        unsure, draws = ElementUnknowns(), Draws(SEED, DRAWS)
        octaves = [octave_tl(one.tl_db + _deviation(one, unsure, draws)) for one in self.curves]
        first = self.curves[0].octave_db
        return tuple(
            (one.octave_db - first, *np.percentile(drawn - octaves[0], [LOW, HIGH], axis=0))
            for one, drawn in zip(self.curves, octaves, strict=True)
        )

    def to_dict(self) -> dict[str, Any]:
        """Plain data: each curve as `curve` gives it, and its octaves less the first one's with limits."""
        curves = [
            one.to_dict() | plain({"gain_octave_db": gain, "gain_low_db": low, "gain_high_db": high})
            for one, (gain, low, high) in zip(self.curves, self.gains_db, strict=True)
        ]
        return headed("compare", {"constructions": list(self.labels)}, {
            "noise": self.noise_name, "kept_out_dba": list(self.kept_out_dba), "curves": curves,
            "cautions": [caution.to_dict() for caution in self.cautions],
        })  # fmt: skip

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: a row a third octave, a column a construction."""
        columns = [THIRD_OCTAVES, *(one.tl_db for one in self.curves)]
        return ["band_hz", *self.labels], [list(row) for row in zip(*columns, strict=True)]


def _deviation(one: Curve, unsure: ElementUnknowns, draws: Draws) -> Array:
    """Draws of how far a curve may be off [dB] (draws, 27)."""
    built = one.construction
    size = built.size or LAB_SIZE[built.kind]
    parts = unsure.of_construction(built, size=size, place=TESTED)
    return np.asarray(sum(part.db(draws) for part in parts))


def compare(constructions: Sequence[str], *, noise: str | None = None) -> Comparison:
    """Answer: which of these stops more, where, and of this noise?

    `constructions`: as for `curve`, data sheets among them; `noise`: its name or an everyday word, or a path.

    Examples
    --------
    >>> import isolate
    >>> both = isolate.compare(["glass 4 mm", "glass 8 mm"]).to_frame().set_index("band_hz")
    >>> gain = both["glass 8 mm"] - both["glass 4 mm"]
    >>> bool(gain[200] > 2), bool(gain[1600] < 0)  # twice the mass; coincidence an octave lower
    (True, True)
    """
    spectrum = None if noise is None else noises.load(noise)
    return Comparison(tuple(curve(name) for name in constructions), spectrum)
