"""How far predictions lie from published measurements, as text."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from isolate.answers.accuracy import answer as answers
from isolate.answers.accuracy.answer import Accuracy, Apart, Group
from isolate.answers.accuracy.leave_one_out import Fitted
from isolate.answers.accuracy.specimens import FAR_DB, Specimen
from isolate.answers.accuracy.statistics import Statistics
from isolate.bands import OCTAVES, Array
from isolate.room.families import FAMILIES
from isolate.show.layout import Cell, Page
from isolate.show.text import common

_HEAD = ["", "rows", "median", "RMS", "bias", "s.d.", "Rw, STC", "bias", "s.d.", "inside"]


def render(answer: Accuracy, page: Page) -> str:
    """The whole answer."""
    whole = answer.groups["all"]
    lines = [
        page.ink("Predicted against published", "title"),
        page.wrapped(
            f"{len(answer.specimens)} constructions, {whole.bands.count} bands, {whole.rated.count} single "
            "numbers. Errors in dB are predicted less published: + is promised too much."
        ),
        page.heading("What is aimed at [dB]"),
        _aims(answer, page),
        page.heading("All rows, and apart"),
        page.wrapped("median: of the rows' own RMS; inside: bands between the limits for 5 and 95 %, "
                     "which should be 90 %"),
        _groups(answer.groups.values(), page),
        page.heading("By kind"),
        _groups(answer.families, page),
        page.heading("By octave [Hz]"),
        _octaves(answer.octaves, page),
        *(line for one in answer.apart for line in _apart(one, page)),
        *_left_out(answer, page),
        page.heading("Row by row, with the error in each octave"),
        page.wrapped("! marks a doubted row, m one from memory; Rw and STC are published: predicted"),
        *_specimens(answer.specimens, page),
        *_doubts(answer.specimens, page),
        *_far_off(answer.specimens, page),
        *common.notes(page, answers.NOTES, "Notes"),
    ]  # fmt: skip
    return "\n".join(lines) + "\n"


def signed(value: float) -> str:
    """An error to a tenth with its sign; "–" where there is none.

    >>> signed(-1.26), signed(-0.04), signed(math.nan)
    ('-1.3', '0.0', '–')
    """
    return f"{value:+.1f}".replace("-0.0", "0.0").replace("+0.0", "0.0") if math.isfinite(value) else "–"


def decimal(value: float, digits: int = 1) -> str:
    """A value to a tenth, or more digits; "–" where there is none."""
    return f"{value:.{digits}f}" if math.isfinite(value) else "–"


def share(value: float) -> str:
    """A share in whole per cent; "–" where there is none."""
    return f"{100 * value:.0f} %" if math.isfinite(value) else "–"


def _aims(answer: Accuracy, page: Page) -> str:
    head, align = ["", "found", "at most", ""], "lrrl"
    rows: list[list[str | Cell]] = [
        [aim.name, decimal(aim.value, 2), decimal(aim.most)] for aim in answer.aims
    ]
    for row, aim in zip(rows, answer.aims, strict=True):
        row.append(Cell("reached", "good") if aim.reached else Cell("not reached", "warn"))
    if answer.left_out is not None:
        head, align = [*head[:2], "left out", *head[2:]], "lrrrl"
        for row, aim in zip(rows, answers.aims(answer.left_out.specimens), strict=True):
            row.insert(2, decimal(aim.value, 2))
            row[-1] = Cell("reached", "good") if aim.reached else Cell("not reached", "warn")
    return page.table(head, rows, align=align)


def _groups(groups: Iterable[Group], page: Page) -> str:
    rows = [group_row(group) for group in groups]
    return page.table(_HEAD, rows, align="l" + "r" * (len(_HEAD) - 1))


def group_row(group: Group) -> list[str]:
    """A group's figures as cells: name, rows, median RMS, RMS, bias, s.d., the same of Rw and STC, inside."""
    return [
        group.name, str(len(group.specimens)), decimal(group.median_rms_db), decimal(group.bands.rms_db),
        signed(group.bands.bias_db), decimal(group.bands.sd_db), str(group.rated.count),
        signed(group.rated.bias_db), decimal(group.rated.sd_db), share(group.covered),
    ]  # fmt: skip


APART_HEAD = ["", "rows", "RMS", "bias", "Rw/STC", "s.d.", "+C", "s.d.", "+Ctr", "s.d.", "inside"]


def _apart(one: Apart, page: Page) -> list[str]:
    """A topic whose rows had no say in any constant: its table, and what is missed by much."""
    rows = [apart_row(group) for group in (one.whole, *one.groups)]
    missed = [f"{row.name} ({_missed(row)})" for row in one.whole.specimens if row.far_off]
    lines = [
        page.heading(f"{one.whole.name}: rows that had no say in any constant"),
        page.wrapped(f"{one.about}; errors of the bands, and of each single number with its s.d."),
        page.table(APART_HEAD, rows, align="l" + "r" * (len(APART_HEAD) - 1)),
    ]
    if missed:
        lines.append(page.wrapped(f"Off by more than {FAR_DB:g} dB: {'; '.join(missed)}"))
    return lines


