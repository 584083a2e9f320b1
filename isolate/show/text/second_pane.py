"""The second window as text: whether, which and how far; why; noises, distances, the best few, the rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from isolate.answers.second_pane import choice
from isolate.answers.second_pane.answer import SecondPane
from isolate.answers.second_pane.reasons import signed
from isolate.describe import words
from isolate.describe.rooms import Side
from isolate.describe.words import NOTICED_DB
from isolate.remedies.second_window.sweep import LININGS, Spot, pane_name
from isolate.show.layout import VERDICT_INKS, Cell, Page
from isolate.show.text import common
from isolate.units import show_length, show_mass

_INKS = {"worth it": "good", "noticeable": "warn", "not worth it": "bad", "not needed": "good"}
_LEFT = (
    "left: what still sticks out of background and hearing, all bands together, mean of the noises that "
    "count, in dB. A heavier pane is listed only where it leaves less than all lighter ones."
)
_MOST_NOISES = 3  # with a column in the tables
_MOST_ROWS = 9  # of distances
_SURE = (
    "The ranges and chances are drawn as those of a room (`isolate room`); the same draws now and then, so "
    "that the change is surer than the levels."
)


def render(answer: SecondPane, page: Page) -> str:
    """The whole answer."""
    parts = (_head, _verdict, _reasons, _noises, _distances, _best, _others)
    lines = [line for part in parts for line in part(answer, page)]
    lines += common.cautions(page, answer.cautions)
    lines += common.notes(page, answer.notes)
    lines += common.notes(page, [_SURE], "How sure")
    return "\n".join(lines) + "\n"


def _head(answer: SecondPane, page: Page) -> Iterator[str]:
    side, room = answer.setting.side, answer.setting.room
    width, height = (show_length(edge) for edge in answer.setting.size)
    yield page.ink("The second window", "title")
    old = f"{room.title}; {side.name}: {words.layers(side.construction)}"
    yield page.ink(page.wrapped(old), "quiet")
    yield page.ink(page.wrapped(f"{width} x {height}; {_leaks(side)}"), "quiet")
    yield ""


def _leaks(side: Side) -> str:
    told = [f"{gap.name or 'gap'} {words.millimetres(gap.width)} wide" for gap in side.gaps]
    if side.opened is not None:
        told.append(f"{100 * side.opened.typical:.0f} % open")
    return words.listed(told) or "no gaps"


def _verdict(answer: SecondPane, page: Page) -> Iterator[str]:
    text = page.wrapped(answer.verdict.text)
    start, colon, rest = text.partition(":")
    yield page.ink(start, _INKS[answer.verdict.word]) + colon + rest


def _reasons(answer: SecondPane, page: Page) -> Iterator[str]:
    yield page.heading("Why")
    for reason in answer.reasons:
        yield page.wrapped(reason.text, label="  -", margin=4)


def _columns(answer: SecondPane) -> list[int]:
    """The noises that have a column: the hardest first, then by what is left of them."""
    counting = sorted(answer.pick.counting, key=lambda i: -answer.then[i].margin)
    first = [answer.shown] if answer.shown in counting else []
    return list(dict.fromkeys([*counting[:1], *first, *counting]))


def _named(answer: SecondPane, noises: Sequence[int], width: int = 11) -> list[str]:
    names = [answer.heard[i].name for i in noises]
    return [name if len(name) <= width else name[: width - 1] + "…" for name in names]


def _gain(value: float) -> Cell:
    ink = "bad" if value <= -0.5 else "good" if value >= NOTICED_DB else ""
    return Cell(signed(-value) if abs(value) >= 0.5 else "0", ink)


def _noises(answer: SecondPane, page: Page) -> Iterator[str]:
    yield page.heading("Noise by noise (dBA inside; chance that it is heard, now and then)")
    rows: list[list[str | Cell]] = []
    for i, (now, then) in enumerate(zip(answer.heard, answer.then, strict=True)):
        low, high = answer.gain_limits(i)
        rows.append([
            now.name, common.decibels(now.inside_dba), common.decibels(then.inside_dba),
            _gain(float(answer.pick.gains[i])), f"{signed(-high)} to {signed(-low)}",
            Cell(then.verdict, VERDICT_INKS[then.verdict]),
            common.percent(now.chance), common.percent(then.chance),
        ])  # fmt: skip
    head = ["", "now", "then", "dB", "5 – 95 %", "then", "now", "then"]
    yield page.table(head, rows, align="frrrrlrr")


def _distances(answer: SecondPane, page: Page) -> Iterator[str]:
    """The proposed pane at other distances."""
    pick, noises = answer.pick, _columns(answer)[:_MOST_NOISES]
    sweep, at = answer.sweep, answer.pick.spot
    lined = "lined" if pick.edges == "absorbent" else "bare"
    yield page.heading(f"{pane_name(pick.pane)} by distance, reveal {lined} (change in dBA)")
    rows: list[list[str | Cell]] = []
    for gap in _some(sweep.gaps, at.gap):
        spot = at._replace(gap=gap)
        mark = Cell("proposed", "strong") if gap == at.gap else Cell("")
        gains = [_gain(float(sweep.gain_dba[(i, *spot)])) for i in noises]
        hertz = f"{sweep.resonances[at.pane, gap]:.0f} Hz"
        rows.append([show_length(float(sweep.gaps[gap])), hertz, f"{sweep.rw[spot]:.0f}", *gains, mark])
    head = ["apart", "swing at", "Rw", *_named(answer, noises), ""]
    yield page.table(head, rows, align="frr" + "r" * len(noises) + "l")


def _some(gaps: np.ndarray, chosen: int) -> list[int]:
    """A handful of distances about evenly spread, the chosen among them."""
    places = np.unique(np.round(np.linspace(0, gaps.size - 1, min(_MOST_ROWS, gaps.size))).astype(int))
    nearest = int(np.argmin(np.abs(places - chosen)))
    return sorted({*(int(i) for k, i in enumerate(places) if k != nearest), chosen})


def _best(answer: SecondPane, page: Page) -> Iterator[str]:
    noises, asked = _columns(answer)[:2], answer.asked
    limits = [f"up to {show_length(choice.deepest(asked))} apart", f"seal {answer.sweep.seal}"]
    if asked.max_weight is not None:
        limits.append(f"up to {show_mass(asked.max_weight)}")
    wanted = (("it opens", asked.openable), ("nothing fixed", asked.no_fixing), ("daylight", asked.light))
    limits += [text for text, on in wanted if on]
    yield page.heading("The best few (change in dBA)")
    yield page.wrapped(f"{', '.join(limits)}", ink="quiet")
    rows = [_row(answer, spot, noises) for spot in answer.best]
    head = ["", "apart", "reveal", "kg", "Rw", *_named(answer, noises), "left", ""]
    yield page.table(head, rows, align="frlrr" + "r" * len(noises) + "rl")
    yield page.wrapped(_LEFT, ink="quiet")


def _row(answer: SecondPane, spot: Spot, noises: Sequence[int]) -> list[str | Cell]:
    sweep = answer.sweep
    mark = Cell("◂", "strong") if spot == answer.pick.spot else Cell("")
    lined = "lined" if LININGS[spot.lining] == "absorbent" else "bare"
    return [
        pane_name(sweep.panes[spot.pane]).replace("acoustic laminated", "acoustic lam."),
        words.millimetres(float(sweep.gaps[spot.gap])),
        lined,
        f"{sweep.masses[spot.pane]:.0f}",
        f"{sweep.rw[spot]:.0f}",
        *(_gain(float(sweep.gain_dba[(i, *spot)])) for i in noises),
        f"{sweep.score[spot]:.1f}",
        mark,
    ]


def _others(answer: SecondPane, page: Page) -> Iterator[str]:
    noises = _columns(answer)[:2]
    yield page.heading("Without screws or glue, and what does nothing (change in dBA)")
    rows: list[list[str | Cell]] = []
    for one in answer.others:
        best = max(one.gains_dba[i] for i in answer.pick.counting)
        mass = f"{one.mass:.1f}" if one.mass < 10 else f"{one.mass:.0f}"
        ear = Cell(_ear(best), "good" if best >= NOTICED_DB else "bad")
        rows.append([one.name, mass if one.mass else "", *(_gain(one.gains_dba[i]) for i in noises), ear])
    head = ["", "kg", *_named(answer, noises), "at best"]
    yield page.table(head, rows, align="fr" + "r" * len(noises) + "l")
    told = "; ".join(f"{one.name}: {one.about}" for one in answer.others)
    yield page.wrapped(f"{told}.", ink="quiet")


def _ear(gain_db: float) -> str:
    """What the best of its gains is to the ear, in two words."""
    if gain_db < NOTICED_DB:
        return "no use"
    said = words.change(gain_db).removeprefix("about ").removesuffix(" as loud")
    return {"just noticeable": "barely", "clearly quieter": "quieter"}.get(said, said)
