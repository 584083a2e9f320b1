"""Several constructions side by side, each against the first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from isolate.answers.curve import Curve, curve
from isolate.answers.plain import headed
from isolate.bands import THIRD_OCTAVES


@dataclass(frozen=True)
class Comparison:
    """The curves of several constructions, in the order they were named."""

    curves: tuple[Curve, ...]

    @property
    def labels(self) -> tuple[str, ...]:
        """A name for each, told apart by number where one comes twice."""
        names = [one.construction.name for one in self.curves]
        return tuple(
            name if names.count(name) == 1 else f"{name} ({index})" for index, name in enumerate(names, 1)
        )

    def to_dict(self) -> dict[str, Any]:
        """Plain data: each curve as `curve` gives it, and its octaves less the first one's."""
        first = self.curves[0].octave_db
        curves = [one.to_dict() | {"gain_octave_db": None} for one in self.curves]
        for data, one in zip(curves, self.curves, strict=True):
            data["gain_octave_db"] = headed("", {}, {"gain": one.octave_db - first})["gain"]
        return headed("compare", {"constructions": list(self.labels)}, {"curves": curves})

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: a row a third octave, a column a construction."""
        columns = [THIRD_OCTAVES, *(one.tl_db for one in self.curves)]
        return ["band_hz", *self.labels], [list(row) for row in zip(*columns, strict=True)]


def compare(constructions: Sequence[str]) -> Comparison:
    """Answer: which of these stops more, and where?"""
    return Comparison(tuple(curve(name) for name in constructions))
