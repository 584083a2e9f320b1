"""How far predictions lie from published measurements, told."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from isolate.answers.accuracy import answer as answers
from isolate.answers.accuracy.answer import Accuracy, Aim, Apart, Group
from isolate.answers.accuracy.leave_one_out import Fitted
from isolate.answers.accuracy.specimens import FAR_DB, Specimen
from isolate.answers.accuracy.statistics import Statistics
from isolate.bands import OCTAVES, Array
from isolate.room import model_error
from isolate.room.families import FAMILIES
from isolate.show.document import (
    Block,
    Cell,
    Document,
    Figure,
    Heading,
    Items,
    Next,
    Paragraph,
    Table,
    decimal,
    notes,
    signed,
)

_LINES = 40
_APART = ["", "rows", "RMS", "bias", "Rw/STC", "s.d.", "+C", "s.d.", "+Ctr", "s.d.", "inside"]


AIMS = {  # what each is, for a reader
    "median specimen RMS": "the construction in the middle, RMS", "all bands RMS": "all bands, RMS",
    "Rw/STC bias": "Rw and STC, mean error", "Rw/STC standard deviation": "Rw and STC, standard deviation",
    "panes in thirds, read, RMS": "panes in third octaves, RMS",
    "walls in thirds, read, RMS": "walls in third octaves, RMS",
}  # fmt: skip


def document(answer: Accuracy) -> Document:
    """What is aimed at, by kind, whole topics; all groups, octaves and rows with --full."""
    whole = answer.groups["all"]
    high = "high" if whole.rated.bias_db >= 0.0 else "low"
    single = (
        f" Rw and STC come out {decimal(abs(whole.rated.bias_db))} dB too {high} on average, with a standard "
        f"deviation of {decimal(whole.rated.sd_db)}."
        if whole.rated.count else ""
    )  # fmt: skip
    head = ["", "rows", "doubted", "RMS", "mean", "Rw, STC", "in range"]
    rows = map(_short, (whole, *answer.families))
    return Document(
        title="How far predictions lie from published measurements",
        about=f"{len(answer.specimens)} constructions, {whole.bands.count} bands, {whole.rated.count} single "
        "numbers; each is predicted without its own measurement",
        first=[
            Figure(
                f"{decimal(whole.median_rms_db)} dB",
                "is how far off a band usually is (RMS, root mean square), in the construction in the "
                f"middle: half do better, half worse.{single}",
            ),
            Heading("What is aimed at [dB]"),
            _aims(answer),
            Heading(
                "By kind [dB]; doubted: contradicts others or states too little; mean error: + "
                "promises too much; in range: bands from 5 to 95 %, 90 % would be right"
            ),
            Table(head, [*rows, *_without(answer)], "f" + "r" * 6),
            *_topics([topic.whole for topic in answer.apart]),
        ],
        full=list(_full(answer)),
        next=[Next("Draw each, predicted and published", "isolate accuracy --plot accuracy.png")],
        more="read and recalled rows apart, octaves, every row, doubts",
        lines=_LINES,
    )


def share(value: float) -> str:
    """A share in whole per cent; "–" where there is none."""
    return f"{100 * value:.0f} %" if math.isfinite(value) else "–"


def _short(group: Group) -> list[str]:
    doubted = sum(bool(one.measured.doubt) for one in group.specimens)
    return [
        group.name, str(len(group.specimens)), str(doubted or ""), decimal(group.median_rms_db),
        signed(group.bands.bias_db), signed(group.rated.bias_db), share(group.covered),
    ]  # fmt: skip


def _without(answer: Accuracy) -> list[list[str]]:
    """A line of the kinds of which nothing was measured."""
    found = {group.name for group in answer.families}
    missing = [name for name in FAMILIES if name not in found]
    if answer.kind or not missing:
        return []
    return [[", ".join(missing), "0", "", "", "", "", share(math.nan)]]


def _topics(topics: Sequence[Group]) -> list[Block]:
    """Rows that set no constant, a line each topic."""
    if not topics:
        return []
    rows = [
        [one.name, str(len(one.specimens)), decimal(one.bands.rms_db), signed(one.bands.bias_db),
         signed(one.rated.bias_db), decimal(one.rated.sd_db), share(one.covered)]
        for one in topics
    ]  # fmt: skip
    head = ["", "rows", "RMS", "mean", "Rw, STC", "deviation", "in range"]
    told = "Rows kept apart, by which no constant was set [dB]; in range: Rw, STC where no bands are known"
    return [Heading(told), Table(head, rows, "frrrrrr")]


def _full(answer: Accuracy) -> Iterator[Block]:
    yield Heading("All rows, and apart [dB]")
    yield Paragraph(
        "Errors are predicted less published: + promises too much. RMS: root mean square; median: of the "
        "rows' own RMS; bias: mean error; s.d.: standard deviation; inside: bands, or single numbers where "
        "no bands are known, from 5 to 95 %, 90 % would be right; doubt: rows that contradict others or "
        "state too little; read: seen on the page of the work named; memory: recalled from it. Of a kind "
        "without rows predictions are taken to err "
        f"{model_error.UNSEEN:g} times as much as of all together."
    )
    yield _groups(answer.groups.values())
    yield Heading("By kind, all figures [dB]")
    yield _groups(answer.families)
    yield Heading("By octave, in Hz [dB]")
    yield _octaves(answer.octaves)
    for topic in answer.apart:
        yield from _apart(topic)
    yield from _left_out(answer)
    yield from _rows(answer.specimens)
    yield from _doubts(answer.specimens)
    yield from _far_off(answer.specimens)
    yield from notes(answers.NOTES, "Notes")


def _reached(aim: Aim) -> Cell:
    return Cell("reached", "good") if aim.reached else Cell("not reached", "warn")


def _aims(answer: Accuracy) -> Table:
    rows: list[list[str | Cell]] = [
        [AIMS[aim.name], decimal(aim.value, 2), decimal(aim.most), _reached(aim)] for aim in answer.aims
    ]
    if answer.left_out is None:
        return Table(["", "found", "aim", ""], rows, "lrrl")
    for row, aim in zip(rows, answers.aims(answer.left_out.specimens), strict=True):
        row[2:] = [decimal(aim.value, 2), decimal(aim.most), _reached(aim)]
    return Table(["", "found", "left out", "aim", ""], rows, "lrrrl")


def _groups(groups: Iterable[Group]) -> Table:
    head = ["", "rows", "median", "RMS", "bias", "s.d.", "Rw, STC", "bias", "s.d.", "inside"]
    return Table(head, [group_row(group) for group in groups], "l" + "r" * (len(head) - 1))


def group_row(group: Group) -> list[str]:
    """A group's figures as cells: name, rows, median RMS, RMS, bias, s.d., the same of Rw and STC, inside."""
    return [
        group.name, str(len(group.specimens)), decimal(group.median_rms_db), decimal(group.bands.rms_db),
        signed(group.bands.bias_db), decimal(group.bands.sd_db), str(group.rated.count),
        signed(group.rated.bias_db), decimal(group.rated.sd_db), share(group.covered),
    ]  # fmt: skip