def apart_row(group: Group) -> list[str]:
    """A group's figures as cells: rows, RMS and bias of bands, bias and s.d. of single numbers, inside."""
    bands = (decimal(group.bands.rms_db), signed(group.bands.bias_db))
    singles = ((signed(s.bias_db), decimal(s.sd_db)) for s in (group.rated, group.pink, group.traffic))
    cells = (cell for pair in singles for cell in pair)
    return [group.name, str(len(group.specimens)), *bands, *cells, share(group.covered)]


def _missed(one: Specimen) -> str:
    """How far off a row is: its bands' RMS, or its single numbers."""
    rated = [f"{r.name} {r.published:.0f}: {r.predicted:.0f}" for r in one.rated]
    return ", ".join([*([f"RMS {decimal(one.statistics.rms_db)}"] if one.bands_hz.size else []), *rated])


def _octaves(octaves: Sequence[Statistics], page: Page) -> str:
    rows = [
        ["rows", *(str(one.count) for one in octaves)],
        ["bias", *(signed(one.bias_db) for one in octaves)],
        ["s.d.", *(decimal(one.sd_db) for one in octaves)],
        ["RMS", *(decimal(one.rms_db) for one in octaves)],
    ]
    return page.table(["", *(f"{band:g}" for band in OCTAVES)], rows, align="l" + "r" * OCTAVES.size)


def _left_out(answer: Accuracy, page: Page) -> list[str]:
    if answer.left_out is None:
        return []
    found = answer.left_out.specimens
    return [
        page.heading("Left out: each row predicted without its own say in the constants"),
        page.wrapped(
            f"The RMS of all bands rises by {answer.rise_db:.1f} dB; inside limits told from the other rows "
            f"alone: {share(answer.covered_left_out)}."
        ),
        _groups(answers.grouped(found).values(), page),
        "",
        _groups(answers.families(found), page),
        page.heading("Constants as they are, and as a linear fit of all rows would have them"),
        _constants(answer.left_out.constants, page),
    ]  # fmt: skip


def _constants(constants: Sequence[Fitted], page: Page) -> str:
    rows = [
        [one.name, f"{one.constant.value:.3g}", f"{one.refit:.3g}", one.constant.unit, _range(one),
         str(one.specimens)]
        for one in constants
    ]  # fmt: skip
    return page.table(["", "value", "refit", "unit", "range", "rows"], rows, align="lrrlrr")


def _range(one: Fitted) -> str:
    low, high = one.constant.low, one.constant.high
    return "–" if low is None or high is None else f"{low:.3g} – {high:.3g}"


def _specimens(found: Sequence[Specimen], page: Page) -> list[str]:
    """Two lines a row: name and single numbers; errors, if there are bands."""
    shown = OCTAVES[1:]
    ordered = sorted(found, key=lambda one: (FAMILIES.index(one.family), one.name))
    cells = [_errors(one, shown) for one in ordered]
    head = ["    RMS", "bias", "s.d.", "inside", *(f"{band:g}" for band in shown)]
    first, *lines = page.table(head, cells, align="r" * len(head)).split("\n")
    text = [first]
    for one, line in zip(ordered, lines, strict=True):
        text.append(_title(one, page))
        if one.bands_hz.size:
            text.append(line)
    return text


def _title(one: Specimen, page: Page) -> str:
    marks = ("!" if one.measured.doubt else "") + ("m" if one.measured.basis == "memory" else "")
    rated = ", ".join(f"{r.name} {r.published:.0f}: {r.predicted:.0f}" for r in one.rated)
    return (f"{marks:2s} {one.name}".ljust(page.width - len(rated) - 1) + f" {rated}").rstrip()


def _errors(one: Specimen, shown: Array) -> list[str]:
    bands, error = one.octaves
    by_band = dict(zip(bands.tolist(), error.tolist(), strict=True))
    s = one.statistics
    return [
        decimal(s.rms_db), signed(s.bias_db), decimal(s.sd_db), f"{int(one.inside.sum())}/{one.inside.size}",
        *(_whole(by_band[band]) if band in by_band else "" for band in shown.tolist()),
    ]  # fmt: skip


def _whole(value: float) -> str:
    return f"{value:+.0f}".replace("-0", "0").replace("+0", "0")


def _doubts(found: Sequence[Specimen], page: Page) -> list[str]:
    doubted = [one for one in found if one.measured.doubt]
    if not doubted:
        return []
    texts = [f"{one.name}: {one.measured.doubt}" for one in doubted]
    return [page.heading("Doubts"), *(page.wrapped(text, label="  !", margin=4) for text in texts)]


def _far_off(found: Sequence[Specimen], page: Page) -> list[str]:
    """Rows that nobody doubts and that are missed by more than is aimed at, with what may be said for it."""
    missed = [one for one in found if one.far_off and not one.measured.doubt]
    if not missed:
        return []
    lines = [page.heading(f"Not doubted, and off by more than {FAR_DB:g} dB: what speaks against them")]
    texts = [f"{one.name}: {one.measured.remark}" for one in missed if one.measured.remark]
    lines += [page.wrapped(text, label="  ?", margin=4) for text in texts]
    plain = [one.name for one in missed if not one.measured.remark]
    if plain:
        text = f"Nothing known does; the prediction is taken to be at fault: {'; '.join(plain)}"
        lines.append(page.wrapped(text))
    return lines
