"""Two leaves on studs: the stud as a beam, the fixings, and the wall as a lattice, each in its limits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from isolate.bands import Array
from isolate.physics import fixings, framing, lattice, layers, ports, studs
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED
from isolate.physics.finite import angles, forced_radiation
from isolate.physics.layers import Complex, Fluid, Sheet
from isolate.physics.leaves import Plate
from isolate.physics.studs import Line, Mobilities

BOARD = Plate(0.0127, 690.0, 2.2e9, 0.3, 0.02)
SPAN, FIXING, HUGE = 0.368, 0.25, (1e4, 1e4)
RIGID, SOFT, NONE = 1e14, 3e5, 1e-3  # N/m


def gap(depth: float, loss: float = 0.0) -> lattice.CavityAt:
    return lambda f, trace: [Fluid(f, trace, DENSITY, 2 * np.pi * f / SPEED * (1 - 1j * loss), depth)]


# --- the stud --------------------------------------------------------------------------------------------


def test_a_beam_gives_way_to_its_own_bending_waves() -> None:
    """E I k^4 = w^2 m (textbook); moved as a whole it is j w m; stiff in shear."""
    f, bending, mass = np.array([50.0, 400.0]), 2.4e4, 1.5
    own = ((2 * np.pi * f) ** 2 * mass / bending) ** 0.25
    across = studs.beam(f, own, bending=bending, shear=np.inf, mass=mass)
    np.testing.assert_allclose(across, 0.0, atol=1e-9 * 2 * np.pi * f.max() * mass)
    whole = studs.beam(f, np.zeros(2), bending=bending, shear=np.inf, mass=mass)
    np.testing.assert_allclose(whole, 2j * np.pi * f * mass)


def test_a_short_wave_shears_a_beam() -> None:
    """k G A k^2/(j w) where bending is stiffer by far (Timoshenko)."""
    f, along, shear = np.array([1e-3]), np.array([1e3]), 2e6
    z = studs.beam(f, along, bending=2.4e4, shear=shear, mass=1.5)
    np.testing.assert_allclose(z, shear * along**2 / (2j * np.pi * f), rtol=1e-3)


def test_a_wood_stud_weighs_what_it_is_and_bends_as_one() -> None:
    """1.54 kg/m of 38 x 89 mm at 450 kg/m3; E b d^3/12 along its depth, and 5/6 G b d in shear: both faces
    move alike."""
    f, width, depth = np.array([0.2]), 0.038, 0.089
    whole = 1 / (2j * np.pi * f * 450.0 * width * depth)
    for y in studs.wood(depth)(f, np.array([0.0]))[0]:
        np.testing.assert_allclose(y, whole, rtol=1e-3)
    along = np.array([2.0])
    bent = 2j * np.pi * f / (11e9 * (1 + 0.05j) * width * depth**3 / 12 * along**4)
    sheared = 2j * np.pi * f / (5 / 6 * 0.69e9 * (1 + 0.05j) * width * depth * along**2)
    for y in studs.wood(depth)(f, along)[0]:
        np.testing.assert_allclose(y, bent + sheared, rtol=2e-3)


def beam_element(f: float, bending: complex, mass: float, length: float) -> Array:
    """Stiffness less w^2 mass of a beam element, deflection and slope at either end (textbooks of finite
    elements: cubic shape, consistent mass)."""
    a = length
    k = [[12, 6 * a, -12, 6 * a], [6 * a, 4 * a * a, -6 * a, 2 * a * a]]
    k += [[-12, -6 * a, 12, -6 * a], [6 * a, 2 * a * a, -6 * a, 4 * a * a]]
    m = [[156, 22 * a, 54, -13 * a], [22 * a, 4 * a * a, 13 * a, -3 * a * a]]
    m += [[54, 13 * a, 156, -22 * a], [-13 * a, -3 * a * a, -22 * a, 4 * a * a]]
    return np.array(k) * bending / a**3 - (2 * np.pi * f) ** 2 * mass * a / 420 * np.array(m)


def frame(f: float, *, depth: float, gauge: float, loss: float, flat: bool = False) -> Array:
    """Mobilities of a C of strips by finite elements: arm, web and arm, 12 elements each; of flange 1 and 2,
    slope after deflection (4, 4), or deflections where screws keep both `flat` (2, 2).

    Along the folded sheet from screw to screw the second flange looks the other way, so that its deflection
    counts against the first one's. The web's ends stay where they are along the boards; the web carries both
    corners by the same deflection.
    """
    plate, mass, count = 205e9 / (1 - 0.29**2) * gauge**3 / 12 * (1 + 1j * loss), 7850.0 * gauge, 12
    end = corner = 2 * (3 * count + 1)
    whole = np.zeros((end + 1, end + 1), complex)
    for part, length in enumerate((studs.ARM, depth, studs.ARM)):
        for i in range(count):
            own = np.arange(4) + 2 * (part * count + i)
            folded = (own == 2 * count) if part == 0 else (own == 4 * count) & (part == 2)
            where = np.where(folded, corner, own)
            sign = np.where(np.arange(4) % 2, 1.0, -1.0 if part == 2 else 1.0)
            whole[np.ix_(where, where)] += np.outer(sign, sign) * beam_element(f, plate, mass, length / count)
    rest = mass * (studs.STEEL_FLANGE - studs.ARM + studs.STEEL_LIP)
    for at, more in ((0, rest), (end - 2, rest), (corner, mass * depth)):
        whole[at, at] -= (2 * np.pi * f) ** 2 * more
    outer = studs.STEEL_FLANGE - studs.ARM
    for at in (1, end - 1):
        whole[at, at] -= (2 * np.pi * f) ** 2 * mass * (outer**3 / 3 + studs.STEEL_LIP * outer**2)
    held = {2 * count, 4 * count, *([1, end - 1] if flat else [])}  # the web's ends do not move along
    free = [i for i in range(end + 1) if i not in held]
    faces = [0, end - 2] if flat else [0, end - 2, 1, end - 1]
    force = np.zeros((end + 1, len(faces)))
    force[faces, range(len(faces))] = 1.0
    moves = np.linalg.solve(whole[np.ix_(free, free)], force[free]) * 2j * np.pi * f
    return np.array(moves[[free.index(i) for i in faces]])


@pytest.mark.parametrize("f", [40.0, 250.0, 315.0, 900.0])
def test_a_steel_stud_is_a_frame_of_strips(f: float) -> None:
    """Finite elements of the same C in two dimensions, below, at and above the web's resonance."""
    got = studs.steel(depth=0.092, gauge=0.5e-3, gap=1.0, loss=0.08)(np.array([f]), np.array([0.0]))
    expected = frame(f, depth=0.092, gauge=0.5e-3, loss=0.08)
    for part, (rows, columns) in zip(got, ((0, 0), (0, 2), (2, 2)), strict=True):
        y = expected[rows : rows + 2, columns : columns + 2]
        np.testing.assert_allclose(np.abs(np.ravel(part)), np.abs(y.ravel()[[0, 1, 3]]), rtol=2e-3)


