"""Panels: how many, of what, how they hang, what they soak up; and a panel over the window, sealed or not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe.constructions import Construction
from isolate.describe.layers import Cavity
from isolate.describe.materials import Material, find
from isolate.describe.rooms import Option, Room, Side
from isolate.errors import InputError, shown
from isolate.physics import absorbers, reverberation, surfaces
from isolate.physics.absorption import Absorber, third_octaves
from isolate.physics.transmission import transmission
from isolate.remedies.cautions.facts import Hung
from isolate.remedies.remedy import Cost, Remedy, stated
from isolate.room.elements import BuiltSide, Finder
from isolate.room.scenario import Scenario

USUAL_COUNT, USUAL_BOARD, USUAL_THICKNESS = 12, "glass-fibre board", 0.05  # m
MOST = 1000
PIECE_COST = 60.0  # of a bought panel: invented
PIECE_AREA = absorbers.PANEL[0] * absorbers.PANEL[1]  # m2
FRAME_KG = 2.0  # wooden frame and cloth of a piece: common practice, no source
OPEN_ROUND = 0.025  # m between the wall and a panel that hangs like a picture


@dataclass(frozen=True)
class Plan:
    """What is hung up: `count` pieces of `board`, `thickness` and `gap` [m], on the walls or across the
    corners. `asked` is how many were wanted, `fit` how many the walls take; `piece_cost` of one, `invented`
    unless the user has stated it."""

    count: int
    board: Material
    thickness: float
    gap: float
    corner: bool
    piece_cost: float
    invented: bool
    asked: int
    fit: int

    @property
    def area(self) -> float:
        """Area [m2] of all pieces."""
        return self.count * PIECE_AREA

    @property
    def mass(self) -> float:
        """Mass [kg] of all pieces with their frames."""
        return self.area * self.thickness * self.board.density.typical + self.count * FRAME_KG

    @property
    def hung(self) -> Hung:
        """One piece, as cautions look at it."""
        return Hung(self.board, self.mass / self.count)

    @property
    def cost(self) -> Cost:
        """Cost of all pieces."""
        return replace(stated(self.count * self.piece_cost), invented=self.invented)

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

    @cached_property
    def alpha(self) -> Array:
        """Coefficient (27,) of a piece as it hangs."""
        return third_octaves(self.absorber)

    @property
    def added(self) -> Array:
        """Absorption area [m2] (27,) all of them add; less what they cover on a wall."""
        covered = 0.0 if self.corner else surfaces.alpha("plaster")
        return np.maximum(self.area * (self.alpha - covered), 0.0)

    @property
    def remedy(self) -> Remedy:
        """The panels as a change of the room."""
        return Remedy(
            "panels", self.name, Option(self.name, ""), cost=self.cost, mass=self.mass, absorbs=self.added,
            useful=False,
        )  # fmt: skip

    def covers(self, found: BuiltSide, *, sealed: bool) -> Remedy:
        """One of them over a window or door: hung like a picture, or sealed airtight all round."""
        side, each = found.side, self.mass / self.area
        loss = tight_loss(side, board=self.board, thickness=self.thickness)
        if not sealed:
            around = 2 * sum(side.size or (side.area**0.5,) * 2) * OPEN_ROUND
            loss = loose_loss(loss, open_share=min(around / side.area, 1.0))
        name = f"panel {'sealed ' if sealed else ''}over the {side.name}"
        price = self.piece_cost / PIECE_AREA * side.area
        return Remedy(
            "tight cover" if sealed else "cover", name, Option(name, side.name),
            cost=replace(stated(round(price)), invented=self.invented), mass=each * side.area, loss_db=loss,
            covers=True, useful=False,
        )  # fmt: skip


def boundary(room: Room) -> float:
    """Area [m2] of walls, floor and ceiling."""
    length, width, height = room.size
    return 2 * (length * width + length * height + width * height)


def of_surfaces(room: Room, lined: Sequence[tuple[str, float]]) -> Array:
    """Reverberation time [s] (27,) of a room lined with these surfaces [m2], plasterboard elsewhere."""
    total = boundary(room)
    rest = total - sum(area for _, area in lined)
    if rest < 0:
        raise InputError(
            f"surfaces: {total - rest:.1f} m2 in all, but walls, floor and ceiling have {total:.1f} m2"
        )
    area = sum((area * surfaces.alpha(name) for name, area in lined), rest * surfaces.alpha("plasterboard"))
    air = reverberation.air_attenuation(THIRD_OCTAVES)
    return reverberation.eyring(area / total, volume=room.volume, surface=total, air=air)


def planned(
    now: Scenario, *, material: str = USUAL_BOARD, thickness: float = USUAL_THICKNESS, gap: float = 0.0,
    corner: bool = False, count: int | None = None, money: float | None = None, price: float | None = None,
) -> Plan:  # fmt: skip
    """The panels that `count` or `money` buys, a dozen where neither is stated, as far as they fit.

    InputError where these do not go together.
    """
    if corner and gap:
        raise InputError("gap: panels across a corner hang off no wall; leave out gap or corner")
    if money is not None and count is not None:
        raise InputError("money: the count has said how many already; leave out one of them, or state price")
    piece = PIECE_COST if price is None else price
    if money is not None and not 1 <= money / piece < MOST:
        raise InputError(
            f"money: {money:g} buys no sane number of panels at {piece:g} each; state the count or a price"
        )
    asked = count if count is not None else USUAL_COUNT if money is None else math.floor(money / piece)
    fit = _fit(now.room, corner)
    if fit < 1:
        raise InputError(f"{now.room.name}: the walls leave no room for a panel of 0.6 m x 1.2 m")
    return Plan(min(asked, fit), board(material), thickness, gap, corner, piece, price is None, asked, fit)


def _fit(room: Room, corner: bool) -> int:
    """How many pieces the walls take between windows and doors, or its four upright corners."""
    length, width, height = room.size
    if corner:
        return 4 * max(int(height / absorbers.PANEL[1]), 1)
    openings = sum(side.area for side in room.sides if side.construction.kind in ("window", "door"))
    return int(0.8 * (2 * (length + width) * height - openings) / PIECE_AREA)


def board(name: str) -> Material:
    """A porous material by name or short name."""
    found = find(name)
    if found is None or found.flow_resistivity is None:
        raise InputError(
            f"material: no porous material of this name (got {shown(name)}); write glass-fibre board, "
            "stone wool, polyester wool or open-cell foam"
        )
    return found


def tight_loss(side: Side, *, board: Material, thickness: float) -> Array:
    """What a board sealed airtight in front of a side takes off [dB] (27,), glass or wood and all.

    The side's own gaps open behind the board, so what comes through them is weakened alike. Cloth is left
    out: sound passes through it.
    """
    finder = Finder()
    bare = finder.side(replace(side, gaps=(), inner_gaps=None))
    cover = Cavity(thickness, fill=board, fill_depth=thickness, framing="separate frames")
    layers = (*side.construction.layers, cover)
    covered = replace(bare.side, construction=replace(side.construction, layers=layers, measured=None))
    return finder.side(covered).tl_db - bare.tl_db


def loose_loss(tight_db: Array, *, open_share: float) -> Array:
    """What is left of a cover's loss [dB] (27,) when `open_share` of its area is open to the room.

    The open part lets through all that comes to it; where the cover alone would do harm (its resonance
    with the glass), the harm stays.
    """
    beside = -10 * np.log10((1 - open_share) * 10 ** (-np.asarray(tight_db, float) / 10) + open_share)
    return np.where(tight_db > 0, beside, tight_db)


def own_loss(board: Material, *, thickness: float) -> Array:
    """Transmission loss [dB] (27,) of a board alone, as a sheet without end; its cloth lets sound pass."""
    bare = Construction("panel", "panel", "sheet", (Cavity(thickness, fill=board, fill_depth=thickness),))
    return transmission(bare, size=(30.0, 30.0)).tl_db
