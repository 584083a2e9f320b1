"""The room within the room told: verdict, what each state brings, what limits it, what it takes."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from isolate.answers.inner_room.answer import InnerRoomAnswer, State
from isolate.bands import OCTAVES
from isolate.describe.inner_parts import Mounts
from isolate.describe.words import hertz, listed
from isolate.physics import air_flow
from isolate.remedies.cautions.facts import ENGINEER_KG_M2, HOMES_PA
from isolate.remedies.ducts import BELOW_DB, Judged
from isolate.remedies.inner.air import Breathing
from isolate.remedies.inner.load import Load
from isolate.room import audibility
from isolate.room.received import Received, harmed, octave_gains
from isolate.show import said
from isolate.show.document import (
    VERDICT_INKS,
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
from isolate.show.tell import inner_plan
from isolate.units import FOOT, POUND, show_length, show_mass

_SHORT = {
    "now": "now", "pane": "pane", "walls": "walls", "ceiling": "+ceiling", "whole": "whole",
    "amateur": "amateurs", "tied": "touching",
}  # fmt: skip
_BANDS = ["31", "63", "125", "250", "500", "1k", "2k", "4k", "8k"]
_BOXES = {0: "no box", 1: "a lined box each", 2: "two lined boxes each"}
_LOWEST = 5  # octaves in which a floor's knocks are told: above, its own waves and edges decide
_STATES = {
    "whole": "the whole, by a firm", "pane": "inner window alone", "walls": "inner walls alone",
}  # fmt: skip
_SURE = (
    "In brackets the 5 to 95 % range of a level: laboratories, the prediction of each side, what the house "
    "carries and how such sounds vary. Workmanship is not in it: a firm that has built some gets the whole, "
    "careful amateurs leave more open, touching is theirs with what usually slips in."
)


def document(answer: InnerRoomAnswer) -> Document:
    """What it buys, what limits it, whether half would do; the rest in full."""
    parts = (_levels, _gains, _limits, _resonances, _load, _air, inner_plan.blocks)
    return Document(
        title=f"A room within the room: {answer.room.title}",
        about=_size(answer),
        first=list(reached(answer)),
        full=[
            *(block for part in parts for block in part(answer)), *notes(answer.notes),
            *notes([_SURE], "How sure"),
        ],
        cautions=answer.cautions,
        next=[Next("Set it against all else, with a budget", said.command("fixes", answer.room))],
        more="each octave, its paths, load, air, bill, joints, work by day",
    )  # fmt: skip


def reached(answer: InnerRoomAnswer) -> Iterator[Block]:
    """What it makes of the worst sounds each way, its air, and each state with weight and price."""
    yield from _verdict(answer)
    yield from _enough(answer)
    yield from _breath(answer)
    yield from _states(answer)


def _size(answer: InnerRoomAnswer) -> str:
    inside = " x ".join(f"{edge:.2f}" for edge in answer.plan.inner_size)
    return (
        f"inside {inside} m: {answer.lost_area:.1f} m2 and {100 * answer.lost_height:.0f} cm of height less; "
        f"{answer.days} days for two"
    )


# --- the verdict ---


def _verdict(answer: InnerRoomAnswer) -> Iterator[Block]:
    """What the whole makes of the worst sound each way, and what then limits it."""
    out, coming = answer.out, answer.coming
    if out is not None:
        yield Paragraph(_changed(answer, out), "Going out", VERDICT_INKS[out.verdict])
    if coming is not None:
        yield Paragraph(_changed(answer, coming), "Coming in", VERDICT_INKS[coming.verdict])
    worst = next((one for one in (out, coming) if one is not None and one.is_heard), None)
    if worst is not None:
        yield Paragraph(_weakest(worst), "Weakest path")


def _changed(answer: InnerRoomAnswer, one: Received) -> str:
    """What the whole makes of a sound; the table below has it tied."""
    before = answer.now.sound(one.name)
    there = f", {one.where}" if one.where else ""
    low, high = one.limits_dba
    return (
        f"{one.what}{there}: {decibels(before.dba)} dBA now, {decibels(one.dba)} with the whole "
        f"({decibels(low)} to {decibels(high)}), {said.turn(before, one)}."
    )


def _playable(answer: InnerRoomAnswer, one: Received) -> str:
    """How loud an own sound could be made to go unheard there, with the whole."""
    if not one.where:
        return ""
    most = one.made_dba - one.margin
    if one.margin <= 0.0:
        return f"It may be {decibels(most)} dBA loud before anyone hears it ({decibels(one.made_dba)} now)."
    return f"To go unheard: no louder than {decibels(most)} dBA in the room ({decibels(one.made_dba)} now)."


def _weakest(one: Received) -> str:
    """What lets most of a sound through in the end, with the whole."""
    path = one.elements[one.strongest].words
    share = percent(float(one.share[one.strongest]))
    text = f"{share} of {said.the(one.what)} that is left comes {said.by(path)}"
    rest = one.without_strongest
    return f"{text}." if rest is None else f"{text}; without it {decibels(rest.dba)} dBA are left."


def _enough(answer: InnerRoomAnswer) -> Iterator[Block]:
    """Whether less would do: a state, and the sounds for which it is as good as the whole."""
    found: dict[str, list[str]] = {}
    for one in answer.now.scenario.sounds:
        if one.is_heard:
            found.setdefault(_least(answer, one).key, []).append(one.name)
    told = []
    for state in answer.states:
        names = found.get(state.key, [])
        if names and state.key == "now":
            told.append(f"nothing helps against {listed(names)}")
        elif names and state.key != "whole":
            told.append(f"{state.name}, for {_few(names)}")
    if told:
        yield Paragraph(f"{'; '.join(told)}.", "Less would do")


def _few(names: list[str]) -> str:
    """The first of several names, and how many more."""
    return listed(names) if len(names) < 3 else f"{names[0]} and {len(names) - 1} more"


def _least(answer: InnerRoomAnswer, before: Received) -> State:
    """The least building that does for a sound what the whole does."""
    most = answer.whole.sound(before.name).dba
    for state in answer.states:
        heard = state.sound(before.name)
        built = state.key not in ("amateur", "tied")
        if built and (not heard.is_heard or not audibility.noticed(heard.dba - most)):
            return state
    return answer.whole


def _breath(answer: InnerRoomAnswer) -> Iterator[Block]:
    """What brings its air, what that costs, and what a bare hole in its place would."""
    ducts, bare = answer.breathing.ducts, answer.breathing.bare
    if ducts is None:
        if answer.breathing.ways.ways:
            yield Paragraph(_described(answer.breathing), "Air")
        return
    one, cost = ducts.system, next((part.cost for part in answer.parts if part.name == "air"), None)
    text = (
        f"{1e3 * answer.breathing.needed:.0f} L/s by {one.count} ducts of {1e3 * one.diameter:.0f} mm, "
        f"{_BOXES[one.boxes]}: {decibels(ducts.dba)} dBA, {said.short_price(cost)} "
        f"{answer.prices.currency} of the sum"
    )
    if bare is not None:
        text += f". As bare holes: {_worse(bare)}"
    yield Paragraph(f"{text}.", "Air", "" if ducts.good else "warn")


def _described(air: Breathing) -> str:
    """What the file's own way for air brings through both shells."""
    fan = sum(way.fan or 0.0 for way in air.ways.ways)
    return (
        f"{listed([way.name for way in air.ways.ways])}, as described: {1e3 * air.ways.still:.0f} L/s by "
        f"itself, {1e3 * fan:.0f} with a small fan, of {1e3 * air.needed:.0f} needed."
    )


