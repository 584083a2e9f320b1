"""What is wrong with a recording is found, and what is right is left in peace."""

import re
from pathlib import Path

import numpy as np
import pytest
from scipy import signal
from synthetic import noise, put

from isolate.bands import THIRD_OCTAVES
from isolate.errors import InputError
from isolate.measuring import checks
from isolate.measuring.checks import DOUBT, SPOILT
from isolate.measuring.recording import listen, own_background, sounding, steadied

RATE = 48_000
PINK = np.full(27, -35.0)
QUIET = -50.0 - np.linspace(0.0, 35.0, 27)  # what a wall leaves of it
ROOM = np.linspace(-75.0, -105.0, 27)


@pytest.fixture(scope="module")
def rng() -> np.random.Generator:
    return np.random.default_rng(11)


def found(path: Path, role: str = "loud", *, steady: bool = True) -> dict[str, checks.Finding]:
    recording = listen(path) if role == "background" else steadied(listen(path))
    return {finding.key: finding for finding in checks.of_one(recording, role, steady=steady)}


@pytest.mark.parametrize("bits", [16, 24])
@pytest.mark.parametrize("rate", [16_000, 44_100, 48_000, 96_000])
def test_good_recordings_raise_nothing(
    tmp_path: Path, rng: np.random.Generator, rate: int, bits: int
) -> None:
    for role, level in (("loud", PINK), ("quiet", QUIET), ("background", ROOM + 20)):
        x = noise(level, 20, rng=rng, rate=rate)
        assert found(put(tmp_path / "x.wav", x, rate=rate, bits=bits), role) == {}


def test_hum_and_bass_are_not_taken_for_clipping(tmp_path: Path, rng: np.random.Generator) -> None:
    t = np.arange(20 * RATE) / RATE
    hum = 0.5 * np.sin(2 * np.pi * 50 * t) + noise(ROOM, 20, rng=rng)
    assert "clipping" not in found(put(tmp_path / "hum.wav", hum, bits=16), "background")


@pytest.mark.parametrize("scale", [1.0, 0.4])
def test_clipping_is_found_also_after_turning_down(
    tmp_path: Path, rng: np.random.Generator, scale: float
) -> None:
    x = scale * np.clip(6.0 * noise(PINK, 20, rng=rng), -1, 1)
    finding = found(put(tmp_path / "clip.wav", x, bits=16))["clipping"]
    assert finding.grave == SPOILT and "gain down" in finding.again


def test_a_few_clipped_peaks_are_a_doubt_only(tmp_path: Path, rng: np.random.Generator) -> None:
    x = noise(PINK, 20, rng=rng)
    x /= np.sort(np.abs(x))[-60]
    assert found(put(tmp_path / "peaks.wav", np.clip(x, -1, 1)))["clipping"].grave == DOUBT


def test_automatic_gain_is_told_from_noise_that_changes(tmp_path: Path, rng: np.random.Generator) -> None:
    x = noise(PINK, 30, rng=rng)
    t = np.arange(x.size) / RATE
    slow = 10 ** (-8 / 20 * (1 - np.exp(-t / 4)))  # 8 dB taken away over some seconds
    agc = found(put(tmp_path / "agc.wav", x * slow))
    assert "falls by" in agc["automatic gain"].what and "not steady" not in agc
    cars = x + 10 * noise(QUIET, 30, rng=rng) * (np.sin(2 * np.pi * t / 7) > 0.3)
    bursts = signal.sosfilt(signal.butter(2, 1500, "high", fs=RATE, output="sos"), x) * (np.sin(t) > 0)
    unsteady = found(put(tmp_path / "cars.wav", cars + 2 * bursts))
    assert "not steady" in unsteady and "automatic gain" not in unsteady


def test_a_few_loud_seconds_that_rule_the_mean_spoil_it(tmp_path: Path, rng: np.random.Generator) -> None:
    """A door slammed for two of thirty seconds, 25 dB above: 10 lg((28 + 2 * 10^2.5) / 30) = 13.4 dB."""
    x = noise(QUIET, 30, rng=rng)
    x[12 * RATE : 14 * RATE] *= 10 ** (25 / 20)
    finding = found(put(tmp_path / "door.wav", x), "quiet")["not steady"]
    assert finding.grave == SPOILT and re.search("lift its mean by up to 1[34] dB", finding.what)
    assert found(tmp_path / "door.wav", "background")["not steady"].grave == DOUBT


