"""A measurement of bare numbers: what is made of levels that are known in every eighth of a second, no
recordings.

1 kHz and 250 Hz are 230.77 and 57.97 Hz wide (IEC 61260-1); steady noise is known to 4.343/sqrt(B T) dB,
places of a room to 5.57/sqrt(1 + 0.238 B T) (Lubman 1968, from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from test_checks_of_numbers import FLAT, SECOND, taken

from isolate.bands import THIRD_OCTAVES, index_of
from isolate.measuring import isolation
from isolate.measuring.checks import SPOILT, Finding
from isolate.measuring.isolation import Measurement
from isolate.measuring.measured import Files, Setup
from isolate.measuring.recorder import Steps
from isolate.measuring.recording import Recording
from isolate.standards.field import CLEAR, CORRECTED, IN_SITU_DB, LIMIT, REPEAT_DB

Ask = Callable[..., Measurement]
KHZ, QUARTER = index_of(1000), index_of(250)
LOUD = FLAT
QUIET = FLAT - 40.0 - np.linspace(0.0, 10.0, 27)


@pytest.fixture
def measured(monkeypatch: pytest.MonkeyPatch) -> Ask:
    """The measurement of recordings by role, each made of numbers: (27,) or (frames, 27) levels."""

    def measure(setup: Setup | None = None, **roles: Any) -> Measurement:
        known: dict[Path, Recording] = {}
        paths: dict[str, tuple[Path, ...]] = {}
        for role, files in roles.items():
            found = files if isinstance(files, list) else [files]
            for i, one in enumerate(found):
                known[Path(f"{role}{i}")] = one if isinstance(one, Recording) else taken(one, name=role)
            paths[role] = tuple(Path(f"{role}{i}") for i in range(len(found)))
        monkeypatch.setattr(isolation, "listen", known.__getitem__)
        return isolation.measure(Files(**paths), setup)

    return measure


def wavering(level_db: np.ndarray, by_db: float, frames: int = 480) -> np.ndarray:
    """A level whose sixths, half a second off both ends, go up and down by so much about it."""
    level = np.tile(level_db, (frames, 1))
    for i, part in enumerate(np.array_split(np.arange(4, frames - 4), 6)):
        level[part] += by_db if i % 2 else -by_db
    return level


def carried(level_db: np.ndarray) -> np.ndarray:
    """A level that varies three times as much as steady noise at one place, from quarter to quarter of a
    second."""
    from isolate.standards.third_octave import WIDTH

    swing = 3.0 * 4.343 / np.sqrt(WIDTH * 0.25)
    return level_db + swing * np.where(np.arange(480) // 2 % 2, 1.0, -1.0)[:, None]


def chance(found: Measurement, band: int = KHZ) -> float:
    """What repeating brings besides the method's own."""
    return float(np.sqrt(found.repeat_db[band] ** 2 - REPEAT_DB[band] ** 2))


# --- uncertainty ---


def test_what_is_not_known_of_time_place_and_chance_adds_up(measured: Ask) -> None:
    """59 s of steady noise in each room (0.0372 dB), microphones that stand still (1.044 dB each at T 0.5 s,
    more than the 1.0 dB of ISO 12999-1), and 1.5 dB of 10 lg T where the time is assumed, 1 dB where it is
    stated: at T 2 s places are 0.529 dB. Outdoors 1 dB for the place (common practice, no source)."""
    noise = 4.343 / np.sqrt(230.77 * 59.0)

    def u_db(setup: Setup) -> float:
        return float(measured(setup, loud=LOUD, quiet=QUIET).u_db[KHZ])

    still = 5.57 / np.sqrt(1.0 + 0.238 * 230.77 * 0.5)
    assert u_db(Setup()) == pytest.approx(np.sqrt(2 * still**2 + 2 * noise**2 + 1.5**2), abs=1e-3)
    assert u_db(Setup(time=2.0)) == pytest.approx(np.sqrt(1.0 + 2 * noise**2 + 1.0), abs=1e-3)
    outdoors = np.sqrt(still**2 + 1.0 + 2 * noise**2 + 1.5**2)
    assert u_db(Setup(facade=True)) == pytest.approx(outdoors, abs=1e-3)
    plain = measured(loud=LOUD, quiet=QUIET)
    assert chance(plain) == pytest.approx(noise * np.sqrt(2.0), rel=1e-3)
    assert set(plain.time_basis) == {"assumed"} and set(plain.time) == {0.5}
    assert set(measured(Setup(time=2.0), loud=LOUD, quiet=QUIET).time_basis) == {"stated"}


