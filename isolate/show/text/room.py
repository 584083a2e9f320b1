"""The room's answer as text: the verdict, one number, the weakest path, then the tables."""

from __future__ import annotations

import math
from collections.abc import Iterator

from isolate.answers.room.answer import RoomAnswer
from isolate.answers.room.options import OptionFound
from isolate.describe.words import NOTICED_DB, background, hertz, listed
from isolate.room.envelope import Heard
from isolate.room.received import Passed
from isolate.show.layout import VERDICT_INKS, Cell, Page
from isolate.show.text import common
from isolate.show.text import room_neighbours as next_door
from isolate.show.text import room_often as often
from isolate.show.text import room_paths as ways
from isolate.units import show_mass

_VERDICTS = {
    "clear": "You hear clearly",
    "audible": "You hear",
    "faint": "You hear faintly",
    next_door.MAYBE: "You may hear",
    "not audible": "You do not hear",
}
_MARGIN = 18


def render(answer: RoomAnswer, page: Page) -> str:
    """The whole answer."""
    parts = (
        _head, _verdicts, _weakest, _noises, often.often, ways.paths, ways.sides, next_door.neighbours,
        _clear_up, _options, ways.air,
    )  # fmt: skip
    lines = [line for part in parts for line in part(answer, page)]
    lines += common.cautions(page, answer.cautions)
    lines += common.notes(page, answer.notes)
    lines += common.notes(page, list(_sure(answer)), "How sure")
    return "\n".join(lines) + "\n"


_SURE = (
    "The ranges and chances count the spread of materials, how wide gaps may be, what laboratories differ "
    "by when they test one wall, the error of the prediction, how well levels and pitch of noises are known, "
    "how such noises and backgrounds vary, and what the room absorbs. They do not count a construction that "
    'is not what the file says, unless it lists others: perhaps = ["glass 6 mm"].'
)


def _sure(answer: RoomAnswer) -> Iterator[str]:
    yield _SURE
    if answer.sure is not None:
        yield (
            f"{answer.sure.draws} draws, seed {answer.sure.seed}. Changes are held against the same draws as "
            "the room now, so that they are surer than the levels themselves."
        )


def _head(answer: RoomAnswer, page: Page) -> Iterator[str]:
    room = answer.room
    length, width, height = room.size
    stated = background(room.background)
    level = "" if stated.endswith("dBA") else f" ({common.decibels(answer.background_dba)} dBA)"
    furnished = "" if room.reverberation_time is not None else f", {room.furnishing}"
    yield page.ink(page.wrapped(room.title), "title")
    yield page.ink(
        f"{length:.2f} x {width:.2f} x {height:.2f} m{furnished}, background {stated}{level}", "quiet"
    )
    yield ""


def _verdicts(answer: RoomAnswer, page: Page) -> Iterator[str]:
    for verdict, label in _VERDICTS.items():
        names = next_door.so_heard([(one.name, one.passed) for one in answer.heard], verdict)
        if names:
            yield page.wrapped(listed(names), label=label, ink=next_door.INKS[verdict], margin=_MARGIN)
    yield from next_door.verdicts(answer, page, _MARGIN)


def _weakest(answer: RoomAnswer, page: Page) -> Iterator[str]:
    if not answer.heard:
        return
    worst = answer.worst
    above = f"{common.decibels(abs(worst.margin))} dB {'above' if worst.margin > 0 else 'below'}"
    yield ""
    yield page.wrapped(
        f"of {worst.name} inside: what sticks out most, {above} what the background and your ears hide, "
        f"most at {hertz(worst.plainest_hz)}.",
        label=f"{common.decibels(worst.inside_dba)} dBA", ink="strong", margin=_MARGIN,
    )  # fmt: skip
    yield page.wrapped(
        ways.decides(worst.passed, worst.name), label="Weakest path", ink="strong", margin=_MARGIN
    )


def _clear_up(answer: RoomAnswer, page: Page) -> Iterator[str]:
    """What to find out first."""
    if answer.sure is not None and (answer.heard or answer.neighbours):
        yield page.heading("What to find out first (share of the doubt about all verdicts)")
        yield from common.clear_up(answer.sure.first, answer.sure.luck, page, _MARGIN)