def _worse(bare: Judged) -> str:
    """What bare holes do: their own noise, and the sound they bring most of."""
    told = [f"{decibels(bare.dba)} dBA of fan"]
    heard = {name: now for name, (was, now, heard) in bare.through.items() if heard and now - was >= 1.0}
    if heard:
        most = max(heard, key=lambda name: heard[name])
        told.append(f"{most} {decibels(heard[most])}")
    return ", ".join(told)


def _states(answer: InnerRoomAnswer) -> Iterator[Block]:
    """A row a state that brings something noticeable more than the one before; what is less than the whole
    comes last, where a full screen cuts first."""
    worst = [one for one in (answer.out, answer.coming) if one is not None]
    states = sorted(answer.helping, key=lambda one: one.key not in ("now", "whole", "amateur", "tied"))
    costs = [state.cost for state in states]
    rows: list[list[str | Cell]] = []
    for state in states:
        mass = "" if state.key == "now" else show_mass(state.effect.mass).partition(" (")[0]
        levels = [_level(state.sound(one.name)) for one in worst]
        price = said.short_price(state.cost) if state.cost else ""
        rows.append([_STATES.get(state.key, state.name), *levels, mass, price])
    yield Table(
        ["dBA", *(one.what for one in worst), "weighs", said.priced(answer.prices.currency, costs)],
        rows,
        "f" + "l" * len(worst) + "rr",
    )


