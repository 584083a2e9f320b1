"""Why a transmission loss is what it is: its parts, what rules where, what carries sound, what would help.

Nothing here is told by rule of thumb. The curve is taken apart by predicting the same construction stripped,
step by step: a limp sheet of all its mass; the mass parted into its leaves, still limp, by its cavities; the
leaves with their stiffness; what holds them, studs, frames, the structure round a heavy wall. What each step
changes is that part's doing, and the steps add up to the curve. Changes that would move it are predicted too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from isolate.answers.curve import variations
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_tl
from isolate.describe import words
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.rooms import Gap
from isolate.describe.words import hertz
from isolate.errors import InputError
from isolate.physics.transmission import Transmission, transmission
from isolate.standards import ratings

CLEAR_DB = 3.0  # what a part must change to be said to rule: the least that is noticed
CRACK = (1e-3, 1.0)  # m, width and length of the crack that is tried
RULES = ("mass", "swing", "pair", "modes", "bend", "stiff", "frame", "leak")  # what may rule an octave


@dataclass(frozen=True)
class Parts:
    """The curve taken apart [dB], arrays (27,): `mass_db` of one limp sheet of all the mass, and what
    cavities, stiffness and framing change in turn; their sum is the curve."""

    mass_db: Array
    cavities_db: Array
    bending_db: Array
    framing_db: Array

    def octaves(self) -> Parts:
        """The same per octave (9,), still adding up."""
        steps = np.cumsum([self.mass_db, self.cavities_db, self.bending_db, self.framing_db], axis=0)
        first, *rest = octave_tl(steps)
        return Parts(first, *np.diff(np.array([first, *rest]), axis=0))

    @property
    def total_db(self) -> Array:
        """The curve."""
        return self.mass_db + self.cavities_db + self.bending_db + self.framing_db


@dataclass(frozen=True)
class Feature:
    """Something that shows in the curve: where [Hz], what it changes there [dB] and how it is said."""

    kind: str
    low_hz: float
    high_hz: float
    effect_db: float
    text: str


@dataclass(frozen=True)
class Variation:
    """A change, what it gains per octave (9,) [dB] and in Rw [dB], where it gains most [Hz]."""

    text: str
    gain_db: Array
    rw_gain: int

    @property
    def most_hz(self) -> float:
        """The octave that it moves most, for the better or the worse."""
        return float(OCTAVES[np.argmax(np.abs(self.gain_db))])


@dataclass(frozen=True)
class Why:
    """The parts per third octave, the rule of each octave and the share of each path there (9,), features,
    and variations, the best for Rw first."""

    parts: Parts
    rules: tuple[str, ...]
    shares: dict[str, Array]
    features: tuple[Feature, ...]
    variations: tuple[Variation, ...]

    @property
    def paths(self) -> tuple[str, ...]:
        """The path that carries most in each octave."""
        names = list(self.shares)
        return tuple(names[i] for i in np.argmax([self.shares[name] for name in names], axis=0))

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        parts = self.parts.octaves()
        return {
            "octaves": [
                {
                    "band_hz": band, "tl_db": parts.total_db[i], "mass_db": parts.mass_db[i],
                    "cavities_db": parts.cavities_db[i], "bending_db": parts.bending_db[i],
                    "framing_db": parts.framing_db[i], "rule": self.rules[i], "carried_by": self.paths[i],
                    "share": {name: share[i] for name, share in self.shares.items()},
                }
                for i, band in enumerate(OCTAVES)
            ],
            "features": [vars(one) for one in self.features],
            "variations": [
                {"change": one.text, "bands_hz": OCTAVES, "gain_db": one.gain_db, "rw_gain_db": one.rw_gain,
                 "most_hz": one.most_hz}
                for one in self.variations
            ],
        }  # fmt: skip


def explain(construction: Construction, found: Transmission) -> Why:
    """Why the transmission loss `found` of a construction is what it is.

    Raises
    ------
    InputError
        The construction has no leaves: its curve is a measurement, or that of a filling alone.
    """
    if not any(isinstance(layer, Leaf) for layer in construction.layers):
        raise InputError(
            f"why: {construction.name} has no leaves to take apart; name a construction that has some"
        )
    parts = taken_apart(construction, found.tl_db)
    rules, shares = ruled(found, parts), _shares(found)
    return Why(
        parts, rules, shares, features(construction, found, parts, rules, shares), tried(construction, found)
    )


def ruling(construction: Construction, found: Transmission) -> tuple[str, ...]:
    """What rules each octave (9,), of `RULES`; nothing is known of a construction without leaves."""
    if not any(isinstance(layer, Leaf) for layer in construction.layers):
        return ()
    return ruled(found, taken_apart(construction, found.tl_db))


def ruled(found: Transmission, parts: Parts) -> tuple[str, ...]:
    """What rules each octave (9,) of a curve taken apart."""
    octaves, shares = parts.octaves(), _shares(found)
    slowest = min((hz for hz in found.criticals if np.isfinite(hz)), default=np.inf)
    return tuple(_rule(octaves, shares, i, slowest) for i in range(OCTAVES.size))


def _shares(found: Transmission) -> dict[str, Array]:
    """The share of each path per octave (9,)."""
    power = octave_power(found.tau)
    whole = np.maximum(sum(power.values()), 1e-30)
    return {name: part / whole for name, part in power.items()}


def _tl(construction: Construction, gaps: Sequence[Gap] = ()) -> Array:
    return transmission(construction, size=construction.size, gaps=gaps).tl_db


def taken_apart(construction: Construction, tl_db: Array) -> Parts:
    """The curve (27,) [dB] as that of a limp sheet and what cavities, stiffness and framing do to it."""
    apart = variations.untied(construction)
    mass = _tl(variations.one_sheet(construction))
    parted = _by_leaves(variations.limp(apart))
    free = _by_leaves(apart)
    return Parts(mass, parted - mass, free - parted, tl_db - free)


def _by_leaves(construction: Construction) -> Array:
    """Transmission loss (27,) [dB] by the leaves alone, nothing going round their edges."""
    return np.asarray(-10.0 * np.log10(transmission(construction, size=construction.size).tau["leaves"]))


def octave_power(tau: dict[str, Array]) -> dict[str, Array]:
    """Mean transmission coefficient of each path per octave (9,)."""
    return {name: np.asarray(part).reshape(OCTAVES.size, 3).mean(-1) for name, part in tau.items()}


def _rule(parts: Parts, shares: dict[str, Array], i: int, slowest: float) -> str:
    """What rules octave i: the part that costs most, if noticed, else what gains, else mass, which rules too
    where framing gives back what a resonance costs. Bending well below the `slowest` critical frequency
    [Hz] is that of modes."""
    if shares.get("leak", np.zeros(OCTAVES.size))[i] > 0.5:
        return "leak"
    costs = {"swing": -parts.cavities_db[i], "bend": -parts.bending_db[i], "frame": -parts.framing_db[i]}
    worst = max(costs, key=lambda name: costs[name])
    if worst == "swing" and costs["frame"] <= -CLEAR_DB and abs(sum(costs.values())) < CLEAR_DB:
        return "mass"
    if costs[worst] >= CLEAR_DB:
        return "modes" if worst == "bend" and OCTAVES[i] < slowest / 2.0 else worst
    gains = {"pair": parts.cavities_db[i], "stiff": parts.bending_db[i] + parts.framing_db[i]}
    best = max(gains, key=lambda name: gains[name])
    return best if gains[best] >= CLEAR_DB else "mass"


def features(
    construction: Construction,
    found: Transmission,
    parts: Parts,
    rules: Sequence[str],
    shares: dict[str, Array],
) -> tuple[Feature, ...]:
    """Mass law, resonances, coincidences and framing, where they show, lowest first."""
    out = [*_mass_law(rules), *_modes(parts, rules), *_resonances(found, parts)]
    out += [*_coincidences(construction, found, parts), *_framing(construction, parts, shares)]
    return tuple(sorted(out, key=lambda one: (one.low_hz, one.high_hz)))


def runs(there: Sequence[bool]) -> list[tuple[int, int]]:
    """First and last index of each run of true values.

    >>> runs([True, True, False, True])
    [(0, 1), (3, 3)]
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[0], np.asarray(there, int), [0]])))
    return [(int(a), int(b) - 1) for a, b in edges.reshape(-1, 2)]