def test_a_walk_is_five_places(measured: Ask) -> None:
    """At 250 Hz a place is 1.982 dB, a walk 1.982/sqrt(5): more than 1.6 dB of ISO 12999-1 with the other."""
    place = 5.57 / np.sqrt(1.0 + 0.238 * 57.97 * 0.5)
    one = measured(loud=carried(LOUD), quiet=QUIET)
    assert one.u_db[QUARTER] == pytest.approx(
        np.sqrt(place**2 * (1.0 + 1 / 5) + chance(one, QUARTER) ** 2 + 1.5**2), abs=1e-3
    )
    both = measured(loud=carried(LOUD), quiet=carried(QUIET))
    assert both.u_db[QUARTER] == pytest.approx(
        np.sqrt(IN_SITU_DB[QUARTER] ** 2 + chance(both, QUARTER) ** 2 + 1.5**2), abs=1e-3
    )
    assert any("stood still" in note for note in one.notes)
    assert not any("stood still" in note for note in both.notes)


def test_what_sixths_of_a_recording_differ_by_counts(measured: Ask) -> None:
    """Six of 1.9 dB up and down: standard deviation 1.9 sqrt(6/5), of their mean 1/sqrt(6) of that, 0.850 dB;
    of two recordings 1/sqrt(2) of that. Where fewer than 12 frames count, steady noise is taken."""
    seen = 1.9 * np.sqrt(6 / 5) / np.sqrt(6)
    noise = 4.343 / np.sqrt(230.77 * 59.0)
    one = measured(loud=LOUD, quiet=wavering(QUIET, 1.9))
    assert chance(one) == pytest.approx(np.hypot(noise, seen), rel=1e-3)
    two = measured(loud=LOUD, quiet=[wavering(QUIET, 1.9), wavering(QUIET, 1.9, frames=488)])
    assert chance(two) == pytest.approx(np.hypot(noise, seen / np.sqrt(2.0)), rel=1e-3)
    for frames, known in ((19, 4.343 / np.sqrt(230.77 * 11 / 8)), (20, seen)):
        short = measured(loud=LOUD, quiet=wavering(QUIET, 1.9, frames=frames))
        assert chance(short) == pytest.approx(np.hypot(noise, known), rel=1e-3)


def test_chance_weighs_more_near_the_background(measured: Ask) -> None:
    """8 dB above it: the background is 10^-0.8 = 0.158 of all, so that the signal is wrong by 1/(1 - 0.158)
    of what the sum is, and by 0.158/(1 - 0.158) of what the background is."""
    quiet, seen = wavering(QUIET, 1.9), 1.9 * np.sqrt(6 / 5) / np.sqrt(6)
    mean = 10 * np.log10(np.mean(10 ** (quiet[4:-4] / 10), axis=0))
    room = wavering(mean - 8.0, 1.9)
    room += mean - 8.0 - 10 * np.log10(np.mean(10 ** (room / 10), axis=0))
    found = measured(loud=LOUD, quiet=quiet, background=room)
    share = 10**-0.8
    assert found.rule[KHZ] == CORRECTED
    random = np.hypot(seen, share * found_scatter(room)) / (1.0 - share)
    assert chance(found) == pytest.approx(np.hypot(4.343 / np.sqrt(230.77 * 59.0), random), rel=1e-3)


def found_scatter(level_db: np.ndarray) -> float:
    """Standard deviation of the mean of the sixths of all frames."""
    sixths = [10 * np.log10(np.mean(10 ** (part / 10))) for part in np.array_split(level_db[:, KHZ], 6)]
    return float(np.std(sixths, ddof=1) / np.sqrt(6))


def test_of_music_a_band_counts_for_as_long_as_it_sounds(measured: Ask) -> None:
    """(sum p)^2 / sum p^2 of eighths of a second: 30 s of 60 at one level are 30 s, of which each band is
    known to 4.343/sqrt(B T)."""
    loud, quiet = np.tile(LOUD, (480, 1)), np.tile(QUIET, (480, 1))
    loud[100:340, KHZ] -= 200.0
    found = measured(Setup(music=True), loud=loud, quiet=quiet)
    known = 4.343 / np.sqrt(230.77 * np.array([30.0, 60.0]))
    assert chance(found) == pytest.approx(np.hypot(*known), rel=1e-3)


# --- levels ---