@pytest.mark.parametrize("f", [40.0, 315.0])
def test_screws_side_by_side_keep_a_flange_flat(f: float) -> None:
    """The same finite elements with flanges that cannot turn."""
    apart, at = 0.03, np.array([f])
    z11, z12, z22 = studs.fixed(studs.steel(depth=0.092, gauge=0.5e-3, gap=1.0), apart)(at, np.array([0.0]))
    held = frame(f, depth=0.092, gauge=0.5e-3, loss=0.08, flat=True) / apart
    z = np.linalg.inv(held)
    np.testing.assert_allclose(np.ravel([z11, z12, z22]), [z[0, 0], z[0, 1], z[1, 1]], rtol=5e-3)


def opened(gauge: float, gap: float, f: float = 5.0) -> complex:
    """Force per length that opens a 92 mm C by a metre."""
    (y11, y12, _), *_ = studs.steel(depth=0.092, gauge=gauge, gap=gap, loss=0.0)(np.array([f]), np.zeros(1))
    return complex((2j * np.pi * f / (2 * (y11 - y12)))[0])


@pytest.mark.parametrize("gauge", [0.5e-3, 0.85e-3])
def test_flanges_that_nothing_keeps_from_turning_open_like_a_clip(gauge: float) -> None:
    """D/(a^2 d + 2 a^3/3), a frame by its strain energy; held flat it is many times as stiff, and air does
    that to thin sheet in the bands where walls resonate."""
    a, d, bending = studs.ARM, 0.092, 205e9 / (1 - 0.29**2) * gauge**3 / 12
    turning = bending / (a * a * d + 2 * a**3 / 3)
    assert opened(gauge, gap=1.0) == pytest.approx(turning, rel=0.01)
    held = abs(opened(gauge, gap=1e-6))
    assert held > 8 * turning
    by_air = abs(opened(0.5e-3, gap=0.05e-3, f=150.0)) / abs(opened(0.5e-3, gap=1.0, f=5.0))
    assert 2 < by_air < held / turning


