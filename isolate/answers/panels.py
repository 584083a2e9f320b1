"""Why panels do not stop sirens: absorbing inside a room against keeping sound out of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from isolate.answers import inputs
from isolate.answers.absorbers import Kind, Reach, compared, reaches
from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_tl
from isolate.describe import rooms
from isolate.describe.rooms import Room
from isolate.physics.absorption import octaves
from isolate.remedies import panels as hanging
from isolate.remedies.cautions.changes import facts
from isolate.remedies.cautions.facts import Caution
from isolate.remedies.cautions.table import raised
from isolate.remedies.contrast import Contrast, contrast, with_noise
from isolate.remedies.effect import Effect
from isolate.remedies.judgement.judgement import judge
from isolate.room import DRAWS, SEED, scenario
from isolate.room.received import Received
from isolate.room.scenario import Sampled
from isolate.standards import ratings
from isolate.standards.weighting import dba


@dataclass(frozen=True, repr=False, eq=False)
class PanelsAnswer(Answer):
    """The `contrast` of panels with what helps, and absorbers side by side."""

    contrast: Contrast
    kinds: tuple[Kind, ...]
    reaches: tuple[Reach, ...]

    @cached_property
    def own_db(self) -> Array:
        """Transmission loss of a panel itself [dB] (27,)."""
        return hanging.own_loss(self.contrast.plan.board, thickness=self.contrast.plan.thickness)

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """What may hurt of all that is told."""
        found = facts(
            self.contrast.scenario, [one for _, effect in self.contrast.effects for one in effect.remedies]
        )
        return raised(replace(found, hung=(self.contrast.plan.hung,)))

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        found = [("as it is", "inside_dba", self.contrast.now.dba)]
        for _, effect in self.contrast.effects:
            found.append((effect.name, "gain_dba", self.contrast.gain(effect)))
            found.append((effect.name, "inside_dba", self.contrast.then(effect).dba))
        return found

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "noise": self.contrast.noise.name,
            "panels": self._plan(),
            "outside_dba": self.contrast.now.made_dba,
            "states": [
                _state("now", "as it is", self.contrast.now, None),
                *(_state(key, one.name, self.contrast.then(one), one) for key, one in self.contrast.effects),
            ],
            "reverberation": {
                "bands_hz": THIRD_OCTAVES,
                "before_s": self.contrast.before,
                "after_sabine_s": self.contrast.sabine,
                "after_eyring_s": self.contrast.eyring,
            },
            "level_drop_db": self.contrast.drop_db,
            "outwards": [
                {"own": one.what, "neighbour": one.where, "drop_db": self.contrast.panels.gains[one.name]}
                for one in self.contrast.scenario.sounds
                if one.where
            ],
            "listening": self.contrast.at_speech,
            "panel_itself": {
                "bands_hz": THIRD_OCTAVES,
                "tl_db": self.own_db,
                "octave": {"bands_hz": OCTAVES, "tl_db": octave_tl(self.own_db)},
                "Rw": int(ratings.rw(self.own_db)),
            },
            "absorbers": [kind.to_dict() for kind in self.kinds],
            "thicknesses": [reach.to_dict() for reach in self.reaches],
            "background_dba": float(dba(self.contrast.scenario.envelope.background_db)),
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        return headed("panels", inputs.room(self.contrast.room), body)

    def _plan(self) -> dict[str, Any]:
        plan = self.contrast.plan
        return {
            "count": plan.count,
            "area_m2": plan.area,
            "mass_kg": plan.mass,
            "cost": plan.cost.counts.typical,
            "invented": plan.invented,
            "material": plan.board.name,
            "thickness_mm": plan.thickness * 1e3,
            "gap_mm": plan.gap * 1e3,
            "across_corners": plan.corner,
            "alpha": plan.alpha,
            "octave_alpha": octaves(plan.alpha),
        }

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: a quantity of something, a row a third octave."""
        then = [
            ("as it is", self.contrast.now),
            *((one.name, self.contrast.then(one)) for _, one in self.contrast.effects),
        ]
        columns: list[tuple[str, str, Array]] = [
            ("reverberation_s", "before", self.contrast.before),
            ("reverberation_s", "after, Sabine", self.contrast.sabine),
            ("reverberation_s", "after, Eyring", self.contrast.eyring),
            ("alpha", self.contrast.plan.name, self.contrast.plan.alpha),
            *(("alpha", kind.name, kind.alpha) for kind in self.kinds),
            ("tl_db", "panel itself", self.own_db),
            ("outside_db", self.contrast.noise.name, self.contrast.now.made_db),
            *(("inside_db", name, one.level_db) for name, one in then),
            *(("margin_db", name, one.margin_db) for name, one in then),
        ]
        rows = [
            [quantity, what, band, value]
            for quantity, what, values in columns
            for band, value in zip(THIRD_OCTAVES, values, strict=True)
        ]
        return ["quantity", "what", "band_hz", "value"], rows


def _state(key: str, name: str, heard: Received, effect: Effect | None) -> dict[str, Any]:
    cost = effect.cost if effect else None
    return {
        "key": key,
        "name": name,
        "inside_dba": heard.dba,
        "gain_dba": effect.gains[heard.name] if effect else 0.0,
        "margin_db": heard.margin,
        "verdict": heard.verdict,
        "chance_heard": heard.chance,
        "inside_db": heard.level_db,
        "mass_kg": effect.mass if effect else None,
        "cost": cost.counts.typical if cost else None,
        "costs": cost.to_dict() if cost else None,
    }


def panels(
    described: Room | str | None = None,
    *,
    noise: str | None = None,
    count: int | None = None,
    money: float | None = None,
    price: float | None = None,
    material: str = hanging.USUAL_BOARD,
    thickness: float = hanging.USUAL_THICKNESS,
    gap: float = 0.0,
    corner: bool = False,
    surfaces: Sequence[tuple[str, float]] = (),
    draws: int = DRAWS,
    seed: int = SEED,
) -> PanelsAnswer:
    """Answer: what would panels do against this noise, and what would keep it out?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    noise : name of one of its noises; None: its siren, or its first.
    count : panels of 0.6 m by 1.2 m; None: as many as `money` buys, or a dozen.
    money : None: a dozen; price : of one panel.
    material, thickness [m], gap [m] to the wall, corner : the panels.
    surfaces : (name, area [m2]) of the room's surfaces, instead of its furnishing.
    draws, seed : for the chances, as for a room.

    Raises
    ------
    InputError
        A room, noise, material or sum of money that does not work.

    Examples
    --------
    >>> import isolate
    >>> found = isolate.panels(count=12, draws=50)
    >>> found.contrast.gain(found.contrast.panels) < 3  # unnoticed
    True
    >>> found.contrast.gain(found.contrast.second) > 10  # half as loud
    True
    """
    built = described if isinstance(described, Room) else rooms.load(described)
    if surfaces:
        built = replace(built, reverberation_time=hanging.of_surfaces(built, surfaces))
    built, chosen = with_noise(built, noise)
    now = scenario.present(built)
    plan = hanging.planned(
        now, count=count, money=money, price=price, material=material, thickness=thickness, gap=gap,
        corner=corner,
    )  # fmt: skip
    judged = judge(now, sampled=Sampled(built, seed=seed, count=draws))
    return PanelsAnswer(contrast(judged, chosen, plan), compared(plan.board), reaches(plan.board))