def _apart(one: Apart) -> Iterator[Block]:
    """A topic whose rows had no say in any constant: its table, and what is missed by much."""
    yield Heading(f"{one.whole.name}: rows by which no constant was set")
    yield Paragraph(
        f"{one.about}; bias: mean error, s.d.: standard deviation, of the bands and of each single number."
    )
    rows = [_apart_row(group) for group in (one.whole, *one.groups)]
    yield Table(_APART, rows, "f" + "r" * (len(_APART) - 1))
    missed = [row for row in one.whole.specimens if row.far_off]
    if missed:
        named = "; ".join(f"{row.name} ({_missed(row)})" for row in missed)
        yield Paragraph(f"Off by more than {FAR_DB:g} dB: {named}")
    remarks = [row for row in missed if row.measured.remark]
    for remark in dict.fromkeys(row.measured.remark for row in remarks):
        about = "; ".join(row.name for row in remarks if row.measured.remark == remark)
        yield Paragraph(f"Of {about}: {remark}.")


def _apart_row(group: Group) -> list[str]:
    bands = (decimal(group.bands.rms_db), signed(group.bands.bias_db))
    singles = ((signed(s.bias_db), decimal(s.sd_db)) for s in (group.rated, group.pink, group.traffic))
    cells = (cell for pair in singles for cell in pair)
    return [group.name, str(len(group.specimens)), *bands, *cells, share(group.covered)]


def _missed(one: Specimen) -> str:
    """How far off a row is: its bands' RMS, or its single numbers."""
    return ", ".join(
        [*([f"RMS {decimal(one.statistics.rms_db)}"] if one.bands_hz.size else []), *_rated(one)]
    )


