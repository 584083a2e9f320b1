"""The constants that published laboratory rows had to set, all in one place.

Each is a physical quantity that nobody states with a specimen. They are fitted only on the calibration
table of published specimens (`tests/published/measured_calibration.csv`), never on one specimen.

Physics reads them through `value`, so that the same wall can be predicted with others and what a
prediction rests on can be told:

>>> with using(channel_leg=0.05), reading() as names:
...     value("channel_leg")
0.05
>>> sorted(names)
['channel_leg']
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import NamedTuple


class Constant(NamedTuple):
    """A calibrated value with its unit, meaning, the range found in literature and what set it.

    low, high: that range in numbers, about 90 % of what is found; without them the value is taken as known
    to a factor of three (`isolate accuracy --leave-one-out`).
    """

    value: float
    unit: str
    meaning: str
    literature: str
    set_on: str
    low: float | None = None
    high: float | None = None


CONSTANTS: dict[str, Constant] = {
    "pane_mounting_loss": Constant(
        0.02, "1", "loss factor a pane gains from putty, gasket and frame",
        "total loss factors of mounted panes 0.01 to 0.05 (handbooks, from memory)", "single glass",
        low=0.01, high=0.05,
    ),
    "pane_strip_stiffness": Constant(
        4.5e7, "N/m2", "dynamic stiffness per metre of the putty or gasket that holds the edge of a pane",
        "1e7 to 1e8: 10 to 20 MPa, 10 mm wide, 2 to 10 mm thick on both sides", "panes, single and double",
        low=1e7, high=1e8,
    ),
    "pane_strip_loss": Constant(
        0.4, "1", "loss factor of putty, gasket and sealant", "0.3 to 1.0 (handbooks, from memory)",
        "single glass", low=0.3, high=1.0,
    ),
    "pane_edge_friction": Constant(
        0.1, "1", "share of a bending wave's power lost at an edge in turning and rubbing",
        "none found", "single glass at 100 to 200 Hz", low=0.03, high=0.2,
    ),
    "reveal_absorption": Constant(
        0.12, "1", "absorption coefficient of bare spacers and reveals at the edge of a cavity between "
        "panes, far above 250 Hz",
        "0.1 to 0.5 in published double-leaf models (from memory)", "insulating units, wide windows",
        low=0.05, high=0.5,
    ),
    "reveal_absorption_bass": Constant(
        0.4, "1", "the same far below 250 Hz, where panes swing against each other",
        "0.1 to 0.5 in published double-leaf models (from memory)",
        "whole windows, a trial on a copy; no derivation is known",
        low=0.1, high=0.5,
    ),
    "pane_link": Constant(
        6.5e5, "N/m", "modulus times width of what holds two panes apart at their edges, spacer or frame",
        "1e5 to 2e6: sealant of 5 to 20 MPa beside a metal bar; wood across the grain (from memory)",
        "insulating units and wide windows at 2 to 4 kHz",
        low=1e5, high=2e6,
    ),
    "sash_joint": Constant(
        0.5e-3, "m", "width of the joint round a frame that opens, when closed",
        "0.1 to 0.7 mm: air permeability 3 to 50 m3/(h m2) at 100 Pa, EN 12207",
        "windows in frames of their own",
        low=0.1e-3, high=0.7e-3,
    ),
    "sealed_joint": Constant(
        0.05e-3, "m", "width of the joint round a pane that is shut for good with sealant",
        "0.02 mm closed all round to 0.5 mm, where sealant has come off, as a frame that is only shut "
        "(common practice, no source)", "nothing yet", low=0.02e-3, high=0.5e-3,
    ),
    "sliding_joint": Constant(
        0.35e-3, "m", "width of the slit that leaks as much as the brushes of sashes that slide",
        "0.2 to 0.45 mm: air permeability 3 to 9 m3/(h m2) at 100 Pa, EN 12207 classes 4 and 3 (from memory)",
        "nothing: the middle of the classes", low=0.2e-3, high=0.45e-3,
    ),
    "frame_reduction": Constant(
        31.5, "dB", "transmission loss at 100 Hz of frame and sash of 30 kg/m2, per area seen from the front",
        "29 to 35: between a wide wall of that mass and a strip of its width", "nothing: a trial on a copy",
        low=29.0, high=35.0,
    ),
    "frame_seals": Constant(
        41.5, "dB", "transmission loss of the seals and corners of a shut window, re its frame's area",
        "37 to 45: windows with the strongest glass reach Rw 44 to 48 (from memory)",
        "nothing: a trial on a copy", low=37.0, high=45.0,
    ),
    "liner_mass": Constant(
        4.0, "kg/m", "mass of what both frames of a wide window are fixed to, per metre of reveal",
        "2 to 10: boards of 20 mm with beads, softwood, to a sub-frame (common practice, no source)",
        "nothing: a trial on a copy", low=2.0, high=10.0,
    ),
    "liner_stiffness": Constant(
        3e7, "N/m2", "stiffness of its fixings to the wall, per metre of reveal",
        "1e7 to 1e8: screws and packing every 0.4 m (assumed)", "nothing: a trial on a copy",
        low=1e7, high=1e8,
    ),
    "liner_loss": Constant(
        0.5, "1", "loss factor of its fixings", "0.2 to 0.8: timber on packing and foam (assumed)",
        "nothing: a trial on a copy", low=0.2, high=0.8,
    ),
    "board_mounting_loss": Constant(
        0.055, "1", "loss factor a board gains from screws, joints and studs",
        "0.02 to 0.07 total for gypsum board walls (handbooks, from memory)", "stud walls, boards",
        low=0.02, high=0.07,
    ),
    "bare_edge_absorption": Constant(
        0.5, "1", "absorption coefficient of the edges of an empty cavity",
        "0.1 to 0.5 in published double-leaf models (from memory)", "empty cavities",
        low=0.1, high=0.5,
    ),
    "lined_edge_absorption": Constant(
        0.8, "1", "absorption coefficient of an absorbent reveal", "0.6 to 1.0", "lined reveals",
        low=0.6, high=1.0,
    ),
    "channel_leg": Constant(
        0.032, "m", "effective length of the leg by which a resilient channel hangs on a stud",
        "0.03 to 0.06: static stiffness 1e5 to 5e5 N/m2", "resilient channel walls",
        low=0.03, high=0.06,
    ),
    "steel_stud_gap": Constant(
        0.05e-3, "m", "air between board and flange of a steel stud from screw to screw",
        "0.03 to 0.15 mm: roughness of paper and of knurled steel (from memory)", "steel studs above 500 Hz",
        low=0.03e-3, high=0.15e-3,
    ),
    "lattice_to": Constant(
        500.0, "Hz", "up to where studs are a lattice; from an octave above they are bridges, each by itself",
        "own choice: bending waves of boards die down between studs from 300 Hz to 1 kHz",
        "stud walls", low=315.0, high=800.0,
    ),
    "half_way": Constant(
        3.0, "dB", "change by ties at which three leaves and more are half way between untied and rigid",
        "own choice, between two limits", "nothing yet", low=1.5, high=6.0,
    ),
    "channel_loss": Constant(
        0.6, "1", "loss factor of a channel's slotted leg, with the friction of its fixings",
        "none found", "resilient channel walls",
    ),
    "clip_stiffness": Constant(
        1.0e5, "N/m", "dynamic stiffness of one resilient clip", "0.5e5 to 3e5 (from memory)", "nothing yet",
        low=0.5e5, high=3e5,
    ),
    "wire_tie_stiffness": Constant(
        3.0e6, "N/m", "axial dynamic stiffness of one wall tie of bent wire",
        "1.7e6 (butterfly) to 5e6 (double triangle), 50 mm cavity (Hopkins, 2007, from memory)",
        "nothing: the middle of what was found", low=1.7e6, high=1e7,
    ),
    "strip_tie_stiffness": Constant(
        4.5e7, "N/m", "axial dynamic stiffness of one wall tie of flat steel strip",
        "2e7 to 9e7, vertical twist (Hopkins, 2007, from memory)",
        "nothing: the middle of what was found", low=2e7, high=9e7,
    ),
    "block_joint_loss": Constant(
        0.05, "1", "loss factor that walls of aerated block gain from joints and pores",
        "0 to 0.06: total 0.02 to 0.07 of aerated block (from memory)", "aircrete walls",
        low=0.0, high=0.06,
    ),
    "tie_loss": Constant(
        0.5, "1", "loss factor of wall ties in their mortar", "0.05 to 0.5 (from memory)", "cavity brick",
        low=0.05, high=0.5,
    ),
    "wool_loss": Constant(
        0.1, "1", "loss factor of the skeleton of a wool board that carries a screed",
        "0.05 to 0.2 (from memory)", "nothing", low=0.05, high=0.2,
    ),
    "edge_loss_least": Constant(
        0.4, "Hz^0.5", "least loss factor by the edges of a heavy leaf, times the root of frequency",
        "0.3 asked of laboratories by ISO 10140-5 (from memory); 0.41 to 0.77 in ISO 12354-1:2017 annex L",
        "nothing: the least in annex L", low=0.3, high=0.55,
    ),
    "edge_loss_most": Constant(
        0.57, "Hz^0.5", "largest loss factor by the edges of a heavy leaf, times the root of frequency",
        "0.41 to 0.77 in ISO 12354-1:2017 annex L (read); 1 by Craik, 1.65 where annex C ends (memory)",
        "nothing: the mean of the three elements of annex L", low=0.41, high=1.65,
    ),
    "structure_mass": Constant(
        700.0, "kg/m2", "mass of the walls and floors that a heavy wall or slab stands in",
        "200 to 1400: half-brick walls to test frames of 600 mm of concrete (ISO 12354-1 annex C)",
        "brick and concrete from 200 kg/m2 up",
        low=200.0, high=1400.0,
    ),
}  # fmt: skip


_other: ContextVar[dict[str, float]] = ContextVar("other constants", default={})  # noqa: B039 (never mutated)
_read: ContextVar[set[str] | None] = ContextVar("constants read", default=None)


def value(name: str) -> float:
    """The value of a calibrated constant, SI units; KeyError if there is none of that name."""
    read = _read.get()
    if read is not None:
        read.add(name)
    stated = CONSTANTS[name].value
    return _other.get().get(name, stated)


def others() -> Mapping[str, float]:
    """The constants that have other values now."""
    return _other.get()


def stand(constants: Mapping[str, float]) -> bool:
    """Whether these constants have these values now, and as good as read then."""
    others = _other.get()
    if any(others.get(name, CONSTANTS[name].value) != known for name, known in constants.items()):
        return False
    read = _read.get()
    if read is not None:
        read.update(constants)
    return True


@contextmanager
def using(**others: float) -> Iterator[None]:
    """Within it, these constants have other values; KeyError for a name that is none."""
    for name in others:
        CONSTANTS[name]
    token = _other.set({**_other.get(), **others})
    try:
        yield
    finally:
        _other.reset(token)


@contextmanager
def reading() -> Iterator[set[str]]:
    """Within it, the names of the constants that are read are gathered in the set it gives."""
    names: set[str] = set()
    around = _read.get()
    token = _read.set(names)
    try:
        yield names
    finally:
        _read.reset(token)
        if around is not None:
            around.update(names)
