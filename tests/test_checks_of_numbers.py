"""What is wrong with a recording, from bare numbers: each limit of a check from both sides."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES, index_of
from isolate.measuring import checks
from isolate.measuring.checks import DOUBT, NOTE, SPOILT, Finding
from isolate.measuring.recording import (
    Recording,
    Samples,
    grain,
)
from isolate.standards.third_octave import WIDTH

SECOND = 8  # frames
GOOD = Samples(peak=0.3, clipped=0, still=0.0, mean_square=0.003)


def taken(level_db: np.ndarray, *, name: str = "a.wav", samples: Samples = GOOD, **wav: Any) -> Recording:
    """A recording of these levels (frames, 27), or (27,) for a minute."""
    level = np.atleast_2d(level_db)
    power = 10 ** ((level if len(level) > 1 else np.repeat(level, 60 * SECOND, axis=0)) / 10)
    made: Any = SimpleNamespace(
        path=Path(name), rate=48_000, bits=24, floating=False, duration=len(power) / SECOND, frames=0
    )
    vars(made).update(wav)
    none = np.zeros((0, 513))
    return Recording(
        made,
        power,
        samples,
        np.ones(27, bool),
        np.zeros(1),
        np.zeros(0, int),
        none,
        none,
        None,
        (0, len(power)),
    )


FLAT = np.full(27, -60.0)


def course(seconds: int, *changes: tuple[int, int, float], bands: slice = slice(None)) -> np.ndarray:
    """-60 dB for so many seconds; changes: from, to, by how much [dB] in these bands."""
    level = np.full((seconds * SECOND, 27), -60.0)
    for start, end, db in changes:
        level[start * SECOND : end * SECOND, bands] += db
    return level


def grave(found: Finding | None) -> int | None:
    return None if found is None else found.grave


# --- one file ---


def test_clipping_of_three_waves_is_a_doubt_and_of_one_a_second_spoils() -> None:
    for tops, expected in ((2, None), (3, DOUBT), (60, DOUBT), (61, SPOILT)):
        assert grave(checks._clipped(taken(FLAT, samples=replace(GOOD, clipped=tops)))) == expected


def test_digital_silence_of_two_hundredths_is_a_gate_and_of_a_third_spoils() -> None:
    for still, role, expected in (
        (0.019, "quiet", None), (0.021, "quiet", DOUBT), (0.29, "quiet", DOUBT), (0.31, "quiet", SPOILT),
        (0.31, "decay", DOUBT),
    ):  # fmt: skip
        found = checks._gated(taken(FLAT, samples=replace(GOOD, still=still)), role)
        assert grave(found) == expected
        assert found is None or f"for {100 * still:.0f} % of the time" in found.what


def test_peaks_under_9_db_are_a_limiter_s() -> None:
    """Gaussian noise has 12 dB and more, a sine 3."""
    for crest, expected in ((8.9, DOUBT), (9.1, None)):
        one = replace(GOOD, peak=0.5, mean_square=0.25 / 10 ** (crest / 10))
        assert one.crest_db == pytest.approx(crest)
        assert grave(checks._limited(taken(FLAT, samples=one), True)) == expected
        assert checks._limited(taken(FLAT, samples=one), False) is None
    assert replace(GOOD, peak=0.6, offset=-0.1, mean_square=0.25).crest_db == pytest.approx(0.0)


def test_neighbours_in_the_loud_room_differ_by_8_db_at_most() -> None:
    """ISO 16283-1, both of them from 100 to 3150 Hz."""
    for above, db, uneven in (
        (800, 7.9, False), (800, 8.1, True), (100, 8.1, True), (80, 8.1, False), (2500, 8.1, True),
        (3150, 8.1, False),
    ):  # fmt: skip
        level = FLAT + np.where(1.1 * above < THIRD_OCTAVES, db, 0.0)
        assert (checks._uneven(taken(level)) is not None) == uneven, above


def test_low_bands_want_fifteen_seconds_middle_ones_six_high_ones_four() -> None:
    """ISO 16283-1."""
    for seconds, told in ((3.9, "25 to 10000 Hz"), (4.1, "25 to 400 Hz"), (6.1, "25 to 80 Hz"), (15.1, "")):
        frames = np.repeat(FLAT[None], round(seconds * SECOND), axis=0)
        found = checks._short(replace(taken(frames), part=(0, seconds * SECOND)))  # type: ignore[arg-type]
        assert (found.what if found else "").endswith(told and f"for {told}")
    assert found is None


def test_bands_are_told_as_runs() -> None:
    which = np.zeros(27, bool)
    which[[0, 1, 2, 10]] = True
    assert checks.bands(which) == "25 to 40 Hz and 250 Hz"


def test_a_level_that_drifts_by_2_db_in_all_bands_alike_is_a_gain() -> None:
    """Straight on, or after the first seconds: not the background's, and not of a known signal."""
    rng = np.random.default_rng(4)

    def ramp(db: float, apart: float = 0.0) -> Recording:
        level = course(60) + np.linspace(0.0, db, 480)[:, None] + apart * rng.standard_normal((480, 27))
        return taken(level)

    for db, found in ((1.9, False), (2.15, True), (-2.15, True)):
        told = checks._moving(ramp(db), "quiet", False)
        assert (told is not None and told.key == "automatic gain") == found
        assert not found or told is None or (("falls" in told.what) == (db < 0))
    assert (
        checks._moving(ramp(2.2), "background", False) is None
        and checks._moving(ramp(2.2), "quiet", True) is None
    )
    onset = taken(course(60, (0, 6, 5.0)))
    told = checks._moving(onset, "quiet", False)
    assert told is not None and told.key == "automatic gain" and "falls by 5.0 dB" in told.what
    door = checks._moving(taken(course(60, (40, 43, 30.0))), "quiet", False)  # a moment is no gain
    assert door is not None and door.key == "not steady"
    few = replace(taken(FLAT), part=(0, 3 * SECOND))
    assert checks._moving(few, "quiet", False) is None