def _row(one: Heard) -> list[str | Cell]:
    low, high = one.limits_dba
    return [
        one.name,
        common.decibels(one.outside_dba),
        common.decibels(one.inside_dba),
        f"{common.decibels(low)} – {common.decibels(high)}",
        common.decibels(one.margin),
        Cell(one.verdict, VERDICT_INKS[one.verdict]),
        common.percent(one.chance),
    ]


def _noises(answer: RoomAnswer, page: Page) -> Iterator[str]:
    if not answer.heard:
        return
    yield page.heading("Noise by noise (levels in dBA, margin in dB, chance that it is heard)")
    head = ["", "outside", "inside", "5 – 95 %", "margin", "verdict", "chance"]
    yield page.table(head, [_row(one) for one in answer.heard], align="frrrrlr")


def _options(answer: RoomAnswer, page: Page) -> Iterator[str]:
    if not answer.options:
        return
    yield page.heading("What each change does (all noises together, dBA)")
    rows: list[list[str | Cell]] = [
        [
            found.option.name,
            _signed(-found.gain_db),
            _gains(found),
            Cell(found.words, "good" if found.gain_db >= 3.0 or found.helped else "warn"),
            _mass(found),
            f"{found.option.cost:g}" if found.option.cost is not None else "–",
        ]
        for found in answer.options
    ]
    yield page.table(["", "change", "5 – 95 %", "to the ear", "adds", "cost"], rows, align="frrfrr")
    yield ""
    for found in answer.options:
        said = (*_turns(answer.heard, found), *_then(answer, found), *_turns_next_door(answer, found))
        turns = "; ".join([*said, *_air(found)])
        if turns:
            yield f"  {found.option.name}"
            yield page.wrapped(turns, label="", margin=6)


def _gains(found: OptionFound) -> str:
    """The limits of a change, the larger drop first."""
    low, high = found.gain_limits
    if not (math.isfinite(low) and high - low >= 0.05):
        return ""
    return f"{_signed(-high)} – {_signed(-low)}"


def _mass(found: OptionFound) -> str:
    if abs(found.mass) < 0.5:
        return "0 kg"
    return show_mass(found.mass).partition(" (")[0]


def _signed(value: float) -> str:
    """A difference with its sign, to the tenth below 10 dB, where a tenth may decide on the words."""
    text = f"{value:+.1f}" if abs(value) < 9.95 else f"{value:+.0f}"
    return "0" if text in ("+0.0", "-0.0") else text


def _turns(before: tuple[Heard, ...], found: OptionFound) -> Iterator[str]:
    """What becomes of the noises it changes, those left out that are not heard anyway."""
    for old, new in zip(before, found.heard, strict=True):
        yield from _turn(old.name, old.passed, new.passed)


def _then(answer: RoomAnswer, found: OptionFound) -> Iterator[str]:
    """The path that lets most of the worst noise in with the change, where it is another than now."""
    if not answer.heard:
        return
    worst = max(range(len(answer.heard)), key=lambda i: answer.heard[i].margin)
    old, new = answer.heard[worst].passed, found.heard[worst].passed
    path = new.paths[new.strongest]
    if path.name != old.paths[old.strongest].name:
        yield f"then most of {answer.heard[worst].name} comes by {path.words}"


def _turns_next_door(answer: RoomAnswer, found: OptionFound) -> Iterator[str]:
    """What becomes of the sounds at the neighbours."""
    for was, will in zip(answer.neighbours, found.neighbours, strict=True):
        for old, new in zip(was.heard, will.heard, strict=True):
            yield from _turn(f"{old.name} at {was.name}", old.passed, new.passed)


def _turn(name: str, old: Passed, new: Passed) -> Iterator[str]:
    gain = old.dba - new.dba
    if old.verdict != new.verdict:
        yield f"{name} {_signed(-gain)} dB: {old.verdict} → {new.verdict}"
    elif abs(gain) >= NOTICED_DB and new.margin > 0:
        yield f"{name} {_signed(-gain)} dB: still {new.verdict}"


def _air(found: OptionFound) -> Iterator[str]:
    """The air it takes away, where that counts."""
    if found.air_lost >= 0.2:
        yield f"takes away air for {found.air_lost:.1f} people: plan another way in for it"
