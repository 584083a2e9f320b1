"""Windows: panes held at their edges, with shallow cavities between them.

Three ways lead through a window.

*Forced.* The field drives the panes as they meet its traces. At low frequency the opening carries a few
patterns (`opening_modes`), each of which also is a mode of the cavity between the panes; at high frequency
they are so many that an integral over angles takes over. A wave in a pane lives until it meets an edge, so
here the loss factor of a pane includes its flight to the edge: this alone widens coincidence.

*Resonant.* What comes back from the edges (`pane_edges.resonant`) adds to each pane's transmission and
multiplies the forced path. Below coincidence these waves are too short to compress the cavity and only those
that all panes carry go on; above it every pane has its own: one goes over into the other as (f/fc)^2 (the
cavity pressure of a wave shorter than sound, squared).

*Round the edge.* Spacers and frames pass waves from pane to pane, and so does the liner of a reveal that two
frames are fixed to (`pane_edges.across`). Frames that open pass sound at their joints too: see `windows`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import chain, combinations, pairwise

import numpy as np

from isolate import bands
from isolate.bands import Array
from isolate.describe.constructions import Cavity
from isolate.describe.layers import WIDE
from isolate.physics import averages, blocks, calibrated, joints, layers, pane_edges
from isolate.physics import cavity as cavities
from isolate.physics.air import GASES, IMPEDANCE, SPEED
from isolate.physics.finite import diffuse, forced_radiation
from isolate.physics.kept import kept
from isolate.physics.layers import Complex, Fluid
from isolate.physics.leaves import AnyLeaf
from isolate.physics.opening_modes import patterns, radiation_impedance
from isolate.physics.pane_edges import Waves
from isolate.physics.stack import Stack

PER_BAND, ANGLES = 12, 16  # of each turn of `averages`
SKIP = 3  # draws and many at once take the field by patterns at one of so many cells
MODES = 20.0  # patterns of the opening that sound can carry, above which an integral replaces them
SCALE_PER_BAND, SCALE_ANGLES = 6, 500
AT_ONCE = 100_000  # patterns times cells and draws: strips have hundreds of patterns
BEYOND = 1.5  # patterns are counted up to this times the highest wavenumber: slow ones radiate too


@dataclass(frozen=True)
class Field:
    """A diffuse field on an opening: f (F,) [Hz], trace wavenumbers (A, F) [1/m], the air's impedance (A, F)
    [Pa s/m] to each and weights (A, F); weight times 4 R^2/|Z + 2 R|^2 adds up to tau."""

    f: Array
    trace: Array
    air: Complex
    weight: Array

    def through(self, groups: Sequence[Sequence[layers.Sheet | Fluid]]) -> list[Array]:
        """tau (..., A, F) of each group of layers with all behind it, what each part of the field adds."""
        return [tau * self.weight for tau in layers.transmissions(groups, outer=self.air)]

    def between(self, cells: averages.Cells, off: Array, per_band: int) -> Field:
        """The field at frequencies (n,) that lie `off` of a cell from the middles of cells (n,)."""
        at = np.clip(np.where(off < 0, cells - 1, cells), 0, self.f.size - 2)
        share = cells + off - at

        def between(values: Array) -> Array:
            return values[..., at] + share * (values[..., at + 1] - values[..., at])

        f = self.f[cells] * 10.0 ** (0.1 * off / per_band)
        return Field(f, self.trace[:, cells], between(self.air), between(self.weight))


@lru_cache(maxsize=64)
def patterned(size: tuple[float, float], per_band: int) -> Field:
    """The field by patterns of an opening of `size` (width, height) [m], up to where they are many.

    Scaled, as `angled` is, to give a limp pane the transmission of Davy's forced radiation (`finite`), from
    which sums of patterns differ by 0.2 to 1 dB, as they leave out what one pattern feeds into another.
    """
    border = np.sqrt(4 * np.pi * MODES / (size[0] * size[1]))
    few = np.count_nonzero(2 * np.pi * bands.exact(bands.THIRD_OCTAVES) / SPEED < border)  # whole bands
    f = bands.points(per_band)[: few * per_band]
    cosine, weight = averages.angles(np.arange(f.size), turns=0, count=4 * ANGLES)
    sigma = forced_radiation(cosine, wavenumber=2 * np.pi * f / SPEED, width=size[0], height=size[1])
    davy = (sigma / cosine * weight).sum(0)
    m, n, trace = patterns(width=size[0], height=size[1], highest=BEYOND * border)
    air = radiation_impedance(f, m=m, n=n, width=size[0], height=size[1])
    even = np.ones((trace.size, 1)) / (np.real(air) ** 2).sum(0) * davy
    return Field(f, trace[:, None] * np.ones(f.size), IMPEDANCE * air, even)


@lru_cache(maxsize=64)
def _scale(size: tuple[float, float]) -> tuple[Array, Array]:
    """Frequencies [Hz] and what brings sums over angles to Davy's forced radiation of a limp pane (F,)."""
    f, count = bands.points(SCALE_PER_BAND), SCALE_ANGLES
    theta = (np.arange(count)[:, None] + 0.5) / count * np.pi / 2
    cosine, weight = diffuse(theta)
    sigma = forced_radiation(cosine, wavenumber=2 * np.pi * f / SPEED, width=size[0], height=size[1])
    return f, (sigma / cosine * weight).sum(0) / (sigma**2 * weight).sum(0)