def _level(one: Received) -> Cell:
    return Cell(f"{decibels(one.dba)} {one.verdict}", VERDICT_INKS[one.verdict])


# --- tables ---


def _levels(answer: InnerRoomAnswer) -> Iterator[Block]:
    yield Heading("What each state brings, dBA")
    head = ["", *(_SHORT[state.key] for state in answer.states)]
    inside = [one for one in answer.now.scenario.sounds if not one.where]
    rows: list[list[str | Cell]] = [["in the room", *[""] * len(answer.states)]] if inside else []
    rows += [_row(answer, one) for one in inside]
    for found in answer.now.scenario.neighbours:
        rows.append([found.name, *[""] * len(answer.states)])
        rows += [_row(answer, one) for one in found.heard]
        if found.neighbour.limits:
            rows.append(["  over the limit, dB", *(_excess(state, found.name) for state in answer.states)])
        if found.dnt_w is not None:
            rows.append(["  DnT,w, dB", *(f"{_dnt(state, found.name)}" for state in answer.states)])
    yield Table(head, rows, "f" + "r" * len(answer.states))


def _row(answer: InnerRoomAnswer, one: Received) -> list[str | Cell]:
    heard = [state.sound(one.name) for state in answer.states]
    cells = [
        Cell(f"{decibels(then.dba)}{'' if then.is_heard else ' ✓'}", VERDICT_INKS[then.verdict])
        for then in heard
    ]
    return [f"  {one.what}", *cells]


def _excess(state: State, where: str) -> Cell:
    """By how much the worst sound exceeds the worst limit there."""
    there = next(one for one in state.scenario.neighbours if one.name == where)
    excess = max((limit.excess_db for one in there.heard for limit in one.limits), default=0.0)
    return Cell(f"{max(excess, 1.0):+.0f}", "bad") if excess >= 0.05 else Cell("kept", "good")


def _dnt(state: State, name: str) -> int | None:
    return next(found.dnt_w for found in state.scenario.neighbours if found.name == name)


def _gains(answer: InnerRoomAnswer) -> Iterator[Block]:
    """Gain by octave of the sounds that matter most, and where it does harm."""
    for one in (answer.out, answer.coming):
        if one is None:
            continue
        yield Heading(f"{one.name}: dB softer than now, by octave in Hz")
        before = answer.now.sound(one.name)
        rows: list[list[str | Cell]] = []
        for state in answer.states[1:]:
            gains = octave_gains(before, state.sound(one.name))
            cells = [Cell(decibels(gain), "bad" if gain < -1.0 else "") for gain in gains]
            rows.append([state.name, *cells])
        yield Table(["", *_BANDS], rows, "f" + "r" * len(_BANDS))
    harm = [
        f"{one.name} {', '.join(f'{louder:.0f} dB at {f:g} Hz' for f, louder in found)}"
        for one in answer.whole.scenario.sounds
        if (found := harmed(answer.now.sound(one.name), one))
    ]
    if harm:
        text = f"louder than now near the resonance of the space between the shells: {'; '.join(harm)}."
        yield Paragraph(text, "Harm", "warn")


