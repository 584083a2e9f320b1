"""What a request for a measurement states and what a saved one holds, from bare numbers; no recordings."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from test_checks_of_numbers import FLAT, taken
from test_measure import WALL
from test_measured import made

from isolate.bands import THIRD_OCTAVES, index_of
from isolate.describe.stated import Stated
from isolate.errors import InputError
from isolate.measuring import request
from isolate.measuring.checks import DOUBT, SPOILT, Finding
from isolate.measuring.measured import Setup
from isolate.measuring.recording import Recording
from isolate.show.data import to_json
from isolate.standards.field import CLEAR, LIMIT

NOTHING: dict[str, Any] = dict.fromkeys(
    ("quiet_gain", "background_gain", "volume", "loud_volume", "area", "time", "level", "same_sound")
)


def stated(**given: Any) -> Setup:
    options = Stated()
    setup = request._setup(options, NOTHING | {"facade": False, "music": False} | given)
    options.stop()
    return setup


def test_gains_and_times_have_their_ends() -> None:
    """-80 to 80 dB, 0.05 to 20 s."""
    for gain in ("-80 dB", "80 dB"):
        found = stated(quiet_gain=gain, background_gain=gain)
        assert found.quiet_gain_db == found.background_gain_db == float(gain.split()[0])
        assert found.gain_stated
    assert stated(time="0.05 s").time == 0.05 and stated(time="20 s").time == 20.0
    for key, text in (
        ("quiet_gain", "-81 dB"), ("quiet_gain", "81 dB"), ("background_gain", "-81 dB"),
        ("background_gain", "81 dB"), ("time", "0.04 s"), ("time", "21 s"),
    ):  # fmt: skip
        with pytest.raises(InputError, match=f"{key}: out of range"):
            stated(**{key: text})
    assert stated().quiet_gain_db == 0.0 and not stated().gain_stated


def test_a_volume_is_told_by_itself_or_by_its_sides() -> None:
    """4 m x 3 m x 2.5 m are 30 m3; a foot is 0.3048 m."""
    for text in ("30 m3", "4 m x 3 m x 2.5 m"):
        found = stated(volume=text, loud_volume=text, area="12 m2")
        assert found.volume == found.loud_volume == pytest.approx(30.0) and found.area == pytest.approx(12.0)
    assert stated(volume="1059.4 ft3").volume == pytest.approx(1059.4 * 0.3048**3)


# --- the gain between two recordings of one sound ---


def between(first: np.ndarray, second: np.ndarray, monkeypatch: pytest.MonkeyPatch) -> float:
    known: dict[str, Recording] = {"a": taken(first), "b": taken(second)}
    monkeypatch.setattr(request, "listen", lambda path: known[str(path)])
    return request._gain_between(Path("a"), Path("b"))


def test_the_gain_is_the_median_of_the_nine_strongest_bands(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three of nine are 5 dB off, as hum or a step leaves them; what is weak tells nothing."""
    first = np.where(np.arange(27) < 12, -80.0, -40.0)
    first[12:18] = -70.0
    second = first - 20.0
    second[[18, 20, 22]] += 5.0
    second[:18] = -65.0
    assert between(first, second, monkeypatch) == pytest.approx(-20.0)


def raised(band: int, by: float) -> np.ndarray:
    """A flat sound 10 dB weaker, one of its bands so much stronger."""
    found = FLAT - 10.0
    found[band] += by
    return found


def test_bands_of_one_sound_differ_by_6_db_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    assert between(FLAT, raised(-1, 5.9), monkeypatch) == pytest.approx(-10.0)
    with pytest.raises(InputError, match="is not the same sound"):
        between(FLAT, raised(-1, 6.1), monkeypatch)


def test_bands_narrower_than_20_hz_swing_too_much_to_tell(monkeypatch: pytest.MonkeyPatch) -> None:
    """80 Hz is 18.3 Hz wide and 100 Hz 23.0 Hz (IEC 61260-1)."""
    narrow, wide = index_of(80.0), index_of(100.0)
    loud = {band: raised(band, 20.0) + 10.0 for band in (narrow, wide)}
    assert between(loud[narrow], raised(narrow, 28.0), monkeypatch) == pytest.approx(-10.0)
    with pytest.raises(InputError, match="is not the same sound"):
        between(loud[wide], raised(wide, 28.0), monkeypatch)


# --- a saved measurement ---


def test_a_saved_measurement_is_what_was_saved(tmp_path: Path) -> None:
    rule = np.where(THIRD_OCTAVES > 2000.0, LIMIT, CLEAR)
    setup = Setup(quiet_gain_db=3.0, volume=30.0, area=8.0, level=(85.0, "A"), time=0.5)
    findings = (Finding("a", SPOILT, "f", "w", "x"), Finding("b", DOUBT, "f", "w", "x"))
    saved = tmp_path / "m.json"
    for calibrated in (True, False):
        one = replace(made(WALL, setup=setup), rule=rule, calibrated=calibrated, findings=findings)
        saved.write_text(to_json(one))
        again = request.load(saved)
        assert again.rule.tolist() == rule.tolist()
        assert again.calibrated == calibrated and again.findings == findings
        assert again.setup == setup
        assert again.difference_db == pytest.approx(WALL, abs=0.01)
