"""What people buy instead: each popular wrong thing put into this very room, with its own number.

Where the room's options hold one of them, that option's own number is told; else the usual form of it, where
the room has a place for it. Sizes and weights are common practice, no source, but for the egg boxes (0.3
kg/m2, a tray weighed in the kitchen: from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.bands import Array
from isolate.describe import words
from isolate.describe.constructions import Construction
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import Range, material
from isolate.describe.prices import Prices
from isolate.describe.rooms import Room, Side
from isolate.describe.words import NOTICED_DB
from isolate.errors import InputError
from isolate.physics.absorption import third_octaves
from isolate.physics.surfaces import alpha
from isolate.remedies import contrast as states
from isolate.remedies import panels as panels_plan
from isolate.remedies.judgement.target import Aim
from isolate.remedies.popular_options import EGG_KG_M2, RIGID, by_mass, known, louder, why_not
from isolate.remedies.second_window.others import CLOTH, CURTAIN_GAP, CURTAIN_OPEN, FILM
from isolate.remedies.second_window.setting import is_window
from isolate.remedies.sounds import heard
from isolate.room.elements import SideFound
from isolate.room.envelope import Shell, absorption
from isolate.room.neighbours import found as neighbours_of
from isolate.room.scenario import State

VINYL_KG_M2, VINYL = 4.9, 0.0025  # kg/m2 and m of the usual sheet
HEAVY = 40.0  # kg/m2 of a wall on which a sheet of vinyl is next to nothing
USUAL_MONEY = 600.0  # where no budget is stated
FOAM = 0.05  # m


@dataclass(frozen=True)
class Instead:
    """One of them: its `name` here, what it costs; `drop_db` [dBA] of the aimed-at `sound` that drops most,
    `on_worst` of the one that sticks out most now; the `reason`; `lost`: the octave [Hz] it makes louder with
    how much [dB]; `yours`: it is an option of the file."""

    key: str
    name: str
    cost: Range | None
    drop_db: float
    sound: str
    on_worst: float
    reason: str
    lost: tuple[float, float] | None = None
    yours: bool = False

    @property
    def noticed(self) -> bool:
        """Whether anyone would notice it."""
        return self.drop_db >= NOTICED_DB

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        louder = self.lost or (None, None)
        return {
            "key": self.key, "name": self.name, "cost": None if self.cost is None else self.cost.typical,
            "drop_db": self.drop_db, "sound": self.sound, "worst_drop_db": self.on_worst,
            "noticed": self.noticed, "reason": self.reason, "louder_octave_hz": louder[0],
            "louder_db": louder[1], "yours": self.yours,
        }  # fmt: skip


@dataclass(frozen=True, eq=False)
class Myths:
    """Finds them for a room as it is, for the sounds of its aims."""

    room: Room
    now: State
    aims: Sequence[Aim]
    prices: Prices
    money: float

    def all(self) -> tuple[Instead, ...]:
        """The room's own options that are one of them, then the usual ones it has a place for."""
        yours = tuple(self._yours())
        taken = {one.key for one in yours}
        usual = (self._foam, self._eggs, self._curtain, self._film, self._vinyl, self._wool)
        return (*yours, *(one for make in usual if (one := make()) is not None and one.key not in taken))

    # --- what a changed room does ---

    @property
    def worst(self) -> str:
        """The sound that misses its aim most now."""
        return max(self.aims, key=_missed).sound.name

    def _drop(self, then: State) -> tuple[float, str, float]:
        """Of the sounds that are too loud now the largest drop [dBA], which, and that of the worst."""
        before, after = heard(self.now), heard(then)
        drops = {
            aim.sound.name: before[aim.sound.name].passed.dba - after[aim.sound.name].passed.dba
            for aim in self.aims
            if _missed(aim) > 0.0 or aim.sound.name == self.worst
        }
        best = max(drops, key=drops.__getitem__)
        return drops[best], best, drops[self.worst]

    def _with(self, shell: Shell, drop_db: Array | float = 0.0) -> State:
        """The state with another shell; own sounds `drop_db` softer in the room."""
        room = self.room
        noises = tuple(shell.hear(noise) for noise in room.noises)
        found = neighbours_of(room, shell)
        softer = tuple(
            replace(one, heard=tuple(
                replace(h, passed=replace(h.passed, level_db=h.passed.level_db - drop_db)) for h in one.heard
            ))
            for one in found
        )  # fmt: skip
        return State(shell, noises, softer)

    def _told(
        self,
        key: str,
        name: str,
        cost: Range | None,
        then: State,
        reason: Callable[[float], str],
        **more: Any,
    ) -> Instead:
        drop, sound, worst = self._drop(then)
        return Instead(key, name, cost, drop, sound, worst, reason(drop), **more)

    def _replaced(self, side: SideFound) -> State:
        return self._with(self.now.shell.replaced(side))

    def _facing(self) -> Iterator[SideFound]:
        """The sides the aimed-at sounds come by."""
        names = {name for aim in self.aims for kind, name in aim.sound.cells if kind == "side"}
        return (one for one in self.now.shell.sides if one.side.name in names)

    # --- the usual ones ---

    def _foam(self) -> Instead | None:
        shell = self.now.shell
        each = self.prices.cost("foam", panels_plan.absorbers.PANEL[0] * panels_plan.absorbers.PANEL[1])
        piece = each.typical if each and each.typical else 20.0
        try:
            plan = panels_plan.planned(
                self.room, shell, panels_plan.chosen(self.room, None), count=None,
                money=min(self.money, 900.0 * piece), price=piece,
                board=panels_plan.board("open-cell foam"), thickness=FOAM, gap=0.0, corner=False,
            )  # fmt: skip
        except InputError:
            return None  # no money for one, or no wall for it
        added = np.maximum(plan.area * (third_octaves(plan.absorber) - alpha("plaster")), 0.0)
        cost = self.prices.cost("foam", plan.area)
        furniture = self._furniture()
        name = f"foam, {plan.count} panels of 50 mm on the walls"
        return self._told("foam", name, cost, self._soaked(shell.absorption + added), lambda drop: (
            f"It soaks up what is in the room already, {drop:.1f} dB at best, and keeps nothing out: it "
            "weighs next to nothing, and air goes through. Buy some for how the room sounds. Bare foam burns "
            "fast." + furniture
        ))  # fmt: skip

    def _furniture(self) -> str:
        """What a bare room gains by being furnished, which soaks up sound as foam does."""
        room = self.room
        if room.furnishing != "bare" or room.reverberation_time is not None:
            return ""
        area, _ = absorption(room.size, furnishing="furnished", reverberation_time=None)
        drop, _, _ = self._drop(self._soaked(area))
        return f" In this bare room carpet, curtains and a sofa take {drop:.1f} dB off too."

    def _soaked(self, area: Array) -> State:
        """The state with another absorption area [m2] in the room."""
        shell = self.now.shell
        return self._with(replace(shell, absorption=area), 10.0 * np.log10(area / shell.absorption))

    def _eggs(self) -> Instead:
        walls = [one for one in self._facing() if one.side.construction.kind == "wall"]
        found = max(walls or self._facing(), key=lambda one: one.side.area)
        loss = by_mass(found.surface_mass, EGG_KG_M2)
        side = found.side
        return self._told(
            "egg boxes", f"egg boxes over the {side.name}", self.prices.cost("egg boxes", side.area),
            self._replaced(_weakened(found, loss)), lambda drop: (
                f"{EGG_KG_M2:g} kg/m2 on {found.surface_mass:.0f}: {loss:.1f} dB by weight, and card burns."
            ),
        )  # fmt: skip

    def _curtain(self) -> Instead | None:
        found = self._window()
        if found is None:
            return None
        side, curtain = found.side, material("heavy curtain")
        gap = Cavity(CURTAIN_GAP + CLOTH, fill=curtain, fill_depth=CLOTH, framing="separate frames")
        drawn = _more(side.construction, gap)
        size = side.size or (side.area**0.5,) * 2
        through = self.now.shell.finder.through
        tight = through(drawn, size).tl_db - through(side.construction, size).tl_db
        loss = states.loose_loss(tight, open_share=CURTAIN_OPEN)
        kilograms = curtain.density.typical * CLOTH
        return self._told(
            "curtain", f"heavy curtain before the {side.name}", self.prices.cost("heavy curtain", side.area),
            self._replaced(found.weakened(loss)), lambda drop: (
                f"{kilograms:.1f} kg/m2 that air passes through: {drop:.1f} dB, all of it high up. The "
                "figure on its label was measured without any window."
            ),
        )  # fmt: skip

    def _film(self) -> Instead | None:
        found = self._window()
        if found is None:
            return None
        side = found.side
        last = side.construction.layers[-1]
        assert isinstance(last, Leaf)
        stuck = replace(
            side.construction, layers=(*side.construction.layers[:-1], replace(last, bond="glued"), FILM),
            measured=None,
        )  # fmt: skip
        then = self.now.shell.find(replace(side, construction=stuck))
        film, pane = words.leaf_mass(FILM), words.leaf_mass(last)
        return self._told(
            "film", f"film on the {side.name}", self.prices.cost("window film", side.area),
            self._replaced(then), lambda drop: (
                f"{film:.2f} kg/m2 on a pane of {pane:.0f}: {by_mass(pane, film):.1f} dB by weight."
            ),
        )  # fmt: skip

    def _vinyl(self) -> Instead | None:
        walls = [
            one for one in self._facing()
            if one.side.construction.kind in ("wall", "ceiling", "floor")
            and one.surface_mass >= HEAVY and one.side.construction.layers
        ]  # fmt: skip
        if not walls:
            return None
        found = max(walls, key=lambda one: one.surface_mass * one.side.area)
        side = found.side
        loss = by_mass(found.surface_mass, VINYL_KG_M2)
        board = by_mass(found.surface_mass, 2 * 8.6)
        passed = heard(self.now)[self.worst].passed
        elsewhere = passed.by_side.get(side.name, 0.0) < 0.1
        where = f", and the {side.name} is not where {self.worst} comes in" if elsewhere else ""
        return self._told(
            "loaded vinyl", f"loaded vinyl on the {side.name}",
            self.prices.cost("loaded vinyl", side.area), self._replaced(_weakened(found, loss)),
            lambda drop: (
                f"{VINYL_KG_M2:g} kg/m2 on {found.surface_mass:.0f} is {loss:.1f} dB on that {_kind(side)}, "
                f"two plain boards {board:.1f} dB{where}. Its label gives what the sheet does hung up alone."
            ),
        )  # fmt: skip

    def _wool(self) -> Instead | None:
        """Wool into a wall whose studs tie both faces."""
        for found in self._facing():
            filled = _filled(found.side.construction)
            if filled is None:
                continue
            side = found.side
            then = self.now.shell.find(replace(side, construction=filled))
            better = then.rw - found.rw
            cost = self.prices.cost("wool", side.area, thickness=_empty(side.construction))
            reason = (
                f"Its studs tie both faces and carry the sound past the wool: Rw {better:+d} dB. Wool works "
                "where one face is free."
            )
            name = f"wool blown into the {side.name}"
            return self._told("insulation", name, cost, self._replaced(then), _saying(reason))
        return None

    def _window(self) -> SideFound | None:
        """The window by which most comes in."""
        panes = [one for one in self._facing() if is_window(one.side)]
        return max(panes, key=lambda one: one.tau_area.sum(), default=None)

    # --- options of the room that are one of them ---

    def _yours(self) -> Iterator[Instead]:
        shell = self.now.shell
        facing = tuple(self._facing())
        for option in self.room.options:
            found = next((one for one in facing if one.side.name == option.replace), None)
            if found is None:
                continue
            side = option.on(found.side)
            key = known(option, found.side, side)
            if key is None:
                continue
            then = shell.find(side)
            lost = louder(found, then)
            if key == "third leaf" and lost is None:
                continue
            cost = None if option.cost is None else Range(option.cost, option.cost, option.cost)
            drops = self._drop(self._replaced(then))
            yield Instead(key, option.name, cost, *drops, why_not(key, found, then, lost), lost, yours=True)