def test_an_offset_is_neither_sound_nor_a_limiter(tmp_path: Path, rng: np.random.Generator) -> None:
    """A recorder whose zero lies elsewhere, as cheap converters have it: the same levels, nothing found."""
    x = noise(ROOM + 20, 20, rng=rng)
    plain = listen(put(tmp_path / "plain.wav", x))
    path = put(tmp_path / "offset.wav", x + 0.2)
    assert found(path) == {} and found(path, "background") == {}
    assert np.abs(listen(path).course_db() - plain.course_db()).max() < 0.5


def test_a_gate_is_found(tmp_path: Path, rng: np.random.Generator) -> None:
    x = noise(ROOM, 20, rng=rng)
    x[5 * RATE : 14 * RATE] = 0.0
    finding = found(put(tmp_path / "gate.wav", x), "background")["digital silence"]
    assert finding.grave == SPOILT and "45 %" in finding.what


def test_lossy_coding_is_found_by_what_it_leaves_out(tmp_path: Path, rng: np.random.Generator) -> None:
    """A coder's low-pass at 7 kHz: found, the bands above are not used, and the ones below are."""
    sos = signal.ellip(12, 0.1, 90, 7000, fs=RATE, output="sos")
    path = put(tmp_path / "call.wav", signal.sosfilt(sos, noise(PINK, 20, rng=rng)))
    recording = listen(path)
    assert recording.cut_hz == pytest.approx(7000, abs=500)
    assert THIRD_OCTAVES[recording.usable].max() == 5000
    assert np.isnan(recording.level_db[-3:]).all()
    assert "6300 to 10000 Hz are missing" in found(path)["lossy coding"].what


def test_treble_that_drops_out_is_found(tmp_path: Path, rng: np.random.Generator) -> None:
    """Noise suppression works in short pieces and bands; here a tenth of the pieces lose 5 to 9 kHz."""
    x = noise(PINK, 20, rng=rng)
    f, _, z = signal.stft(x, RATE, nperseg=8192, noverlap=6144)
    drop = np.zeros(z.shape[1], bool)
    drop[np.arange(0, z.shape[1] - 8, 60)[:, None] + np.arange(8)] = True
    z[np.ix_((f > 5000) & (f < 9000), drop)] *= 1e-3
    _, y = signal.istft(z, RATE, nperseg=8192, noverlap=6144)
    assert "drops out" in found(put(tmp_path / "holes.wav", y[: x.size]))["lossy coding"].what


def test_hiss_and_the_last_bit_are_told_from_a_room(tmp_path: Path, rng: np.random.Generator) -> None:
    hiss = noise(ROOM, 20, rng=rng) + 10 ** (-70 / 20) * rng.standard_normal(20 * RATE)
    assert "self-noise" in found(put(tmp_path / "hiss.wav", hiss), "background")
    faint = noise(ROOM - 15, 20, rng=rng)
    assert "last bit" in found(put(tmp_path / "bit.wav", faint, bits=16), "background")


def test_too_short_names_its_bands(tmp_path: Path, rng: np.random.Generator) -> None:
    finding = found(put(tmp_path / "short.wav", noise(PINK, 9, rng=rng)), "quiet")["too short"]
    assert "25 to 80 Hz" in finding.what and "at least 15 s" in finding.again
    assert "100" not in finding.what


def test_limited_noise_and_an_uneven_source(tmp_path: Path, rng: np.random.Generator) -> None:
    x = noise(PINK, 20, rng=rng)
    assert "limiter" in found(put(tmp_path / "flat.wav", 0.3 * np.tanh(8 * x / x.std() / 4)))
    level = PINK.copy()
    level[14] -= 14
    assert (
        "500 to 630 Hz" in found(put(tmp_path / "hole.wav", noise(level, 20, rng=rng)))["uneven source"].what
    )


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory, rng: np.random.Generator) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("three")
    background = noise(ROOM, 20, rng=rng)
    return {
        "loud": put(folder / "loud.wav", noise(PINK, 20, rng=rng)),
        "quiet": put(folder / "quiet.wav", noise(QUIET, 20, rng=rng) + background),
        "background": put(folder / "background.wav", noise(ROOM, 20, rng=rng)),
        "twin": put(folder / "twin.wav", noise(PINK + 1, 20, rng=rng)),
        "lifted": put(folder / "lifted.wav", 12 * noise(QUIET, 20, rng=rng)),
    }