def test_gains_come_off_each_recording(measured: Ask) -> None:
    """20 dB more in the quiet room, and in its background too where nothing else is said; corners likewise.
    The corner rule is (10^(Lc/10) + 2 10^(L/10))/3 in 50, 63 and 80 Hz (ISO 16283-1, from memory)."""
    plain = measured(loud=LOUD, quiet=QUIET, background=QUIET - 8.0)
    assert set(plain.rule) == {CORRECTED}
    assert plain.difference_db == pytest.approx(LOUD - QUIET - 10 * np.log10(1.0 - 10**-0.8))
    more = Setup(quiet_gain_db=20.0, gain_stated=True)
    lifted = measured(more, loud=LOUD, quiet=QUIET + 20.0, background=QUIET + 12.0)
    assert lifted.difference_db == pytest.approx(plain.difference_db)
    assert lifted.quiet_db == pytest.approx(QUIET) and lifted.background_db == pytest.approx(QUIET - 8.0)
    own = replace(more, background_gain_db=5.0)
    other = measured(own, loud=LOUD, quiet=QUIET + 20.0, background=QUIET - 3.0)
    assert other.difference_db == pytest.approx(plain.difference_db)
    cornered = measured(
        more, loud=LOUD, quiet=QUIET + 20.0, background=QUIET + 12.0, loud_corner=[LOUD, LOUD + 6.0],
        quiet_corner=QUIET + 26.0, background_corner=QUIET + 18.0,
    )  # fmt: skip
    rise = np.where(np.isin(THIRD_OCTAVES, (50, 63, 80)), 10 * np.log10((10**0.6 + 2.0) / 3.0), 0.0)
    assert cornered.loud_db == pytest.approx(LOUD + rise)
    assert cornered.quiet_db == pytest.approx(QUIET + rise)
    assert cornered.background_db == pytest.approx(QUIET - 8.0 + rise)


def test_the_level_of_the_loud_room_makes_all_absolute(measured: Ask) -> None:
    """One band of 125 Hz: 16.1 dB less by A, 0.2 dB less by C (IEC 61672-1:2013, table 3)."""
    loud = np.full(27, -150.0)
    loud[index_of(125)] = -40.0
    files = {"loud": loud, "quiet": loud - 30.0, "background": loud - 45.0}
    for level, above in (((80.0, "A"), 96.1), ((80.0, "C"), 80.2), ((80.0, "Z"), 80.0)):
        found = measured(Setup(level=level), **files)
        shift = above + 40.0
        assert found.loud_db == pytest.approx(loud + shift, abs=1e-3)
        assert found.quiet_db == pytest.approx(loud - 30.0 + shift, abs=1e-3)
        assert found.background_db == pytest.approx(loud - 45.0 + shift, abs=1e-3)
        assert found.difference_db == pytest.approx(np.full(27, 30.0)) and found.calibrated
    assert not measured(**files).calibrated


def test_a_background_counts_for_as_long_as_the_passage_was_heard(measured: Ask) -> None:
    """Music whose energy counts over the loud take's 60 s and that went on for 30 s in the quiet one: a
    steady background has half the energy in those."""
    setup = Setup(music=True)
    found = measured(setup, loud=LOUD, quiet=np.tile(QUIET, (240, 1)), background=QUIET - 20.0)
    assert found.background_db == pytest.approx(QUIET - 20.0 - 10 * np.log10(2.0))
    assert found.quiet_db == pytest.approx(QUIET - 10 * np.log10(2.0))


def test_what_else_sounds_in_the_loud_room_is_taken_off_or_drowns(measured: Ask) -> None:
    """By the background rule: 8 dB above it is corrected, 5 dB above it is left out."""
    beside = np.where(np.arange(27) < 5, LOUD - 5.0, LOUD - 8.0)
    found = measured(loud=LOUD, quiet=QUIET, loud_background=beside)
    assert np.isnan(found.loud_db[:5]).all()
    assert found.loud_db[5:] == pytest.approx(LOUD[5:] + 10 * np.log10(1.0 - 10**-0.8))
    (one,) = [finding for finding in found.findings if finding.key == "drowned"]
    assert "25 to 63 Hz" in one.what
    clear = measured(loud=LOUD, quiet=QUIET, loud_background=LOUD - 30.0)
    assert not any(finding.key == "drowned" for finding in clear.findings)