def _saying(reason: str) -> Callable[[float], str]:
    return lambda drop: reason


def _missed(aim: Aim) -> float:
    return float(aim.excess(aim.sound.level_db, aim.sound.background_db))


def _weakened(found: SideFound, loss_db: float) -> SideFound:
    """A side whose construction loses so much more; its leaks as they are."""
    factor = 10.0 ** (-loss_db / 10.0)
    paths = tuple(
        replace(path, tau_area=path.tau_area * (factor if path.kind == "construction" else 1.0))
        for path in found.paths
    )
    return replace(found, paths=paths)


def _more(old: Construction, *layers: Cavity | Leaf) -> Construction:
    return replace(old, layers=(*old.layers, *layers), measured=None)


def _kind(side: Side) -> str:
    return side.construction.kind


def _empty(construction: Construction) -> float | None:
    """Depth [m] of an empty cavity that rigid studs cross; None where there is none."""
    for layer in construction.layers:
        if isinstance(layer, Cavity) and layer.framing in RIGID and layer.fill is None:
            return layer.depth
    return None


def _filled(construction: Construction) -> Construction | None:
    """A construction with wool in its empty cavities that rigid studs cross."""
    if construction.kind not in ("wall", "ceiling") or _empty(construction) is None:
        return None
    layers = tuple(
        replace(layer, fill=material("stone wool"), fill_depth=layer.depth)
        if isinstance(layer, Cavity) and layer.framing in RIGID and layer.fill is None
        else layer
        for layer in construction.layers
    )
    return replace(construction, layers=layers, measured=None)
