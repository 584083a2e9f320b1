"""What can be done to a room: one fix, what it changes, costs, weighs and takes, and what it rules out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from isolate.describe.materials import Range
from isolate.describe.rooms import Option, Side
from isolate.room.elements import SideFound
from isolate.room.envelope import Shell
from isolate.room.scenario import State

YOURS, OURS = "yours", "ours"
_SLOTS = ("construction", "gaps", "vents", "opened", "second")
# Kinds of sides whose linings take space off the room; what is put into a reveal or a frame takes none.
SHELL = ("wall", "ceiling", "floor", "roof", "sheet")


@dataclass(frozen=True)
class Need:
    """One line of a bill: price `item` (empty: not in the list of prices), its `name` in words, how much of
    it in which unit, `thickness` [m] where its price goes by that, `mass` [kg]."""

    item: str
    name: str
    amount: float
    unit: str
    mass: float = 0.0
    thickness: float | None = None


@dataclass(frozen=True, eq=False)
class Fix:
    """One thing to do: the `option` says what changes.

    cost : low, typical, high in money; origin : "yours" (of the file) or "ours".
    mass : [kg] more than what stands; depth [m] and space [m3] it takes off the room.
    finds : what the changed side lets through, where the option alone does not say it.
    rebuilds : gives what is heard then, for a plan by itself such as an inner room, of these `parts`.
    air_lost : for how many people air is taken away; closes : it shuts a vent and opens no other.
    invented : whether its cost stands on invented prices.
    """

    name: str
    option: Option
    cost: Range
    origin: str = YOURS
    mass: float = 0.0
    depth: float = 0.0
    space: float = 0.0
    bill: tuple[Need, ...] = ()
    finds: Callable[[Shell, Side], SideFound] | None = field(default=None, repr=False)
    rebuilds: Callable[[], State] | None = field(default=None, repr=False)
    parts: tuple[str, ...] = ()
    air_lost: float = 0.0
    closes: bool = False
    invented: bool = False

    @property
    def key(self) -> tuple[str, str, str]:
        """What fixes are sorted by, so that the order of a file makes no difference."""
        return self.option.replace, self.name, self.origin

    @property
    def side(self) -> str:
        """Name of the side it changes, empty where it only lines what flanks."""
        return self.option.replace

    @property
    def slots(self) -> frozenset[tuple[str, str]]:
        """The parts of the room it sets: of two fixes that set the same only one can be made."""
        option = self.option
        found = {(option.replace, slot) for slot in _SLOTS if getattr(option, slot) is not None}
        return frozenset(found | {("flank", name) for name in option.flanks})

    def excludes(self, other: Fix) -> bool:
        """Whether both cannot be made."""
        if self.rebuilds or other.rebuilds:
            return True
        if self.slots & other.slots:
            return True
        flanks = [{name for where, name in one.slots if where == "flank"} for one in (self, other)]
        return all(flanks) and any("all" in names for names in flanks)

    def on(self, side: Side) -> Side:
        """A side with it made; as it is where it changes another one."""
        return self.option.on(side) if self.option.replace == side.name else side


def compatible(fixes: Sequence[Fix]) -> bool:
    """Whether all of these can be made together."""
    return not any(one.excludes(other) for i, one in enumerate(fixes) for other in fixes[:i])


def total(fixes: Sequence[Fix]) -> Range:
    """What they cost together; ends add up, since prices rise and fall together."""
    costs = [one.cost for one in fixes]
    return Range(
        round(sum(one.low for one in costs), 2),
        round(sum(one.typical for one in costs), 2),
        round(sum(one.high for one in costs), 2),
    )