def together(three: dict[str, Path], loud: str, quiet: str, background: str | None = None) -> dict[str, int]:
    one = [[listen(three[name])] if name else [] for name in (loud, quiet, background)]
    return {finding.key: finding.grave for finding in checks.of_all(*one, gain_stated=False)}


def test_roles_are_checked_together(three: dict[str, Path]) -> None:
    assert together(three, "loud", "quiet", "background") == {}
    assert together(three, "quiet", "loud") == {"swapped": SPOILT}
    assert together(three, "loud", "background", "quiet") == {"swapped": SPOILT}
    assert together(three, "loud", "twin") == {"same room": SPOILT}
    assert together(three, "loud", "quiet", "quiet") == {"same recording": SPOILT}
    assert together(three, "loud", "lifted") == {"automatic gain": DOUBT}


def test_normalised_files_are_found(tmp_path: Path, rng: np.random.Generator) -> None:
    files = []
    for name, level in (("a", PINK), ("b", QUIET)):
        x = noise(level, 10, rng=rng)
        files.append([listen(put(tmp_path / f"{name}.wav", 0.9 * x / np.abs(x).max()))])
    assert [f.key for f in checks.of_all(*files, [], gain_stated=False)] == ["normalised"]
    assert checks.of_all(*files, [], gain_stated=True) == []


def test_the_even_part_is_found_and_the_silence_around_it(tmp_path: Path, rng: np.random.Generator) -> None:
    x = noise(ROOM, 70, rng=rng)
    x[12 * RATE : 52 * RATE] += noise(QUIET, 40, rng=rng)
    recording = steadied(listen(put(tmp_path / "take.wav", x)))
    assert recording.part[0] / 8 == pytest.approx(12.8, abs=0.8)
    assert recording.part[1] / 8 == pytest.approx(51.3, abs=0.8)
    silent = own_background(recording)
    assert silent is not None
    assert silent.part[0] / 8 >= 52.9
    assert np.abs(silent.level_db - ROOM)[8:].max() < 1.0


def test_music_counts_from_its_first_to_its_last_sound(tmp_path: Path, rng: np.random.Generator) -> None:
    x = np.concatenate([np.zeros(3 * RATE), noise(PINK, 10, rng=rng), np.zeros(4 * RATE)])
    recording = sounding(listen(put(tmp_path / "tune.wav", x)))
    assert (recording.part[0] / 8, recording.part[1] / 8) == pytest.approx((3, 13), abs=0.3)


def test_a_moving_microphone_is_told_from_a_still_one(tmp_path: Path, rng: np.random.Generator) -> None:
    x = noise(PINK, 30, rng=rng)
    assert not checks.walked(listen(put(tmp_path / "still.wav", x)))
    t = np.arange(x.size) / RATE
    moved = np.zeros_like(x)
    for i, low in enumerate((200, 400, 800, 1600, 3200)):  # each octave sways at its own pace
        sos = signal.butter(4, (low, 1.99 * low), "bandpass", fs=RATE, output="sos")
        moved += signal.sosfilt(sos, x) * (1 + 0.4 * np.sin(2 * np.pi * t * (0.4 + 0.17 * i)))
    assert checks.walked(listen(put(tmp_path / "moved.wav", moved)))


def test_silence_and_dead_channels(tmp_path: Path, rng: np.random.Generator) -> None:
    with pytest.raises(InputError, match="are silence"):
        listen(put(tmp_path / "nothing.wav", np.zeros(5 * RATE)))
    with pytest.raises(InputError, match="too short"):
        listen(put(tmp_path / "blip.wav", noise(PINK, 1, rng=rng)))
    x = noise(PINK, 5, rng=rng)
    both = listen(put(tmp_path / "half.wav", np.stack([x, 1e-4 * x], axis=1)))
    alone = listen(put(tmp_path / "one.wav", x))
    assert "1 of 2 channels" in both.notes[0]
    assert np.allclose(both.level_db, alone.level_db, atol=1e-3)
