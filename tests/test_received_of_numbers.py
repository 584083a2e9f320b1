"""A sound as it is received, of bare numbers: how loud, how sure, by which way, alone and with others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES, index_of
from isolate.describe import noises, rooms
from isolate.describe.hours import Hours
from isolate.describe.rooms import Background, Neighbour, Noise, Own
from isolate.room import prediction
from isolate.room.cases import Cases
from isolate.room.chances import Drawn
from isolate.room.contributions import Contribution, Flat, Pitch
from isolate.room.elements import Element
from isolate.room.impact import STRUCTURE
from isolate.room.often import often
from isolate.room.received import Received, gains, harmed, octave_gains, received, together
from isolate.room.scenario import gain_limits

FLAT = replace(noises.load("pink noise"), level_db=np.full(27, 60.0), level=None, spread_db=4.0)
TO = Neighbour("flat", ("wall",), Background("A", 20.0))


def only(hz: float, level: float = 40.0) -> np.ndarray:
    """A level in one band, and next to nothing in all others."""
    return np.where(np.arange(27) == index_of(hz), level, -200.0)


def sound(
    *tau: float, level: np.ndarray | None = None, sigmas: Sequence[float] = (), kinds: Sequence[str] = (),
    own: bool = False,
) -> Received:  # fmt: skip
    """A sound of 50 dB, or of `level`, through elements of these tau S; nothing off it else."""
    each = [
        Element(f"way {i}", f"side {i % 2}", kind, np.full(27, one), np.full(27, sigma))
        for i, (one, sigma, kind) in enumerate(
            zip(tau, sigmas or [1.0] * len(tau), kinds or ["construction"] * len(tau), strict=True)
        )
    ]
    made = np.full(27, 50.0) if level is None else level
    return received(
        Own("drum", FLAT) if own else Noise("tram", "street", FLAT), made, each, transfer_db=0.0,
        background_db=np.full(27, -50.0), neighbour=TO if own else None,
    )  # fmt: skip


def test_what_elements_let_through_adds_up() -> None:
    """50 dB through 0.8 and 0.2 m2 into 1 m2: 50 dB, four fifths of it by the first."""
    one = sound(0.8, 0.2)
    assert one.level_db == pytest.approx(50.0)
    assert one.part == pytest.approx(np.array([[0.8], [0.2]]) + np.zeros(27))
    assert one.share == pytest.approx([0.8, 0.2]) and one.strongest == 0
    assert one.by_side == pytest.approx({"side 0": 0.8, "side 1": 0.2})
    weaker = received(
        one.source, one.made_db, one.elements, transfer_db=0.0, background_db=one.background_db,
        exposure_db=(-10.0, 0.0),
    )  # fmt: skip
    assert weaker.level_db == pytest.approx(50.0 + 10 * np.log10(0.08 + 0.2)) and weaker.strongest == 1
    three = sound(0.4, 0.3, 0.3)
    assert three.by_side == pytest.approx({"side 0": 0.7, "side 1": 0.3})


def test_without_the_strongest_and_with_it_alone() -> None:
    """0.5, 0.3 and 0.2: half of it (3 dB) without the first, of which 0.6 and 0.4 are the others'."""
    one = sound(0.5, 0.3, 0.2)
    rest = one.without_strongest
    assert rest is not None and rest.level_db == pytest.approx(50.0 + 10 * np.log10(0.5))
    assert rest.part[:, 0] == pytest.approx([0.6, 0.4])
    assert [x.name for x in rest.elements] == ["way 1", "way 2"]
    assert one.ceiling.level_db == pytest.approx(50.0 + 10 * np.log10(0.5))
    assert [x.name for x in one.ceiling.elements] == ["way 0"]
    middle = sound(0.2, 0.5, 0.3).without_strongest
    assert middle is not None and [x.name for x in middle.elements] == ["way 0", "way 2"]
    shut = replace(one, part=np.where(np.arange(27) == 3, np.array([[1.0], [0.0], [0.0]]), one.part))
    assert shut.without_strongest is not None
    assert shut.without_strongest.part.sum(0) == pytest.approx(1.0)  # where nothing is left of it too
    two = sound(0.7, 0.3).without_strongest
    assert two is not None and [x.name for x in two.elements] == ["way 1"]
    assert sound(0.5).without_strongest is None


