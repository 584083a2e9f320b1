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
        0.03, "1", "loss factor a board gains from screws, joints and studs",
        "0.02 to 0.05 total for gypsum board walls (handbooks, from memory)", "stud walls, boards",
    ),
    "bare_edge_absorption": Constant(
        0.3, "1", "absorption coefficient of the edges of an empty cavity",
        "0.1 to 0.5 in published double-leaf models (from memory)", "empty cavities",
    ),
    "lined_edge_absorption": Constant(
        0.8, "1", "absorption coefficient of an absorbent reveal", "0.6 to 1.0", "lined reveals",
    ),
    "channel_stiffness": Constant(
        2.0e5, "N/m2", "dynamic stiffness of a resilient channel per metre",
        "1e5 to 5e5 (from memory)", "resilient channel walls",
    ),
    "clip_stiffness": Constant(
        1.0e5, "N/m", "dynamic stiffness of one resilient clip", "0.5e5 to 3e5 (from memory)", "nothing yet",
    ),
    "steel_stud_stiffness": Constant(
        1.0e6, "N/m2", "dynamic stiffness of a 0.5 mm steel stud between its flanges per metre",
        "2e5 to 1e7 (from memory)", "steel stud walls",
    ),
    "screw_stiffness": Constant(
        3.0e7, "N/m", "local stiffness of board and screw at a fixing", "1e7 to 1e8 (contact of a 4 mm head)",
        "stud walls above coincidence",
    ),
    "tie_stiffness": Constant(
        5.0e6, "N/m", "axial dynamic stiffness of a wire wall tie", "1e6 to 3e7 (from memory)", "cavity brick",
    ),
}  # fmt: skip


def value(name: str) -> float:
    """The value of a calibrated constant, SI units; KeyError if there is none of that name."""
    return CONSTANTS[name].value