def _range(first: int, last: int) -> str:
    if first == last:
        return f"in the {hertz(OCTAVES[first])} octave"
    return f"from {hertz(OCTAVES[first])} to {hertz(OCTAVES[last])}"


def _mass_law(rules: Sequence[str]) -> list[Feature]:
    return [
        Feature("mass law", float(OCTAVES[a]), float(OCTAVES[b]), 0.0,
                f"{_range(a, b)} weight alone rules: within 3 dB of a limp sheet as heavy")
        for a, b in runs([rule == "mass" for rule in rules])
    ]  # fmt: skip


def _modes(parts: Parts, rules: Sequence[str]) -> list[Feature]:
    out, cost = [], parts.octaves().bending_db
    for a, b in runs([rule == "modes" for rule in rules]):
        most = float(cost[a : b + 1].min())
        text = f"{_range(a, b)} the leaves ring in modes of their own between their edges: "
        text += f"up to {-most:.0f} dB lost"
        out.append(Feature("modes", float(OCTAVES[a]), float(OCTAVES[b]), most, text))
    return out


def _around(hz: float) -> NDArray[np.intp]:
    """Indices of the third octaves within an octave about a frequency; the nearest one if none is."""
    distance = np.abs(np.log2(THIRD_OCTAVES / hz))
    return np.flatnonzero(distance <= max(0.55, float(distance.min())))


