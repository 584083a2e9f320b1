"""What a construction stops: its transmission loss with limits, single numbers, paths and cautions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from isolate.answers import inputs
from isolate.answers.base import Answer
from isolate.answers.curve.why import Why, explain, ruling
from isolate.answers.plain import headed
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_levels, octave_tl
from isolate.describe import constructions, datasheet
from isolate.describe.constructions import Construction
from isolate.physics import buildings, floors
from isolate.physics.leaves import mass_law
from isolate.physics.stack import LAB_SIZE
from isolate.physics.transmission import transmission
from isolate.remedies.cautions.facts import Caution
from isolate.remedies.cautions.table import for_constructions
from isolate.room import prediction
from isolate.room.element_unknowns import beyond_model
from isolate.standards import impact, ratings
from isolate.standards.impact import ImpactNumbers
from isolate.standards.scales import speech_privacy

RATINGS = ("Rw", "C", "Ctr", "STC", "OITC")


def single_numbers(tl_db: Array) -> dict[str, int]:
    """Rw, C, Ctr, STC and OITC [dB] of a transmission loss (27,) [dB]."""
    c, ctr = ratings.adaptation(tl_db)
    values = (ratings.rw(tl_db), c, ctr, ratings.stc(tl_db), ratings.oitc(tl_db))
    return {name: int(value) for name, value in zip(RATINGS, values, strict=True)}


@dataclass(frozen=True)
class Impact:
    """A floor under the tapping machine: normalised level `l_n_db` (27,) [dB], its ratings, how far both may
    be off, `give_db`, nine times in ten (0: stated); `floating` [Hz], the resonance of what floats on it;
    `checked`: published values hold floors like it."""

    l_n_db: Array
    numbers: ImpactNumbers
    give_db: float
    floating: float | None
    checked: bool = True

    @property
    def octave_db(self) -> Array:
        """Levels per octave [dB] (9,)."""
        return octave_levels(self.l_n_db)

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "bands_hz": THIRD_OCTAVES,
            "l_n_db": self.l_n_db,
            "octave": {"bands_hz": OCTAVES, "l_n_db": self.octave_db},
            "ratings": self.numbers.to_dict(),
            "give_db": self.give_db,
            "floating_hz": self.floating,
        }


IMPACT_NOTE = (
    "footsteps: as a laboratory would find it; the walls of a house add 0 to 4 dB, and below 50 Hz single"
    " modes of floor and room decide, 10 dB either way"
)


STEPPED_NOTE = (
    "footsteps: the tapping machine's level as stated, by band between the heavy and the timber reference"
    " floor of ISO 717-2, as CI has it; half-way without, when feet may be 7 dB off either way"
)
UNCHECKED_NOTE = (
    "footsteps: no published values hold a floor like this one, hence the widest of the ranges told"
)


def _impact(construction: Construction) -> Impact | None:
    """What it does to footsteps, where it is a floor."""
    if not floors.walked_on(construction):
        return None
    floor = floors.of(construction)
    level = floor.tapped_db
    stated = construction.stepped is not None
    give, checked = (0.0, True) if stated else (1.645 * floor.sigma_db, floor.checked)
    return Impact(level, impact.rate(level), give, floor.floating, checked)


@dataclass(frozen=True, repr=False)
class Curve(Answer):
    """What a construction stops.

    `tl_db` (27,) transmission loss with its 5 % and 95 % limits `low_db`, `high_db`; `mass_law_db` of a limp
    sheet of the same mass (None without layers); `paths` name to transmission coefficient (27,), their sum is
    the whole; `resonances` mass-air-mass and `criticals` critical frequencies of the leaves [Hz];
    `surface_mass` [kg/m2], 0 when unknown; `rules` what rules each octave (empty without leaves);
    `why` explains it, None if nobody asked; `impact` of a floor.
    """

    construction: Construction
    tl_db: Array
    low_db: Array
    high_db: Array
    ratings: dict[str, int]
    paths: Mapping[str, Array]
    mass_law_db: Array | None
    surface_mass: float
    resonances: tuple[float, ...]
    criticals: tuple[float, ...]
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]
    rules: tuple[str, ...] = ()
    why: Why | None = None
    impact: Impact | None = None

    @property
    def vent(self) -> bool:
        """Whether it is a vent, whose `tl_db` is D_n,e: as 10 m2 of an element that stops as much."""
        return self.construction.kind == datasheet.VENT

    @property
    def octave_db(self) -> Array:
        """Transmission loss per octave [dB] (9,)."""
        return octave_tl(self.tl_db)

    @property
    def octave_limits_db(self) -> tuple[Array, Array]:
        """Its 5 % and 95 % limits [dB] (9,)."""
        return octave_tl(self.low_db), octave_tl(self.high_db)

    @property
    def beaten_from(self) -> float | None:
        """First rated band [Hz] in which it is better than anything measured in a building, None if none."""
        return buildings.beaten_from(self.tl_db)

    @property
    def speech(self) -> str:
        """What is left of speech behind it, in words."""
        return speech_privacy(self.ratings["STC"]).words

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        rated: dict[str, int | None] = {**self.ratings}
        if self.impact is not None:
            rated |= self.impact.numbers.to_dict()
        name = self.construction.name
        return [(name, what, float(value)) for what, value in rated.items() if value is not None]

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "bands_hz": THIRD_OCTAVES,
            "tl_db": self.tl_db,
            "low_db": self.low_db,
            "high_db": self.high_db,
            "octave": {"bands_hz": OCTAVES, "tl_db": self.octave_db},
            "ratings": self.ratings,
            "surface_mass_kg_m2": self.surface_mass or None,
            "resonances_hz": self.resonances,
            "criticals_hz": self.criticals,
            "measured": _measured(self.construction),
            "ruled_by": self.rules,
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        if self.why is not None:
            body["why"] = self.why.to_dict()
        if self.impact is not None:
            body["impact"] = self.impact.to_dict()
        return headed("curve", inputs.construction(self.construction), body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output, a row a third octave."""
        header = ["band_hz", "tl_db", "low_db", "high_db"]
        columns = (THIRD_OCTAVES, self.tl_db, self.low_db, self.high_db)
        return header, [list(row) for row in zip(*columns, strict=True)]


