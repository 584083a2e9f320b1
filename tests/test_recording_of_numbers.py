"""Which part of a recording counts, and what its samples and pieces tell: bare numbers, hardly a file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from synthetic import put
from test_checks_of_numbers import SECOND, course, taken

from isolate.describe.wav import inspect
from isolate.errors import InputError
from isolate.measuring.recording import (
    Samples,
    _channels,
    _longest,
    _Watch,
    cut_off,
    grain,
    listen,
    liveliest,
    own_background,
    sounding,
    steadied,
)

# --- which part counts ---


def test_the_even_part_is_what_is_on() -> None:
    """All of it within the sound; 5 s and a seventh of the file at least; else all but the ends."""

    def part(*changes: tuple[int, int, float], seconds: int = 60) -> tuple[float, float]:
        first, last = steadied(taken(course(seconds, *changes))).part
        return first / SECOND, last / SECOND

    start, end = part((20, 40, 30.0))
    assert 20.0 <= start <= 21.0 and 39.0 <= end <= 40.0
    assert part() == part((20, 40, 3.5)) == part((20, 25, 30.0)) == (0.5, 59.5)
    assert part((20, 40, 4.5))[0] > 20.0
    assert part((20, 28, 30.0)) == (0.5, 59.5)  # 7 s with its first left out, a seventh of 60 s is more
    assert part((8, 13, 30.0), seconds=20) == (0.5, 19.5)  # 4 s
    hum = course(60, (20, 40, 30.0), bands=slice(18, 27))
    hum[:, :12] += 40.0  # as loud all the time
    first, last = steadied(taken(hum)).part
    assert 20 * SECOND <= first <= 21 * SECOND and 39 * SECOND <= last <= 40 * SECOND
    assert part((20, 40, 30.0), (40, 46, 18.5))[1] <= 40.5 and part((20, 40, 30.0), (40, 46, 20.5))[1] > 45.0
    slow = np.full((480, 27), -60.0) + np.linspace(0.0, 30.0, 480)[:, None]
    assert steadied(taken(slow)).part == (4, 476)  # carried about, not switched
    assert part((1, 3, 30.0), seconds=4) == (0.5, 3.5)
    told = f"used from {start:.0f} s to {end:.0f} s"
    assert told in steadied(taken(course(60, (20, 40, 30.0)))).notes[0]


def test_the_silence_beside_the_sound_is_its_background() -> None:
    """3 s at least, a second and a half off, every octave within 6 dB of its lowest."""

    def silence(*changes: tuple[int, int, float], first: int = 10) -> tuple[float, float] | None:
        level = course(60, (first, 30, 40.0), *changes)
        found = own_background(replace(taken(level), part=(first * SECOND, 30 * SECOND)))
        return None if found is None else (found.part[0] / SECOND, found.part[1] / SECOND)

    start, end = silence() or (0.0, 0.0)
    assert 31.5 <= start <= 33.5 and 58.0 <= end <= 60.0
    start, end = silence((40, 60, 6.9), first=20) or (0.0, 0.0)  # the longer one is not even
    assert (start, end) == (pytest.approx(1.0, abs=1.1), pytest.approx(18.0, abs=1.6))
    assert silence((0, 10, 40.0), (30, 60, 40.0)) is None
    uneven = course(60, (0, 30, 40.0), *((start, start + 2, 20.0) for start in range(30, 60, 4)))
    assert own_background(replace(taken(uneven), part=(0, 30 * SECOND))) is None
    short = replace(taken(course(34, (0, 30, 40.0))), part=(0, 30 * SECOND))
    assert own_background(short) is None


def test_music_counts_from_its_first_to_its_last_loud_second() -> None:
    """Within 25 dB of the loud, 6 dB above the silence."""

    def part(*changes: tuple[int, int, float]) -> tuple[float, float]:
        first, last = sounding(taken(course(60, *changes))).part
        return first / SECOND, last / SECOND

    assert part((10, 50, 40.0)) == part((10, 50, 5.0)) == (10.0, 50.0)
    assert replace(taken(course(60)), part=(80, 240)).time == 20.0
    assert _longest(np.array([1, 1, 1, 0, 1], bool)) == (0, 3)
    assert part((10, 50, 40.0), (5, 10, 14.9)) == (10.0, 50.0) and part((10, 50, 40.0), (5, 10, 15.1)) == (
        5.0,
        50.0,
    )
    assert part((10, 50, 20.0), (5, 10, 5.9)) == (10.0, 50.0) and part((10, 50, 20.0), (5, 10, 6.1)) == (
        5.0,
        50.0,
    )
    assert _longest(np.array([0, 1, 1, 0, 1, 1, 1, 0], bool)) == (4, 7) and _longest(np.zeros(4, bool)) == (
        0,
        0,
    )


# --- what samples tell ---


def watched(*blocks: np.ndarray, rate: int = 1000, bits: int = 16) -> Samples:
    watch = _Watch(SimpleNamespace(rate=rate, bits=bits))  # type: ignore[arg-type]
    for block in blocks:
        watch.feed(block)
    return watch.result()


def test_waves_cut_off_for_three_samples_are_clipped() -> None:
    """Entered steeply: the round top of a slow wave has as many samples near its peak."""
    wave = 0.4 * np.sin(2 * np.pi * np.arange(1000) / 20)
    for run, clipped in ((2, 0), (3, 1), (5, 1)):
        top = wave.copy()
        top[503 : 503 + run] = 0.5
        assert watched(top).clipped == clipped
        assert watched(-top).clipped == clipped and watched(top, top).clipped == 2 * clipped
    twice = wave.copy()
    twice[503:506] = twice[703:706] = 0.5
    assert watched(twice).clipped == 2
    slow = 0.5 * np.sin(2 * np.pi * np.arange(20_000) / 20_000)
    assert watched(slow).clipped == 0 and watched(np.clip(2.0 * slow, -0.5, 0.5)).clipped == 0
    louder = np.array([0.0, 0.6, 0.0])
    both = watched(np.clip(4 * wave, -0.5, 0.5), louder)
    assert both.clipped == 0 and both.peak == 0.6  # tops below the peak are no clipping of this recorder
    for steps, clipped in ((190, 0), (210, 1)):  # so soft that steps make the tops
        few = np.zeros(200)
        few[100:104] = steps * 2.0**-15
        assert watched(few).clipped == clipped


def test_digital_silence_is_counted_by_hundredths_of_a_second() -> None:
    noise = 0.1 * np.random.default_rng(1).standard_normal(1000)
    gated = noise.copy()
    gated[300:500] = 0.0
    assert watched(gated).still == pytest.approx(0.2) and watched(noise).still == 0.0
    assert watched(np.zeros(1000), noise).still == pytest.approx(0.5)
    short = noise.copy()
    short[303:311] = 0.0
    assert watched(short).still == 0.0
    found = watched(noise + 0.05)
    assert found.offset == pytest.approx(0.05 + noise.mean()) and found.mean_square == pytest.approx(
        noise.var()
    )
    assert found.peak == pytest.approx(abs(noise + 0.05).max())


def cut(
    drop_db: float, at_hz: float, *, after: float = 0.0, rate: int = 48_000, floor_db: float = 0.0
) -> float | None:
    """Where pieces are found to end that fall by so much there, and rise again 2 kHz above by `after`."""
    hz = np.fft.rfftfreq(4096, 1 / rate)
    level = np.where(hz < at_hz, floor_db, floor_db - drop_db) + np.where(hz > at_hz + 2000.0, after, 0.0)
    return cut_off(SimpleNamespace(rate=rate), hz, np.tile(10 ** (level / 10), (3, 1)))  # type: ignore[arg-type]


def test_a_cliff_of_18_db_down_to_the_last_bit_is_a_coder_s() -> None:
    """Half a kilohertz wide at most. Hann windows of 4096 have 0.375 x 4096 times the mean square of noise:
    q2/12 of 16 bits and 8 dB are -61.2 dB of a piece; hiss above that is a microphone's."""
    last = 10 * np.log10(0.375 * 4096 * 2.0**-30 / 12) + 8.0
    assert last == pytest.approx(-61.2, abs=0.1)
    for drop, found in ((17.0, False), (19.0, True)):
        assert (cut(drop, 9_000.0, floor_db=last + 16.0) is not None) == found
    for above, found in ((0.5, False), (-0.5, True)):
        assert (cut(40.0, 9_000.0, floor_db=last + 40.0 + above) is not None) == found
    assert cut(40.0, 9_000.0, floor_db=-40.0) == pytest.approx(9_000.0, abs=500.0)
    assert cut(40.0, 9_000.0, floor_db=-40.0, after=30.0) is None
    assert cut(40.0, 12_000.0, floor_db=-40.0) is None  # no band is lost
    assert cut(18.5, 9_000.0, floor_db=-50.0) is not None  # down to -68.5 dB
    assert cut(18.5, 9_000.0, floor_db=-50.0, after=5.0) is None  # only 13.5 dB further up


