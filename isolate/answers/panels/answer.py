"""Why panels do not stop sirens: absorbing inside a room against keeping sound out of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.answers.base import Answer
from isolate.answers.panels import kinds as panels_kinds
from isolate.answers.panels import words as panels_words
from isolate.answers.panels.kinds import Kind, Reach
from isolate.answers.plain import headed
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, index_of, octave_tl
from isolate.describe import rooms, words
from isolate.describe.rooms import Noise, Room, Side
from isolate.physics import reverberation, surfaces, treatment
from isolate.physics.absorption import octaves, third_octaves
from isolate.remedies import panels as panels_plan
from isolate.remedies.cautions.facts import Caution, Change, Facts, Hung
from isolate.remedies.cautions.table import raised
from isolate.remedies.contrast import Remedies, State, a_second, own_loss, second, weak_side, with_second
from isolate.remedies.panels import Plan
from isolate.room import envelope as shell
from isolate.room import levels
from isolate.room.elements import SideFound
from isolate.room.envelope import Heard, Shell
from isolate.standards import ratings
from isolate.standards.weighting import dba

SPEECH_BAND = index_of(1000)


@dataclass(frozen=True)
class Outwards:
    """What the panels change for a neighbour: `own` sound heard by `neighbour`, softer by `drop_db`."""

    own: str
    neighbour: str
    drop_db: float


@dataclass(frozen=True, repr=False)
class PanelsAnswer(Answer):
    """The contrast; `weak` is the window or door dealt with.

    Arrays are (27,): `alpha` of a piece as it hangs; `before`, `sabine`, `eyring` reverberation times [s];
    `areas` absorption [m2] without and with the panels; `drop_db` what all levels in the room fall by;
    `own_db` transmission loss of a panel itself. `brief`: only the paragraph is told.
    """

    room: Room
    shell: Shell
    noise: Noise
    plan: Plan
    states: tuple[State, ...]
    weak: SideFound
    alpha: Array
    before: Array
    sabine: Array
    eyring: Array
    areas: tuple[Array, Array]
    drop_db: Array
    own_db: Array
    outwards: tuple[Outwards, ...]
    kinds: tuple[Kind, ...]
    reaches: tuple[Reach, ...]
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]
    brief: bool = False

    def state(self, key: str) -> State | None:
        """The state of this key, None when it does not apply here."""
        return next((state for state in self.states if state.key == key), None)

    @property
    def now(self) -> Heard:
        return self.states[0].heard

    @property
    def friend(self) -> str:
        """One paragraph for the friend who asks."""
        return panels_words.friend(self.noise.name, self.states, a_second(self.weak.side))

    @property
    def at_speech(self) -> dict[str, float]:
        """Before and after at 1 kHz: reverberation [s], distance [m] where direct sound leads, C50 [dB]."""
        band = SPEECH_BAND
        far = [float(treatment.reverberation_distance(area[band])) for area in self.areas]
        clear = [float(treatment.clearness(time[band])) for time in (self.before, self.eyring)]
        return {
            "reverberation_before_s": float(self.before[band]),
            "reverberation_after_s": float(self.eyring[band]),
            "direct_within_before_m": far[0],
            "direct_within_after_m": far[1],
            "clearness_before_db": clear[0],
            "clearness_after_db": clear[1],
        }

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return [(state.name, "gain_dba", state.gain_db) for state in self.states] + [
            (state.name, "inside_dba", state.heard.inside_dba) for state in self.states
        ]

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "friend": self.friend,
            "noise": self.noise.name,
            "panels": self._plan(),
            "outside_dba": self.now.outside_dba,
            "states": [_state(state) for state in self.states],
            "reverberation": {
                "bands_hz": THIRD_OCTAVES,
                "before_s": self.before,
                "after_sabine_s": self.sabine,
                "after_eyring_s": self.eyring,
            },
            "level_drop_db": self.drop_db,
            "outwards": [vars(one) for one in self.outwards],
            "listening": self.at_speech,
            "panel_itself": {
                "bands_hz": THIRD_OCTAVES,
                "tl_db": self.own_db,
                "octave": {"bands_hz": OCTAVES, "tl_db": octave_tl(self.own_db)},
                "Rw": int(ratings.rw(self.own_db)),
            },
            "absorbers": [kind.to_dict() for kind in self.kinds],
            "thicknesses": [reach.to_dict() for reach in self.reaches],
            "background_dba": float(dba(self.shell.background_db)),
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        return headed("panels", words.room_inputs(self.room), body)

    def _plan(self) -> dict[str, Any]:
        plan = self.plan
        return {
            "count": plan.count,
            "area_m2": plan.area,
            "mass_kg": plan.mass,
            "cost": plan.cost,
            "material": plan.board.name,
            "thickness_mm": plan.thickness * 1e3,
            "gap_mm": plan.gap * 1e3,
            "across_corners": plan.corner,
            "alpha": self.alpha,
            "octave_alpha": octaves(self.alpha),
        }

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: a quantity of something, a row a third octave."""
        columns: list[tuple[str, str, Array]] = [
            ("reverberation_s", "before", self.before),
            ("reverberation_s", "after, Sabine", self.sabine),
            ("reverberation_s", "after, Eyring", self.eyring),
            ("alpha", self.plan.name, self.alpha),
            *(("alpha", kind.name, kind.alpha) for kind in self.kinds),
            ("tl_db", "panel itself", self.own_db),
            ("outside_db", self.noise.name, self.now.outside_db),
            *(("inside_db", state.name, state.heard.inside_db) for state in self.states),
            *(("margin_db", state.name, state.heard.margin_db) for state in self.states),
        ]
        rows = [
            [quantity, what, band, value]
            for quantity, what, values in columns
            for band, value in zip(THIRD_OCTAVES, values, strict=True)
        ]
        return ["quantity", "what", "band_hz", "value"], rows


