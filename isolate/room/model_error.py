"""The error of predictions by family of constructions and region of bands, from published specimens.

Each specimen is predicted with its own influence on the calibrated constants taken out
(`isolate.answers.accuracy.leave_one_out`). Of the mean square of what is left, the scatter between
laboratories (ISO 12999-1) is taken off, since a published value carries it too; the rest is the
prediction's. Families with few specimens lean on all of them together: the mean square counts `LEANING`
specimens of the whole beside their own. Rows whose published value is doubted say little about predictions
and are not counted.

The table is a file beside this module, written by ``python .ci/refresh_accuracy.py``, never by hand.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array

FILE = Path(__file__).with_name("model_error.csv")
EVERYTHING = "all"
REGIONS = ((22.0, 90.0), (90.0, 180.0), (180.0, 710.0), (710.0, 1420.0), (1420.0, 11200.0))  # Hz, in octaves
LEANING = 3.0
# A family without a specimen has never been corrected by one. Judgement: of rows that took no part the median
# lies 1.4 times as far off as of those that did, and there at least the family had its own.
UNSEEN = 2.0
_HEAD = """\
# Error of predicted transmission loss by family and region of bands, from published specimens predicted with
# their own influence on the calibrated constants taken out. Written by .ci/refresh_accuracy.py.
# specimens, values: how many there were; rms_db: root mean square of predicted less published;
# model_db: standard deviation of the prediction, scatter of laboratories taken off, leaning on all families
"""
_COLUMNS = ("family", "low_hz", "high_hz", "specimens", "values", "rms_db", "model_db")


class Row(NamedTuple):
    """One family in one region of bands [Hz]."""

    family: str
    low_hz: float
    high_hz: float
    specimens: int
    values: int
    rms_db: float
    model_db: float


@dataclass(frozen=True)
class Left:
    """What is left of one specimen: its family, bands [Hz] (n,), errors [dB] (n,) and the laboratories'
    standard deviation [dB] (n,)."""

    family: str
    bands_hz: Array
    error_db: Array
    laboratory_db: Array

    def squares(self, low_hz: float, high_hz: float) -> tuple[Array, Array]:
        """Squared errors in a region, and less the laboratories' variance."""
        there = (self.bands_hz >= low_hz) & (self.bands_hz < high_hz)
        square = self.error_db[there] ** 2
        return square, square - self.laboratory_db[there] ** 2


def table(specimens: Sequence[Left]) -> tuple[Row, ...]:
    """The rows of all specimens together and of each family, region by region."""
    families = [EVERYTHING, *sorted({one.family for one in specimens})]
    return tuple(_row(name, *region, specimens) for name in families for region in REGIONS)


def of_others(family: str, others: Sequence[Left]) -> Array:
    """Standard deviation [dB] (27,) of a family as these specimens alone would have it."""
    return spread([_row(family, *region, others) for region in REGIONS])[family]


def _row(name: str, low_hz: float, high_hz: float, specimens: Sequence[Left]) -> Row:
    there = [(one.family, one.squares(low_hz, high_hz)) for one in specimens]
    every = [squares for _, squares in there if squares[0].size]
    own = [squares for family, squares in there if squares[0].size and name in (EVERYTHING, family)]
    whole = _mean([rest for _, rest in every])
    weight = len(own) / (len(own) + LEANING) if name != EVERYTHING else 1.0
    variance = weight * _mean([rest for _, rest in own]) + (1.0 - weight) * whole
    rms = float(np.sqrt(_mean([square for square, _ in own]))) if own else float("nan")
    values = sum(square.size for square, _ in own)
    return Row(name, low_hz, high_hz, len(own), values, rms, float(np.sqrt(max(variance, 0.0))))


def _mean(arrays: Sequence[Array]) -> float:
    """Mean over specimens of each one's mean; 0 of none."""
    return float(np.mean([array.mean() for array in arrays])) if arrays else 0.0


def spread(rows: Sequence[Row]) -> dict[str, Array]:
    """Standard deviation [dB] (27,) of each family, straight over lg f between the middles of the regions
    and held beyond the outer ones."""
    found: dict[str, Array] = {}
    for name in dict.fromkeys(row.family for row in rows):
        own = [row for row in rows if row.family == name]
        middle = [np.sqrt(row.low_hz * row.high_hz) for row in own]
        found[name] = np.interp(np.log(THIRD_OCTAVES), np.log(middle), [row.model_db for row in own])
    return found


def to_csv(rows: Sequence[Row]) -> str:
    """The file's text."""
    text = io.StringIO()
    text.write(_HEAD)
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for row in rows:
        hertz, decibels = row[1:3], row[5:]
        writer.writerow(
            [row.family, *(f"{f:g}" for f in hertz), *row[3:5], *(f"{level:.2f}" for level in decibels)]
        )
    return text.getvalue()


def read_rows(text: str) -> tuple[Row, ...]:
    """The rows of a file's text."""
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    return tuple(
        Row(
            r["family"], float(r["low_hz"]), float(r["high_hz"]), int(r["specimens"]), int(r["values"]),
            float(r["rms_db"]), float(r["model_db"]),
        )
        for r in csv.DictReader(lines)
    )  # fmt: skip


@cache
def _bundled() -> dict[str, Array]:
    return spread(read_rows(FILE.read_text(encoding="utf-8")))


def of(family: str) -> Array:
    """Standard deviation [dB] (27,) of predictions of a family; for one that no specimen has `UNSEEN` times
    that of all families."""
    known = _bundled()
    return known[family] if family in known else UNSEEN * known[EVERYTHING]
