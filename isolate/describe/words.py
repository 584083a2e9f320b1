"""What is built and what a change means, in words and as inputs to report."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.rooms import Background, Gap, Neighbour, Noise, Room, Vent
from isolate.units import millimetres, show_length

# Published practice (programmes of sound insulation; dB-change words of noise guidance): 1 dB goes unnoticed
# outside a laboratory, 3 dB is just noticed, 5 dB clearly, each 10 dB halves the loudness.
NOTICED_DB = 3.0
_CHANGES = (
    (30.0, "about an eighth as loud"), (20.0, "about a quarter as loud"), (15.0, "about a third as loud"),
    (10.0, "about half as loud"), (5.0, "clearly quieter"),
)  # fmt: skip
LIKELY = 1.0 / 3.0  # from this chance on what is not heard, as computed, is told as what may be


def with_article(name: str) -> str:
    """ "a second pane", "an independent ceiling"."""
    return f"{'an' if name[:1] in 'aeiou' else 'a'} {name}"


def hertz(value: float) -> str:
    """A frequency to three digits, in kHz from 1 kHz on."""
    return f"{value / 1000:.3g} kHz" if value >= 1000 else f"{value:.3g} Hz"


def change(gain_db: float) -> str:
    """What a drop of `gain_db` [dB] means to a listener.

    >>> change(2.0)
    'you will not notice this'
    """
    if gain_db <= -NOTICED_DB:
        return "louder than now"
    if gain_db < NOTICED_DB:
        return "you will not notice this"
    return next((words for limit, words in _CHANGES if gain_db >= limit), "just noticeable")


def listed(items: Sequence[str]) -> str:
    """Items as one reads them out.

    >>> listed(["tram", "siren", "van"])
    'tram, siren and van'
    """
    return " and ".join([", ".join(items[:-1]), items[-1]] if len(items) > 1 else items)


def leaf_mass(leaf: Leaf) -> float:
    """Surface mass [kg/m2] of all sheets of a leaf, an interlayer taken as the glass it stands in."""
    sheet = leaf.surface_mass or leaf.thickness * (leaf.density or leaf.material.density.typical)
    return leaf.sheets * sheet


def layer(part: Leaf | Cavity) -> str:
    """One layer in words."""
    if isinstance(part, Leaf):
        sheets = f"{part.sheets} x " if part.sheets > 1 else ""
        bond = f" ({part.bond})" if part.sheets > 1 else ""
        return f"{sheets}{millimetres(part.thickness)} {part.material.name}{bond}"
    words = [f"{millimetres(part.depth)} {part.gas if part.gas != 'air' else 'cavity'}"]
    if part.fill is not None:
        words.append(f"{millimetres(part.fill_depth)} {part.fill.name}")
    if part.framing is not None:
        centres = f" at {millimetres(part.spacing)}" if part.spacing else ""
        words.append(part.framing + centres)
    if part.edges == "absorbent":
        words.append("lined edges")
    return ", ".join(words)


def layer_both(part: Leaf | Cavity) -> str:
    """One layer in words, its depth in millimetres and inches."""
    length = part.thickness if isinstance(part, Leaf) else part.depth
    inches = show_length(length).partition(" (")[2].rstrip(")")
    return layer(part).replace(millimetres(length), f"{millimetres(length)} ({inches})", 1)


def layers(construction: Construction) -> str:
    """All layers in words, from the noisy side; "as measured" where there are none."""
    return " | ".join(layer(part) for part in construction.layers) or "as measured, no layers given"


def construction_inputs(construction: Construction) -> dict[str, Any]:
    """What of a construction went into an answer."""
    return {
        "construction": construction.name,
        "title": construction.title,
        "kind": construction.kind,
        "size_m": construction.size,
        "layers": [layer(part) for part in construction.layers],
    }


def gap_inputs(gap: Gap) -> dict[str, Any]:
    """A gap as inputs to report."""
    sizes = {"width_mm": gap.width * 1e3, "length_m": gap.length, "depth_mm": gap.depth * 1e3}
    return {"name": gap.name or None} | sizes


def _vent(vent: Vent) -> dict[str, Any]:
    parts = {
        "lining": vent.lining > 0.0,
        "box": vent.box is not None,
        "silencer": vent.insertion_db is not None,
        "tested": vent.tested,
    }
    return {
        "name": vent.name,
        "area_cm2": None if vent.area is None else vent.area * 1e4,
        "length_m": vent.length,
        "count": vent.count,
        "with": [part for part, there in parts.items() if there],
    }


def _neighbour(neighbour: Neighbour) -> dict[str, Any]:
    facade = neighbour.facade
    return {
        "name": neighbour.name,
        "through": neighbour.through,
        "background": background(neighbour.background),
        "size_m": neighbour.size,
        "distance_m": neighbour.distance,
        "facade": facade.construction.name if facade else None,
        "limits": [limit.text for limit in neighbour.limits],
    }


def background(stated: Background) -> str:
    """A background as it was stated."""
    if stated.value is None:
        return "as given per band"
    return f"{stated.value:g} dBA" if stated.kind == "A" else f"{stated.kind} {stated.value:g}"


def _noise(noise: Noise) -> dict[str, Any]:
    level = f"{noise.level.value:g} dB{noise.level.weighting.replace('Z', '')}" if noise.level else None
    return {
        "name": noise.name,
        "faces": noise.faces,
        "spectrum": noise.spectrum.name,
        "level": level,
        "at_m": noise.at,
        "distance_m": noise.distance,
        "indoors": noise.indoors,
        "hours": str(noise.hours) if noise.hours else None,
        "per_day": noise.per_day,
        "duration_s": noise.duration,
        "basis": noise.spectrum.basis,
    }


def room_inputs(room: Room) -> dict[str, Any]:
    """What of a room went into an answer."""
    sides = [
        {
            "name": side.name,
            "faces": side.faces,
            "area_m2": side.area,
            "gaps": [gap_inputs(gap) for gap in side.gaps],
            "vents": [_vent(vent) for vent in side.vents],
            "open": side.opened.typical if side.opened else None,
            "second": side.second.construction.name if side.second else None,
            "perhaps": [one.name for one in side.perhaps],
        }
        | construction_inputs(side.construction)
        for side in room.sides
    ]
    return {
        "room": room.name,
        "title": room.title,
        "size_m": room.size,
        "volume_m3": room.volume,
        "furnishing": room.furnishing if room.reverberation_time is None else None,
        "background": background(room.background),
        "backgrounds": {when: background(one) for when, one in room.backgrounds.items()},
        "sides": sides,
        "flanking": {word or "every other room": house.name for word, house in room.flanking.items()},
        "noises": [_noise(noise) for noise in room.noises],
        "own": [own.name for own in room.own],
        "neighbours": [_neighbour(one) for one in room.neighbours],
    }