def _limits(answer: InnerRoomAnswer) -> Iterator[Block]:
    yield Heading("Weakest paths of the whole, by share of what is left")
    told = []
    for one in answer.whole.scenario.sounds:
        first = np.argsort(-one.share)[:3]
        ways = ", ".join(
            f"{one.elements[i].words} {percent(float(one.share[i]))}" for i in first if one.share[i] >= 0.01
        )
        told.append(f"{one.name}: {ways}. {_playable(answer, one)}".rstrip())
    yield Items(told)


def _resonances(answer: InnerRoomAnswer) -> Iterator[Block]:
    yield Heading("Resonance of each cavity")
    rows = [
        [one.name, show_length(one.depth), hertz(round(one.frequency)), hertz(round(one.helps_from))]
        for one in answer.resonances
    ]
    yield Table(["", "gap", "resonance", "helps from"], rows, "frrr")
    told = []
    if answer.common:
        swing = " and ".join(hertz(round(f)) for f in answer.common)
        told.append(
            f"The same floor in {listed(answer.inner.floor.also_in)}: on one base both swing at {swing}, and "
            "what goes from floor to floor loses there at both ends. Make one of them heavier or softer."
        )
    for one in answer.third_leaves:
        gains = {63: one.gain_db[1], 125: one.gain_db[2], 250: one.gain_db[3]}
        text = ", ".join(f"{gain:+.0f} dB at {f} Hz" for f, gain in gains.items())
        told.append(
            f"{one.side}: three leaves, the old boards in the middle. The same boards taken down and hung on "
            f"the inner side, two leaves in all: {text}."
        )
    if told:
        yield Items(told)


def _load(answer: InnerRoomAnswer) -> Iterator[Block]:
    load = answer.load
    pounds, psf = load.mass / POUND, load.surface_mass / (POUND / FOOT**2)
    least, most = (100.0 * load.pressure / each for each in reversed(HOMES_PA))
    told = [
        f"{load.mass:.0f} kg ({pounds:.0f} lb) in all: walls {load.of('walls'):.0f}, ceiling "
        f"{load.of('ceiling'):.0f}, floor {load.of('floor'):.0f}, windows and doors "
        f"{load.of('windows', 'doors'):.0f} kg. Over the old floor {load.surface_mass:.0f} kg/m2 "
        f"({psf:.0f} lb/ft2), {load.pressure / 1000:.2f} kPa: {least:.0f} to {most:.0f} % of the 1.4 to 2 "
        "kPa (30 to 40 lb/ft2) floors of homes are built for, depending on the code, people and furniture "
        f"not yet in it; {load.per_metre:.0f} kg on each metre of inner wall."
    ]
    if load.surface_mass > ENGINEER_KG_M2:
        told.append(
            "Above 24 kg/m2 (5 lb/ft2) a structural engineer decides whether and where the floor carries it."
        )
    if isinstance(load.on, Mounts):
        told += _mounts(load, load.on)
    against = " against the old floor, which weighs less" if load.over_base > 1.0 else ""
    knocks = ", ".join(
        f"{drop:+.0f} dB at {f:g} Hz".replace("+-", "-")
        for f, drop in zip(OCTAVES[:_LOWEST], -answer.knocks[:_LOWEST], strict=True)
    )
    told.append(
        f"Floor and the air under it swing at {load.swing:.0f} Hz{against}. Feet, pedals and drum spurs "
        f"reach the old floor by {knocks}."
    )
    yield Heading("What it weighs")
    yield Items(told)