def _rated(one: Specimen) -> list[str]:
    return [f"{r.name} {r.published:.0f}: {r.predicted:.0f}" for r in one.rated]


def _octaves(octaves: Sequence[Statistics]) -> Table:
    rows = [
        ["rows", *(str(one.count) for one in octaves)],
        ["bias", *(signed(one.bias_db) for one in octaves)],
        ["s.d.", *(decimal(one.sd_db) for one in octaves)],
        ["RMS", *(decimal(one.rms_db) for one in octaves)],
    ]
    return Table(["", *(f"{band:g}" for band in OCTAVES)], rows, "l" + "r" * OCTAVES.size)


def _left_out(answer: Accuracy) -> Iterator[Block]:
    if answer.left_out is None:
        return
    found = answer.left_out.specimens
    yield Heading("Left out: each row predicted without its own say in the constants")
    yield Paragraph(
        f"The RMS of all bands rises by {answer.rise_db:.1f} dB; in ranges told from the other rows "
        f"alone: {share(answer.covered_left_out)}."
    )
    yield _groups(answers.grouped(found).values())
    yield _groups(answers.families(found))
    yield Heading("Constants as they are, and as a linear fit of all rows would have them")
    rows = [
        [one.name, f"{one.constant.value:.3g}", f"{one.refit:.3g}", one.constant.unit, _range(one),
         str(one.specimens)]
        for one in answer.left_out.constants
    ]  # fmt: skip
    yield Table(["", "value", "refit", "unit", "range", "rows"], rows, "frrlrr")


def _range(one: Fitted) -> str:
    low, high = one.constant.low, one.constant.high
    return "–" if low is None or high is None else f"{low:.3g} – {high:.3g}"


def _rows(found: Sequence[Specimen]) -> Iterator[Block]:
    """Every row: its figures, then its error in each octave."""
    ordered = sorted(found, key=lambda one: (FAMILIES.index(one.family), one.name))
    yield Heading("Row by row [dB]; doubted rows and those from memory are marked")
    head = ["", "published: predicted", "RMS", "bias", "s.d.", "inside"]
    yield Table(head, [_figures(one) for one in ordered], "ffrrrr")
    shown = OCTAVES[1:]
    banded = [one for one in ordered if one.bands_hz.size]
    yield Heading("Row by row: the error in each octave, in Hz [dB]")
    rows = [[one.name, *_errors(one, shown)] for one in banded]
    yield Table(["", *(f"{band:g}" for band in shown)], rows, "f" + "r" * shown.size)


def _figures(one: Specimen) -> list[str]:
    marks = [word for word, there in (("doubted", bool(one.measured.doubt)),
                                      ("memory", one.measured.basis == "memory")) if there]  # fmt: skip
    name = one.name + (f" ({', '.join(marks)})" if marks else "")
    s = one.statistics
    inside = f"{int(one.inside.sum())}/{one.inside.size}" if one.bands_hz.size else ""
    return [name, ", ".join(_rated(one)), decimal(s.rms_db), signed(s.bias_db), decimal(s.sd_db), inside]


def _errors(one: Specimen, shown: Array) -> list[str]:
    bands, error = one.octaves
    by_band = dict(zip(bands.tolist(), error.tolist(), strict=True))
    return [_whole(by_band[band]) if band in by_band else "" for band in shown.tolist()]


def _whole(value: float) -> str:
    return f"{value:+.0f}".replace("-0", "0").replace("+0", "0")


def _doubts(found: Sequence[Specimen]) -> Iterator[Block]:
    doubted = [f"{one.name}: {one.measured.doubt}" for one in found if one.measured.doubt]
    if doubted:
        yield Heading("Doubts")
        yield Items(doubted)


def _far_off(found: Sequence[Specimen]) -> Iterator[Block]:
    """Rows that nobody doubts and that are missed by more than is aimed at, with what may be said for it."""
    missed = [one for one in found if one.far_off and not one.measured.doubt]
    if not missed:
        return
    yield Heading(f"Not doubted, and off by more than {FAR_DB:g} dB: what speaks against them")
    said = [f"{one.name}: {one.measured.remark}" for one in missed if one.measured.remark]
    if said:
        yield Items(said)
    plain = [one.name for one in missed if not one.measured.remark]
    if plain:
        yield Paragraph(f"Nothing known does; the prediction is taken to be at fault: {'; '.join(plain)}")
