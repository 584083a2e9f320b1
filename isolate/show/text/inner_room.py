"""The room within the room as text: verdict, what each state brings, what limits it, what it takes."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from isolate.answers.inner_room import words as said
from isolate.answers.inner_room.answer import InnerRoomAnswer
from isolate.bands import OCTAVES
from isolate.describe.inner_parts import Mounts
from isolate.describe.words import hertz, listed
from isolate.remedies.cautions.facts import ENGINEER_KG_M2, HOMES_PA
from isolate.remedies.inner.materials import Item, sheets
from isolate.remedies.inner.states import Sound, State, harmed, octave_gains
from isolate.show.layout import VERDICT_INKS, Cell, Page
from isolate.show.text import common
from isolate.units import FOOT, INCH, POUND, show_length, show_mass

_SHORT = {
    "now": "now", "pane": "pane", "walls": "walls", "ceiling": "+ceiling", "whole": "whole", "tied": "tied",
}  # fmt: skip
_MARKS = {"clear": "!!", "audible": "! ", "faint": "~ ", "not audible": "  "}
_BANDS = ["31", "63", "125", "250", "500", "1k", "2k", "4k", "8k"]
_LABEL = 14
_MOST = 3  # own sounds told of
_LOWEST = 5  # octaves in which a floor's knocks are told: above, its own waves and edges decide


_SURE = (
    "In brackets the 5 to 95 % range of a level: laboratories, the prediction of each side, what the house "
    "carries and how such sounds vary. Workmanship is not in it: that is the step from the whole to the tied."
)


def render(answer: InnerRoomAnswer, page: Page) -> str:
    """The whole answer."""
    parts = (_head, _verdict, _states, _gains, _limits, _resonances, _load, _air, _materials)
    lines = [line for part in parts for line in part(answer, page)]
    lines += common.cautions(page, answer.cautions)
    lines += common.notes(page, answer.notes)
    lines += common.notes(page, [_SURE], "How sure")
    return "\n".join(lines) + "\n"


def _size(size: tuple[float, float, float]) -> str:
    return " x ".join(f"{edge:.2f}" for edge in size) + " m"


def _head(answer: InnerRoomAnswer, page: Page) -> Iterator[str]:
    yield page.ink(page.wrapped(f"A room within the room: {answer.room.title}"), "title")
    height = f"{100 * answer.lost_height:.0f} cm"
    yield page.ink(
        f"now {_size(answer.room.size)}, inside {_size(answer.plan.inner_size)}: {answer.lost_area:.1f} m2 "
        f"and {height} go",
        "quiet",
    )
    yield ""


def _verdict(answer: InnerRoomAnswer, page: Page) -> Iterator[str]:
    def line(label: str, text: str, ink: str = "strong") -> str:
        return page.wrapped(text, label=label, ink=ink, margin=_LABEL)

    label = "Going out"
    for one in answer.going[:_MOST]:
        text = f"{said.changed(answer, one)} {said.playable(answer, one)}".rstrip()
        yield line(label, text, VERDICT_INKS[one.passed.verdict])
        label = ""
    coming = answer.coming
    if coming is not None:
        yield line("Coming in", said.changed(answer, coming), VERDICT_INKS[coming.passed.verdict])
    label = "Limit"
    for worst in (answer.out, coming):
        if worst is not None:
            yield line(label, f"{worst.name}: {said.limit(worst)}")
            label = ""
    label = "Enough"
    for name, sounds in said.enough(answer):
        yield line(label, f"{name}, for {sounds}.")
        label = ""
    yield line("No floor", said.price(answer, "ceiling"))
    yield line("Tied", said.price(answer, "tied"))
    doubted = said.incredible(answer)
    if doubted:
        yield line(
            "In practice",
            f"to {listed(list(doubted))} more is computed than is ever met: count on D_nT,w 75 at best, and "
            "on the tied state where nobody watched every screw.",
        )


def _states(answer: InnerRoomAnswer, page: Page) -> Iterator[str]:
    yield page.heading("What each state brings, dBA (!! clear, ! audible, ~ faint, no mark: not heard)")
    head = ["", *(_SHORT[state.key] for state in answer.states)]
    rows: list[list[str | Cell]] = []
    inside = [one for one in answer.now.sounds if not one.where]
    if inside:
        rows.append(["in the room", *[""] * len(answer.states)])
        rows += [_row(answer, one) for one in inside]
    for found in answer.now.neighbours:
        rows.append([found.name, *[""] * len(answer.states)])
        rows += [_row(answer, one) for one in answer.now.sounds if one.where == found.name]
        if found.neighbour.limits:
            rows.append(["  over the limit, dB", *(_excess(state, found.name) for state in answer.states)])
        if found.dnt_w is not None:
            rows.append(["  D_nT,w, dB", *(f"{_dnt(state, found.name)}  " for state in answer.states)])
    yield page.table(head, rows, align="f" + "r" * len(answer.states))


def _row(answer: InnerRoomAnswer, one: Sound) -> list[str | Cell]:
    cells: list[str | Cell] = [f"  {one.what}"]
    for state in answer.states:
        heard = state.sound(one.name).passed
        level = f"{common.decibels(heard.dba)}{_MARKS[heard.verdict]}"
        cells.append(Cell(level, VERDICT_INKS[heard.verdict]))
    return cells


def _excess(state: State, where: str) -> Cell:
    """By how much the worst sound exceeds the worst limit there."""
    excess = max(limit.excess_db for one in state.sounds if one.where == where for limit in one.limits)
    return Cell(f"{excess:+.0f}  ", "bad") if excess >= 0.05 else Cell("kept  ", "good")


def _dnt(state: State, name: str) -> int | None:
    return next(found.dnt_w for found in state.neighbours if found.name == name)


def _gains(answer: InnerRoomAnswer, page: Page) -> Iterator[str]:
    """Gain by octave of the sounds that matter most, and where it does harm."""
    for one in (answer.out, answer.coming):
        if one is None:
            continue
        yield page.heading(f"{one.name}: dB softer than now, by octave in Hz")
        before = answer.now.sound(one.name).passed
        rows: list[list[str | Cell]] = []
        for state in answer.states[1:]:
            gains = octave_gains(before, state.sound(one.name).passed)
            cells = [Cell(f"{gain:.0f}".replace("-0", "0"), "bad" if gain < -1.0 else "") for gain in gains]
            rows.append([state.name, *cells])
        yield page.table(["", *_BANDS], rows, align="f" + "r" * len(_BANDS))
    harm = [
        f"{one.name} {', '.join(f'{louder:.0f} dB at {f:g} Hz' for f, louder in found)}"
        for one in answer.whole.sounds
        if (found := harmed(answer.now.sound(one.name).passed, one.passed))
    ]
    if harm:
        yield ""
        yield page.wrapped(
            f"louder than now near the resonance of the gaps: {'; '.join(harm)}.", label="Harm", ink="warn",
            margin=_LABEL,
        )  # fmt: skip


def _limits(answer: InnerRoomAnswer, page: Page) -> Iterator[str]:
    yield page.heading("What limits the whole, by share of what is left")
    for one in answer.whole.sounds:
        heard = one.passed
        first = np.argsort(-heard.share)[:3]
        text = ", ".join(
            f"{heard.paths[i].name.removeprefix('flanking: ')} {common.percent(float(heard.share[i]))}"
            for i in first
            if heard.share[i] >= 0.01
        )
        yield page.wrapped(text, label=f"  {one.name}:", margin=min(len(one.name) + 4, 36))


def _resonances(answer: InnerRoomAnswer, page: Page) -> Iterator[str]:
    yield page.heading("On what the two leaves of each side swing")
    rows: list[list[str | Cell]] = [
        [
            f"  {one.name}",
            show_length(one.depth),
            hertz(round(one.frequency)),
            hertz(round(one.helps_from)),
        ]
        for one in answer.resonances
    ]
    yield page.table(["", "gap", "resonance", "helps from"], rows, align="frrr")
    if answer.common:
        swing = " and ".join(hertz(round(f)) for f in answer.common)
        yield page.wrapped(
            f"The same floor in {listed(answer.inner.floor.also_in)}: on one base both swing at {swing}, and "
            "what goes from floor to floor loses there at both ends. Make one of them heavier or softer.",
            label="  -", margin=4, ink="warn",
        )  # fmt: skip
    for one in answer.third_leaves:
        gains = {63: one.gain_db[1], 125: one.gain_db[2], 250: one.gain_db[3]}
        text = ", ".join(f"{gain:+.0f} dB at {f} Hz" for f, gain in gains.items())
        yield page.wrapped(
            f"{one.side}: three leaves, the old boards in the middle. The same boards taken down and hung on "
            f"the inner side, two leaves in all: {text}.",
            label="  -", margin=4,
        )  # fmt: skip


def _load(answer: InnerRoomAnswer, page: Page) -> Iterator[str]:
    load = answer.load
    yield page.heading("What it weighs")
    pounds = load.mass / POUND
    psf = load.surface_mass / (POUND / FOOT**2)
    least, most = (100.0 * load.pressure / each for each in reversed(HOMES_PA))
    yield page.wrapped(
        f"{load.mass:.0f} kg ({pounds:.0f} lb) in all: walls {load.of('walls'):.0f}, ceiling "
        f"{load.of('ceiling'):.0f}, floor {load.of('floor'):.0f}, windows and doors "
        f"{load.of('windows', 'doors'):.0f} kg. Over the old floor {load.surface_mass:.0f} kg/m2 "
        f"({psf:.0f} lb/ft2), {load.pressure / 1000:.2f} kPa: {least:.0f} to {most:.0f} % of the 1.4 to 2 "
        "kPa (30 to 40 lb/ft2) floors of homes are built for, depending on the code, people and furniture "
        f"not yet in it; {load.per_metre:.0f} kg on each metre of inner wall.",
        label="  -", margin=4,
    )  # fmt: skip
    if load.surface_mass > ENGINEER_KG_M2:
        yield page.wrapped(
            "Above 24 kg/m2 (5 lb/ft2) a structural engineer decides whether and where the floor carries it.",
            label="  -", margin=4, ink="warn",
        )  # fmt: skip
    if isinstance(load.on, Mounts):
        yield from _mounts(answer, page, load.on)
    against = " against the old floor, which weighs less" if load.over_base > 1.0 else ""
    knocks = ", ".join(
        f"{drop:+.0f} dB at {f:g} Hz".replace("+-", "-")
        for f, drop in zip(OCTAVES[:_LOWEST], -answer.knocks[:_LOWEST], strict=True)
    )
    yield page.wrapped(
        f"Floor and the air under it swing at {load.swing:.0f} Hz{against}. Feet, pedals and drum spurs "
        f"reach the old floor by {knocks}.",
        label="  -", margin=4,
    )  # fmt: skip


def _mounts(answer: InnerRoomAnswer, page: Page, on: Mounts) -> Iterator[str]:
    load = answer.load
    used = load.on_mount(used=True)
    alone = load.mount_resonance
    stiffer = f" (in motion they are {on.stiffening:g} times as stiff)" if on.stiffening > 1.0 else ""
    yield page.wrapped(
        f"{load.mounts} mounts: {load.on_mount(used=False):.0f} kg each, sinking "
        f"{1e3 * load.deflection(used=False):.1f} mm; in use {used:.0f} kg and "
        f"{1e3 * load.deflection(used=True):.1f} mm, rated {on.rating:.0f} kg. On them alone {alone:.0f} Hz"
        f"{stiffer}; the air under the floor makes the rest, unless it can get out.",
        label="  -", margin=4,
    )  # fmt: skip
    if used > 1.02 * on.rating:
        need = int(np.ceil((load.floated + load.in_use) / on.rating))
        yield page.wrapped(f"Overloaded: {need} of them are needed.", label="  -", margin=4, ink="bad")
    elif used < 0.5 * on.rating:
        yield page.wrapped(
            "Less than half loaded: they stay stiff; fewer or softer ones sink as they should.",
            label="  -", margin=4, ink="warn",
        )  # fmt: skip


def _air(answer: InnerRoomAnswer, page: Page) -> Iterator[str]:
    air = answer.breathing
    if not air.people:
        return
    people = "1 person" if air.people == 1 else f"{air.people:g} people"
    yield page.heading(f"Air and warmth: {people}, {air.session / 3600:.3g} hours")
    yield page.wrapped(
        f"Sealed: {1e6 * air.sealed:.0f} ppm of carbon dioxide at the end, stale (1500 ppm) after "
        f"{air.stuffy / 60:.0f} minutes. Needed: {1e3 * air.needed:.0f} L/s "
        f"({air.needed / FOOT**3 * 60:.0f} cfm) of fresh air, by a lined duct of "
        f"{1e4 * air.duct_area:.0f} cm2 ({air.duct_area / INCH**2:.0f} in2) clear to stay quiet, and as much "
        "again out.",
        label="  -", margin=4,
    )  # fmt: skip
    if air.ways.ways:
        names = listed([way.name for way in air.ways.ways])
        fan = sum(way.fan or 0.0 for way in air.ways.ways)
        yield page.wrapped(
            f"{names} through both shells: {1e3 * air.ways.still:.0f} L/s by itself, "
            f"{1e3 * fan:.0f} L/s with a small fan; {1e6 * air.still:.0f} and {1e6 * air.fan:.0f} ppm at the "
            "end.",
            label="  -", margin=4,
        )  # fmt: skip
    yield page.wrapped(
        f"They warm it with {air.warmth:.0f} W, lamps and amplifiers with more: the air needed gets "
        f"{air.warmer:.0f} K warmer by people alone. Most of these rooms need cooling, which brings no air.",
        label="  -", margin=4,
    )  # fmt: skip


def _materials(answer: InnerRoomAnswer, page: Page) -> Iterator[str]:
    yield page.heading("What to buy, from the geometry (boards of 1.2 x 2.4 m, a tenth for waste)")
    rows: list[list[str | Cell]] = []
    part = ""
    for item in sorted(answer.load.items, key=lambda one: _ORDER.index(one.part)):
        rows.append(
            [item.part if item.part != part else "", item.name, _amount(item), _buy(item), _weight(item)]
        )
        part = item.part
    yield page.table(["", "what", "how much", "buy", "weighs"], rows, align="lfrrr")


_ORDER = ["walls", "ceiling", "floor", "windows", "doors", "sealing"]


def _amount(item: Item) -> str:
    if item.unit == "m2":
        return f"{item.amount:.1f} m2"
    return f"{item.amount:.0f} m" if item.unit == "m" else ""


def _buy(item: Item) -> str:
    count = sheets(item)
    if count is not None:
        return f"{count} board{'s' * (count != 1)}"
    return "" if item.unit in ("m2", "m") else f"{item.amount:.0f}"


def _weight(item: Item) -> str:
    return show_mass(item.mass).partition(" (")[0] if item.mass else ""
