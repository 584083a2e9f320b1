"""What went into an answer, as data to report with it."""

from __future__ import annotations

from typing import Any

from isolate.describe import words
from isolate.describe.constructions import Construction
from isolate.describe.rooms import Gap, Neighbour, Noise, Room, Vent


def construction(built: Construction) -> dict[str, Any]:
    """What of a construction went into an answer."""
    return {
        "construction": built.name,
        "title": built.title,
        "kind": built.kind,
        "size_m": built.size,
        "layers": [words.layer(part) for part in built.layers],
    }


def gap(one: Gap) -> dict[str, Any]:
    """A gap as inputs to report."""
    sizes = {"width_mm": one.width * 1e3, "length_m": one.length, "depth_mm": one.depth * 1e3}
    return {"name": one.name or None} | sizes


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
        "background": words.background(neighbour.background),
        "size_m": neighbour.size,
        "distance_m": neighbour.distance,
        "facade": facade.construction.name if facade else None,
        "limits": [limit.text for limit in neighbour.limits],
    }


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
        "sounds_like": noise.sounds_like,
        "hours": str(noise.hours) if noise.hours else None,
        "per_day": noise.per_day,
        "duration_s": noise.duration,
        "basis": noise.spectrum.basis,
    }


def room(built: Room) -> dict[str, Any]:
    """What of a room went into an answer."""
    sides = [
        {
            "name": side.name,
            "faces": side.faces,
            "area_m2": side.area,
            "gaps": [gap(one) for one in side.gaps],
            "vents": [_vent(vent) for vent in side.vents],
            "open": side.opened.typical if side.opened else None,
            "second": side.second.construction.name if side.second else None,
            "perhaps": [one.name for one in side.perhaps],
        }
        | construction(side.construction)
        for side in built.sides
    ]
    return {
        "room": built.name,
        "title": built.title,
        "size_m": built.size,
        "volume_m3": built.volume,
        "furnishing": built.furnishing if built.reverberation_time is None else None,
        "background": words.background(built.background),
        "backgrounds": {when: words.background(one) for when, one in built.backgrounds.items()},
        "sides": sides,
        "flanking": {word or "every other room": house.name for word, house in built.flanking.items()},
        "noises": [_noise(noise) for noise in built.noises],
        "own": [own.name for own in built.own],
        "neighbours": [_neighbour(one) for one in built.neighbours],
    }
