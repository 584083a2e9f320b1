"""Other ways to play: what each takes off the air and off the floor, and what it asks of the player."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isolate.bands import index_of
from isolate.describe import impacts, rooms
from isolate.describe.hours import DAY, NIGHT, Hours
from isolate.describe.rooms import Background, Neighbour, Own
from isolate.physics import impact
from isolate.remedies import playing
from isolate.remedies.playing import Way
from isolate.room import levels
from isolate.room.elements import Element
from isolate.room.impact import STRUCTURE
from isolate.room.received import received
from isolate.standards.weighting import dba

STONE = np.full(27, 1e-6)  # mobility [m/(N s)] of a slab


def own(name: str) -> Own:
    found = [one for room in ("drum room", "demo") for one in rooms.load(room).own if name in one.name]
    return found[0]


def by_name(sound: Own, floor: np.ndarray | None = STONE) -> dict[str, Way]:
    return {one.name: one for one in playing.ways(sound, floor)}


def test_half_as_loud_is_ten_decibels() -> None:
    """To the ear (ISO 532, sones); it asks most by day of what may be asked, since it changes the music."""
    soft = by_name(own("drum kit"))["half as loud"]
    assert np.all(soft.air_db == 10.0) and np.all(soft.floor_db == 10.0) and not soft.builds
    assert soft.asks == 3 and soft.whole == "drum kit half as loud"


def test_quieter_kits_have_the_levels_they_are_sold_for() -> None:
    """Mesh heads some 80 dBA, rubber pads 70, electronic kits 60 (from memory); their pedal 3 dB softer."""
    kit = own("drum kit")
    loud = float(dba(levels.made_inside(kit)))
    found = by_name(kit)
    for name, level in (("mesh heads and quiet cymbals", 80.0), ("rubber practice pads", 70.0),
                        ("electronic kit", 60.0)):  # fmt: skip
        way = found[name]
        then = float(dba(levels.made_inside(kit) - way.air_db))
        assert then == pytest.approx(level, abs=1.0) and np.all(way.floor_db == 3.0) and way.asks == 2
        assert loud - then > 20.0 and ("headphones" in way.needs) == (name == "electronic kit")
        assert way.whole == f"{name} in place of the drum kit"
    assert "electronic kit on platform on inner tubes" in " ".join(found)


def test_headphones_are_for_what_comes_out_of_loudspeakers() -> None:
    """60 dB and more are left of a loudspeaker that is off."""
    found = by_name(own("bass guitar"))
    assert np.all(found["headphones"].air_db == 60.0) and found["headphones"].items == ("headphones",)
    assert "headphones" not in by_name(own("drum kit")) and "electronic kit" not in found


def test_mounts_are_for_what_stands_on_a_floor() -> None:
    found = by_name(own("drum kit"))
    mounts = [way for way in found.values() if way.only_floor]
    assert mounts and all(way.asks == 0 and way.builds for way in mounts)
    assert not [way for way in by_name(own("drum kit"), None).values() if way.builds]
    one = mounts[0]
    np.testing.assert_array_equal(one.into_floor(), one.floor_db + one.mount_db)
    np.testing.assert_array_equal(one.into_floor(floats=True), one.floor_db)


def test_a_mount_does_what_a_mass_on_a_spring_does_up_to_25_db() -> None:
    """On a rigid floor the force falls by (f/f0)^2 - 1: 19 dB at 100 Hz of 31.6 Hz; stands and
    cables leave 25 dB (common practice)."""
    found = playing.mount_db(
        resonance_hz=100.0 / 10**0.5, mass=100.0, floor_mobility=np.full(27, 1e-12), loss=0.05
    )
    assert found[index_of(100)] == pytest.approx(20 * np.log10(9.0), abs=0.6)  # 1/((f/f0)^2 - 1)
    assert found.max() == 25.0 and found[index_of(1000)] == 25.0 and found[index_of(31.5)] < 0.0
    assert found[index_of(125)] < 25.0


def test_under_a_floor_that_gives_way_a_mount_does_nothing() -> None:
    """|Y_s + Y_f|^2/|Y_s + Y_f + Y_m|^2 is 1 where the floor's mobility is much larger than the mount's."""
    found = playing.mount_db(resonance_hz=10.0, mass=100.0, floor_mobility=np.full(27, 10.0), loss=0.05)
    assert found == pytest.approx(np.zeros(27), abs=0.05)


def test_a_mount_carries_what_stands_on_it_and_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """The platform's own mass counts too; where nobody says what stands there, the usual load is all."""
    carried: list[float] = []
    monkeypatch.setattr(playing, "mount_db", lambda **how: carried.append(how["mass"]) or np.ones(27))
    kit = own("drum kit")
    mounts = [one for one in impacts.mounts() if {x.name for x in kit.floor} & set(one.under)]
    by_name(replace(kit, mass=80.0))
    assert mounts and carried == [80.0 + one.mass for one in mounts]
    carried.clear()
    by_name(replace(kit, mass=None))
    assert carried == [one.load for one in mounts]


def test_played_another_way_is_a_sound_like_any_other() -> None:
    """10 dB off the air and 4 off the floor: parts of 0.8 and 0.2 leave 0.08 and 0.0796. It is made by 10 dB
    softer, and the floor then has 6 dB more of what is made, so that all that passes still adds up."""
    spectrum = np.full(27, 60.0)
    air, floor = (
        Element(name, name, kind, np.full(27, tau), np.ones(27))
        for name, kind, tau in (("wall", "construction", 0.8), ("floor", STRUCTURE, 0.2))
    )
    to = Neighbour("flat", ("wall",), Background("A", 20.0))
    kit = own("drum kit")
    now = received(kit, spectrum, (air, floor), transfer_db=0.0, background_db=np.zeros(27), neighbour=to)
    way = Way(kit.name, "softer", np.full(27, 10.0), np.full(27, 4.0), np.zeros(27))
    then = playing.played(now, way)
    left = (0.08, 0.2 * 10**-0.4)
    assert then.level_db == pytest.approx(60.0 + 10 * np.log10(sum(left)))
    assert then.part[:, 5] == pytest.approx([one / sum(left) for one in left])
    assert then.made_db == pytest.approx(spectrum - 10.0)
    again = received(kit, then.made_db, then.elements, transfer_db=0.0, background_db=np.zeros(27))
    assert again.level_db == pytest.approx(then.level_db) and again.part == pytest.approx(then.part)


def test_a_third_octave_is_read_over_its_width() -> None:
    """15 points from 10^-0.0467 to 10^0.0467 of its middle, the middles of 15 equal parts of 10^(1/10)."""
    parts = 10 ** ((np.arange(15) - 7) / 15 / 10)
    assert pytest.approx(parts) == playing.WITHIN
    f0, mass = 100.0, 50.0
    stiff = impact.stiffness_for(mass=mass, resonance_hz=f0)
    assert stiff == pytest.approx(mass * (2 * np.pi * f0) ** 2, rel=1e-6)


def test_hours_ask_least_by_day_and_most_at_night() -> None:
    none = np.zeros(27)
    for hours, asks in ((DAY, 1), (NIGHT, 4), (Hours(20.0, 23.0), 1)):
        way = Way("x", "only from", none, none, none, place="", hours=hours)
        assert way.asks == asks and way.to_dict()["hours"] == str(hours)