def angled(size: tuple[float, float], f: Array, cosine: Array) -> Field:
    """The field by angles of incidence (A, n) at the frequencies f [Hz] (n,); its weights, times
    2 sin cos d(theta), make a sum over angles."""
    k = 2 * np.pi * f / SPEED
    sigma = forced_radiation(cosine, wavenumber=k, width=size[0], height=size[1])
    return Field(f, k * np.sqrt(1 - cosine**2), IMPEDANCE * sigma, np.interp(f, *_scale(size)))


@dataclass(frozen=True)
class Panes:
    """What panes let through, nothing leaking: band values of tau (..., 27).

    alone: of all of them as the field drives them; through: with what goes round their edges; runs: the same
    of the panes of each frame of its own; losses: absorption area of the cavities between those over the
    window's, (..., 27) each.
    """

    alone: Array
    through: Array
    runs: tuple[Array, ...]
    losses: tuple[Array, ...]


def solved(stack: Stack) -> Panes:
    """Panes of a window, nothing leaking.

    Parameters
    ----------
    stack : thicknesses and depths [m] may be arrays that end in two axes of one, for angle and frequency.

    Returns
    -------
    Panes, band values of tau (..., 27).

    Notes
    -----
    Forced, resonant and round the edge: equations and limits at the head of the module; references there, in
    `opening_modes`, `pane_edges` and `finite`.
    """
    f, count = bands.points(stack.finer * PER_BAND), len(stack.leaves)
    moving = _waves(f, stack)
    taken = _taken(f, stack, moving)
    spacers, liners = _links(f, stack, moving, taken)
    frames = frames_of(stack)
    pairs = ((i, i + 2) for i in spacers)
    cuts = [0, *(i + 1 for i in liners), count]
    sides = combinations(cuts, 2)
    runs = {*((i, i + 1) for i in range(count)), *pairs, *sides, *frames}
    forced = _forced(stack, tuple(sorted(runs)))
    gain = [
        None
        if wave is None
        else 1 + _mean(_flat(pane_edges.resonant(f, wave=wave, taken=loss))) / forced[i, i + 1]
        for i, (wave, loss) in enumerate(zip(moving, taken, strict=True))
    ]

    @cache
    def panes(first: int, last: int) -> Array:
        return np.minimum(forced[first, last] * _shared(f, gain[first:last], moving[first:last]), 1.0)

    def spaced(first: int, last: int) -> Array:
        within = (1 + way / panes(i, i + 2) for i, way in spacers.items() if first <= i < last - 1)
        return math.prod(within, start=panes(first, last))

    @cache
    def linked(last: int) -> Array:
        """The first panes, up to one: as they are, or by a liner, to it by all before, on by all behind."""
        whole = spaced(0, last)
        for i, way in liners.items():
            if i < last - 1:
                before, behind = linked(i + 1) / panes(i, i + 1), spaced(i + 1, last) / panes(i + 1, i + 2)
                whole = whole + before * way * behind
        return np.minimum(whole, 1.0)

    middle = bands.exact(bands.THIRD_OCTAVES)
    losses = (joints.soaked(middle, cavity=stack.cavities[i - 1], size=stack.opening) for i, _ in frames[1:])
    own = tuple(np.minimum(spaced(*frame), 1.0) for frame in frames)
    return Panes(panes(0, count), linked(count), own, tuple(losses))


