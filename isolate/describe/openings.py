"""Openings in a side: gaps, and vents with what quietens them."""

from __future__ import annotations

from dataclasses import dataclass

from isolate.bands import Array
from isolate.describe.materials import Range
from isolate.describe.measured import Measured


@dataclass(frozen=True)
class Gap:
    """A slit: width, length and depth [m]; `at_edge` where it lies in the corner of two surfaces. `name` says
    where it is; `widths` is the range of the width where it was stated in words."""

    width: float
    length: float
    depth: float
    at_edge: bool = False
    name: str = ""
    widths: Range | None = None

    @property
    def area(self) -> float:
        """Open area [m2]."""
        return self.width * self.length


@dataclass(frozen=True)
class Box:
    """Lined boxes in a vent: inside dimensions [m] of one, how many, thickness of their `lining` [m]."""

    size: tuple[float, float, float]
    count: int
    lining: float


@dataclass(frozen=True)
class Vent:
    """A way for air through a side, or `count` of them alike.

    `area` [m2] and `section` (width, height) [m] of the clear opening, `round` unless a section was stated;
    `length` [m] of the way through; `lining` thickness [m]; lined `box`es; `insertion_db` (27,) of a
    silencer; `tested_db` (27,), its D_n,e, or its ratings `stated`, either of which stands for all of these.
    `area` is None where only that is known.
    """

    name: str
    area: float | None
    section: tuple[float, float] | None = None
    length: float = 0.0
    lining: float = 0.0
    box: Box | None = None
    insertion_db: Array | None = None
    tested_db: Array | None = None
    stated: Measured | None = None
    count: int = 1
    round: bool = False

    @property
    def tested(self) -> bool:
        """Whether it stands as a test found it, whatever is in it."""
        return self.tested_db is not None or self.stated is not None
