"""The envelope of a room, of bare numbers: what faces a word, what flanks, steps above and walls below."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES
from isolate.describe import constructions, impacts, noises
from isolate.describe.constructions import Construction, Measured
from isolate.describe.materials import material
from isolate.describe.room_parts import Flank
from isolate.describe.rooms import Background, Noise, Room, Side
from isolate.room import envelope, scenario
from isolate.room.scenario import Sampled

FLAT = replace(noises.load("pink noise"), level_db=np.full(27, 60.0), level=None)
BRICK, SLAB = constructions.load("brick 102 mm"), constructions.load("concrete slab 150 mm")
STEPS = Noise("steps", "above", FLAT, impact=impacts.find("shoes"))


def measured(tl_db: float) -> Construction:
    """A wall that stops the same in every band."""
    curve = Measured("made for the test", "own", THIRD_OCTAVES, np.full(27, tl_db))
    return Construction(f"flat {tl_db:g}", f"flat {tl_db:g} dB", "wall", (), None, curve)


def room(*sides: Side, **changes: object) -> Room:
    """50 m3 and T 0.5 s."""
    described = Room(
        name="plain", title="plain", size=(5.0, 4.0, 2.5), furnishing="furnished",
        reverberation_time=np.full(27, 0.5), background=Background("A", 25.0), sides=sides,
        noises=(Noise("noise", "street", FLAT),),
    )  # fmt: skip
    return replace(described, **changes)  # type: ignore[arg-type]


def flank(name: str, faces: str, made_of: Construction = BRICK) -> Flank:
    return Flank(name, faces, made_of, "rigid cross", 2.5, 10.0, 10.0)


def test_sides_that_face_one_word_stop_what_they_do_by_area() -> None:
    """8 m2 of 40 dB and 2 m2 of 30 dB: 8e-4 + 2e-3 = 2.8e-3 m2 of 10, which is 35.5 dB."""
    found = envelope.of_room(
        room(Side("wall", "street", measured(40.0), 8.0), Side("window", "street", measured(30.0), 2.0))
    )
    assert found.composite("street") == pytest.approx(35.53, abs=0.01)


def test_what_flanks_belongs_to_the_word_it_faces() -> None:
    sides = (Side("wall", "next", BRICK, 10.0), Side("ceiling", "above", SLAB, 20.0))
    flanks = (flank("floor", "next", SLAB), flank("front", "above"))
    found = envelope.of_room(room(*sides, flanks=flanks, noises=()))
    names = {word: {one.name for one in house.paths} for word, house in found.flanking.items()}
    assert names == {"next": {"floor"}, "above": {"front"}}
    assert found.walls["above"].near is not None
    lone = envelope.of_room(room(*sides, flanks=(flank("floor", "next", SLAB),), noises=()))
    assert set(lone.flanking) == {"next"}


def test_a_floor_rests_on_the_walls_of_its_room_where_nothing_flanks() -> None:
    """Of brick, 102 mm; what flanks next door and the ceiling itself bear nothing of it."""
    sides = (Side("wall", "next", BRICK, 10.0), Side("ceiling", "above", SLAB, 20.0))
    density = material("brick").density.typical
    for flanks in ((), (flank("floor", "next", SLAB),)):
        found = envelope.of_room(room(*sides, flanks=flanks, noises=())).walls["above"]
        assert found.mass == pytest.approx(0.102 * density)
        assert found.near is None
    heavier = flank("side", "above", constructions.load("brick 225 mm"))
    walls = envelope.of_room(room(*sides, flanks=(heavier,), noises=())).walls["above"]
    assert walls.mass == pytest.approx(0.225 * density)


@pytest.mark.parametrize(("hung_db", "less_db"), [(0.0, 0.0), (12.0, 12.0), (40.0, 28.0)])
def test_an_inner_shell_takes_of_steps_what_it_takes_of_sound_in_the_air(
    hung_db: float, less_db: float
) -> None:
    """At most 28 dB: something touches (judgement)."""
    now = envelope.of_room(room(Side("ceiling", "above", SLAB, 20.0), noises=(STEPS,)))
    then = now.replaced(now.sides[0].weakened(hung_db))
    assert now.hear(STEPS).level_db - then.hear(STEPS).level_db == pytest.approx(less_db)


def test_limits_of_a_side_are_of_what_it_may_be_made_of() -> None:
    """2 m2 of 40 dB, perhaps of 60: Rw from near the one to near the other, laboratories' scatter besides."""
    wall = Side("wall", "street", measured(40.0), 2.0, perhaps=(measured(60.0),))
    described = room(wall)
    sure = Sampled(described, count=200).sure(scenario.present(described))
    assert sure is not None
    low, high = sure.rw["wall"]
    assert 34.0 < low < 41.0 and 59.0 < high < 66.0