def _state(state: State) -> dict[str, Any]:
    return {
        "key": state.key,
        "name": state.name,
        "inside_dba": state.heard.inside_dba,
        "gain_dba": state.gain_db,
        "margin_db": state.heard.margin,
        "verdict": state.heard.verdict,
        "words": state.words,
        "inside_db": state.heard.inside_db,
        "area_m2": state.area,
        "mass_kg": state.mass,
        "cost": state.cost,
    }


def _outwards(room: Room, now: Shell, drop_db: Array) -> tuple[Outwards, ...]:
    """A-weighted, of what the walls that lead to each neighbour let by."""
    found = []
    for neighbour in room.neighbours:
        sides = [one for one in now.sides if one.side.name in neighbour.through]
        through = np.sum([one.tau * one.side.area for one in sides], axis=0)
        for own in room.own:
            there = levels.made_inside(own) + 10 * np.log10(through)
            found.append(Outwards(own.name, neighbour.name, float(dba(there) - dba(there - drop_db))))
    return tuple(found)


def panels(
    described: Room | str | None = None,
    *,
    noise: str | None = None,
    count: int | None = None,
    money: float | None = None,
    price: float | None = None,
    material: str = "glass-fibre board",
    thickness: float = 0.05,
    gap: float = 0.0,
    corner: bool = False,
    surfaces: Sequence[tuple[str, float]] = (),
) -> PanelsAnswer:
    """Answer: what would panels do against this noise, and what would the same money do elsewhere?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    noise : name of one of its noises; None: its siren, or its first.
    count : panels of 0.6 m by 1.2 m; None: as many as `money` buys, or a dozen.
    money : None: the cost of the room's own option for a second pane; price : of one panel.
    material, thickness [m], gap [m] to the wall, corner : the panels.
    surfaces : (name, area [m2]) of the room's surfaces, instead of its furnishing.

    Raises
    ------
    InputError
        A room, noise, material or sum of money that does not work.

    Examples
    --------
    >>> import isolate
    >>> found = isolate.panels(count=12)
    >>> gains = {name: gain for name, what, gain in found.quantities() if what == "gain_dba"}
    >>> gains["12 panels on the walls"] < 3  # unnoticed
    True
    >>> gains["second pane, 100 mm behind"] > 10  # half as loud
    True
    """
    built = described if isinstance(described, Room) else rooms.load(described)
    if surfaces:
        built = replace(built, reverberation_time=panels_plan.of_surfaces(built, surfaces))
    now = shell.of_room(built)
    chosen = panels_plan.chosen(built, noise)
    plan = panels_plan.planned(
        built,
        now,
        chosen,
        count=count,
        money=money,
        price=price,
        board=panels_plan.board(material),
        thickness=thickness,
        gap=gap,
        corner=corner,
    )
    return _answer(built, now, chosen, plan)


def hung(plan: Plan) -> tuple[Array, Array]:
    """Coefficient of a piece as it hangs, and the absorption area [m2] all of them add, (27,) both."""
    alpha = third_octaves(plan.absorber)
    wall = surfaces.alpha("plaster")  # what a piece covers
    return alpha, np.maximum(plan.area * (alpha - (0.0 if plan.corner else wall)), 0.0)


def _answer(room: Room, now: Shell, noise: Noise, plan: Plan) -> PanelsAnswer:
    alpha, added = hung(plan)
    treated = now.absorption + added
    before = room.reverberation_time
    if before is None:
        before = reverberation.of_furnishing(room.furnishing, size=room.size)
    air = reverberation.air_attenuation(THIRD_OCTAVES)
    eyring = treatment.eyring_after(
        before, added, volume=room.volume, surface=panels_plan.boundary(room), air=air
    )
    drop_db = treatment.level_drop(now.absorption, treated)
    cost = None if plan.cost is None else plan.cost / plan.area
    remedies = Remedies(
        room=room,
        now=now,
        noise=noise,
        board=plan.board,
        thickness=plan.thickness,
        absorption=treated,
        panels_name=plan.name,
        panels_area=plan.area,
        panels_mass=plan.mass,
        panels_cost=plan.cost,
        panel_cost=cost,
    )
    states = remedies.states()
    return PanelsAnswer(
        room=room,
        shell=now,
        noise=noise,
        plan=plan,
        states=states,
        weak=weak_side(now, states[0].heard),
        alpha=alpha,
        before=before,
        sabine=treatment.sabine_after(before, added, volume=room.volume),
        eyring=eyring,
        areas=(now.absorption, treated),
        drop_db=drop_db,
        own_db=own_loss(plan.board, thickness=plan.thickness),
        outwards=_outwards(room, now, drop_db),
        kinds=panels_kinds.compared(plan.board),
        reaches=panels_kinds.reaches(plan.board),
        notes=panels_words.notes(room, plan, eyring),
        cautions=raised(_facts(room, plan, states, weak_side(now, states[0].heard).side)),
    )


def _facts(room: Room, plan: Plan, states: tuple[State, ...], weak: Side) -> Facts:
    """What is hung and built: panels, the second layer, the inner room."""
    new = with_second(room, weak)
    pane = next((state for state in states if state.key == "pane"), None)
    changes = []
    if new is not None and pane is not None:
        changes.append(
            Change(
                second(weak) or pane.name,
                new.construction,
                weak.construction,
                added=(pane.mass or 0.0) / weak.area,
                area=weak.area,
                gaps=new.gaps,
                old_gaps=weak.gaps,
            )
        )
    return Facts(
        changes=tuple(changes),
        hung=(Hung(plan.board, plan.mass / plan.count),),
        inner_room=states[-1].mass,
        volume=room.volume,
    )
