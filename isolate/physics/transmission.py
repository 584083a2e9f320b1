"""Where a described construction meets the physics: its transmission loss in third octaves.

The stack of leaves and cavities is solved untied. Each tied cavity then multiplies the result by what its
framing does to the pair of leaves about it, tied over untied, and leaks are added by area.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from isolate import bands
from isolate.bands import Array
from isolate.describe.constructions import Cavity, Construction
from isolate.describe.rooms import Gap
from isolate.physics import (
    averages,
    blocks,
    bridges,
    buildings,
    calibrated,
    framed,
    framing,
    layers,
    leakage,
    links,
    masonry,
    rated,
    resonances,
    spread,
    windows,
)
from isolate.physics.air import IMPEDANCE, SPEED
from isolate.physics.bonded import Bonded
from isolate.physics.finite import forced_radiation
from isolate.physics.kept import kept, stored
from isolate.physics.layers import Complex
from isolate.physics.leaves import AnyLeaf, critical_frequency, flat
from isolate.physics.links import Tie
from isolate.physics.masonry import Heavy
from isolate.physics.stack import ALL, LEVEL, Pick, Stack, Wanted, build, typical

__all__ = ["Pick", "Transmission", "transmission", "typical"]

PER_BAND, ANGLES, FEW_ANGLES = 12, 8, 7  # of each turn of `averages`; few where only changes matter
DIRECTIONS = 3  # of waves along a sheet that is stiffer one way, where they are few
SCREED = 200.0  # kg/m2, up to which a slab on wool is a screed (common practice, no source)
DRAWN_TURNS = 2  # of `averages`, for draws
LEAST = 1e-30  # tau that is told of: 300 dB, which nothing built has
RATED_NOTE = (
    "the curve such elements have on the whole that rates as stated; the limits say how little "
    "single numbers tell, of bass next to nothing"
)
_NO_TIES: Mapping[int, Tie] = {}


@dataclass(frozen=True)
class Transmission:
    """tl_db (..., 27) [dB]; tau: the paths "leaves", "framing", "leak" it adds up from, each (..., 27);
    surface_mass [kg/m2]; resonances of the cavities and critical frequencies of the leaves [Hz]."""

    tl_db: Array
    tau: dict[str, Array]
    surface_mass: float
    resonances: tuple[float, ...] = ()
    criticals: tuple[float, ...] = ()
    notes: tuple[str, ...] = ()


def untied(stack: Stack) -> Array:
    """Band values of the diffuse tau (..., 27) of leaves and cavities tied by nothing."""
    return bands.band_mean(_fine(stack), PER_BAND)


@kept
def _fine(stack: Stack) -> Array:
    """The same in the cells of `_averaged`."""

    def through(here: Array, cosine: Array, azimuth: Array, cells: averages.Cells) -> list[Array]:
        k = 2 * np.pi * here / SPEED
        trace = k * np.sqrt(1 - cosine**2)
        tau = layers.transmission(_parts(here, trace, stack.towards(azimuth)), outer=IMPEDANCE / cosine)
        sigma = forced_radiation(cosine, wavenumber=k, width=stack.size[0], height=stack.size[1])
        return [tau * np.minimum(sigma * cosine, 1.0)]

    return _averaged(through, stack)[0]


def _averaged(through: averages.Through, stack: Stack) -> Array:
    """Means (kinds, ..., cells) over the cells of all bands, `PER_BAND` each, and angles of incidence."""
    cells = np.arange(stack.wanted[0] * PER_BAND, stack.wanted[1] * PER_BAND)
    f, count = bands.points(PER_BAND), ANGLES if stack.turns >= averages.MOST else FEW_ANGLES
    found = averages.over_angles(
        through,
        f,
        cells,
        per_band=PER_BAND,
        count=count,
        rows=ANGLES // 2,
        most=stack.turns,
        directions=DIRECTIONS if stack.turns_matter else 1,
    )
    return averages.in_place(found, cells, f.size)


def _parts(f: Array, trace: Array, stack: Stack) -> list[layers.Sheet | layers.Fluid]:
    parts: list[layers.Sheet | layers.Fluid] = []
    each = {id(leaf): leaf for leaf in stack.leaves if leaf is not None}
    sheets = {key: layers.Sheet(leaf.impedance(f, trace)) for key, leaf in each.items()}
    between: dict[tuple[int, Complex], Sequence[layers.Fluid]] = {}  # those alike once
    for i, leaf in enumerate(stack.leaves):
        if i:
            gap = id(stack.cavities[i - 1]), stack.between_faces(i - 1)
            if gap not in between:
                between[gap] = stack.fluids(i - 1, f, trace)
            parts.extend(between[gap])
        if leaf is not None:
            parts.append(sheets[id(leaf)])
    return parts


def _tied(pair: Stack, tie: Tie, free: Array, *, lean: bool = False) -> Array:
    """Band values of tau (..., 27) of a tied pair, from those of the same untied."""
    if tie.pattern == "springs":
        return _sprung(pair, tie, free)
    if tie.line is None or lean:
        return free + bridges.passed(pair, tie)
    told, held = framed.told(), framed.alone(pair)
    both = free.copy()
    first = int(np.argmax(told < 1.0))  # below it nothing but the lattice is told
    both[..., first:] += bridges.fixed(pair, tie, first)
    if tie.contact is not None:  # screws or what lies between them, whichever holds a board harder
        lain = bridges.lain(pair, tie)
        both[..., first:] += lain[..., first:]
        held = np.maximum(held, lain[: told.size])
    low = both[..., : told.size]
    low *= (held / low) ** told
    return both


def _stiffness(f: Array, pair: Stack, tie: Tie) -> tuple[float, Complex]:
    """Stiffness per area [N/m3] of the cavity and of the ties, (F,)."""
    _, across, _ = tie.link(f, np.zeros_like(f))
    return resonances.springs(pair)[0], -across * 2j * np.pi * f * tie.per_area


def _as_one(pair: Stack, tie: Tie) -> Array:
    """How far ties act as one layer of springs, (27,): wholly while waves are two spacings long.

    Stiff ties bend the leaves about them, and bending waves count; soft ones only add up what they pass,
    whose side waves do not radiate while sound itself is that long.
    """
    if tie.wave is None:
        slow = max(float(np.mean(critical_frequency(leaf))) for leaf in pair.leaves if leaf is not None)
        octaves = np.log2(bands.THIRD_OCTAVES * slow * (2 * tie.spacing / SPEED) ** 2)
    else:
        octaves = np.log2(bands.THIRD_OCTAVES * 2 * tie.spacing / tie.wave)
    return np.asarray(np.clip(1.0 - octaves, 0.0, 1.0))


def _layered(f: Array, pair: Stack, tie: Tie) -> Complex:
    """Stiffness per area [N/m3] (F,) of ties, as far as they act as one layer."""
    return _stiffness(f, pair, tie)[1] * np.interp(f, bands.THIRD_OCTAVES, _as_one(pair, tie))


def _held(pair: Stack, tie: Tie) -> Array:
    """How far ties and not the air make two leaves move together, (27,)."""
    air, ties = _stiffness(bands.THIRD_OCTAVES, pair, tie)
    return _as_one(pair, tie) * np.abs(ties) / (np.abs(ties) + air)


def _rubbed(f: Array, pair: Stack, tie: Tie) -> Array:
    """Loss factor (F,) that ties add to the waves of two leaves on a layer of springs.

    What the springs lose over what the leaves have, with x = (f/f0)^2: both leaves swing together below the
    resonance and stretch the ties by x, eta x; one swings on them above it, eta/(2 x).
    """
    air, ties = _stiffness(f, pair, tie)
    mass = 1 / sum(1 / np.mean(leaf.mass) for leaf in pair.leaves if leaf is not None)
    spring = air + ties
    x = (2 * np.pi * f) ** 2 * mass / np.abs(spring)
    together = np.interp(f, bands.THIRD_OCTAVES, _as_one(pair, tie))
    return np.asarray(together * spring.imag / np.abs(spring) * np.minimum(x, 1 / (2 * x)))


def _sprung(pair: Stack, tie: Tie, free: Array) -> Array:
    """Band values of tau of a pair on ties: one layer of springs below the frequency at which bending waves
    are two spacings long, isolated points from an octave above it.

    Where ties are far stiffer than the air, the springs' own solution holds, which no depth changes; where
    they are softer, what it says of their change, on the untied pair: by shares of the stiffness, in dB.
    """
    leaf1, leaf2 = pair.leaves
    assert leaf1 is not None and leaf2 is not None

    def through(here: Array, cosine: Array, azimuth: Array, cells: averages.Cells) -> list[Array]:
        air, ties = _stiffness(here, pair, tie)
        k = 2 * np.pi * here / SPEED
        sigma = forced_radiation(cosine, wavenumber=k, width=pair.size[0], height=pair.size[1])
        seen = np.minimum(sigma * cosine, 1.0)
        return [
            seen * masonry.spread_out(here, leaf1=leaf1, leaf2=leaf2, stiffness=air, ties=k, cosine=cosine)
            for k in (0.0, ties)
        ]

    on_air, on_ties = bands.band_mean(_averaged(through, pair), PER_BAND)
    air, ties = _stiffness(bands.THIRD_OCTAVES, pair, tie)
    springs = on_ties * (free / on_air) ** (air / (air + np.abs(ties)))
    weight = _as_one(pair, tie)
    points = free + bridges.passed(pair, tie)
    return np.asarray(springs**weight * points ** (1.0 - weight))


def transmission(
    construction: Construction,
    *,
    size: tuple[float, float] | None = None,
    gaps: Sequence[Gap] = (),
    pick: Pick = typical,
    lean: bool = False,
    round_about: bool = True,
    ties: Mapping[int, Tie] = _NO_TIES,
    wanted: Wanted = ALL,
) -> Transmission:
    """Sound transmission of a construction in a diffuse field.

    size (width, height) [m]: as built; default the tested one, or a laboratory's for its kind. gaps: slits
    that belong to it. pick(key, range) gives each material value, typical or draws shaped (draws, 1, 1);
    these are computed on fewer points and as changes of the typical curve, some tens at once.
    lean: studs as bridges only, not as a lattice, and fewer points: for differences between constructions.
    round_about: with what a heavy construction sends through the structure it is built into, as in the
    laboratory that tests it; leave it out where flanking is computed for itself.
    ties: of cavities by their index, in place of what their framing is; no framing of a file says mounts.
    wanted: the first of the bands that are asked for and their end, else ValueError; all others are nan.
    A construction without layers gives its measurement, extended as `spread.to_thirds` says.
    """
    if not 0 <= wanted[0] < wanted[1] <= bands.N_BANDS:
        raise ValueError(f"wanted: must be a first band and an end after it, 0 to 27 (got {wanted!r})")
    solve = _typical if pick is typical else _found
    return solve(construction.unnamed, size, tuple(gaps), pick, lean, round_about, ties, wanted)


def _found(
    construction: Construction,
    size: tuple[float, float] | None,
    gaps: tuple[Gap, ...],
    pick: Pick,
    lean: bool,
    round_about: bool,
    ties: Mapping[int, Tie],
    wanted: Wanted,
) -> Transmission:
    drawn = None if pick is typical else blocks.Remembered(pick)
    stack = build(construction, size=size, pick=drawn or pick)
    area = min(sum(gap.area for gap in gaps) / (stack.opening[0] * stack.opening[1]), 1.0)

    def found(some: Pick, turns: int, lean: bool) -> tuple[Array, Array, Array]:
        leak = _leak(gaps, stack.opening, some)
        if not construction.layers:
            return *_measured(construction), leak
        built = build(construction, size=size, pick=some, turns=turns, wanted=wanted)
        return *_solid(built, lean=lean, round_about=round_about, ties=ties), leak

    if drawn is None:
        leaves, framed, leak = found(typical, averages.LEAST if lean else averages.MOST, lean)
    else:
        few = averages.LEAST if lean else DRAWN_TURNS
        leaves, framed, leak = blocks.in_blocks(lambda some: found(some, few, True), drawn)
        if not lean:  # on fewer points and without the lattice, which tells well enough what changes
            known = sum(found(typical, averages.MOST, False)[:2]) / sum(found(typical, few, True)[:2])
            leaves, framed = leaves * known, framed * known
    told = np.full(bands.N_BANDS, np.nan)  # of the others there are only numbers that nobody asked for
    told[slice(*wanted)] = 1.0
    tau = {"leaves": leaves * (1 - area) * told, "framing": framed * (1 - area) * told, "leak": leak * told}
    total = np.clip(sum(tau.values()), LEAST, 1.0)
    tl_db = -10 * np.log10(total)
    return Transmission(
        tl_db,
        {name: np.broadcast_to(part, total.shape) for name, part in tau.items()},
        surface_mass=float(np.mean(resonances.surface_mass(stack))),
        resonances=resonances.cavities(stack),
        criticals=tuple(float(np.mean(critical_frequency(p))) for p in stack.leaves if p is not None),
        notes=_notes(construction, stack, round_about, tl_db),
    )


_typical = stored(Transmission)(_found)


def _measured(construction: Construction) -> tuple[Array, Array]:
    """The measured curve as tau of leaves and framing, (27,) each."""
    assert construction.measured is not None
    if construction.rated is not None:
        tl_db = rated.curve(construction.rated.ratings, construction.kind)[0]
    else:
        tl_db = spread.to_thirds(construction.measured.bands_hz, construction.measured.tl_db)
    tau = 10 ** (-tl_db / 10)
    return tau, np.zeros_like(tau)


def _notes(construction: Construction, stack: Stack, round_about: bool, tl_db: Array) -> tuple[str, ...]:
    if construction.rated is not None:
        return (RATED_NOTE,)
    if not construction.layers:
        return ("the measured curve itself, extended by mass law below and held above its bands",)
    notes = list(windows.notes(stack)) if stack.kind == "window" else []
    if stack.massive and round_about:
        notes.append("built in: what goes round through adjoining walls and floors is included")
    round_it = buildings.note(tl_db)
    if round_it:
        notes.append(round_it)
    return tuple(notes)


def _solid(
    stack: Stack, *, lean: bool = False, round_about: bool = True, ties: Mapping[int, Tie] = _NO_TIES
) -> tuple[Array, Array]:
    """Band values of tau through the leaves and by their framing; (..., 27) each."""
    if stack.kind == "window":
        found = windows.known(stack)
        return found.panes, np.maximum(found.tau() - found.panes, 0.0)
    fine = _fine(stack)
    free = bands.band_mean(fine, PER_BAND)
    change, as_one, sprung = np.ones(bands.N_BANDS), np.ones(bands.N_BANDS), np.zeros(bands.N_BANDS)
    close = bands.points(stack.finer * PER_BAND)
    rubbed = np.zeros_like(close)
    weakest, joined = free, list(_ties(stack, ties))
    on_studs: dict[int, Array] = {}
    otherwise: dict[int, Array] = {}
    layered: dict[int, Complex] = {}
    known: dict[tuple[int, ...], tuple[Array, Array, Array]] = {}  # of pairs, those alike once
    for i, pair, tie in joined:
        key = (*map(id, (*pair.leaves, *pair.cavities)), id(ties.get(i)))
        if key not in known:
            by_air, swinging = free, free
            if len(stack.cavities) > 1:
                by_air, swinging = untied(pair), untied(pair.merged([0]))
            known[key] = by_air, _tied(pair, tie, by_air, lean=lean), swinging
        alone, tied, swung = known[key]
        change = change * tied / alone
        if len(stack.cavities) > 1:
            weakest = np.maximum(weakest, tied)
            as_one = as_one * tied / swung
            (otherwise if tie.line is None or i in ties else on_studs)[i] = tied / alone
        if tie.pattern == "springs":
            sprung = np.maximum(sprung, _held(pair, tie))
            if len(stack.cavities) > 1:
                layered[i] = _layered(framed.points(), pair, tie)
            rubbed = rubbed + _rubbed(close, pair, tie)
    total = free * change
    if joined and len(stack.cavities) > 1:
        swinging = untied(stack.merged([i for i, _, _ in joined]))
        total = _between(free, change, swinging * as_one)
        total = np.minimum(total, np.maximum(weakest, swinging))  # no weaker than its weakest part
        if on_studs and not lean:
            told = framed.told()
            low = total[..., : told.size]
            low *= (framed.chained(stack, free, on_studs, otherwise, layered) / low) ** told
    if stack.massive:
        total = total * _resonant(stack, fine, sprung, rubbed) + (_structure(stack) if round_about else 0.0)
    total = np.minimum(total + _rims(stack), 1.0)
    through = np.minimum(free, total)
    return through, total - through


def _ties(stack: Stack, ties: Mapping[int, Tie]) -> Iterator[tuple[int, Stack, Tie]]:
    """The cavities that are tied, their pairs of leaves by themselves and what ties them."""
    for i, c in enumerate(stack.cavities):
        pair = stack.alone(i)
        leaf1, leaf2 = pair.leaves
        if leaf1 is None or leaf2 is None:
            continue
        tie = ties.get(i) or links.tie(c, kind=stack.kind, leaves=(leaf1, leaf2), size=stack.size)
        if tie is not None:
            yield i, pair, tie


def _between(free: Array, change: Array, rigid: Array) -> Array:
    """tau of three leaves and more of which some are tied, from its two limits.

    Ties that change nothing leave the untied stack as it is, so that their change multiplies it; a pair held
    stiffly swings as one leaf in front of the others, `rigid`, whatever it did untied. Half way, in dB, where
    ties change the pair by the calibrated `half_way`.
    """
    tied = np.abs(10 * np.log10(change))
    share = tied / (tied + calibrated.value("half_way"))
    return np.asarray((free * change) ** (1 - share) * rigid**share)


def _resonant(stack: Stack, free: Array, sprung: Array, rubbed: Array) -> Array:
    """What waves that come back from the edges of heavy leaves do to transmission; (..., 27).

    Far below it leaves share them, since they are too short to compress a cavity; near it each leaf has its
    own: the leaves' gains come in by their mean at first, by their product at last, as (f/fc)^2 goes to one.
    `free` (..., F): tau of the stack; `sprung` (27,): how far ties hold the leaves together, so that they go
    on sharing; `rubbed` (F,): the loss factor that ties add to their waves.
    """
    f = bands.points(stack.finer * PER_BAND)
    heavy = [leaf for leaf in stack.leaves if isinstance(leaf, Heavy)]
    gain: Array | float = 1.0
    for leaf in heavy:
        alone = replace(stack, leaves=(leaf,), cavities=())
        forced = free if len(stack.leaves) == 1 else _fine(alone)
        whole = np.repeat(forced, stack.finer, axis=-1)
        whole = whole + masonry.reflected(f, leaf=leaf, size=stack.size, more=rubbed)
        whole = np.maximum(whole, masonry.thick_limit(f, leaf=leaf, size=stack.size))
        own = np.minimum((bands.THIRD_OCTAVES / flat(critical_frequency(leaf))) ** 2, 1.0) * (1 - sprung)
        share = (1 + (len(heavy) - 1) * own) / len(heavy)
        change = bands.band_mean(whole, stack.finer * PER_BAND) / bands.band_mean(forced, PER_BAND)
        gain = gain * change**share
    return np.asarray(gain)


def _rims(stack: Stack) -> Array:
    """Band values of tau (..., 27) by the rims that close a single leaf of two skins on a soft core."""
    (leaf, *others) = stack.leaves
    if others or not isinstance(leaf, Bonded) or leaf.skins is None:
        return np.zeros(bands.N_BANDS)
    f, (width, height) = bands.points(stack.finer * PER_BAND), stack.size
    spacing = width * height / (2 * (width + height))
    rims = framing.lines(f, leaf1=leaf.skins[0], leaf2=leaf.skins[1], spacing=spacing)
    return bands.band_mean(rims, stack.finer * PER_BAND)


def _structure(stack: Stack) -> Array:
    """Band values of tau round a heavy construction; (..., 27)."""
    first, last = _touching(stack)
    if first is last is None:
        return np.zeros(bands.N_BANDS)
    f = bands.exact(bands.THIRD_OCTAVES)
    heavy = (leaf for leaf in stack.leaves if isinstance(leaf, Heavy))
    base = max(heavy, key=lambda leaf: float(np.mean(leaf.mass)))
    closed = any(cavity.framing == "wall tie" for cavity in stack.cavities)
    return masonry.round_the_edges(f, base=base, first=first, last=last, size=stack.size, closed=closed)


def _touching(stack: Stack) -> tuple[AnyLeaf | None, AnyLeaf | None]:
    """The outermost leaves, None for one that floats: on a floor the lighter of two heavy ones, and a screed
    on wool over a light floor, with a strip round its edges."""
    first, last = stack.leaves[0], stack.leaves[-1]
    if len(stack.leaves) == 1 or stack.kind not in LEVEL:
        return first, last
    if isinstance(first, Heavy) and isinstance(last, Heavy):
        floats = float(np.mean(first.mass)) < float(np.mean(last.mass))
        return (None, last) if floats else (first, None)

    def floating(leaf: AnyLeaf | None, under: Cavity) -> bool:
        return isinstance(leaf, Heavy) and float(np.mean(leaf.mass)) < SCREED and links.carries(under)

    gaps = stack.cavities
    return None if floating(first, gaps[0]) else first, None if floating(last, gaps[-1]) else last


def _leak(gaps: Sequence[Gap], size: tuple[float, float], pick: Pick) -> Array:
    """tau (..., 27) of an element's slits, re its area."""
    tau = sum((leakage.gap(gap, pick=pick) for gap in gaps), np.zeros(bands.N_BANDS))
    return np.asarray(tau / (size[0] * size[1]))
