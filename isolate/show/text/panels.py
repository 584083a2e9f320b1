"""Panels against isolation as text: one paragraph, the picture, the money, then which panels for what."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.answers.panels.answer import PanelsAnswer
from isolate.answers.panels.kinds import Kind
from isolate.bands import Array, octave_tl
from isolate.describe.words import NOTICED_DB, hertz, listed
from isolate.physics.absorption import octaves
from isolate.remedies.contrast import State
from isolate.show.layout import VERDICT_INKS, Cell, Page
from isolate.show.text import common
from isolate.units import show_area, show_length

_SHOWN = slice(1, 8)  # octaves 63 Hz to 4 kHz
_BANDS = ["63", "125", "250", "500", "1k", "2k", "4k"]
_CLEAREST = 30.0  # dB, above which clearness is only "more than"


def render(answer: PanelsAnswer, page: Page) -> str:
    """The whole answer, or only the paragraph for a friend."""
    if answer.brief:
        return page.wrapped(answer.friend) + "\n"
    parts = (_head, _ladder, _money, _room, _reach, _kinds)
    lines = [line for part in parts for line in part(answer, page)]
    lines += common.cautions(page, answer.cautions)
    lines += common.notes(page, answer.notes)
    return "\n".join(lines) + "\n"


def _head(answer: PanelsAnswer, page: Page) -> Iterator[str]:
    yield page.ink(f"Panels against the {answer.noise.name.removeprefix('the ')}", "title")
    yield page.ink(answer.room.title, "quiet")
    yield ""
    yield page.wrapped(answer.friend)


def _ladder(answer: PanelsAnswer, page: Page) -> Iterator[str]:
    yield page.heading("How loud it is, dBA (·· hidden by the room's quiet and your ears, ██ heard)")
    now = answer.now
    name_width = max(len(state.name) for state in answer.states)
    length = max(page.width - min(name_width, 32) - 22, 16)
    rows: list[list[str | Cell]] = [
        ["outside", Cell(page.bar(1.0, length), "quiet"), common.decibels(now.outside_dba), ""]
    ]
    for state in answer.states:
        heard = state.heard
        level, ink = max(heard.inside_dba, 0.0), VERDICT_INKS[heard.verdict]
        hidden = min(max(heard.inside_dba - heard.margin, 0.0), level)
        dots = round(length * hidden / now.outside_dba)
        blocks = round(length * level / now.outside_dba) - dots
        bar = "·" * dots + "█" * max(blocks, heard.margin > 0)
        name = "inside, as it is" if state.key == "now" else state.name
        rows.append([name, Cell(bar, ink), common.decibels(heard.inside_dba), Cell(heard.verdict, ink)])
    yield page.table(["", "", "dBA", ""], rows, align="flrl")


def _money(answer: PanelsAnswer, page: Page) -> Iterator[str]:
    yield page.heading("What each takes off it, and what it takes")
    rows = [_remedy(state) for state in answer.states if state.key != "now"]
    yield page.table(["", "softer", "to the ear", "area", "weight", "cost"], rows, align="frlrrr")


def _remedy(state: State) -> list[str | Cell]:
    noticed = round(state.gain_db) >= NOTICED_DB
    ear = state.words.removeprefix("about ") if noticed else "you will not notice"
    area = "" if state.area is None else show_area(state.area).partition(" (")[0]
    mass = "" if abs(state.mass or 0.0) < 0.5 else f"{state.mass:.0f} kg"
    cost = "–" if state.cost is None else f"{state.cost:.0f}"
    softer = f"{common.decibels(state.gain_db)} dB"
    return [state.name, softer, Cell(ear, "good" if noticed else "warn"), area, mass, cost]


def _bands(page: Page, rows: list[tuple[str, Array, str]]) -> str:
    cells: list[list[str | Cell]] = [
        [name, *(format(float(value), style) for value in values[_SHOWN])] for name, values, style in rows
    ]
    return page.table(["", *_BANDS], cells, align="f" + "r" * len(_BANDS))


def _room(answer: PanelsAnswer, page: Page) -> Iterator[str]:
    yield page.heading(f"What {answer.plan.name} are for (octaves in Hz)")
    yield _bands(page, [
        ("reverberation now, s", octaves(answer.before), ".2f"),
        ("with them, Sabine, s", octaves(answer.sabine), ".2f"),
        ("with them, Eyring, s", octaves(answer.eyring), ".2f"),
        ("all sound in the room falls by, dB", octaves(answer.drop_db), ".1f"),
        ("a panel by itself keeps out, dB", octave_tl(answer.own_db), ".0f"),
            (f"the {answer.weak.side.name} keeps out, dB", octave_tl(answer.weak.tl_db), ".0f"),
    ])  # fmt: skip
    found = answer.at_speech
    yield ""
    yield page.wrapped(
        f"At your ears: direct sound leads the room's up to {found['direct_within_after_m']:.1f} m from what "
        f"sounds, now {found['direct_within_before_m']:.1f} m; clearness (first 50 ms over the rest, 1 kHz) "
        f"goes from {_clear(found['clearness_before_db'])} to {_clear(found['clearness_after_db'])} dB. Slap "
        "and flutter between bare parallel walls go where a panel hangs on one of the two (common practice).",
        label="  -", margin=4,
    )  # fmt: skip
    if answer.outwards:
        drops = [one.drop_db for one in answer.outwards]
        own = dict.fromkeys(one.own for one in answer.outwards)
        yield page.wrapped(
            f"Outwards ({listed(list(own))}): {max(drops):.0f} dB softer for the neighbours at most, for the "
            "same reason.",
            label="  -", margin=4,
        )  # fmt: skip


def _clear(value: float) -> str:
    return f"{value:.0f}" if value < _CLEAREST else f"over {_CLEAREST:.0f}"


def _hertz(value: float | None) -> str:
    return "–" if value is None else hertz(value)


def _reach(answer: PanelsAnswer, page: Page) -> Iterator[str]:
    yield page.heading(f"How thick for the bass: {answer.plan.board.name} takes in over half of it from")
    rows: list[list[str | Cell]] = [
        [show_length(one.thickness), _hertz(one.piece), _hertz(one.spaced), _hertz(one.whole)]
        for one in answer.reaches
    ]
    head = ["", "0.6 x 1.2 m on the wall", "as far off it", "whole wall lined"]
    yield page.table(head, rows, align="frrr")


def _kinds(answer: PanelsAnswer, page: Page) -> Iterator[str]:
    yield page.heading("What takes in how much (sound taken in over sound that meets it, by octave)")
    rows = [_kind(kind) for kind in answer.kinds]
    head = ["", *_BANDS, "aw", "NRC", "SAA"]
    yield page.table(head, rows, align="f" + "r" * (len(head) - 1))
    unclear = [kind for kind in answer.kinds if not kind.name.startswith("board ") or kind.rating is None]
    layers = "; ".join(f"{kind.name}: {kind.about}" for kind in unclear)
    yield page.wrapped(
        "aw: ISO 11654, its letters for a surplus at L(ow), M(iddle) or H(igh) frequencies; NRC and SAA: "
        f"ASTM C423. {layers}.", ink="quiet",
    )  # fmt: skip


def _kind(kind: Kind) -> list[str | Cell]:
    values = [f"{value:.2f}" for value in octaves(kind.alpha)[_SHOWN]]
    rating = kind.rating
    if rating is None:
        return [kind.name, *values, "–", "–", "–"]
    return [
        kind.name,
        *values,
        f"{rating.alpha_w:.2f}{rating.shape}",
        f"{rating.nrc:.2f}",
        f"{rating.saa:.2f}",
    ]