def test_a_gain_moves_all_bands_twice_as_far_as_they_part() -> None:
    """3 dB along the course; neighbours that go against each other by less and by more than half of that."""
    for apart, found in ((1.35, True), (1.65, False)):
        one = wavering(apart)
        power = one.power * 10 ** (np.linspace(0.0, 0.3, 480)[:, None])
        told = checks._moving(replace(one, power=power), "quiet", False)
        assert (told is not None and told.key == "automatic gain") == found


def test_what_coding_cut_off_is_told() -> None:
    """From 8 kHz on bands reach beyond 9 kHz: 8 kHz ends at 8.91 (IEC 61260-1)."""
    found = checks._cut_off(replace(taken(FLAT), cut_hz=9000.0))
    assert found is not None and "nothing above 9.0 kHz, so 10000 Hz are missing" in found.what


def wavering(db: float, bands: slice = slice(None)) -> Recording:
    """Levels that go up and down by this standard deviation each second, neighbours against each other."""
    level = course(60)
    signs = np.where((np.arange(480) // SECOND)[:, None] % 2 == np.arange(27) % 2, db, -db)
    level[:, bands] += signs[:, bands]
    return taken(level)


def test_steady_noise_varies_by_a_decibel_and_a_half_and_one_octave_by_two_and_a_half() -> None:
    for db, expected in ((1.45, None), (1.55, DOUBT)):
        assert grave(checks._moving(wavering(db), "quiet", False)) == expected
        assert grave(checks._moving(wavering(db), "background", False)) == (NOTE if expected else None)
    octave = slice(index_of(250), index_of(315) + 2)
    for db, expected in ((2.4, None), (2.6, DOUBT)):
        assert grave(checks._moving(wavering(db, octave), "quiet", False)) == expected
        top = slice(index_of(3150), index_of(4000) + 1)  # two of the uppermost three of 250 to 4000 Hz
        assert grave(checks._moving(wavering(db, top), "quiet", False)) == expected


def test_moments_that_lift_the_mean_by_3_db_spoil_it() -> None:
    """3 s of 60 that are x dB louder lift it by 10 lg(0.95 + 0.05 10^(x/10))."""
    for lift, expected in ((2.9, DOUBT), (3.1, SPOILT)):
        more = 10 * np.log10((10 ** (lift / 10) - 0.95) / 0.05)
        loud = taken(course(60, (20, 23, more)))
        assert float(checks._lifted(loud.course_db()).max()) == pytest.approx(lift)
        told = checks._moving(loud, "quiet", False)
        assert expected == DOUBT or (told is not None and told.grave == SPOILT)
        assert expected == SPOILT or told is None or told.grave == DOUBT
        known = checks._moving(loud, "quiet", True)
        assert (known is not None) == (expected == SPOILT)
        background = checks._moving(loud, "background", False)
        assert background is None or background.grave == (DOUBT if expected == SPOILT else NOTE)


def test_bass_that_comes_and_goes_is_gusts_in_two_bands_and_more() -> None:
    """Outdoors half as much again as chance (4.34/sqrt(B T), one second) and what the middle does; elsewhere
    only what lifts the mean by 3 dB beyond chance."""
    chance = 4.343 / np.sqrt(WIDTH)

    def windy(times: float, bands: int) -> Recording:
        level = course(60)
        sign = np.where(np.arange(480) // SECOND % 2, 1.0, -1.0)[:, None]
        level[:, 4 : 4 + bands] += times * chance[4 : 4 + bands] * sign
        return taken(level)

    for times, bands, found in ((1.45, 3, 0), (1.55, 3, 3), (1.55, 1, 0), (1.55, 2, 2)):
        assert checks.gusty(windy(times, bands), "outdoors").sum() == found
        assert checks.gusty(windy(times, bands), "quiet").sum() == 0
        assert (checks._gusts(windy(times, bands), "outdoors") is not None) == (found > 0)
    for more, found in ((0.9, 0), (1.1, 3)):  # the middle varies by 1 dB
        one = windy(1.5, 3)
        sign = np.where(np.arange(480) // SECOND % 2, 1.0, -1.0)
        power = one.power.copy()
        power[:, checks.MIDDLE] *= 10 ** (sign[:, None] / 10)
        power[:, 4:7] *= 10 ** (more * sign[:, None] / 10)
        assert checks.gusty(replace(one, power=power), "outdoors").sum() == found
    short = replace(windy(3.0, 3), part=(0, 7 * SECOND))
    assert not checks.gusty(short, "outdoors").any()
    assert checks.gusty(replace(short, part=(0, 8 * SECOND)), "outdoors").any()
    for off, found in ((-0.1, False), (0.1, True)):
        level = course(60)
        for band in (2, 3):
            lift = 3.0 + chance[band] + off
            level[20 * SECOND : 23 * SECOND, band] += 10 * np.log10((10 ** (lift / 10) - 0.95) / 0.05)
        told = checks._gusts(taken(level), "quiet")
        assert (told is not None) == found and (told is None or "doors, steps" in told.what)


def test_hiss_rises_as_white_noise_does() -> None:
    """By a tenth of a decade a third octave: 1 dB a band, 0.3 either way, from 2.5 kHz on."""
    at = np.maximum(np.arange(27) - index_of(2500), 0)
    for rise, found in ((0.65, False), (0.75, True), (1.25, True), (1.35, False)):
        assert (checks._hiss(taken(-80.0 + rise * at)) is not None) == found
    for off, found in ((1.18, True), (1.26, False)):  # of 7 bands a line takes 0.18 of it
        bent = -80.0 + at.astype(float)
        bent[-3] += off
        assert (checks._hiss(taken(bent)) is not None) == found
    narrow = replace(taken(-80.0 + 1.0 * at), usable=THIRD_OCTAVES < 5500.0)  # 2.5, 3.15, 4, 5 kHz
    assert checks._hiss(narrow) is None
    assert checks._hiss(replace(narrow, usable=THIRD_OCTAVES < 7000.0)) is not None


def test_at_the_last_bit_is_what_lies_6_db_over_its_noise() -> None:
    """A step q has q2/12 of noise, even up to half the rate; q = 2^-15 of full scale with 16 bits."""
    noise = 10 * np.log10(2.0**-30 / 12 * WIDTH / 24_000.0)
    for off, found in ((5.9, True), (6.1, False)):
        level = np.maximum(noise + off, -200.0)
        level[:20] = -60.0
        told = checks._hiss(taken(level, bits=16))
        assert (told is not None and told.key == "last bit") == found
        floating = checks._hiss(taken(level, bits=16, floating=True))
        assert floating is None or floating.key == "self-noise"


def with_pieces(cells_db: np.ndarray) -> Recording:
    """Short pieces of these levels (pieces, 12) in each kilohertz from 3 kHz on."""
    hz = np.arange(3250.0, 15_000.0, 500.0)
    pieces = 10 ** (np.repeat(cells_db, 2, axis=1) / 10)
    return replace(taken(FLAT), piece_hz=hz, pieces=pieces, piece_at=np.arange(len(pieces)))


def test_treble_that_drops_by_25_db_in_two_of_a_thousand_is_coded() -> None:
    """In 20 pieces and more."""
    for holes, db, found in ((2, 40.0, False), (3, 40.0, True), (3, 24.9, False), (3, 25.1, True)):
        cells = np.zeros((100, 12))
        for i in range(holes):
            cells[10 * i, 2 * i] = -db
        told = checks._holes(with_pieces(cells - 60.0))
        assert (told is not None and told.key == "lossy coding") == found
    cells = np.zeros((20, 12))
    cells[5, 5] = -40.0
    assert checks._holes(with_pieces(cells)) is not None and checks._holes(with_pieces(cells[:19])) is None
    quiet = np.zeros((100, 12))
    quiet[::30] = -50.0  # a pause is no hole
    assert checks._holes(with_pieces(quiet)) is None


def with_grains(level_db: np.ndarray) -> Recording:
    """Grains of these levels [dB] (grains, bins) over all bins from 400 Hz to 0.4 of the rate."""
    return replace(taken(FLAT), grains=10 ** (level_db / 10), piece_at=np.arange(len(level_db)))


def test_noise_with_more_holes_than_chance_leaves_is_suppressed() -> None:
    """Of Gaussian noise 2/(1 + 100) of all pairs differ by over 20 dB (two of one exponential distribution);
    with under 50 grains nothing is said."""
    rng = np.random.default_rng(7)
    size = grain(48_000)
    bins = np.fft.rfftfreq(size, 1 / 48_000)
    at = np.flatnonzero((bins > 400.0) & (bins < 0.4 * 48_000))
    noise = 10 * np.log10(rng.exponential(size=(200, bins.size)))
    assert checks._suppressed(with_grains(noise)) is None
    pairs = 200 * (at.size - 4)

    def holed(runs: int, width: int, db: float, grains: int = 200) -> Finding | None:
        """Runs of bins that are so much softer, each in a grain and place of its own."""
        level = np.zeros((grains, bins.size))
        for i in range(runs):
            first = at[5 + 13 * i % (at.size - 15)]
            level[i % grains, first : first + width] = -db
        return checks._suppressed(with_grains(level))

    told = holed(round(0.05 * pairs / 2), 1, 30.0)
    assert told is not None and "in 5.0 % of cases" in told.what
    steep = -3.0 * np.arange(bins.size)  # a slope of 12 dB from bin to fourth bin is no hole
    assert checks._suppressed(with_grains(np.tile(steep, (200, 1)))) is None
    for share, db, found in ((0.0285, 20.5, False), (0.0295, 20.5, True), (0.0295, 19.5, False)):
        assert (holed(round(share * pairs / 2), 1, db) is not None) == found
    assert holed(round(0.026 * pairs / 8), 5, 30.0) is None  # bins 4 apart: 8 pairs of a run of 5
    assert holed(round(0.030 * pairs / 8), 5, 30.0) is not None
    many = round(0.04 * 50 * (at.size - 4) / 2)
    assert holed(many, 1, 30.0, 50) is not None and holed(many, 1, 30.0, 49) is None


def test_each_role_is_asked_what_it_can_show() -> None:
    at = np.maximum(np.arange(27) - index_of(2500), 0)
    hiss, short = taken(-80.0 + at), replace(taken(FLAT), part=(0, SECOND))

    def keys_of(one: Recording, role: str, steady: bool = True) -> set[str]:
        return {found.key for found in checks.of_one(one, role, steady=steady)}

    assert "self-noise" in keys_of(hiss, "background") and "self-noise" not in keys_of(hiss, "quiet")
    assert "too short" in keys_of(short, "quiet") and "too short" not in keys_of(short, "decay")
    limited = taken(FLAT, samples=replace(GOOD, peak=0.1))
    for role in ("loud", "outdoors"):
        assert "limiter" in keys_of(limited, role)
    assert "limiter" not in keys_of(limited, "quiet")
    loud = wavering(3.0)
    for role in ("loud", "outdoors", "quiet", "background"):
        assert "not steady" in keys_of(loud, role) and "not steady" not in keys_of(loud, role, steady=False)
    assert "not steady" not in keys_of(loud, "decay")


# --- together ---


def keys(loud: Recording, quiet: Recording, *background: Recording, gain_stated: bool = True) -> set[str]:
    return {one.key for one in checks.of_all([loud], [quiet], background, gain_stated=gain_stated)}


def test_rooms_are_swapped_where_the_quiet_one_is_louder() -> None:
    loud = taken(FLAT + np.linspace(0.0, 3.0, 27), name="l")
    for db, found in ((-2.9, False), (-3.1, True)):
        assert ("swapped" in keys(loud, replace(taken(FLAT + np.linspace(0.0, 3.0, 27) - db)))) == found
    quiet = taken(FLAT - 20.0, name="q")
    for db, found in ((-1.9, False), (-2.1, True)):
        assert ("swapped" in keys(loud, quiet, taken(FLAT - 20.0 - db))) == found


def test_recordings_alike_to_3_db_in_every_band_are_of_one_room() -> None:
    loud = taken(FLAT, name="l")
    for db, found in ((2.9, True), (3.1, False)):
        assert ("same room" in keys(loud, taken(FLAT - db))) == found
    one_off = FLAT - 1.0
    one_off[index_of(1000)] -= 3.0
    assert "same room" not in keys(loud, taken(one_off))
    assert "same recording" in keys(loud, loud) and "same recording" not in keys(loud, taken(FLAT - 0.001))


def test_files_of_one_peak_near_full_scale_were_normalised() -> None:
    """Within 0.3 dB of each other and above -6.5 dB; not where the gain is stated."""
    for first, second, found in (
        (-1.0, -1.2, True),
        (-1.0, -1.4, False),
        (-6.4, -6.4, True),
        (-6.6, -6.4, False),
    ):
        files = [
            taken(level, name=name, samples=replace(GOOD, peak=10 ** (db / 20)))
            for name, level, db in (("l", FLAT, first), ("q", FLAT - 20.0, second))
        ]
        assert ("normalised" in keys(*files, gain_stated=False)) == found
        assert "normalised" not in keys(*files)


def test_a_quiet_room_almost_as_loud_in_all_was_turned_up() -> None:
    """Under 6 dB in all though bands differ by more than 15 dB, as behind a wall."""

    def quiet(least: float, most: float) -> Recording:
        level = FLAT - np.linspace(least, most, 27)
        return taken(level, name="q", samples=replace(GOOD, peak=0.1))

    loud = taken(FLAT, name="l")
    assert "automatic gain" in keys(loud, quiet(-3.0, 14.0), gain_stated=False)
    assert "automatic gain" not in keys(loud, quiet(-1.0, 13.5), gain_stated=False)  # 14.5 dB apart
    assert "automatic gain" in keys(loud, quiet(-1.0, 14.5), gain_stated=False)
    assert "automatic gain" not in keys(loud, quiet(6.5, 30.0), gain_stated=False)
    tilted = FLAT - np.linspace(0.0, 20.0, 27)  # of both alike: bands differ by 4 dB from room to room
    samples = replace(GOOD, peak=0.1)
    pair = [taken(tilted - off, name=n, samples=samples) for n, off in (("l", 0.0), ("q", 4.0))]
    assert "automatic gain" not in keys(*pair, gain_stated=False)


def test_passages_count_by_their_energy() -> None:
    """Half as long heard, half the energy; over places the mean of it."""
    one = taken(FLAT)
    assert checks.mean_level([one]) == pytest.approx(FLAT)
    assert checks.mean_level([one], lasts=120.0) == pytest.approx(FLAT - 10 * np.log10(2.0))
    both = checks.mean_level([one, taken(FLAT - 200.0)])
    assert both == pytest.approx(FLAT - 10 * np.log10(2.0))


def test_a_microphone_that_is_carried_varies_more_than_chance() -> None:
    """1.4 times 4.34/sqrt(B T) in quarters of a second; 4 s at least."""
    chance = 4.343 / np.sqrt(WIDTH * 0.25)
    sign = np.where(np.arange(480) // 2 % 2, 1.0, -1.0)[:, None]
    for times, found in ((1.35, False), (1.45, True)):
        assert checks.walked(taken(FLAT + times * chance * sign)) == found
    upper = np.where((THIRD_OCTAVES >= 630.0) & (THIRD_OCTAVES <= 2000.0), 1.45, 0.0)
    assert checks.walked(taken(FLAT + upper * chance * sign))  # six of the ten bands from 250 to 2000 Hz
    short = taken(FLAT + 3.0 * chance * sign)
    for seconds, found in ((3.75, False), (4.0, True)):
        assert checks.walked(replace(short, part=(0, round(seconds * SECOND)))) == found