def test_a_flange_turns_on_a_film_of_air() -> None:
    """mu b^5/(60 h^3) of air pressed to and fro (Reynolds's equation), P0 b^3/(12 h) of air that stays."""
    b, h = 0.035, 0.05e-3
    slow, fast = studs.pivot(np.array([0.1, 1e7]), width=b, gap=h)
    assert slow / (2j * np.pi * 0.1) == pytest.approx(1.813e-5 * b**5 / (60 * h**3), rel=1e-3)
    assert fast == pytest.approx(101325.0 * b**3 / (12 * h), rel=0.05)


@pytest.mark.parametrize("name", ["depth", "gauge", "gap", "loss"])
def test_a_steel_stud_of_nothing_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match=name):
        studs.steel(**{"depth": 0.092, "gauge": 5e-4, "gap": 5e-5, "loss": 0.08, name: -1.0})


def test_a_strip_of_plate_is_a_beam_across_and_bends_along_too() -> None:
    """Clamped and guided edges: 12 D/b^3 (textbook). A wave along a strip whose edges hold neither force nor
    moment: a free beam, D q^4 b per length in all and a little less, its edges free to curl."""
    f, width, bending = np.array([0.5]), 0.05, 2.3
    whole = {"bending": bending, "widths": [width]}
    (((even, _, _), (odd, _, _)),) = studs.ends(f, np.array([1e-6]), mass=4.0, **whole)
    assert abs(even[0]) < 1e-3 * odd[0]
    assert (odd[0] - even[0]) / 2 == pytest.approx(12 * bending / width**3, rel=1e-3)
    q = np.array([12.0])
    (((force, mixed, moment), _),) = studs.ends(f, q, mass=1e-3, **whole)
    beam = 2 * (force - mixed**2 / moment)
    free = bending * q**4 * width
    assert free * (1 - 0.29**2) == pytest.approx(beam, rel=0.02)


def test_a_film_of_air_is_a_dashpot_at_first_and_a_spring_at_last() -> None:
    """mu b^3/h^3 of air pressed out of a slit (Reynolds's equation, textbook), P0 b/h of air that stays."""
    b, h = 0.035, 0.05e-3
    slow, fast = studs.film(np.array([0.1, 1e7]), width=b, gap=h)
    assert slow == pytest.approx(1.813e-5 * b**3 / h**3, rel=1e-3)
    assert fast * 2j * np.pi * 1e7 == pytest.approx(101325.0 * b / h, rel=0.02)


