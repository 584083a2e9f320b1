"""The second window told: whether, which and how far; why; noises, distances, the best few, the rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from isolate.answers.second_pane.answer import SecondPane
from isolate.answers.second_pane.pick import Pick
from isolate.describe.rooms import Side
from isolate.describe.words import listed, millimetres
from isolate.remedies.second_window import choice
from isolate.remedies.second_window.choice import NEARLY_DB, USUAL_DEPTH
from isolate.remedies.second_window.panes import pane_name
from isolate.remedies.second_window.sweep import LINED_FROM, LININGS, Spot
from isolate.room import audibility, prediction
from isolate.show import said
from isolate.show.document import (
    Block,
    Cell,
    Document,
    Heading,
    Items,
    Next,
    Paragraph,
    Table,
    decibels,
    notes,
    percent,
)
from isolate.show.tell.second_pane_reasons import sentence, signed
from isolate.standards.weighting import dba
from isolate.units import show_length, show_mass

_WORDS = {
    "worth it": ("Worth it", "good"), "noticeable": ("You would notice it", "warn"),
    "not worth it": ("Do not buy it", "bad"), "not needed": ("Not needed", "good"),
}  # fmt: skip
_STILL = (
    "left: what still sticks out of background and hearing, all bands together, mean of the noises that "
    "count, in dB. A heavier pane is listed only where it leaves less than all lighter ones."
)
_MOST_REASONS, _MOST_OUT = 1, 2  # in the first screen: reasons, own sounds outside
_MOST_NOISES = 3  # with a column in the tables
_MOST_ROWS = 9  # of distances
_SURE = "Drawn as a room is; the same draws now and then, so that the change is surer than the levels."


def document(answer: SecondPane) -> Document:
    """Whether it is worth it, what it does, and the weightiest reasons; tables in full."""
    reasons = [sentence(one) for one in answer.reasons]
    parts = (_distances, _best, _others)
    return Document(
        title="The second window",
        about=_about(answer),
        first=[
            *_verdict(answer), *_closed(answer), *_going_out(answer), _noises(answer), Heading("Why"),
            Items(reasons, few=_MOST_REASONS),
        ],
        full=[
            *(block for part in parts for block in part(answer)), *notes(_notes(answer)),
            *notes([_SURE], "How sure"),
        ],
        cautions=answer.cautions,
        next=[_next(answer)],
        more="each reason, noise, distance and pane",
    )  # fmt: skip


def _next(answer: SecondPane) -> Next:
    if answer.setting.alone:
        return Next("Describe the room it is in, then ask again", "isolate new my-room.toml")
    return Next("Set it against all else in the room", said.command("fixes", answer.setting.room))


def _about(answer: SecondPane) -> str:
    side, room = answer.setting.side, answer.setting.room
    size = said.box_in(answer.setting.size, feet=room.in_feet)
    return f"{room.title}; {side.name}: {side.construction.title}, {size}; {_leaks(side)}"


def _leaks(side: Side) -> str:
    told = [f"{gap.name or 'gap'} {millimetres(gap.width)} wide" for gap in side.gaps]
    if side.opened is not None:
        told.append(f"{100 * side.opened.typical:.0f} % open")
    return listed(told) or "no gaps"


# --- the verdict ---


def _verdict(answer: SecondPane) -> Iterator[Block]:
    pick, (label, ink) = answer.pick, _WORDS[answer.verdict]
    if answer.verdict == "not needed":
        names = listed([pick.name(noise) for noise in pick.counting])
        yield Paragraph(f"you do not hear {names} here as it is.", label, ink)
        return
    if answer.verdict == "not worth it":
        yield Paragraph(_why_not(pick), label, ink)
    else:
        price = said.price(answer.cost, answer.currency)
        yield Paragraph(f"{proposal(pick)}, {show_mass(pick.mass)}, {price}.", label, ink)
    if answer.cheaper is not None:
        yield Paragraph(f"{answer.cheaper.name} do nearly as much: start with them.", "Cheaper", "good")


def proposal(pick: Pick) -> str:
    """What is proposed, as one would order it."""
    reveal = "the reveal lined" if pick.edges == "absorbent" else "the reveal bare"
    seal = {"sealed": "sealed all round"}.get(pick.sweep.seal, f"its seal {pick.sweep.seal}")
    frame = "pressed into the reveal" if pick.asked.no_fixing else "in a frame of its own"
    opens = " that opens" if pick.asked.openable else ""
    return (
        f"{pane_name(pick.pane, both=True)}, {show_length(pick.gap)} behind the old window, {frame}{opens}, "
        f"{seal}, {reveal}"
    )


def _why_not(pick: Pick) -> str:
    """What keeps any pane from helping."""
    noise, own = pick.hardest, pick.setting.side.name
    heard = pick.heard[noise]
    ways = [i for i, one in enumerate(heard.elements) if one.side != own or one.kind == "vent"]
    most = heard.dba - float(dba(pick.setting.beside_db[noise]))
    if not ways or most >= audibility.CLEARLY_DB:
        return "even the best pane allowed here changes nothing one would notice."
    other = max(ways, key=lambda i: float(heard.share[i]))
    by = heard.elements[other].words
    if heard.share[other] > 0.5:
        return f"most of {said.the(pick.name(noise))} comes {said.by(by)}, not by this window."
    return f"perfect glass would gain {most:.0f} dB: {said.the(pick.name(noise))} also comes {said.by(by)}."


def _closed(answer: SecondPane) -> Iterator[Block]:
    """What silencing the vents adds."""
    if answer.closed is None:
        return
    pick = answer.pick
    boxes = " + ".join(one.name for one in answer.closed.remedies[1:])
    names = [pick.name(n) for n in pick.counting]
    yield Paragraph(f"{boxes} too: {said.gains(answer.closed, names, 2)}.", "And", "good")


def _going_out(answer: SecondPane) -> Iterator[Block]:
    """What the proposed pane does for those outside; it is chosen by what comes in."""
    pairs = [(old, new) for old, new in answer.pick.effect.changed if new.where]
    told = [f"{new.name} {said.softer(old, new)}" for old, new in pairs[:_MOST_OUT]]
    more = [f"{len(pairs) - _MOST_OUT} more"] if len(pairs) > _MOST_OUT else []
    if told and answer.verdict in ("worth it", "noticeable"):
        yield Paragraph(f"{listed(told + more)}.", "Going out")


# --- tables ---


def _columns(answer: SecondPane) -> list[int]:
    """The noises that have a column: the hardest first, then by what is left of them."""
    counting = sorted(answer.pick.counting, key=lambda i: -answer.then[i].margin)
    first = [answer.shown] if answer.shown in counting else []
    return list(dict.fromkeys([*counting[:1], *first, *counting]))


def _named(answer: SecondPane, noises: Sequence[int], width: int = 11) -> list[str]:
    names = [answer.heard[i].name for i in noises]
    return [name if len(name) <= width else name[: width - 1] + "…" for name in names]


def _gain(value: float) -> Cell:
    ink = "bad" if value <= -0.5 else "good" if audibility.noticed(value) else ""
    return Cell(signed(-value) if abs(value) >= 0.5 else "0", ink)


def _noises(answer: SecondPane) -> Table:
    """A row a noise."""
    rows: list[list[str | Cell]] = []
    for i, (now, then) in enumerate(zip(answer.heard, answer.then, strict=True)):
        low, high = answer.gain_limits(i)
        rows.append([
            now.name, decibels(now.dba), decibels(then.dba), _gain(said.drop(now, then)),
            f"{signed(-high)} to {signed(-low)}", said.verdict(then), percent(now.chance),
            percent(then.chance),
        ])  # fmt: skip
    head = ["dBA inside", "now", "then", "dB", "5 – 95 %", "then", "heard", "then"]
    return Table(head, rows, "frrrrlrr")


def _distances(answer: SecondPane) -> Iterator[Block]:
    """The proposed pane at other distances."""
    pick, noises = answer.pick, _columns(answer)[:_MOST_NOISES]
    sweep, at = answer.sweep, answer.pick.spot
    lined = "lined" if pick.edges == "absorbent" else "bare"
    yield Heading(f"{pane_name(pick.pane)} by distance, reveal {lined} (change in dBA)")
    rows: list[list[str | Cell]] = []
    for gap in _some(sweep.gaps, at.gap):
        spot = at._replace(gap=gap)
        mark = Cell("proposed", "strong") if gap == at.gap else Cell("")
        gains = [_gain(float(sweep.gain_dba[(i, *spot)])) for i in noises]
        hertz = f"{sweep.resonances[at.pane, gap]:.0f} Hz"
        rows.append([show_length(float(sweep.gaps[gap])), hertz, f"{sweep.rw[spot]:.0f}", *gains, mark])
    yield Table(
        ["apart", "swing at", "Rw", *_named(answer, noises), ""], rows, "frr" + "r" * len(noises) + "l"
    )


def _some(gaps: np.ndarray, chosen: int) -> list[int]:
    """A handful of distances about evenly spread, the chosen among them."""
    places = np.unique(np.round(np.linspace(0, gaps.size - 1, min(_MOST_ROWS, gaps.size))).astype(int))
    nearest = int(np.argmin(np.abs(places - chosen)))
    return sorted({*(int(i) for k, i in enumerate(places) if k != nearest), chosen})


def _best(answer: SecondPane) -> Iterator[Block]:
    noises, asked = _columns(answer)[:2], answer.asked
    limits = [f"up to {show_length(choice.deepest(asked))} apart", f"seal {answer.sweep.seal}"]
    if asked.max_weight is not None:
        limits.append(f"up to {show_mass(asked.max_weight)}")
    wanted = (("it opens", asked.openable), ("nothing fixed", asked.no_fixing), ("daylight", asked.light))
    limits += [text for text, on in wanted if on]
    yield Heading(f"The best few (change in dBA): {', '.join(limits)}")
    head = ["", "apart", "reveal", "kg", "Rw", *_named(answer, noises), "left", ""]
    rows = [_row(answer, spot, noises) for spot in answer.best]
    yield Table(head, rows, "frlrr" + "r" * len(noises) + "rl")
    yield Paragraph(_STILL)


def _row(answer: SecondPane, spot: Spot, noises: Sequence[int]) -> list[str | Cell]:
    sweep = answer.sweep
    mark = Cell("proposed", "strong") if spot == answer.pick.spot else Cell("")
    return [
        pane_name(sweep.panes[spot.pane]).replace("acoustic laminated", "acoustic lam."),
        millimetres(float(sweep.gaps[spot.gap])),
        "lined" if LININGS[spot.lining] == "absorbent" else "bare",
        f"{sweep.masses[spot.pane]:.0f}",
        f"{sweep.rw[spot]:.0f}",
        *(_gain(float(sweep.gain_dba[(i, *spot)])) for i in noises),
        f"{sweep.score[spot]:.0f}",
        mark,
    ]


def _others(answer: SecondPane) -> Iterator[Block]:
    noises = _columns(answer)[:2]
    yield Heading("Without screws or glue, and what does nothing (change in dBA)")
    costs = [one.effect.cost for one in answer.others]
    rows: list[list[str | Cell]] = []
    for one in answer.others:
        mass = f"{one.effect.mass:.1f}" if 0.0 < one.effect.mass < 10 else f"{one.effect.mass:.0f}"
        gains = [_gain(one.effect.gains[answer.heard[i].name]) for i in noises]
        price = said.short_price(one.effect.cost)
        rows.append([one.name, mass if one.effect.mass else "", *gains, said.ear(one.effect), price])
    yield Table(
        ["", "kg", *_named(answer, noises), "at best", said.priced(answer.currency, costs)],
        rows,
        "fr" + "r" * len(noises) + "lr",
    )
    yield Paragraph(f"{'; '.join(f'{one.name}: {one.about}' for one in answer.others)}.")


# --- what was taken for granted ---


def _notes(answer: SecondPane) -> list[str]:
    setting, asked = answer.setting, answer.asked
    found = [*setting.notes]
    if setting.side.opened is not None:
        found.append(
            f"{setting.side.name} stands open by {100 * setting.side.opened.typical:.0f} % as the file says, "
            "now and behind the second window, which is shut."
        )
    if not asked.gaps and asked.max_gap is None:
        found.append(
            f"Up to {show_length(USUAL_DEPTH)} between the windows, clear from pane to pane, as no greatest "
            "distance was stated."
        )
    found += [
        f"Proposed is the lightest pane with which no noise that counts is {NEARLY_DB:g} dB worse, less than "
        "one notices, than with the best allowed (by its level, and by what sticks out of background and "
        "hearing); then without lining if that suffices, then at "
        f"the smallest distance. A reveal is lined only from {show_length(LINED_FROM)} on.",
        "The new pane stands in a frame of its own and covers the whole old window; its seal runs all round. "
        "Sound that gets past the old sash or the new seal fills the space between, which its edges soak up.",
        "Vents of the window are left open to the room: a second window that covers one takes its air too.",
        prediction.LOW_SENTENCE,
    ]
    if setting.alone:
        length, width, height = setting.room.size
        found.append(
            f"No room was named: {length:g} x {width:g} x {height:g} m taken, furnished, background 25 dBA, "
            "nothing coming in but by this window; noises of a town street at usual distances. Name a room "
            "file for your own: from about Rw 50 on walls, vents and what comes round set the limit."
        )
    if not asked.no_fixing and asked.max_weight is None and not asked.panes:
        found.append(
            "Acrylic is proposed only where the weight or fixings are limited: it scratches, burns, and "
            "costs more than glass that does as much."
        )
    if answer.sweep.seal != "sealed" and asked.seal is None:
        found.append(f"A pane that opens or comes out is {answer.sweep.seal} at best (common practice).")
    return found
