"""Spectra in description files and CSV: which bands they have, and spreading them to the 27."""

from __future__ import annotations

import csv
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from isolate.bands import BEYOND, N_BANDS, OCTAVES, THIRD_OCTAVES, Array, index_of
from isolate.describe.reading import (
    LARGEST_FILE,
    MOST_FAULTS,
    Converter,
    Table,
    decoded,
    file_name,
    list_of,
    number,
    read_text,
)
from isolate.errors import InputError, shown

SILENT_DB = -100.0  # stands for "nothing stated" in a band of a noise
NOTHING: Array = np.full(N_BANDS, SILENT_DB)
NOTHING.flags.writeable = False
_MOST_ROWS = 200
_OCTAVE_STEP, _THIRD_STEP = 3, 1  # in third octaves


def _band(value: object) -> float:
    frequency = number(1.0, 1e5)(value)
    try:
        return float(THIRD_OCTAVES[index_of(frequency)])
    except ValueError:
        raise ValueError(
            f"no third-octave band from 25 Hz to 10 kHz (got {shown(value)}); write nominal frequencies"
        ) from None


def bands(value: object) -> Array:
    """Converter: nominal frequencies [Hz], rising, all third octaves or all octaves without a hole."""
    found = np.array(list_of(_band)(value))
    steps = np.diff([index_of(f) for f in found])
    if found.size < 3:
        raise ValueError(f"too few bands (got {found.size}); write three at least")
    if np.any(steps <= 0):
        raise ValueError(f"not rising (got {shown(value)}); write each band once, lowest first")
    if not (np.all(steps == _THIRD_STEP) or is_octaves(found)):
        raise ValueError(
            f"neither all third octaves nor all octaves in a row (got {shown(value)}); fill the holes"
        )
    return found


def is_octaves(bands_hz: Array) -> bool:
    """Whether these are octave bands: three thirds apart and each the centre of an octave."""
    steps = np.diff([index_of(f) for f in bands_hz])
    return bool(np.all(steps == _OCTAVE_STEP) and np.all(np.isin(bands_hz, OCTAVES)))


def values(least: float, most: float) -> Converter[Array]:
    """Converter: a list of finite numbers within [least, most]."""
    each = list_of(number(least, most))
    return lambda value: np.array(each(value))


def pair(table: Table, key: str, convert: Converter[Array]) -> tuple[Array, Array] | None:
    """`bands_hz` and the values under `key`, of one length; None when either is missing or at fault."""
    frequencies, found = table.get("bands_hz", bands), table.get(key, convert)
    for missing in {"bands_hz", key}:
        if missing not in table and ({"bands_hz", key} - {missing}).pop() in table:
            table.fault(missing, "missing; bands_hz and " + key + " belong together")
    if frequencies is None or found is None:
        return None
    if frequencies.size != found.size:
        table.fault(key, f"{found.size} values for {frequencies.size} bands_hz; write one for each band")
        return None
    return frequencies, found


def levels(bands_hz: Array, level_db: Array) -> Array:
    """Third-octave levels [dB] (27,): octave levels as three equal thirds of the same sum, `SILENT_DB`
    outside the stated bands."""
    full = NOTHING.copy()
    octaves = is_octaves(bands_hz)
    for frequency, level in zip(bands_hz, level_db, strict=True):
        i = index_of(frequency)
        if octaves:
            full[i - 1 : i + 2] = level - 10.0 * np.log10(3.0)
        else:
            full[i] = level
    return full


def held(bands_hz: Array, value: Array) -> Array:
    """Values (27,), straight over lg f between the stated bands and held at both ends."""
    return np.interp(np.log(THIRD_OCTAVES), np.log(bands_hz), value)


