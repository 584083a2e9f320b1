"""Absorption added to a room: against a general acoustics library, conservation and round trips."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from isolate.bands import THIRD_OCTAVES, index_of
from isolate.physics import air, reverberation, surfaces, treatment

PUBLISHED = Path(__file__).parent / "published"
VOLUME, SURFACE = 4.1 * 3.2 * 2.5, 2 * (4.1 * 3.2 + 4.1 * 2.5 + 3.2 * 2.5)


def test_sabine_and_eyring_agree_with_acoustic_toolbox():
    """acoustic-toolbox, room.t60_sabine and t60_eyring: two surfaces in three bands, to 1e-12."""
    room = pytest.importorskip("acoustic_toolbox.room")
    areas, alpha = np.array([50.0, SURFACE - 50.0]), np.array([[0.05, 0.1, 0.1], [0.3, 0.8, 1.0]])
    added = areas @ alpha
    ours = treatment.sabine_after(np.full(3, 1e9), added, volume=VOLUME)
    np.testing.assert_allclose(ours, room.t60_sabine(areas, alpha, VOLUME, air.SPEED), rtol=1e-6)
    ours = treatment.eyring_after(np.full(3, 1e9), added, volume=VOLUME, surface=SURFACE)
    np.testing.assert_allclose(ours, room.t60_eyring(areas, alpha, VOLUME, air.SPEED), rtol=1e-6)


def test_nothing_added_changes_nothing():
    time = reverberation.of_furnishing("furnished", size=(4.1, 3.2, 2.5))
    m = reverberation.air_attenuation(THIRD_OCTAVES)
    np.testing.assert_allclose(treatment.sabine_after(time, 0, volume=VOLUME), time)
    eyring = treatment.eyring_after(time, 0, volume=VOLUME, surface=SURFACE, air=m)
    np.testing.assert_allclose(eyring, time, rtol=1e-9)


def test_doubling_absorption_takes_three_decibels():
    """10 lg 2 = 3.01 dB; tripling 4.77 dB."""
    np.testing.assert_allclose(
        treatment.level_drop([5.0, 5.0, 5.0], [5.0, 10, 15]), [0, 3.0103, 4.7712], atol=1e-4
    )


def test_eyring_is_shorter_than_sabine_for_the_same_coefficients():
    """-ln(1 - a) > a: with the room's own time kept by both, what is added counts more in Eyring's."""
    added = np.array([1.0, 5.0, 20.0])
    sabine = treatment.sabine_after(0.5, added, volume=VOLUME)
    eyring = treatment.eyring_after(0.5, added, volume=VOLUME, surface=SURFACE)
    assert np.all(eyring < sabine) and np.all(np.diff(eyring) < 0)
    assert treatment.eyring_after(0.5, 1e4, volume=VOLUME, surface=SURFACE) > 0


def test_reverberation_distance_of_handbooks():
    """0.057 (V/T)^0.5 for an omnidirectional source (handbook, from memory)."""
    area = treatment.sabine_area(0.5, volume=VOLUME)
    assert treatment.reverberation_distance(area) == pytest.approx(0.057 * np.sqrt(VOLUME / 0.5), rel=0.01)


def test_clearness_is_zero_when_half_comes_early():
    """Half the energy of a decay lies before ln 2 / (6 ln 10) T."""
    time = 0.05 * 6 * np.log(10) / np.log(2)
    assert treatment.clearness(time) == pytest.approx(0, abs=1e-9)
    assert np.all(np.diff(treatment.clearness([0.2, 0.5, 1.0])) < 0)


def test_surfaces_hold_their_printed_octaves():
    for name, surface in surfaces.SURFACES.items():
        at = [index_of(f) for f in (125, 250, 500, 1000, 2000, 4000)]
        np.testing.assert_allclose(surfaces.alpha(name)[at], surface.alpha)
    assert surfaces.alpha("glass")[0] == 0.08
    with pytest.raises(ValueError, match=r"no surface of this name .*known: plasterboard"):
        surfaces.alpha("marshmallow")


def test_surfaces_are_the_published_rows():
    """Each of them; carpets at 4 kHz as at 2 kHz, where nothing was given."""
    rows = pd.read_csv(PUBLISHED / "absorption_surfaces.csv", comment="#", index_col="name")
    assert set(rows.index) == set(surfaces.SURFACES)
    for name, row in rows.drop(columns="key").ffill(axis=1).iterrows():
        assert list(surfaces.SURFACES[name].alpha) == list(row.astype(float))