@pytest.mark.parametrize("name", ["width", "gap"])
@pytest.mark.parametrize("of", [studs.film, studs.pivot])
def test_a_film_of_nothing_is_refused(name: str, of: Callable[..., Complex]) -> None:
    with pytest.raises(ValueError, match=name):
        of(np.array([100.0]), **{"width": 0.035, "gap": 5e-5, name: 0.0})


def test_a_flange_with_its_lip_bends_as_tables_of_sections_have_it() -> None:
    """Parallel axis theorem on 35 x 0.5 mm flat and 6 x 0.5 mm upright, thin."""
    flat, lip = 35.0, 6.0
    axis = lip * lip / 2 / (flat + lip)
    second = flat * axis**2 + lip**3 / 12 + lip * (lip / 2 - axis) ** 2
    assert studs._angle(0.035, 0.006) == pytest.approx(second * 1e-9, rel=1e-9)


# --- fixings ---------------------------------------------------------------------------------------------


def test_forces_along_a_beam_as_its_waves_carry_them() -> None:
    """A force at every cell of an endless beam, each e^{-j q L} of the one before: the sum over orders is
    what goes out from each, w/(4 B k^3) (e^{-j k |x|} - j e^{-k |x|}) (Cremer and Heckl), added up."""
    f, cell, q, bending, mass = np.array([180.0]), 0.6, 2.3, 2.4e4 * (1 + 0.1j), 1.5
    order = np.arange(-300, 301)
    waves = (q + 2 * np.pi * order / cell)[:, None]
    mobility = 1 / studs.beam(f, waves, bending=bending, shear=np.inf, mass=mass)
    places = (0.1, 0.3), (0.1,)
    along = fixings.Mobility(order, *[mobility / cell] * 3)
    got = fixings.together(along, places, cell)[0]
    w = 2 * np.pi * f
    k = (w**2 * mass / bending) ** 0.25
    at = np.array([0.1, 0.3, 0.1])
    cells = np.arange(-800, 801) * cell
    apart = np.abs(at[:, None, None] - at[None, :, None] - cells)
    spread = np.exp(-1j * k * apart) - 1j * np.exp(-k * apart)
    shift = np.exp(-1j * q * (cells - (at[:, None, None] - at[None, :, None])))
    np.testing.assert_allclose(got, w / (4 * bending * k**3) * (spread * shift).sum(-1), rtol=1e-6)


def test_forces_at_fixings_are_amplitudes_of_orders() -> None:
    """Two equal ones half a cell apart have no odd orders; one has all alike."""
    orders, force = np.arange(-3, 4), np.ones((2, 1), complex)
    both = fixings.shares(force, (0.0, 0.3), 0.6, orders)[:, 0]
    np.testing.assert_allclose(both, np.where(orders % 2, 0.0, 2.0), atol=1e-12)
    np.testing.assert_allclose(fixings.shares(force[:1], (0.15,), 0.6, orders)[[2, 3, 4], 0], [-1j, 1, 1j])


def test_screws_are_as_far_apart_as_said() -> None:
    assert studs.evenly(0.3, 0.6) == pytest.approx((0.15, 0.45))
    assert studs.evenly(0.2, 0.6) == pytest.approx((0.1, 0.3, 0.5))
    assert studs.evenly(0.3, 0.1) == pytest.approx((0.05,))


# --- the lattice -----------------------------------------------------------------------------------------


def weightless(f: Array, along: Array) -> tuple[Mobilities, ...]:
    """A stud that moves as one from face to face and is nothing along itself."""
    free = np.full(np.broadcast(f, along).shape, 1e3 + 0j)
    return ((free, free, free),)


