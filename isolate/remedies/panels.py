"""The panels that are asked for, and the room they are hung in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import noises
from isolate.describe.materials import Material, find
from isolate.describe.rooms import Noise, Room
from isolate.errors import InputError
from isolate.physics import absorbers, reverberation, surfaces
from isolate.physics.absorption import Absorber
from isolate.remedies.contrast import pane_option, weak_side
from isolate.room.envelope import Shell
from isolate.units import shown

USUAL_COUNT = 12
MOST = 1000
PIECE_COST = 60.0  # of a bought panel, in the user's own money: common practice, no source
FRAME_KG = 2.0  # wooden frame and cloth of a piece: common practice, no source


@dataclass(frozen=True)
class Plan:
    """What is hung up: `count` pieces of `board`, `thickness` and `gap` [m], on the walls or across the
    corners. `asked` is how many were wanted, `fit` how many the walls take."""

    count: int
    board: Material
    thickness: float
    gap: float
    corner: bool
    piece_cost: float | None
    asked: int
    fit: int

    @property
    def area(self) -> float:
        """Area [m2] of all pieces."""
        return self.count * absorbers.PANEL[0] * absorbers.PANEL[1]

    @property
    def mass(self) -> float:
        """Mass [kg] of all pieces with their frames."""
        return self.area * self.thickness * self.board.density.typical + self.count * FRAME_KG

    @property
    def cost(self) -> float | None:
        """Cost of all pieces in the user's own money."""
        return None if self.piece_cost is None else self.count * self.piece_cost

    @property
    def name(self) -> str:
        """The pieces in words."""
        where = "across the corners" if self.corner else "on the walls"
        return f"{self.count} panel{'s' * (self.count != 1)} {where}"

    @property
    def absorber(self) -> Absorber:
        """The pieces as they hang: an equal row on each of four walls, or stacked in four corners. Rims that
        touch catch no sound, so a row takes in less than its pieces far apart would."""
        width, height = absorbers.PANEL
        each = math.ceil(self.count / 4)
        if self.corner:
            return absorbers.corner_board(self.board, thickness=self.thickness, size=(width, each * height))
        row = (each * width, height)
        return absorbers.board(self.board, thickness=self.thickness, gap=self.gap, size=row)


def boundary(room: Room) -> float:
    """Area [m2] of walls, floor and ceiling."""
    length, width, height = room.size
    return 2 * (length * width + length * height + width * height)


def of_surfaces(room: Room, stated: Sequence[tuple[str, float]]) -> Array:
    """Reverberation time [s] (27,) of a room lined with these surfaces [m2], plasterboard elsewhere."""
    total = boundary(room)
    rest = total - sum(area for _, area in stated)
    if rest < 0:
        raise InputError(
            f"--surface: {total - rest:.1f} m2 in all, but walls, floor and ceiling have {total:.1f} m2"
        )
    lined = sum((area * surfaces.alpha(name) for name, area in stated), rest * surfaces.alpha("plasterboard"))
    air = reverberation.air_attenuation(THIRD_OCTAVES)
    return reverberation.eyring(lined / total, volume=room.volume, surface=total, air=air)


def chosen(room: Room, name: str | None) -> Noise:
    """The noise that is asked for, else a siren, else what comes first, else a siren of the catalogue."""
    if name is not None:
        for noise in room.noises:
            if noise.name.casefold() == name.strip().casefold():
                return noise
        known = ", ".join(noise.name for noise in room.noises) or "none"
        raise InputError(f"--noise: the room has no noise of this name (got {shown(name)}); it has: {known}")
    sirens = [noise for noise in room.noises if "siren" in noise.name or "siren" in noise.spectrum.name]
    if sirens or room.noises:
        return (sirens or list(room.noises))[0]
    window = next((side for side in room.sides if side.construction.kind == "window"), room.sides[0])
    return Noise("siren", window.faces, noises.load("siren"))


def planned(
    room: Room, now: Shell, noise: Noise, *, count: int | None, money: float | None, price: float | None,
    board: Material, thickness: float, gap: float, corner: bool,
) -> Plan:  # fmt: skip
    """The panels that `count`, `money` or else the cost of the room's own second pane buy, and that fit.

    InputError where these do not go together.
    """
    if corner and gap:
        raise InputError("--gap: panels across a corner hang off no wall; leave out --gap or --corner")
    if money is not None and count is not None:
        raise InputError("--money: --panels has said how many already; leave out one of them, or say --price")
    option = pane_option(room, weak_side(now, now.hear(noise)).side)
    piece = PIECE_COST if price is None else price
    if money is not None and not 1 <= money / piece < MOST:
        raise InputError(
            f"--money: {money:g} buys no sane number of panels at {piece:g} each; state --panels or --price"
        )
    if money is None and count is None and option is not None and (option.cost or 0.0) >= piece:
        money = option.cost
    asked = count if count is not None else USUAL_COUNT if money is None else math.floor(money / piece)
    fit = _fit(room, corner)
    if fit < 1:
        raise InputError(f"{room.name}: the walls leave no room for a panel of 0.6 m x 1.2 m")
    known = price is not None or money is not None
    return Plan(min(asked, fit), board, thickness, gap, corner, piece if known else None, asked, fit)


def _fit(room: Room, corner: bool) -> int:
    """How many pieces the walls take between windows and doors, or its four upright corners."""
    length, width, height = room.size
    if corner:
        return 4 * max(int(height / absorbers.PANEL[1]), 1)
    openings = sum(side.area for side in room.sides if side.construction.kind in ("window", "door"))
    free = 2 * (length + width) * height - openings
    return int(0.8 * free / (absorbers.PANEL[0] * absorbers.PANEL[1]))


def board(name: str) -> Material:
    """A porous material by name or short name."""
    found = find(name)
    if found is None or found.flow_resistivity is None:
        raise InputError(
            f"--material: no porous material of this name (got {shown(name)}); write glass-fibre board, "
            "stone wool, polyester wool or open-cell foam"
        )
    return found