def _measured(construction: Construction) -> dict[str, Any] | None:
    measured = construction.measured
    if measured is None:
        return None
    return {"source": measured.source, "basis": measured.basis, "bands_hz": measured.bands_hz,
            "tl_db": measured.tl_db, "stc": measured.stc, "rw": measured.rw}  # fmt: skip


def _size(construction: Construction) -> tuple[str, ...]:
    """The note on the size that is taken where none is stated."""
    if construction.size is not None or not construction.layers:
        return ()
    width, height = LAB_SIZE[construction.kind]
    return (f"no size stated: {width:.2f} x {height:.2f} m, as a {construction.kind} is tested",)


def curve(construction: Construction | str, *, why: bool = False) -> Curve:
    """Answer: what does this construction stop?

    `construction`: described, or a name in the catalogue, a path, or inline text like
    "glass 4 mm + 100 mm + laminated 6.4 mm". `why`: explain it too.

    Raises
    ------
    InputError
        No such construction, or nothing to explain in one that is but a measurement.

    Examples
    --------
    >>> import isolate
    >>> found = isolate.predict("glass 4 mm")
    >>> round(found.surface_mass)  # 2.5 kg/m2 a millimetre
    10
    >>> abs(found.ratings["Rw"] - 29) <= 1  # EN 12758:2011, table 1: Rw 29 dB (from memory)
    True
    >>> list(found.to_frame().columns)
    ['band_hz', 'tl_db', 'low_db', 'high_db']
    """
    built = constructions.load(construction) if isinstance(construction, str) else construction
    found = transmission(built, size=built.size)
    materials, poor = beyond_model(built, size=built.size or LAB_SIZE[built.kind])
    low_db, high_db = prediction.limits(
        found.tl_db, prediction.of_curve(built, materials_db=materials), predicted=bool(built.layers)
    )
    low_db = np.minimum(low_db, np.maximum(found.tl_db + poor, 0.0))  # a seal that is none, a clip too stiff
    mass, trodden = float(np.squeeze(found.surface_mass)), _impact(built)
    apart = explain(built, found) if why else None
    return Curve(
        construction=built,
        tl_db=found.tl_db,
        low_db=low_db,
        high_db=high_db,
        ratings=single_numbers(found.tl_db),
        paths=found.tau,
        mass_law_db=mass_law(THIRD_OCTAVES, surface_mass=mass) if mass > 0 else None,
        surface_mass=mass,
        resonances=tuple(float(hz) for hz in found.resonances),
        criticals=tuple(sorted({float(hz) for hz in found.criticals if np.isfinite(hz)})),
        notes=(
            *built.notes,
            *((STEPPED_NOTE,) if built.stepped else ()),
            *_size(built),
            *found.notes,
            prediction.LOW_NOTE,
            *((IMPACT_NOTE,) if trodden else ()),
            *((UNCHECKED_NOTE,) if trodden and not trodden.checked else ()),
        ),
        cautions=for_constructions([("it", built, mass)]),
        rules=apart.rules if apart else ruling(built, found),
        why=apart,
        impact=trodden,
    )