def test_bass_is_c_less_a() -> None:
    """IEC 61672-1: A -26.2 and C -0.8 dB at 63 Hz, both 0 at 1 kHz."""
    assert sound(1.0, level=only(63)).bass_db == pytest.approx(25.4, abs=0.05)
    assert sound(1.0, level=only(1000)).bass_db == pytest.approx(0.0, abs=0.05)
    assert sound(1.0, level=only(1000)).dba == pytest.approx(40.0, abs=0.05)


def test_limits_of_a_level_without_draws() -> None:
    """In one band: two independent ways of 0.8 x 2 and 0.2 x 4 dB, the noise itself 4: variances add, and
    nine tenths lie within 1.645 standard deviations of a normal."""
    one = sound(0.8, 0.2, level=only(1000), sigmas=(2.0, 4.0))
    sigma = np.sqrt(1.6**2 + 0.8**2 + 4.0**2)
    assert one.sigma_db == pytest.approx(sigma)
    assert one.limits_dba == pytest.approx((one.dba - 1.645 * sigma, one.dba + 1.645 * sigma))
    for limit, side in zip(one.limits_db, (-1, 1), strict=True):
        assert limit == pytest.approx(one.level_db + side * 1.645 * sigma)
    heard = np.hypot(sigma, prediction.BACKGROUND_DB)
    assert one.margin_sigma_db == pytest.approx(heard)
    assert one.margin_limits == pytest.approx((one.margin - 1.645 * heard, one.margin + 1.645 * heard))


def test_the_band_that_sticks_out_most() -> None:
    one = replace(sound(1.0), background_db=np.where(np.arange(27) == index_of(500), 20.0, 45.0))
    assert one.plainest_hz == 500.0 and one.margin == pytest.approx(one.margin_db[index_of(500)])


def test_by_air_and_by_the_floor() -> None:
    """A fifth by the floor: 7.0 dB less than the whole, and 1.0 dB less by the air."""
    one = sound(0.8, 0.2, kinds=("construction", STRUCTURE), own=True)
    assert one.by(structure=True) == pytest.approx(50.0 + 10 * np.log10(0.2))
    assert one.by(structure=False) == pytest.approx(50.0 + 10 * np.log10(0.8))
    assert one.to_dict()["structure_dba"] == pytest.approx(one.dba - 6.99, abs=0.01)
    alone = sound(1.0, own=True)
    assert alone.to_dict()["structure_dba"] is None


def test_sounds_together_and_what_they_gain() -> None:
    """Twice 40 dBA are 43.0; of nothing there is nothing."""
    one = sound(1.0, level=only(1000))
    assert together([one, one]) == pytest.approx(one.dba + 10 * np.log10(2.0))
    assert together([]) == float("-inf")
    softer = replace(one, level_db=one.level_db - 6.0)
    assert gains([one], [softer]) == {"tram": pytest.approx(6.0)}
    assert octave_gains(sound(1.0), replace(sound(1.0), level_db=np.full(27, 44.0))) == pytest.approx(6.0)


def test_an_octave_that_gets_louder_is_named() -> None:
    old = sound(1.0)
    louder = replace(old, level_db=old.level_db + np.where(np.abs(THIRD_OCTAVES - 125) < 40, 2.0, 0.0))
    assert harmed(old, louder) == ((125.0, pytest.approx(2.0)),)


