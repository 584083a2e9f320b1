"""What decides on site: checks while a plan is built, and what to measure before and after.

Figures: perimeter of a partition unsealed, one bead, both beads STC 29, 49, 53 (guidance of ASTM C919, from
memory); a resilient channel between two boards measures 15 to 20 points below design and too long screws
are the commonest error (trade guidance, read); boxes at least 0.6 m apart (model building code, read). The
rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from isolate.describe.layers import Cavity, Leaf
from isolate.describe.rooms import Side
from isolate.remedies.bill import added
from isolate.remedies.remedy import SHELL, Remedy
from isolate.units import show_length

_SCREW_BEYOND = 0.012  # m a screw has to reach into a channel or stud beyond the boards


@dataclass(frozen=True)
class Work:
    """What a plan does on site: its remedies, each with its side before and after (None: no one side)."""

    remedies: tuple[Remedy, ...]
    sides: tuple[tuple[Side, Side] | None, ...]

    @classmethod
    def of(cls, remedies: Sequence[Remedy], sides: Iterable[Side]) -> Work:
        """What these remedies do to the sides that stand."""
        there = {one.name: one for one in sides}
        before = [there.get(one.side) for one in remedies]
        pairs = ((old, one.on(old)) if old else None for one, old in zip(remedies, before, strict=True))
        return cls(tuple(remedies), tuple(pairs))

    @property
    def items(self) -> set[str]:
        """Priced items on the bills."""
        return {need.item for one in self.remedies for need in one.bill}

    def changes(self) -> Iterator[tuple[Side, Sequence[Leaf | Cavity]]]:
        """Each side that gets layers, as it is then, and the layers."""
        for pair in self.sides:
            if pair is not None and (coming := added(*pair)):
                yield pair[1], coming

    def linings(self) -> Iterator[tuple[Side, Sequence[Leaf | Cavity]]]:
        """Those of walls, ceilings and floors."""
        return ((side, coming) for side, coming in self.changes() if side.construction.kind in SHELL)

    @property
    def inner(self) -> bool:
        """Whether an inner room is built."""
        return any(one.parts for one in self.remedies)

    @property
    def boards(self) -> bool:
        """Whether boards are put up."""
        leaves = [one for _, coming in self.linings() for one in coming if isinstance(one, Leaf)]
        return bool(leaves) or self.inner

    @property
    def apart(self) -> bool:
        """Whether something has to stay clear of what stands."""
        cavities = [one for _, coming in self.linings() for one in coming if isinstance(one, Cavity)]
        return self.inner or any(one.framing in (None, "resilient clip") for one in cavities)

    @property
    def channel(self) -> bool:
        """Whether anything hangs on resilient channel or clips."""
        cavities = [one for _, coming in self.linings() for one in coming if isinstance(one, Cavity)]
        return any(one.framing in ("resilient channel", "resilient clip") for one in cavities)

    @property
    def screw(self) -> float | None:
        """The longest screw [m] for the first board on channel; None without one."""
        found = [
            one.thickness
            for _, coming in self.linings()
            if any(isinstance(layer, Cavity) and layer.framing == "resilient channel" for layer in coming)
            for one in coming
            if isinstance(one, Leaf)
        ]
        return found[0] + _SCREW_BEYOND if found else None

    @property
    def pane(self) -> bool:
        """Whether a window gets a second frame."""
        return "second frame" in self.items or any(
            side.construction.kind == "window" and any(isinstance(one, Cavity) for one in coming)
            for side, coming in self.changes()
        )

    @property
    def door(self) -> bool:
        """Whether a door or its seals are touched."""
        return bool(self.items & {"door strip", "brush strip", "drop seal", "solid door"})


@dataclass(frozen=True)
class Check:
    """One check: `title`, the `trigger` in words, what to look at where it applies."""

    title: str
    trigger: str
    raised: Callable[[Work], str | None] = field(repr=False, compare=False)
    text: str = ""

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"title": self.title, "text": self.text}


def _edges(work: Work) -> str | None:
    if not work.boards:
        return None
    return (
        "Bed every edge of every board in soft sealant, walls, floor and ceiling, before the next layer "
        "hides it: one and the same wall tests STC 29 without, 49 with one bead, 53 with both. Joints of "
        "the second board over the middle of the first."
    )


def _channel(work: Work) -> str | None:
    if not work.channel:
        return None
    screw = work.screw
    length = f" (at most {show_length(screw)} for the first board)" if screw else ""
    return (
        "Channels straight on studs, joists or wall, never over an old board, open side up on walls so that "
        f"the weight pulls them off the stud. Screws short enough to end in the channel{length}: one that "
        "reaches the stud undoes it. No shelf or screen through it later."
    )


def _bridges(work: Work) -> str | None:
    if not work.apart:
        return None
    return (
        "Nothing may touch across the space between: no pipe, conduit, window board, offcut or mortar. "
        "Pass a lath along it before you close it, and photograph it open."
    )


def _boxes(work: Work) -> str | None:
    if not (work.boards or "putty pad" in work.items):
        return None
    return "Sockets never back to back: 0.6 m (2 ft) apart, in another bay, putty round the back; power off."


def _pane(work: Work) -> str | None:
    if not work.pane:
        return None
    return (
        "The new frame touches the old one nowhere, not by a common board either. Seal the pane on the room "
        "side, not the old sash, so that mist dries outwards. Line the reveal with something absorbent where "
        "it cannot be seen. Wipe both panes before you close."
    )


def _strip(work: Work) -> str | None:
    if "sash strip" not in work.items:
        return None
    return (
        "Shut the window on a strip of paper every 20 cm: held firmly all round, or the strip is too thin "
        "there. The lock should need a little force."
    )


def _door(work: Work) -> str | None:
    if not work.door:
        return None
    return (
        "Lamp behind the shut door in a dark room: no light anywhere. A bank card finds no way in at the "
        "three edges; the drop seal or brush bears on the floor from end to end. Adjust the hinges "
        "first, then seal."
    )


def _vent(work: Work) -> str | None:
    if not work.items & {"lined box", "silencer"}:
        return None
    return (
        "Box and pipe airtight against the wall, lining kept off the air's way by wire or cloth. Hold a "
        "strip of paper before it: air still has to come."
    )


def _floor(work: Work) -> str | None:
    if "edge strip" not in work.items and not any("floor" in one.parts for one in work.remedies):
        return None
    return (
        "A strip all round so that the new floor touches no wall; skirting fixed to the wall, not to "
        "both. Not one screw through to the old floor."
    )


TABLE: tuple[Check, ...] = (
    Check("Strips", "a sash is draught-stripped", _strip),
    Check("Door", "a door or its seals are changed", _door),
    Check("Pane", "a second pane", _pane),
    Check("Vent", "a box or silencer", _vent),
    Check("Edges", "boards are put up", _edges),
    Check("Channel", "boards on channel or clips", _channel),
    Check("Bridges", "a lining that stands free", _bridges),
    Check("Sockets", "boards are put up, or sockets sealed", _boxes),
    Check("Floor", "a floor that floats", _floor),
)


def checks(work: Work) -> tuple[Check, ...]:
    """The checks that belong to a plan."""
    found = ((one, one.raised(work)) for one in TABLE)
    return tuple(Check(one.title, one.trigger, one.raised, text) for one, text in found if text is not None)


@dataclass(frozen=True)
class ToMeasure:
    """A measurement before and after: `sound` it is about, the `side` it goes through, whether from outdoors,
    and by how much [dBA] the level difference should rise."""

    side: str
    outdoors: bool
    sound: str
    gain_db: float

    @property
    def command(self) -> str:
        """What to type after each recording, on two lines."""
        facade = "--facade " if self.outdoors else ""
        return (
            "isolate measure --loud loud.wav --quiet quiet.wav --background bg.wav "
            f"\\\n    {facade}--json --out before.json"
        )

    @property
    def text(self) -> str:
        """In words."""
        loud = "out of doors, or out of the window" if self.outdoors else f"beyond the {self.side}"
        return (
            f"Before the first screw and after each step the same recordings: noise {loud}, the room with "
            f"it and without. The difference should rise by about {self.gain_db:.0f} dB for {self.sound} "
            "when all is done; much less means a leak or a bridge, and it is cheapest found before the "
            "next layer."
        )

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"side": self.side, "outdoors": self.outdoors, "sound": self.sound, "gain_db": self.gain_db,
                "command": self.command, "text": self.text}  # fmt: skip
