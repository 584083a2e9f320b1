"""A change to a room: what it sets, weighs, takes, costs and lets breathe, and what it rules out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from isolate.bands import Array
from isolate.describe.materials import Range
from isolate.describe.rooms import Option, Side
from isolate.remedies.playing import Way

YOURS, OURS = "yours", "ours"
_SLOTS = ("construction", "gaps", "vents", "opened", "second", "inner_gaps", "frame", "covering")
# Kinds of sides whose linings take space off the room; what is put into a reveal or a frame takes none.
SHELL = ("wall", "ceiling", "floor", "roof", "sheet")


@dataclass(frozen=True)
class Need:
    """One line of a bill: price `item` (empty: not in the list of prices), its `name` in words, how much of
    it in which unit, `mass` [kg], `thickness` [m] where its price goes by that, the `part` it is for."""

    item: str
    name: str
    amount: float
    unit: str
    mass: float = 0.0
    thickness: float | None = None
    part: str = ""

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "part": self.part, "name": self.name, "amount": self.amount, "unit": self.unit,
            "mass_kg": self.mass or None,
        }  # fmt: skip


@dataclass(frozen=True)
class Cost:
    """Money: `material` alone, and with `hired` labour, low to high; `by`: which of both counts, "own" or
    "hired"; whether any of it is `invented`."""

    material: Range
    hired: Range
    by: str = "own"
    invented: bool = False

    @property
    def counts(self) -> Range:
        """What is to be paid."""
        return self.hired if self.by == "hired" else self.material

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""

        def plain(value: Range) -> dict[str, float]:
            return {"low": value.low, "typical": value.typical, "high": value.high}

        return {
            **plain(self.counts), "material": plain(self.material), "hired": plain(self.hired),
            "invented": self.invented,
        }  # fmt: skip


def stated(amount: float) -> Cost:
    """A sum the user has stated."""
    whole = Range(amount, amount, amount)
    return Cost(whole, whole)


@dataclass(frozen=True, eq=False)
class Remedy:
    """One thing to do, useful or not.

    key : what kind of thing it is; name : as it is told; origin : "yours" (of the file) or "ours".
    option : what it sets on a side, or on flanking elements.
    loss_db : what it takes off that side [dB] (27,): off its construction, or off all of it (`covers`).
    absorbs : absorption area it adds in the room [m2] (27,).
    parts : of an inner room that is built: "pane", "walls", "ceiling", "floor"; who leave more
        open than a firm, "amateurs"; "ties" that slipped in.
    cost : None where nothing says what it costs; mass [kg] more than what stands; depth [m] and space [m3] it
        takes off the room; bill : what is bought.
    air_lost : for how many people air is taken away; closes : it shuts a vent and opens no other.
    way : another way to play a sound.
    inside : it stands in this room, not in the one beyond a floor or ceiling.
    useful : whether it is a remedy at all; the popular things that are none are tried to tell what they do.
    """

    key: str
    name: str
    option: Option
    origin: str = OURS
    cost: Cost | None = None
    mass: float = 0.0
    depth: float = 0.0
    space: float = 0.0
    bill: tuple[Need, ...] = ()
    loss_db: Array | None = None
    covers: bool = False
    absorbs: Array | None = None
    parts: tuple[str, ...] = ()
    way: Way | None = None
    air_lost: float = 0.0
    closes: bool = False
    useful: bool = True
    inside: bool = True

    @property
    def order(self) -> tuple[str, str, str]:
        """What remedies are sorted by, so that the order of a file makes no difference."""
        return self.side, self.name, self.origin

    @property
    def side(self) -> str:
        """Name of the side it changes, empty where it changes no one side."""
        return self.option.replace

    @property
    def price(self) -> float:
        """What it costs, typically; inf where nothing says so."""
        return self.cost.counts.typical if self.cost else float("inf")

    @property
    def invented(self) -> bool:
        """Whether its price stands on invented ones."""
        return self.cost is not None and self.cost.invented

    @property
    def airs(self) -> bool:
        """Whether all it sets are vents: it goes with an inner room."""
        return bool(self.slots) and all(slot == "vents" for _, slot in self.slots)

    @cached_property
    def slots(self) -> frozenset[tuple[str, str]]:
        """The parts of the room it sets: of two remedies that set the same only one can be made."""
        option = self.option
        found = {(option.replace, slot) for slot in _SLOTS if getattr(option, slot) is not None}
        if self.loss_db is not None:
            found.add((option.replace, "loss"))
        if self.absorbs is not None:
            found.add(("room", "absorption"))
        if self.way is not None:
            found.add((self.way.sound, "hours" if self.way.hours else "played"))
        return frozenset(found | {("flank", name) for name in option.flanks})

    def excludes(self, other: Remedy) -> bool:
        """Whether both cannot be made."""
        if self.parts or other.parts:
            beside = other if self.parts else self
            return bool(beside.parts) or not (beside.airs or beside.way)
        if self.slots & other.slots:
            return True
        flanks = self.option.flanks, other.option.flanks
        return all(flanks) and any("all" in names for names in flanks)

    def on(self, side: Side) -> Side:
        """A side with it made; as it is where it changes another one."""
        return self.option.on(side) if self.option.replace == side.name else side


def total(remedies: Sequence[Remedy]) -> Cost:
    """What they cost together; ends add up, since prices rise and fall together."""
    costs = [one.cost for one in remedies if one.cost is not None]

    def summed(ranges: Sequence[Range]) -> Range:
        return Range(
            *(round(sum(getattr(one, end) for one in ranges), 2) for end in ("low", "typical", "high"))
        )

    return Cost(
        summed([one.material for one in costs]),
        summed([one.hired for one in costs]),
        costs[0].by if costs else "own",
        any(one.invented for one in costs),
    )
