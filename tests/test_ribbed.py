"""A deck on joists in its limits: what it weighs, how stiff it is along them, how it rings between them."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.describe import constructions
from isolate.physics import ribbed, studs
from isolate.physics.leaves import Plate
from isolate.physics.ribbed import Ribbed
from isolate.physics.stack import build
from isolate.physics.transmission import transmission
from isolate.standards import ratings

DECK = Plate(0.022, 660.0, 3.5e9, 0.25, 0.01)
F = np.array([40.0])


def test_a_slow_deck_weighs_what_it_and_its_joists_weigh() -> None:
    """38 x 200 mm of 450 kg/m3 every 406 mm are 8.4 kg/m2."""
    z = Ribbed((DECK,), 0.2, 0.3).impedance(F, np.array([[1e-3]]))
    joists = 450.0 * 0.038 * 0.2 / 0.4064
    assert z.imag.item() == pytest.approx(2 * np.pi * 40.0 * (DECK.mass + joists), rel=0.01)


def test_along_the_joists_a_deck_is_as_stiff_as_they_are() -> None:
    """E b d^3/(12 s), in series with shear: k^4 over j w is what a wave along them meets beside the mass."""
    k, d = np.array([[0.6]]), 0.2
    along, across = (Ribbed((DECK,), d, angle).impedance(F, k) for angle in (0.0, np.pi / 2))
    bending, shear = 11e9 * 0.038 * d**3 / 12, 5 / 6 * 0.69e9 * 0.038 * d
    stiff = bending * k**4 / (1 + bending * k**2 / shear) / 0.4064 / (2 * np.pi * 40.0)
    assert (across - along).imag.item() == pytest.approx(stiff.item(), rel=0.02)


def test_between_joists_that_do_not_move_the_deck_rings_as_clamped_strips(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """(4.730)^2/(2 pi b^2) sqrt(B/m) of a strip that cannot turn at either side (textbook), alike on both
    sides of every joist at normal incidence: there nothing holds the deck against sound."""
    monkeypatch.setattr(studs, "beam", lambda f, along, **_: np.full(np.broadcast(f, along).shape, 1e12j))
    monkeypatch.setattr(ribbed, "HARMONICS", 40)
    thin = Plate(0.004, 660.0, 3.5e9, 0.25, 1e-4)
    own = 4.730**2 / (2 * np.pi * 0.4064**2) * np.sqrt(thin.bending / thin.mass)
    f = np.linspace(0.8 * own, 1.2 * own, 401)
    z = Ribbed((thin,), 0.2, np.pi / 2).impedance(f, np.full((1, f.size), 1e-3))[0]
    assert f[np.argmin(np.abs(z))] == pytest.approx(own, rel=0.01)


def test_joists_are_under_decks_that_only_clips_or_nothing_hold() -> None:
    for name, held in (("resilient clips, wool", True), ("free inner ceiling", True), ("one board", False)):
        leaves = build(constructions.load(f"timber floor above, {name}"), size=None).leaves
        assert isinstance(leaves[0], Ribbed) == held, name
    assert not any(
        isinstance(x, Ribbed) for x in build(constructions.load("plywood 18 mm"), size=None).leaves
    )


def test_ceilings_under_joists_are_about_what_the_trade_expects() -> None:
    """A free ceiling Rw 63 to 66, two boards on clips 57 to 60 (from memory; STC 57 read): 5 dB about their
    middles; without the joists they come out at 71 and 66."""
    for name, expected in (("free inner ceiling", 64.5), ("resilient clips, wool", 58.5)):
        tl = transmission(constructions.load(f"timber floor above, {name}"))
        assert abs(float(ratings.rw(tl.tl_db)) - expected) <= 5.0, name


def test_joists_of_no_depth_are_refused() -> None:
    with pytest.raises(ValueError, match="depth: must be above 0"):
        Ribbed((DECK,), 0.0)
