"""What is not known of a room, in words, and how to find it out.

The ways to find out are common practice, no source. A flame before a pane shows two reflections for each pane
behind it, one of each face. A bank card is 0.76 mm thick (ISO/IEC 7810, from memory), office paper 0.1 mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from isolate.describe import datasheet
from isolate.describe.materials import Material, find
from isolate.physics.responses import WORKMANSHIP


@dataclass(frozen=True)
class Unknown:
    """Something not known exactly: `key` (one for all that goes by it), `words` for it, `how` one finds it
    out, empty where nothing can be found out beforehand."""

    key: str
    words: str
    how: str = ""

    @property
    def knowable(self) -> bool:
        """Whether it can be found out."""
        return bool(self.how)

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"unknown": self.words, "how_to_find_out": self.how or None}


_ASK = f"Ask the seller for {datasheet.ASK}."
_CARDS = (
    "Slide things in until one just fits: office paper is 0.1 mm, a bank card 0.8 mm; a lamp on the other "
    "side at night shows where. Then write its width."
)
_MEASURE = (
    "Play noise on one side, record both, ask isolate measure, and name the measured curve in the file."
)
_PANES = (
    "Hold a flame or a small torch before it at night: two reflections for each pane, the further apart the "
    "thicker it is; one of another hue is a coating. Laminated glass says so in the stamp in its corner."
)
_WALLS = (
    "Knock (hollow or dead), look for studs with a magnet, measure its thickness at a door, and look into a "
    "hole drilled for a socket, the power off."
)
_WEIGH = (
    "Weigh an offcut, or read density or mass on the label of a sheet or bag, and write it with the layer."
)


def background(word: str = "") -> Unknown:
    """How quiet it is between the noises; `word` says where or when."""
    where = f" {word}" if word else ""
    how = (
        "Record it for an hour at that time and ask isolate survey; write the levels it gives into the file."
    )
    return Unknown(f"background{where}", f"how quiet it is{where or ' in the room'}", how)


def source(name: str, *, indoors: bool, own: bool = False) -> Unknown:
    """How loud a noise is where it comes from, and of what pitch."""
    if own:
        how = (
            "Record it in the room with a meter's reading beside it: isolate survey gives its levels by band."
        )
        return Unknown(f"source: {name}", f"the level and pitch of your {name}", how)
    where = "next door" if indoors else "at the open window"
    how = f"Record it {where}, a meter beside it: isolate survey --blocks gives its levels by band."
    return Unknown(f"source: {name}", f"the level and pitch of {name}", how)


def events(name: str) -> Unknown:
    """What differs from one event to the next."""
    return Unknown(f"events: {name}", f"one {name} is not like the next")


def prediction(side: str) -> Unknown:
    """What a side stops in truth."""
    return Unknown(f"prediction: {side}", f"what the {side} stops, as it is built", _MEASURE)


def sheet(side: str) -> Unknown:
    """What the single numbers of a data sheet leave open."""
    return Unknown(f"sheet: {side}", f"what the data sheet of the {side} leaves out", _ASK)


def gap(name: str) -> Unknown:
    """How wide a gap is; `name` of its path."""
    return Unknown(f"gap: {name}", f"how wide the gap is ({name})", _CARDS)


def opening(name: str) -> Unknown:
    """How far something stands open."""
    return Unknown(
        f"opening: {name}", f"how far it stands open ({name})", "Measure the open slit, write its area."
    )


def vent(name: str) -> Unknown:
    """What a vent lets through."""
    how = "Look for D_n,e in the vent's data and write it, or close it for a minute and listen what goes."
    return Unknown(f"vent: {name}", f"what the vent lets through ({name})", how)


def flanking(name: str) -> Unknown:
    """What comes round through the structure."""
    how = "Put an ear on floor, walls and ceiling while it sounds; isolate measure counts it in."
    return Unknown(f"flanking: {name}", f"what comes round through the structure ({name})", how)


def floor(name: str) -> Unknown:
    """What goes into a floor and through it."""
    how = "Stand below while somebody plays or walks with all else silent: a recording there settles it."
    return Unknown(f"floor: {name}", f"what goes through the floor ({name})", how)


def reverberation(whose: str) -> Unknown:
    """How much a room absorbs."""
    how = "Record some claps: isolate measure --decay gives the reverberation time; write reverberation_time."
    return Unknown(f"reverberation: {whose}", f"how much {whose} absorbs", how)


def make(side: str, kind: str, *, tell: str = "") -> Unknown:
    """Which of several constructions a side is; `tell`: how one tells what its everyday word means."""
    how = tell or (_PANES if kind == "window" else _WALLS)
    return Unknown(f"make: {side}", f"what the {side} is made of", how)


def workmanship(constant: str) -> Unknown:
    """How a calibrated constant is on site."""
    how = {
        "wire_tie_stiffness": "Look into the cavity through a drilled joint: wires or flat strips.",
        "strip_tie_stiffness": "Look into the cavity through a drilled joint: wires or flat strips.",
        "sash_joint": "Shut the frame on a strip of paper: it should be held all round.",
        "clip_stiffness": "Read the maker's dynamic stiffness, or count the clips.",
        "frame_seals": "Shut the window on a strip of paper: it should be held all round.",
        "sliding_joint": "Feel for draught along the brushes on a windy day.",
        "sealed_joint": "Look along the sealant: no gaps, none torn off the glass or the frame.",
        "channel_leg": "Look for screws that reach a stud: unscrew one near a stud and see how long it is.",
    }[constant]
    return Unknown(f"workmanship: {constant}", f"how it was built: {WORKMANSHIP[constant]}", how)


def material(name: str) -> Unknown:
    """How heavy, stiff and damped a material is; `name` of it."""
    found = find(name)
    return Unknown(f"material: {name}", *_of_material(found, name))


def _of_material(found: Material | None, name: str) -> tuple[str, str]:
    if found is None or found.interlayer or name in ("glass", "acrylic"):
        return f"how well its edges damp the {name}", _MEASURE
    if found.family == "porous":
        return (
            f"how dense the {name} is",
            "Read its density on the label, or weigh a piece; pick the one that fits.",
        )
    return f"how heavy and stiff the {name} is", _WEIGH


def of_key(key: str) -> Unknown:
    """The unknown behind the key of a response."""
    return workmanship(key) if key in WORKMANSHIP else material(key.rpartition(".")[0])