def test_reverberation_goes_on_where_no_decay_was_heard(
    measured: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """0.4 s at 500 Hz and 0.9 s at 2 kHz: 0.6 s halfway between, by ratio, in logarithms of frequency; to 5
    and to 2 %, 10 lg of which is 4.343 times that; what is carried on has 1 dB besides."""
    t20, u = np.full(27, np.nan), np.full(27, np.nan)
    t20[[13, 19]], u[[13, 19]] = [0.4, 0.9], [0.02, 0.018]
    decay = SimpleNamespace(t20=t20, u_t20=u, findings=())
    monkeypatch.setattr(isolation.decays, "reverberation", lambda paths: decay)
    files = {"loud": LOUD, "quiet": QUIET, "decay": FLAT}
    found = measured(**files)
    assert found.time[[0, 13, 16, 19, 26]] == pytest.approx([0.4, 0.4, 0.6, 0.9, 0.9], rel=0.002)
    assert [found.time_basis[i] for i in (13, 16, 19)] == ["measured", "carried on", "measured"]
    (note,) = [note for note in found.notes if "carried on" in note]
    assert "25 to 400 Hz, 630 to 1600 Hz and 2500 to 10000 Hz" in note

    def of_time(band: int) -> float:
        stated = measured(Setup(time=float(found.time[band])), loud=LOUD, quiet=QUIET)
        return float(np.sqrt(found.u_db[band] ** 2 - stated.u_db[band] ** 2 + 1.0))

    assert of_time(13) == pytest.approx(4.343 * 0.05, abs=0.01)
    assert of_time(26) == pytest.approx(np.hypot(4.343 * 0.02, 1.0), abs=0.01)
    decay.t20 = np.full(27, np.nan)
    none = measured(**files)
    assert set(none.time) == {0.5} and set(none.time_basis) == {"assumed"} and len(none.time_basis) == 27
    assert none.u_db == pytest.approx(measured(loud=LOUD, quiet=QUIET).u_db)


def test_a_gain_is_sought_where_the_signal_was_played(
    measured: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not in the background; and what varies where its steps are known is the microphone's place."""
    told = Finding("automatic gain", SPOILT, "x", "y")
    monkeypatch.setattr(isolation.recorder, "gain", lambda r: told)
    monkeypatch.setattr(isolation.recorder, "find_steps", lambda r: Steps(40, (80, 480), 1.0))
    apart = np.where((np.arange(480)[:, None] // SECOND + np.arange(27)) % 2, 2.0, -2.0)
    found = measured(loud=LOUD + apart, quiet=QUIET + apart, background=QUIET - 20.0 + apart).findings
    assert [one.key for one in found].count("automatic gain") == 2
    assert [one.file for one in found if one.key == "not steady"] == ["background"]


# --- notes ---


def test_how_much_louder_it_must_be_is_told_where_most_bands_drown(measured: Ask) -> None:
    """10 dB clear: x dB above the background the signal alone is 10 lg(10^(x/10) - 1) above it, 0 dB for
    3.01: 10 dB louder for 3.1, 15 for 2.9. Nine of the 16 bands from 100 to 3150 Hz are most."""

    def notes(above: float, bands: int = 16) -> str:
        quiet = np.where((np.arange(27) >= 6) & (np.arange(27) < 6 + bands), above, 30.0) + QUIET
        return " ".join(measured(loud=LOUD, quiet=quiet, background=QUIET).notes)

    assert "play some 10 dB louder" in notes(3.1) and "play some 15 dB louder" in notes(2.9)
    assert "play some 20 dB louder" in notes(0.5) and "play some 25 dB louder" in notes(0.1)
    assert "lower limits" in notes(3.1, 9) and "lower limits" not in notes(3.1, 8)
    assert "every value is a lower limit" not in notes(3.1)
    bare = measured(loud=LOUD, quiet=QUIET)
    assert "every value is a lower limit" in " ".join(bare.notes) and set(bare.rule) == {LIMIT}
    assert "lower limits" not in " ".join(bare.notes)


def test_rooms_under_25_m3_are_told_of_corners(measured: Ask) -> None:
    """ISO 16283-1."""
    for volume, told in ((24.9, True), (25.0, False)):
        for setup, name in ((Setup(volume=volume), "quiet"), (Setup(loud_volume=volume), "loud")):
            notes = measured(setup, loud=LOUD, quiet=QUIET).notes
            assert any(f"the {name} room has" in note for note in notes) == told
    cornered = measured(Setup(volume=20.0), loud=LOUD, quiet=QUIET, quiet_corner=QUIET)
    assert not any("corners" in note for note in cornered.notes)


def test_bands_are_told_with_what_is_only_a_limit(measured: Ask) -> None:
    quiet = np.where(np.arange(27) < 3, QUIET + 3.0, QUIET + 20.0)
    found = measured(loud=LOUD, quiet=quiet, background=QUIET)
    assert found.to_dict()["at_least"] == [True] * 3 + [False] * 24
    header, rows = found.to_rows()
    assert [row[header.index("at_least")] for row in rows] == [1] * 3 + [0] * 24
    assert set(found.rule[3:]) == {CLEAR}