def test_channels_20_db_down_are_left_out_and_silence_is_refused() -> None:
    wav: Any = SimpleNamespace(path=Path("a.wav"))

    def kept(*db: float) -> int:
        return len(_channels(wav, 10 ** (np.array(db)[:, None, None] / 10) * np.ones((1, 8, 27)))[0])

    assert kept(-60.0, -79.9) == 2 and kept(-60.0, -80.1) == 1
    (note,) = _channels(wav, np.array([1.0, 1e-6, 1e-6])[:, None, None] * np.ones((3, 8, 27)))[1]
    assert note.startswith("2 of 3 channels")
    assert _channels(wav, np.full((1, 8, 27), 1.1e-17 / 27))[0] == [0]
    with pytest.raises(InputError, match="are silence"):
        _channels(wav, np.full((1, 8, 27), 0.9e-17 / 27))


def test_two_seconds_are_the_least(tmp_path: Path) -> None:
    rng = np.random.default_rng(6)

    def noise(seconds: float) -> Path:
        x = 0.1 * rng.standard_normal(round(seconds * 16_000))
        return put(tmp_path / f"{seconds}.wav", x, rate=16_000)

    with pytest.raises(InputError, match="too short"):
        listen(noise(1.95))
    found = listen(noise(2.05))
    assert found.power.shape == (16, 27) and found.time == 2.0
    assert not found.usable[-1] and found.usable[:24].all()
    part = listen(noise(6.0), longest=3.0)
    assert part.time == 3.0 and any("first 0.000833333 hours of 0.0" in note for note in part.notes)