def test_a_noise_is_heard_as_often_as_it_is_drawn_over_the_background_of_its_hours() -> None:
    """Of 30 buses from 5 to 8 o'clock a third comes at night; 33 of 99 draws are (33 + 1/2)/100 by day, and
    all but none at night, where no other background is stated."""
    noise = Noise("bus", "street", FLAT, per_day=30.0, hours=Hours(5.0, 8.0))
    levels = np.full(99, 50.0)
    drawn = Drawn(levels, levels, {"day": np.where(np.arange(99) < 33, 1.0, -1.0)}, None)
    one = replace(sound(1.0), source=noise, drawn=drawn)
    room = SimpleNamespace(backgrounds={"day": Background("A", 30.0)})
    found = often(room, one)  # type: ignore[arg-type]
    assert [(x.when, x.part, x.chance) for x in found.times] == [
        ("day", pytest.approx(2 / 3), pytest.approx(0.335)),
        ("night", pytest.approx(1 / 3), pytest.approx(0.995)),
    ]  # fmt: skip
    assert found.heard_per_day == pytest.approx(30.0 * (0.335 * 2 + 0.995) / 3)
    by_day = often(room, replace(one, source=replace(noise, hours=Hours(8.0, 9.0))))  # type: ignore[arg-type]
    assert [x.when for x in by_day.times] == ["day"]
    plain = often(room, replace(one, drawn=None)).times[0]  # type: ignore[arg-type]
    assert plain.chance == pytest.approx(prediction.chance_above(plain.margin, one.margin_sigma_db))
    assert plain.margin < one.margin  # the street hides some of it
    assert often(room, replace(one, source=replace(noise, per_day=None))).heard_per_day is None  # type: ignore[arg-type]


def test_what_was_recorded_is_surer_than_what_is_stated() -> None:
    """The level, the course over bands of a noise by heart alone, a background, a room by its time."""

    def parts(basis: str) -> list[Contribution]:
        spectrum = replace(FLAT, basis=basis)
        return [*Cases(rooms.load("demo"))._source("tram", spectrum, np.full(27, 50.0))]

    stated, heart, recorded = parts("read"), parts("memory"), parts("own")
    assert [type(one) for one in stated] == [type(one) for one in heart] == [Flat, Flat, Pitch]
    assert [type(one) for one in recorded] == [Flat, Flat]
    assert {one[0].sigma_db for one in (stated, heart, recorded)} == {FLAT.spread_db}  # type: ignore[union-attr]
    assert recorded[1].sigma_db < stated[1].sigma_db == heart[1].sigma_db  # type: ignore[union-attr]
    assert stated[2].sigma_db < heart[2].sigma_db  # type: ignore[union-attr]
    cases = Cases(rooms.load("demo"))
    by_word, by_time = (cases._absorbed(f"{time}", time)[0] for time in (None, np.full(27, 0.5)))
    assert np.all(by_time.sigma_db < by_word.sigma_db)  # type: ignore[union-attr]
    word, band = Background("A", 20.0), Background("bands", level_db=np.full(27, 20.0))
    said, read = (cases.background(f"{i}", one)[0] for i, one in enumerate((word, band)))
    assert read.sigma_db < said.sigma_db == 3.0  # type: ignore[union-attr]


def test_limits_of_a_gain_are_those_of_its_draws() -> None:
    """70 and 60 dB are 70.41 dB together, in every draw, of which 60 are left."""
    loud, soft = (replace(sound(1.0), drawn=Drawn(np.full(20, dba), np.zeros(20))) for dba in (70.0, 60.0))
    assert gain_limits([loud, soft], [soft]) == pytest.approx((10.41, 10.41), abs=0.01)
    spread = replace(loud, drawn=Drawn(np.linspace(65.0, 75.0, 101), np.zeros(101)))
    even = replace(soft, drawn=Drawn(np.full(101, 60.0), np.zeros(101)))
    assert gain_limits([spread], [even]) == pytest.approx((5.5, 14.5))
    assert np.isnan(gain_limits([loud], [sound(1.0)])).all()
