"""What goes straight into floors, of bare numbers: how loud a blow is below, how sure, and by which way."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from isolate.bands import index_of
from isolate.describe import constructions, noises
from isolate.describe.impacts import Impact
from isolate.describe.rooms import Noise, Own, Side
from isolate.physics.flanking_rooms import Walls
from isolate.physics.floors import Floor
from isolate.room import impact

LARGE = 60.0  # m3
AREA = np.full(27, 10.0)  # m2: L_n
FLOOR = Floor(np.full(27, 1e-9), np.full(27, 1e-6), float("inf"), 300.0, heavy=True)
BLOWS = Impact("b", "blows", "feet", np.full(27, 10.0), None, 2.0, 3.0, "", "estimate", 5.0, 1e6)
HUM = Impact("h", "hum", "loudspeaker", None, np.full(27, -40.0), 0.0, 3.0, "", "estimate")
MADE = np.full(27, 80.0)
FAST_DB = 6.836  # L_Fmax less L_E where it rings for 0.5 s: 11.27 (0.603 - 0.175), k = 27.6 1/s (IEC 61672-1)


def test_a_blow_below_by_its_force_and_the_floors_power() -> None:
    """1e-9 W/N2 into 10 m2 is 10 lg(1e3 0.4) = 26.0 dB over the force; two blows a second add 3.0 dB."""
    one = 10.0 + 10 * math.log10(400)
    mean = impact.mean_db(BLOWS, MADE, FLOOR, absorption=AREA, volume=LARGE)
    assert mean == pytest.approx(one + 3.01, abs=0.01)
    loudest = impact.loudest_db(BLOWS, FLOOR, absorption=AREA, time=np.full(27, 0.5), volume=LARGE)
    assert loudest == pytest.approx(one + FAST_DB, abs=0.01)


def test_a_steady_sound_below_by_what_it_presses_on_the_floor() -> None:
    """80 dB in the room is 40 dB of force, and 26.0 dB more below."""
    level = impact.mean_db(HUM, MADE, FLOOR, absorption=AREA, volume=LARGE)
    assert level == pytest.approx(40.0 + 26.02, abs=0.01)


@pytest.mark.parametrize("one", [BLOWS, HUM])
def test_a_small_room_is_quieter_where_it_has_no_modes(one: Impact) -> None:
    """Below 50 m3, by judgement: 8 dB to 40 Hz, 4 from 50 to 80 Hz, none from 100 Hz on."""
    large, small = (
        impact.mean_db(one, MADE, FLOOR, absorption=AREA, volume=volume) for volume in (LARGE, 40.0)
    )
    less = [(large - small)[index_of(f)] for f in (25, 40, 50, 80, 100, 5000)]
    assert less == pytest.approx([8.0, 8.0, 4.0, 4.0, 0.0, 0.0])


def test_how_sure_a_blow_is_by_person_floor_and_single_modes() -> None:
    """3 dB from one to the next, 2.5 of a slab, and 6 of single modes up to 50 Hz: squares add."""
    found = impact.sigma_db(BLOWS, FLOOR)
    assert found[index_of(50)] == pytest.approx(math.sqrt(9.0 + 6.25 + 36.0))
    assert found[index_of(63)] == found[-1] == pytest.approx(math.sqrt(9.0 + 6.25))


def test_the_loudest_moment_of_blows_from_their_mean() -> None:
    """Four a second are 6.0 dB over one, which reads 6.8 dB more than its energy; what is steady stays."""
    quick = replace(BLOWS, per_second=4.0)
    assert impact.loudest_of(MADE, quick, np.full(27, 0.5)) == pytest.approx(73.98 + FAST_DB, abs=0.01)
    assert impact.loudest_of(MADE, HUM, np.full(27, 0.5)) == pytest.approx(80.0)


def test_footsteps_are_told_under_a_bare_slab() -> None:
    """A floor of L_n 72 dB under the tapping machine, 0.91 f of N2, radiates 1e-12 10/4 10^7.2 W of it (ISO
    717-2's heavy floor at 1 kHz); a soft foot of 10 dB re 1 N2 s gives that much less the machine's force.
    """
    noise = Noise("steps", "above", noises.load("pink noise"), impact=BLOWS)
    slab = Side("ceiling", "above", constructions.load("concrete slab 150 mm"), 12.0, (4.0, 3.0))
    time = np.full(27, 0.5)
    under, (steps,) = impact.footsteps(noise, [slab], absorption=AREA, time=time, volume=LARGE)
    expected = 10.0 + 72.0 - 10 * math.log10(0.91 * 1000) + FAST_DB
    assert under[index_of(1000)] == pytest.approx(expected, abs=0.03)
    floor = impact.struck(slab)
    alone = impact.loudest_db(BLOWS, floor, absorption=AREA, time=time, volume=LARGE)
    assert under + 10 * np.log10(steps.tau_area) == pytest.approx(alone)
    assert (steps.name, steps.kind) == ("ceiling: footsteps", impact.STRUCTURE)
    assert steps.sigma_db[[index_of(50), index_of(63)]] == pytest.approx([math.hypot(2.5, 6.0), 2.5])
    # walls that radiate as much as the floor itself: 3 dB more
    walls = Walls(400.0, near=np.ones(27), far=np.zeros(27))
    _, (more,) = impact.footsteps(noise, [slab], absorption=AREA, time=time, volume=LARGE, walls=walls)
    assert 10 * np.log10(more.tau_area / steps.tau_area) == pytest.approx(10 * math.log10(2))


@pytest.mark.parametrize(("word", "expected"), [("floor", 3.01), ("ceiling", -10.0), ("wall", -5.0)])
def test_a_neighbour_hears_the_floor_by_where_he_is(word: str, expected: float) -> None:
    """Below with walls that radiate as much again; above 10 and beside 5 dB less (ISO 12354-2, simplified),
    whatever walls are below; what stands under the pedal takes off its own."""
    slab = Side("floor", "below", constructions.load("concrete slab 150 mm"), 12.0, (4.0, 3.0))
    to = Side(word, "there", constructions.load("brick 102 mm"), 12.0, (4.0, 3.0))
    own = Own("drum", noises.load("pink noise"), floor=(BLOWS,))
    walls = Walls(400.0, near=np.zeros(27), far=np.ones(27))

    def level(gain_db: float) -> np.ndarray:
        (one,) = impact.out_of_the_room(
            own, slab, [to], made_db=MADE, transfer_db=np.full(27, -10.0), absorption=AREA, volume=LARGE,
            gain_db=gain_db, walls=walls,
        )  # fmt: skip
        return np.asarray(80.0 - 10.0 + 10 * np.log10(one.tau_area))

    alone = impact.mean_db(BLOWS, MADE, impact.struck(slab), absorption=AREA, volume=LARGE)
    assert level(0.0) - alone == pytest.approx(expected, abs=0.01)
    assert level(7.0) - alone == pytest.approx(expected - 7.0, abs=0.01)
