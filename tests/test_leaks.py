"""Leaks in words, against published effects of seals and classes of air tightness."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from isolate.bands import THIRD_OCTAVES, band_mean, points
from isolate.describe import leaks
from isolate.physics import air_flow, openings
from isolate.standards import ratings

PUBLISHED = Path(__file__).parent / "published"
C919 = pd.read_csv(PUBLISHED / "astm_c919_perimeter.csv", comment="#", index_col="seal").stc
CLASSES = pd.read_csv(PUBLISHED / "en12207_joint_air.csv", comment="#", index_col="class").m3_per_h_m
OPEN = pd.read_csv(PUBLISHED / "percent_open.csv", comment="#")


def leak_tau(leak: leaks.Leak, width: float) -> np.ndarray:
    tau = openings.slit(points(12), width=width, depth=leak.depth, length=leak.length, at_edge=leak.at_edge)
    return band_mean(tau, 12)


@pytest.mark.parametrize("row", list(OPEN.itertuples()), ids=lambda row: f"{row.percent} % open")
def test_an_open_part_caps_the_wall(row: object) -> None:
    """Table of percent open, tau = 1: a slit wide against the wavelength is such an opening."""
    share = row.percent / 100  # type: ignore[attr-defined]
    tau = openings.slit(5000.0, width=0.06, depth=0.05)
    for wall in (30, 40, 50, 60):
        both = -10 * np.log10(10 ** (-wall / 10) * (1 - share) + float(tau) * share)
        assert both == pytest.approx(getattr(row, f"wall_{wall}"), abs=0.06)
        assert both < row.cap + 0.06  # type: ignore[attr-defined]


def wall_along_the_contour(stc: int) -> np.ndarray:
    """A wall along the contour of ASTM E413, 125 Hz to 4 kHz, 6 dB an octave below it, that rates `stc`."""
    contour = [-16, -13, -10, -7, -4, -1, 0, 1, 2, 3, 4, 4, 4, 4, 4, 4]
    base = 50.0 + np.interp(np.log(THIRD_OCTAVES), np.log(THIRD_OCTAVES[7:23]), contour)
    base[:7] = base[7] - 6 * np.log2(THIRD_OCTAVES[7] / THIRD_OCTAVES[:7])
    return base + stc - int(ratings.stc(base))


@pytest.mark.parametrize("size", [(4.27, 2.74), (3.05, 2.44)], ids=["14 x 9 ft", "10 x 8 ft"])
@pytest.mark.parametrize("seal", C919.index)
def test_perimeter_of_a_partition(seal: str, size: tuple[float, float]) -> None:
    """ASTM C919: STC 53, 49 with one bead, 29 with none. The wall here is the contour itself, set to rate
    53; the typical widths were chosen to give these numbers, at either size of a test opening within 1."""
    wall = wall_along_the_contour(53)
    leak = leaks.find("perimeter", seal)
    length, area = 2 * sum(size), size[0] * size[1]
    tau = 10 ** (-wall / 10) + length * leak.width.typical / area * leak_tau(leak, leak.width.typical)
    assert abs(int(ratings.stc(-10 * np.log10(tau))) - C919[seal]) <= 1


def test_sashes_leak_air_as_their_classes_say() -> None:
    """EN 12207 per metre of joint at 100 Pa (from memory); the slit is laminar with its mouths."""

    def flow(seal: str, part: str) -> float:
        leak = leaks.find("window sash", seal)
        width = getattr(leak.width, part)
        return float(air_flow.slit_flow(width=width, depth=leak.depth, pressure=100.0)) * 3600

    assert CLASSES[4] < flow("draught-stripped", "typical") < CLASSES[3]
    assert flow("draught-stripped", "high") < 1.2 * CLASSES[3]
    assert CLASSES[3] < flow("partly sealed", "typical") < CLASSES[2]
    assert flow("partly sealed", "high") < CLASSES[1]
    assert flow("unsealed", "typical") > CLASSES[1]


@pytest.mark.parametrize("place", leaks.places())
def test_a_better_seal_is_narrower_and_quieter(place: str) -> None:
    found = [leak for (where, _), leak in leaks.leaks().items() if where == place]
    found.sort(key=lambda leak: leaks.SEALS.index(leak.seal))
    assert {leak.seal for leak in found} >= {"sealed", "partly sealed", "unsealed"}
    # up to 1 kHz: near its resonances a narrow slit can pass more than a wide one
    passed = [leak.width.typical * leak_tau(leak, leak.width.typical)[:17] for leak in found]
    assert all(np.all(one < other) for one, other in itertools.pairwise(passed))
    for leak in found:
        assert leak.width.low < leak.width.typical < leak.width.high
        assert leak.source and leak.basis in leaks.BASES


def test_words_of_everyday_mean_the_same() -> None:
    assert leaks.find("Undercut", "open") is leaks.find("under the door", "unsealed")
    assert leaks.find("outlet", "one bead") is leaks.find("socket", "partly sealed")


@pytest.mark.parametrize(
    ("place", "seal", "message"),
    [
        ("dor", "open", r'no place of a leak \(got "dor"\)'),
        ("socket", "windy", r'no state of a seal \(got "windy"\)'),
        ("treshold", "open", 'did you mean "threshold"'),
        (
            "socket",
            "brush",
            r"a socket is never draught-stripped .* write sealed or partly sealed or unsealed",
        ),
    ],
)
def test_unknown_words_are_refused(place: str, seal: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        leaks.find(place, seal)