def read_csv(path: Path, columns: Sequence[str] = ("band_hz", "tl_db")) -> tuple[Array, Array]:
    """A spectrum from a CSV file with a line of column names; lines starting with # are comments. Columns are
    parted by commas, or by semicolons or tabs, and then a decimal sign may be a comma.

    Parameters
    ----------
    path : the file; "-" is standard input.
    columns : the name of the column of bands [Hz] and that of the values.

    Returns
    -------
    bands_hz, values : arrays of one length, lowest band first; third octaves below 25 Hz and above 10 kHz,
        which some meters write, among them.

    Raises
    ------
    InputError
        With every fault of the file.
    """
    name = file_name(path)
    lines = [
        (n, line)
        for n, line in enumerate(_text(path).splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not lines:
        raise InputError(f"{name}: only comments; write a line {','.join(columns)} and one for each band")
    if len(lines) > _MOST_ROWS:
        raise InputError(f"{name}: {len(lines)} lines (at most {_MOST_ROWS}); write one for each band")
    found: dict[float, float] = {}
    faults: list[str] = []
    where, width = _columns(name, *lines[0], columns)
    for number_of_line, line in lines[1:]:
        try:
            band, value = _row(line, where, width, _separator(lines[0][1]))
            if band in found:
                raise ValueError(f"band {band:g} Hz again; write each band once")
            found[band] = value
        except ValueError as fault:
            faults.append(f"{name}: line {number_of_line}: {fault}")
    if not faults and not found:
        faults.append(f"{name}: no bands below the column names; write one line for each")
    if not faults and np.isin(list(found), BEYOND).all():
        faults.append(f"{name}: no third-octave band from 25 Hz to 10 kHz (got others); write those too")
    if faults:
        raise InputError(faults[:MOST_FAULTS])
    rising = sorted(found)
    return np.array(rising), np.array([found[band] for band in rising])


def _text(path: Path) -> str:
    """The text of a file, or of standard input."""
    if str(path) == "-":
        return decoded(sys.stdin.buffer.read(LARGEST_FILE + 1), "standard input")
    return read_text(path)


def _separator(first: str) -> str:
    """What parts the columns of a spreadsheet's file: semicolons where the decimal sign is a comma, tabs, or
    commas."""
    return next((sign for sign in (";", "\t") if sign in first), ",")


def _columns(name: str, line: int, first: str, columns: Sequence[str]) -> tuple[list[int], int]:
    """Where the wanted columns are, and how many there are."""
    try:
        names = [cell.strip().casefold() for cell in _cells(first, _separator(first))]
    except ValueError:
        names = []
    missing = [column for column in columns if column not in names]
    if missing:
        raise InputError(
            f"{name}: line {line}: no column {' and '.join(missing)} (got {shown(first.strip())}); "
            f"write a first line {','.join(columns)}"
        )
    for column in columns:
        if names.count(column) > 1:
            raise InputError(f"{name}: line {line}: column {column} twice; keep one of them")
    return [names.index(column) for column in columns], len(names)


def _cells(line: str, separator: str) -> list[str]:
    try:
        return next(csv.reader([line], strict=True, delimiter=separator))
    except csv.Error:
        raise ValueError(f"not columns (got {shown(line)}); write 125{separator}34.5") from None


def _row(line: str, where: list[int], width: int, separator: str) -> tuple[float, float]:
    if separator == "," and ";" in line:
        raise ValueError(f"semicolons (got {shown(line)}); separate as in the first line")
    cells = _cells(line.rstrip(", ;\t"), separator)
    if not max(where) < len(cells) <= width:
        what = f"not the {width} columns of the first line (got {shown(line)})"
        raise ValueError(f"{what}; write a value for each, with a decimal point")
    band, value = (_number(cells[i], comma=separator != ",") for i in where)
    if not -200.0 <= value <= 250.0:
        raise ValueError(f"no sane value (got {shown(cells[where[1]])}); write decibels")
    beyond = BEYOND[np.isclose(BEYOND, band, rtol=0.02)]
    return float(beyond[0]) if beyond.size else _band(band), value


def _number(cell: str, *, comma: bool) -> float:
    """A number; with `comma` its decimal sign may be one, since it does not part columns."""
    try:
        return float(cell.replace(",", ".") if comma else cell)
    except ValueError:
        raise ValueError(f"not a number (got {shown(cell.strip())}); write one such as 34.5") from None