def frames_of(stack: Stack) -> list[tuple[int, int]]:
    """The runs of leaves that have a joint of their own each, (first, last + 1): in frames of their own, or
    far apart in one."""
    between = pairwise(stack.leaves)
    cuts = [
        i + 1
        for i, (c, leaves) in enumerate(zip(stack.cavities, between, strict=True))
        if (c.framing == "separate frames" or is_wide(c)) and None not in leaves
    ]
    return list(pairwise([0, *cuts, len(stack.leaves)]))


def is_wide(c: Cavity) -> bool:
    """Whether a cavity in one frame or reveal is deeper than an insulating unit's."""
    return c.framing in (None, "shared frame") and bool(np.min(c.depth) >= WIDE)


def _waves(f: Array, stack: Stack) -> list[Waves | None]:
    """Free waves of each pane, None where it has none."""
    return [None if p is None else pane_edges.waves(f, leaf=p, size=stack.size) for p in stack.leaves]


def _mean(values: Array) -> Array:
    """Band values (..., 27) of values at the same number of points in each band."""
    return bands.band_mean(values, np.shape(values)[-1] // bands.N_BANDS)


def _flat(values: Array) -> Array:
    """Without the angle axis: draws (D, 1, F) become (D, F)."""
    return values[..., 0, :] if np.ndim(values) > 1 else np.asarray(values)


def _shared(f: Array, gain: Sequence[Array | None], moving: Sequence[Waves | None]) -> Array | float:
    """What resonant waves make of the forced path through panes (..., 27); gain: of each by itself.

    Near and above coincidence each pane has its own: the product of the gains. Far below they are too short
    to compress a cavity, and only waves that all n panes carry go on: 1 + ((g1 - 1)(g2 - 1) ...)^(1/n), the
    gain of one where they are alike. Heuristic; one goes over into the other as (f/fc)^2.
    """
    gains = [g for g in gain if g is not None]
    own = np.prod(np.broadcast_arrays(*gains), axis=0) if gains else 1.0
    if len(gains) < 2:
        return own
    highest = np.max(np.broadcast_arrays(*(_flat(w.critical) for w in moving if w is not None)), axis=0)
    apart = _mean(np.minimum(f / highest, 1.0) ** 2)
    common = 1 + np.prod(np.broadcast_arrays(*(g - 1 for g in gains)), axis=0) ** (1 / len(gains))
    return np.asarray(common ** (1 - apart) * own**apart)


@kept
def _forced(stack: Stack, runs: tuple[tuple[int, int], ...]) -> dict[tuple[int, int], Array]:
    """Band values of tau (..., 27) of the forced path through runs of leaves, (first, last + 1), and what is
    between them."""
    f = bands.points(PER_BAND)
    moving = _waves(f, stack)
    low = patterned(stack.size, PER_BAND)
    first, end = (band * PER_BAND for band in stack.wanted)
    few = np.arange(first, min(low.f.size, end))

    def by_patterns(some: averages.Cells, off: Array) -> Array:
        alike = 1 if stack.turns >= averages.MOST else blocks.BLOCK  # draws
        step = max(AT_ONCE // (alike * low.trace.shape[0]), 1)
        parts = [slice(at, at + step) for at in range(0, some.size, step)]
        fields = [(low.between(some[s], off[s], PER_BAND), some[s]) for s in parts]
        return np.concatenate([_summed(_through(stack, moving, runs, *one)) for one in fields], -1)

    def by_angles(here: Array, cosine: Array, azimuth: Array, some: averages.Cells) -> list[Array]:
        return _through(stack, moving, runs, angled(stack.size, here, cosine), some)

    rest, found = np.arange(max(low.f.size, first), end), []
    if few.size and stack.turns < averages.MOST:
        some = few[SKIP // 2 :: SKIP]
        found.append(np.repeat(by_patterns(some, np.zeros(some.size)), SKIP, axis=-1))
    elif few.size:
        turned = averages.over_turns(
            lambda some, turns: by_patterns(some, averages.offset(turns)),
            few, per_band=PER_BAND, most=stack.turns,
        )  # fmt: skip
        found.append(turned)
    if rest.size:
        found.append(
            averages.over_angles(
                by_angles, f, rest, per_band=PER_BAND, count=ANGLES, rows=ANGLES, most=stack.turns
            )
        )
    fine = averages.in_place(np.concatenate(found, axis=-1), np.arange(first, end), f.size)
    tau = bands.band_mean(fine, PER_BAND)
    return dict(zip(runs, tau, strict=True))


def _summed(found: Sequence[Array]) -> Array:
    """Sums over the parts of a field, (kinds, ..., F), of kinds of tau (..., A, F)."""
    return np.stack(np.broadcast_arrays(*(tau.sum(-2) for tau in found)))


def _through(
    stack: Stack,
    moving: Sequence[Waves | None],
    runs: Sequence[tuple[int, int]],
    part: Field,
    cells: averages.Cells,
) -> list[Array]:
    """tau (..., A, F) of each of the runs of leaves by the parts of a field, in these cells."""
    known: dict[int, Sequence[layers.Sheet | Fluid]] = {}
    for leaf, wave in zip(stack.leaves, moving, strict=True):
        if id(leaf) not in known:
            known[id(leaf)] = [] if leaf is None else [layers.Sheet(_impedance(part, cells, leaf, wave))]
    sheets = [known[id(leaf)] for leaf in stack.leaves]
    alike = {id(gap): i for i, gap in enumerate(stack.cavities)}
    fluids = {gap: _cavity(stack, i, part) for gap, i in alike.items()}
    gaps = [fluids[id(gap)] for gap in stack.cavities]
    found: dict[tuple[int, int], Array] = {}
    for end in {last for _, last in runs}:
        starts = sorted(first for first, last in runs if last == end)
        groups = [
            [*chain.from_iterable([*sheets[i], *gaps[i]] for i in range(first, before))]
            for first, before in pairwise([*starts, end - 1])
        ]
        groups[-1] += sheets[end - 1]
        found |= {(first, end): tau for first, tau in zip(starts, part.through(groups), strict=True)}
    return [found[run] for run in runs]


def _impedance(part: Field, cells: averages.Cells, leaf: AnyLeaf, wave: Waves | None) -> Complex:
    """Separation impedance (..., A, F) [Pa s/m] of a pane whose waves end at its edge."""
    if wave is None:
        return leaf.impedance(part.f, part.trace)
    flight, held = wave.scattered(part.f, part.trace, cells)
    return leaf.impedance(part.f, part.trace, flight) + held


def _cavity(stack: Stack, i: int, part: Field) -> Sequence[Fluid]:
    c, (width, height) = stack.cavities[i], stack.size
    loss = cavities.edge_loss(
        part.f,
        absorption=joints.edge_absorption(part.f, c),
        perimeter=2 * (width + height),
        area=width * height,
        speed=GASES[c.gas].speed,
    ) + cavities.wall_loss(part.f, depth=c.depth, gas=c.gas)
    # Traces that a slow gas has no grazing wave for are met all the same: a pane's edges spread them.
    return stack.layered(i, part.f, part.trace * (SPEED / GASES[c.gas].speed), loss=loss)


def _strip(f: Array) -> Complex:
    return pane_edges.spring(
        f, stiffness=calibrated.value("pane_strip_stiffness"), loss=calibrated.value("pane_strip_loss")
    )


def _link(f: Array, c: Cavity) -> Complex | None:
    """Line impedance [N s/m2] of what holds the panes about a cavity apart at their edges: a strip the deeper
    the softer."""
    if c.framing not in (None, "glazing spacer", "shared frame"):
        return None
    stiffness = calibrated.value("pane_link") / c.depth
    return pane_edges.spring(f, stiffness=stiffness, loss=calibrated.value("pane_strip_loss"))


def _liner(f: Array, c: Cavity) -> Complex | None:
    """Line impedance [N s/m2] of what the frames on both sides of a wide cavity are fixed to: a mass on its
    fixings to the wall, which moves as one. None where there is none."""
    if not is_wide(c) and c.framing != "separate frames":
        return None
    mass, stiffness = calibrated.value("liner_mass"), calibrated.value("liner_stiffness")
    held = pane_edges.spring(f, stiffness=stiffness, loss=calibrated.value("liner_loss"))
    return 2j * np.pi * f * mass + held


def _end(f: Array, wave: Waves) -> Complex:
    return pane_edges.end_impedance(f, mass=wave.mass, critical=wave.critical)


def _taken(f: Array, stack: Stack, moving: Sequence[Waves | None]) -> list[Array]:
    """Share of a wave's power each pane's edge takes: the strip, what the links carry off, and friction."""
    rest, strip, out = calibrated.value("pane_edge_friction"), _strip(f), []
    for i, wave in enumerate(moving):
        if wave is None:
            out.append(np.zeros_like(f))
            continue
        load = strip
        for cavity, other in ((i - 1, i - 1), (i, i + 1)):
            if not 0 <= cavity < len(stack.cavities):
                continue
            c, beyond = stack.cavities[cavity], moving[other]
            link, liner = _link(f, c), _liner(f, c)
            if beyond is not None and link is not None:
                load = load + pane_edges.behind(link, strip, _end(f, beyond))
            if beyond is not None and liner is not None:
                load = load + pane_edges.yielding(liner, strip, _end(f, beyond))
        out.append(1 - (1 - pane_edges.absorbed(_end(f, wave), load)) * (1 - rest))
    return out


def _links(
    f: Array, stack: Stack, moving: Sequence[Waves | None], taken: Sequence[Array]
) -> tuple[dict[int, Array], dict[int, Array]]:
    """Band values of tau (..., 27) of the ways round the edges of cavities, each as if its two panes were
    alone: by what links them, and by what both are fixed to."""
    spacers, liners, strip = {}, {}, _strip(f)
    for i, c in enumerate(stack.cavities):
        wave1, wave2, link, liner = moving[i], moving[i + 1], _link(f, c), _liner(f, c)
        if wave1 is None or wave2 is None:
            continue
        ends, both = (_end(f, wave1), _end(f, wave2)), (taken[i], taken[i + 1])
        if link is not None:
            share = pane_edges.passed(*ends, strip=strip, link=link)
            spacers[i] = _mean(_flat(_across(f, wave1, wave2, both, share)))
        if liner is not None:
            share = pane_edges.carried(*ends, strip=strip, liner=liner)
            liners[i] = _mean(_flat(_across(f, wave1, wave2, both, share)))
    return spacers, liners


def _across(f: Array, wave1: Waves, wave2: Waves, taken: tuple[Array, Array], share: Array) -> Array:
    return pane_edges.across(f, wave1=wave1, wave2=wave2, taken=taken, share=share)