def on_studs(
    f: Array,
    *,
    stiffness: float,
    cavity: lattice.CavityAt,
    size: tuple[float, float] = HUGE,
    angle: float | None = None,
    span: float = SPAN,
    fixing: float = FIXING,
    leaf: Plate = BOARD,
    faces: studs.Faces = weightless,
) -> Array:
    """tau of two boards on springs [N/m] in rows; at one `angle` [rad], or in a diffuse field."""
    soft = 0.5 / stiffness
    line = Line(span, fixing, (((fixing / 2,), (fixing / 2,)),), faces, lambda f: (soft, soft))
    cosine, weight = angles(24) if angle is None else (np.array([[np.cos(angle)]]), np.array([[1.0]]))
    every, cosines = (x.ravel() for x in np.broadcast_arrays(f, cosine))
    wall = lattice.Wall(leaf, leaf, cavity, line, size)
    tau = lattice.transmission(wall, every, cosines, np.full_like(every, 0.3))
    return (tau.reshape(-1, f.size) * weight).sum(0)


def test_lattice_without_studs_is_the_cavity_alone() -> None:
    f, size = np.array([63.0, 250.0, 800.0]), (3.0, 2.5)
    cosine, weight = angles(24)
    k = 2 * np.pi * f / SPEED
    trace = k * np.sqrt(1 - cosine**2)
    sheet = Sheet(BOARD.impedance(f, trace))
    tau = layers.transmission([sheet, *gap(0.09)(f, trace), sheet], outer=IMPEDANCE / cosine)
    sigma = forced_radiation(cosine, wavenumber=k, width=size[0], height=size[1])
    expected = (tau * sigma * cosine * weight).sum(0)
    np.testing.assert_allclose(on_studs(f, stiffness=NONE, cavity=gap(0.09), size=size), expected, rtol=1e-6)


def test_a_layer_is_the_same_in_parts() -> None:
    """And z coth, z/sinh of the whole one (textbook), thin and thick, where waves travel and where not."""
    f, trace = np.array([50.0, 700.0, 5000.0]), np.array([[0.0], [9.0], [60.0]])
    for depth in (1e-4, 0.09):
        (whole,) = gap(depth, loss=0.02)(f, trace)
        parts = [replace(whole, depth=share * depth) for share in (0.2, 0.5, 0.3)]
        own, other, through = lattice.two_port([whole])
        z, x = 1 / whole.admittance(whole.normal), 1j * whole.normal * depth
        np.testing.assert_allclose(own, z / np.tanh(x), rtol=1e-9)
        np.testing.assert_allclose(through, z / np.sinh(x), rtol=1e-9)
        for one, same in zip(lattice.two_port(parts), (own, other, through), strict=True):
            np.testing.assert_allclose(one, same, rtol=1e-9)


def test_a_tangent_of_complex_numbers() -> None:
    """numpy's; far from the axes, near them, and where it is one."""
    z = np.array([1e-9 + 1e-9j, 0.3 - 2j, 1e-3 + 1.5707j, 4.0 + 40j, 25.0 + 3j, 1e3 + 1j])
    np.testing.assert_allclose(layers.tanh(z), np.tanh(z), rtol=1e-12)


