"""Absorbers side by side: what each takes in by band, its ratings, and from which frequency it works."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from isolate.bands import Array
from isolate.describe.materials import Material, material
from isolate.describe.words import millimetres
from isolate.physics import absorbers
from isolate.physics.absorption import Absorber, half_from, octaves, third_octaves
from isolate.standards.absorption_ratings import AbsorptionRating, rate_absorption

SAMPLE = (3.0, 3.6)  # [m], within the 10 to 12 m2 of ISO 354
THICKNESSES = (0.025, 0.05, 0.075, 0.1, 0.15, 0.2)


@dataclass(frozen=True)
class Kind:
    """One absorber, `about` its layers. `alpha` (27,) of a test sample of 10.8 m2, as data sheets give it, or
    of the piece itself across a corner, where there is no such test and no `rating`."""

    name: str
    about: str
    alpha: Array
    rating: AbsorptionRating | None

    @property
    def half_from(self) -> float | None:
        """Frequency [Hz] from which it takes in more than half of what meets it, None if it never does."""
        return half_from(self.alpha)

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        rating = self.rating or AbsorptionRating()
        return {
            "name": self.name,
            "about": self.about,
            "alpha": self.alpha,
            "octave_alpha": octaves(self.alpha),
            "alpha_w": rating.alpha_w,
            "shape": rating.shape,
            "class": rating.absorber_class,
            "nrc": rating.nrc,
            "saa": rating.saa,
            "half_from_hz": self.half_from,
        }


@dataclass(frozen=True)
class Reach:
    """From which frequency [Hz] a `thickness` [m] of board takes in more than half: as `piece` of usual size
    on the wall, the same `spaced` off it by its own thickness, and with the `whole` wall lined."""

    thickness: float
    piece: float | None
    spaced: float | None
    whole: float | None

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        return {
            "thickness_mm": self.thickness * 1e3,
            "piece_hz": self.piece,
            "spaced_hz": self.spaced,
            "whole_wall_hz": self.whole,
        }


def tested(name: str, about: str, absorber: Absorber) -> Kind:
    """An absorber as a test on 10.8 m2 of it would find it."""
    alpha = third_octaves(replace(absorber, size=SAMPLE))
    return Kind(name, about, alpha, rate_absorption(alpha))


def compared(board: Material) -> tuple[Kind, ...]:
    """The usual absorbers, boards of `board` first."""
    foam, wool = material("open-cell foam"), material("stone wool")
    cloth = f"{board.name} in cloth"
    corner = third_octaves(absorbers.corner_board(board, thickness=0.1))
    return (
        *(
            tested(f"board {millimetres(t)}", f"{cloth} on the wall", absorbers.board(board, thickness=t))
            for t in (0.025, 0.05, 0.1)
        ),
        tested(
            "board 50 + 50 air",
            f"50 mm {cloth}, 50 mm off the wall",
            absorbers.board(board, thickness=0.05, gap=0.05),
        ),
        Kind(
            "board 100 corner",
            f"100 mm {cloth}, 0.6 m across a corner, which nobody has measured below 100 Hz",
            corner,
            None,
        ),
        tested("foam 50 mm", f"{foam.name} on the wall", absorbers.board(foam, thickness=0.05)),
        tested(
            "velour curtain",
            "0.5 kg/m2 in folds, half as much again as it covers, 100 mm from the wall",
            absorbers.curtain(surface_mass=0.5, fullness=1.5),
        ),
        tested("carpet", "8 mm pile on 6 mm underlay", absorbers.carpet(pile=0.008, underlay=0.006)),
        tested(
            "vinyl box 100 mm",
            "limp vinyl of 5 kg/m2 over a 100 mm box, half full of wool",
            absorbers.membrane(wool, surface_mass=5.0, depth=0.1, fill=0.05),
        ),
    )


def reaches(board: Material) -> tuple[Reach, ...]:
    """How low each thickness of `board` reaches."""
    return tuple(
        Reach(
            thickness,
            piece=half_from(third_octaves(absorbers.board(board, thickness=thickness))),
            spaced=half_from(third_octaves(absorbers.board(board, thickness=thickness, gap=thickness))),
            whole=half_from(third_octaves(absorbers.board(board, thickness=thickness, size=None))),
        )
        for thickness in THICKNESSES
    )