def _mounts(load: Load, on: Mounts) -> Iterator[str]:
    used = load.on_mount(used=True)
    stiffer = f" (in motion they are {on.stiffening:g} times as stiff)" if on.stiffening > 1.0 else ""
    yield (
        f"{load.mounts} mounts: {load.on_mount(used=False):.0f} kg each, sinking "
        f"{1e3 * load.deflection(used=False):.1f} mm; in use {used:.0f} kg and "
        f"{1e3 * load.deflection(used=True):.1f} mm, rated {on.rating:.0f} kg. On them alone "
        f"{load.mount_resonance:.0f} Hz{stiffer}; the air under the floor makes the rest, unless it gets out."
    )
    if used > 1.02 * on.rating:
        need = int(np.ceil((load.floated + load.in_use) / on.rating))
        yield f"Overloaded: {need} of them are needed."
    elif used < 0.5 * on.rating:
        yield "Less than half loaded: they stay stiff; fewer or softer ones sink as they should."


def _ducts(one: Judged, air: Breathing) -> Iterator[str]:
    system = one.system
    yield (
        f"{system.count} round ducts through the {one.side}, {1e3 * system.diameter:.0f} mm clear, "
        f"{system.length:g} m, {1e3 * system.lining:.0f} mm lining, {_BOXES[system.boxes]}; air at "
        f"{system.velocity:.1f} m/s, fans of {system.pressure:.0f} Pa; {1e6 * air.fan:.0f} ppm at the end."
    )
    yield (
        f"At the microphone {decibels(one.dba)} dBA, most of it {one.loudest}, "
        f"{BELOW_DB - one.over_db:.0f} dB under the background wanted where it is nearest. Nothing that is "
        f"heard gets more than {max(one.more_db, 0.0):.1f} dB louder."
    )
    if air.bare is not None:
        louder = "; ".join(
            f"{name} {decibels(was)} to {decibels(now)}"
            for name, (was, now, heard) in air.bare.through.items() if heard and now - was >= 1.0
        )  # fmt: skip
        yield f"As bare holes: {decibels(air.bare.dba)} dBA of air and fan{'; ' * bool(louder)}{louder} dBA."


def _air(answer: InnerRoomAnswer) -> Iterator[Block]:
    air = answer.breathing
    if not air.people:
        return
    people = "1 person" if air.people == 1 else f"{air.people:g} people"
    over = " (work places forbid more than 5000)" if air.sealed > air_flow.FORBIDDEN else ""
    told = [
        f"Sealed: {1e6 * air.sealed:.0f} ppm of carbon dioxide at the end{over}, stale (1500 ppm) after "
        f"{air.stuffy / 60:.0f} minutes. Needed: {1e3 * air.needed:.0f} L/s "
        f"({air.needed / FOOT**3 * 60:.0f} cfm) of fresh air in, and as much out."
    ]
    if air.ducts is not None:
        told += _ducts(air.ducts, air)
    elif air.ways.ways:
        names = listed([way.name for way in air.ways.ways])
        fan = sum(way.fan or 0.0 for way in air.ways.ways)
        told.append(
            f"{names} through both shells: {1e3 * air.ways.still:.0f} L/s by itself, {1e3 * fan:.0f} L/s "
            f"with a small fan; {1e6 * air.still:.0f} and {1e6 * air.fan:.0f} ppm at the end."
        )
    told.append(
        f"They warm it with {air.warmth:.0f} W, lamps and amplifiers with more: the air needed gets "
        f"{air.warmer:.0f} °C warmer by people alone. Most of these rooms need cooling, which brings no air."
    )
    yield Heading(f"Air and warmth: {people}, {air.session / 3600:.3g} hours")
    yield Items(told)