@pytest.mark.parametrize(
    "faces", [studs.wood(0.09), studs.steel(depth=0.09, gauge=5e-4, gap=5e-5)], ids=["wood", "steel"]
)
def test_short_waves_are_known_from_a_few_frequencies(
    faces: studs.Faces, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every wave at every frequency and angle: 0.1 dB at one frequency, 0.01 dB on the whole."""
    f = np.geomspace(100.0, 700.0, 40)
    usual = on_studs(f, stiffness=RIGID, cavity=gap(0.09), faces=faces, size=(3.0, 2.5))
    monkeypatch.setattr(lattice, "MARGIN", 1e9)
    every = on_studs(f, stiffness=RIGID, cavity=gap(0.09), faces=faces, size=(3.0, 2.5))
    np.testing.assert_allclose(10 * np.log10(usual / every), 0.0, atol=0.1)
    assert 10 * np.log10(usual.mean() / every.mean()) == pytest.approx(0.0, abs=0.01)


def test_below_the_strips_resonance_the_wall_is_one_leaf() -> None:
    """Rigid studs: the mass law of both boards together within 0.5 dB, an octave and a half below."""
    f = np.array([25.0, 40.0])
    z = 2 * IMPEDANCE + 2j * np.pi * f * 2 * BOARD.mass
    law = np.abs(2 * IMPEDANCE / z) ** 2
    got = on_studs(f, stiffness=RIGID, cavity=gap(0.09), angle=1e-6)
    np.testing.assert_allclose(10 * np.log10(got / law), 0.0, atol=0.5)


def test_strips_resonate_as_clamped_ones() -> None:
    """(4.730)^2/(2 pi b^2) sqrt(B/m) of a strip that cannot turn at the studs (textbook), the air's spring of
    a deep cavity beside it: with fixings close together the dip lies within 5 % of it. Fixings apart let the
    board move between them: lower."""
    depth = 0.5
    strip = 4.730**2 / (2 * np.pi * SPAN**2) * np.sqrt(BOARD.bending / BOARD.mass)
    air = np.sqrt(2 * DENSITY * SPEED**2 / (depth * BOARD.mass)) / (2 * np.pi)
    f = np.geomspace(100.0, 250.0, 361)
    close, apart = (
        f[np.argmax(on_studs(f, stiffness=RIGID, cavity=gap(depth), angle=1e-6, fixing=e) * f**2)]
        for e in (0.06, FIXING)
    )
    assert strip > 3 * air
    assert close == pytest.approx(np.hypot(strip, air), rel=0.05)
    assert 0.75 * close < apart < 0.95 * close


@pytest.mark.parametrize("stiffness", [RIGID, SOFT], ids=["rigid", "soft"])
def test_fixings_far_apart_are_bridges_of_their_own(
    stiffness: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Studs 1.2 m and screws 0.8 m apart, four bending wavelengths and more, on boards in which waves die
    down: what bridges that know nothing of each other carry, added to a cavity that hardly does."""
    monkeypatch.setattr(lattice, "ACROSS", 30)
    f, cavity, board = np.geomspace(800.0, 1600.0, 25), gap(0.09, loss=0.8), replace(BOARD, loss=0.1)
    tied, free = (
        on_studs(f, stiffness=one, cavity=cavity, span=1.2, fixing=0.8, leaf=board).mean()
        for one in (stiffness, NONE)
    )
    link = ports.spring(stiffness)
    alone = framing.points(f, leaf1=board, leaf2=board, per_area=1 / (1.2 * 0.8), link=link).mean()
    assert tied > 2 * free
    assert 10 * np.log10(tied / (free + alone)) == pytest.approx(0.0, abs=1.5)


def test_a_stud_that_screws_keep_from_turning_is_so_much_stiffer() -> None:
    """One screw on either side, opposite each other, mobilities that are the same at all wavenumbers: what
    turns takes y_wt y_tt^-1 y_wt off what moves, wave by wave."""
    y = np.array([[4.0, 1.0], [1.0, 4.0]]) * 1e-3
    mixed, moment = np.array([[5.0, 0.8], [0.8, 5.0]]) * 1e-2, np.array([[0.9, 0.1], [0.1, 0.9]])
    left = y - mixed @ np.linalg.inv(moment) @ mixed

    def told(*all_of: Array) -> studs.Faces:
        def faces(f: Array, along: Array) -> tuple[Mobilities, ...]:
            like = np.ones(np.broadcast(f, along).shape, complex)
            return tuple((of[0, 0] * like, of[0, 1] * like, of[1, 1] * like) for of in all_of)

        return faces

    f = np.array([125.0, 250.0])
    one, other, free = (
        on_studs(f, stiffness=RIGID, cavity=gap(0.09), faces=told(*of))
        for of in ((y, mixed, moment), (left,), (y,))
    )
    np.testing.assert_allclose(one, other, rtol=1e-9)
    assert np.all(np.abs(one / free - 1) > 1e-2)