def test_grains_are_a_fiftieth_of_a_second() -> None:
    """A power of two: 1024 of 48 kHz are 21 ms, 256 of 16 kHz 16."""
    assert [grain(rate) for rate in (16_000, 44_100, 48_000, 96_000)] == [256, 1024, 1024, 2048]


def test_what_spends_a_seventh_of_its_time_between_on_and_off_is_carried_about() -> None:
    """Of a straight ramp two fifths lie between: 19 s of 59 are 0.13 of it, 25 s 0.17."""
    for ramp, everything in ((19, False), (25, True)):
        level = np.interp(np.arange(480) / SECOND, [15, 15 + ramp], [-60.0, -30.0])[:, None] * np.ones(27)
        assert (steadied(taken(level)).part == (4, 476)) == everything


def test_silence_is_a_decibel_softer_than_the_sound() -> None:
    for db, found in ((0.9, False), (1.2, True)):
        level = course(60, (0, 30, db))
        assert (own_background(replace(taken(level), part=(0, 30 * SECOND))) is not None) == found


def test_pieces_count_from_the_first_frame_of_a_part_to_before_its_end() -> None:
    one = replace(taken(np.full(27, -60.0)), piece_at=np.array([7, 8, 15, 16]), part=(8, 16))
    assert list(one.counting) == [False, True, True, False]


def test_the_liveliest_channel_is_found_wherever_it_sounds(tmp_path: Path) -> None:
    """Two seconds of six that are loud in the second one, at the end or at the start."""
    rng = np.random.default_rng(3)
    for first in (0, 4):
        x = 1e-3 * rng.standard_normal((6 * 16_000, 2))
        x[:, 0] *= 3.0
        x[first * 16_000 : (first + 2) * 16_000, 1] *= 30.0
        assert liveliest(inspect(put(tmp_path / f"{first}.wav", x, rate=16_000))) == 1


def test_an_offset_of_the_samples_rings_in_no_band(tmp_path: Path) -> None:
    """What is steady is no sound: 0.3 of full scale beside noise 50 dB below that."""
    x = 1e-3 * np.random.default_rng(8).standard_normal(3 * 16_000)
    done: list[float] = []
    plain = listen(put(tmp_path / "a.wav", x, rate=16_000), progress=done.append)
    off = listen(put(tmp_path / "b.wav", x + 0.3, rate=16_000))
    assert off.power == pytest.approx(plain.power, rel=0.05, abs=1e-9)
    assert done[-1] == 1.0
