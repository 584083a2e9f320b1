"""The constants that published laboratory rows had to set, all in one place.

Each is a physical quantity that nobody states with a specimen. They are fitted only on the calibration
table of published specimens (`tests/published/measured_calibration.csv`), never on one specimen.
"""

from __future__ import annotations

from typing import NamedTuple


class Constant(NamedTuple):
    """A calibrated value with its unit, meaning, the range found in literature and what set it."""

    value: float
    unit: str
    meaning: str
    literature: str
    set_on: str


CONSTANTS: dict[str, Constant] = {
    "pane_mounting_loss": Constant(
        0.02, "1", "loss factor a pane gains from putty, gasket and frame",
        "total loss factors of mounted panes 0.01 to 0.05 (handbooks, from memory)", "single glass",
    ),
    "board_mounting_loss": Constant(
        0.05, "1", "loss factor a board gains from screws, joints and studs",
        "0.02 to 0.07 total for gypsum board walls (handbooks, from memory)", "stud walls, boards",
    ),
    "bare_edge_absorption": Constant(
        0.3, "1", "absorption coefficient of the edges of an empty cavity",
        "0.1 to 0.5 in published double-leaf models (from memory)", "empty cavities",
    ),
    "bay_edge_absorption": Constant(
        0.18, "1", "absorption coefficient of the edges of an empty bay between studs", "0.1 to 0.3",
        "empty stud walls",
    ),
    "lined_edge_absorption": Constant(
        0.8, "1", "absorption coefficient of an absorbent reveal", "0.6 to 1.0", "lined reveals",
    ),
    "channel_leg": Constant(
        0.055, "m", "effective length of the bending leg of a resilient channel",
        "0.03 to 0.06: static stiffness 1e5 to 5e5 N/m2", "resilient channel walls",
    ),
    "steel_stud_leg": Constant(
        0.042, "m", "effective length of flange and web that bend in a steel stud",
        "0.025 to 0.06: stiffness 2e5 to 2e6 N/m2 at 0.5 mm (from memory)", "steel stud walls",
    ),
    "channel_loss": Constant(
        0.5, "1", "loss factor of a channel's slotted leg, with the friction of its fixings",
        "none found", "resilient channel walls",
    ),
    "steel_stud_loss": Constant(0.2, "1", "loss factor of a steel stud in a wall", "0.02 to 0.2", "steel studs"),
    "clip_stiffness": Constant(
        1.0e5, "N/m", "dynamic stiffness of one resilient clip", "0.5e5 to 3e5 (from memory)", "nothing yet",
    ),
    "tie_stiffness": Constant(
        5.0e6, "N/m", "axial dynamic stiffness of a wire wall tie", "1e6 to 3e7 (from memory)", "cavity brick",
    ),
}  # fmt: skip


def value(name: str) -> float:
    """The value of a calibrated constant, SI units; KeyError if there is none of that name."""
    return CONSTANTS[name].value