def _resonances(found: Transmission, parts: Parts) -> list[Feature]:
    out = []
    apart = parts.mass_db + parts.cavities_db + parts.bending_db  # framing may hide it
    for hz in sorted({round(one, 1) for one in found.resonances}):
        near = _around(hz)
        worst = near[np.argmin((apart - parts.mass_db)[near])]
        effect = float((parts.total_db - parts.mass_db)[worst])
        text = (
            f"about {hertz(hz)} the leaves swing against each other on the gas between them: "
            f"{_than_mass(effect)} in the {hertz(THIRD_OCTAVES[worst])} third; {_crossing(parts, int(worst))}"
        )
        out.append(Feature("resonance", hz, hz, effect, text))
    return out


def _than_mass(effect: float) -> str:
    if abs(effect) < 1.0:
        return "no better and no worse than mass law"
    return f"{abs(effect):.0f} dB {'above' if effect > 0 else 'below'} mass law"


def _crossing(parts: Parts, first: int) -> str:
    """Where the curve first stays a decibel above mass law for an octave."""
    better = parts.total_db - parts.mass_db > 1.0
    above = [i for i in range(first, THIRD_OCTAVES.size - 6) if better[i : i + 3].all()]
    if not above:
        return "nowhere above it better than weight alone"
    return f"better than weight alone only from {hertz(THIRD_OCTAVES[above[0]])}"


def _coincidences(construction: Construction, found: Transmission, parts: Parts) -> list[Feature]:
    names = packs(construction)
    if len(found.criticals) != len(names):
        names = ["leaf"] * len(found.criticals)
    out = []
    for hz, name in sorted({(round(hz, 1), name) for hz, name in zip(found.criticals, names, strict=True)}):
        if THIRD_OCTAVES[0] < hz < 1.1 * THIRD_OCTAVES[-1]:
            dip, at = deepest(parts.total_db, _around(hz))
            shows = f"a dip of {dip:.0f} dB at {hertz(at)}" if dip >= 1.0 else "it hardly shows here"
            text = f"about {hertz(hz)} bending of the {name} keeps step with the sound (coincidence): {shows}"
            out.append(Feature("coincidence", hz, hz, -dip, text))
    return out


def packs(construction: Construction) -> list[str]:
    """The leaves in words, those that touch as one."""
    found: list[list[str]] = [[]]
    for layer in construction.layers:
        if isinstance(layer, Leaf):
            found[-1].append(words.layer(layer))
        else:
            found.append([])
    return [" on ".join(names) for names in found if names]


def deepest(tl_db: Array, where: NDArray[np.intp]) -> tuple[float, float]:
    """The deepest dip below the line between the bands an octave off: its depth [dB] and band [Hz]."""
    index = np.arange(tl_db.size)
    below, above = np.maximum(index - 3, 0), np.minimum(index + 3, tl_db.size - 1)
    depth = ((tl_db[below] + tl_db[above]) / 2.0 - tl_db)[where]
    return float(depth.max()), float(THIRD_OCTAVES[where[depth.argmax()]])


def _framing(construction: Construction, parts: Parts, shares: dict[str, Array]) -> list[Feature]:
    out, cost = [], parts.octaves().framing_db
    for a, b in runs([bool(share > 0.5) for share in shares["framing"]]):
        most = a + int(np.argmin(cost[a : b + 1]))
        carried = 100.0 * shares["framing"][a : b + 1]
        percent = " to ".join(dict.fromkeys(f"{x:.0f}" for x in (carried.min(), carried.max())))
        text = f"{_range(a, b)} {percent} % of the sound goes by {held_by(construction)}"
        if cost[most] < -1.0:
            text += f"; without, {-cost[most]:.0f} dB more would be stopped at {hertz(OCTAVES[most])}"
        out.append(Feature("framing", float(OCTAVES[a]), float(OCTAVES[b]), float(cost[most]), text))
    return out


def held_by(construction: Construction) -> str:
    """What carries sound past the leaves, in words."""
    cavities = [layer for layer in construction.layers if isinstance(layer, Cavity)]
    ties = list(dict.fromkeys(tie for c in cavities if (tie := variations.held(construction, c))))
    if ties:
        return f"the framing ({words.listed(ties)})"
    if construction.kind == "window" and cavities:
        return "the joints of the frames"
    return "the edges and the structure around"


def tried(construction: Construction, found: Transmission) -> tuple[Variation, ...]:
    """What changes would do, each predicted, and a crack; the best for Rw first."""
    now, rated = octave_tl(found.tl_db), int(ratings.rw(found.tl_db))

    def variation(text: str, tl_db: Array) -> Variation:
        return Variation(text, octave_tl(tl_db) - now, int(ratings.rw(tl_db)) - rated)

    out = [variation(text, _tl(other)) for text, other in variations.of(construction)]
    out.sort(key=lambda one: (-one.rw_gain, -float(one.gain_db.mean())))
    width, length = CRACK
    gap = Gap(width=width, length=length, depth=max(construction.thickness, 5e-3))
    out.append(variation("a crack 1 mm wide and 1 m long through it", _tl(construction, (gap,))))
    return tuple(out)
