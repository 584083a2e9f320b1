"""Why this pane at this distance: each reason computed for the window at hand, then put into words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from isolate.answers.second_pane.choice import allowed
from isolate.answers.second_pane.pick import Pick
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_tl
from isolate.describe import words
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.leaks import SEALS
from isolate.describe.materials import material
from isolate.describe.words import NOTICED_DB, listed, millimetres
from isolate.physics import second_window
from isolate.physics.leaves import critical_frequency
from isolate.physics.stack import build
from isolate.physics.transmission import transmission
from isolate.remedies.second_window.others import leaking
from isolate.remedies.second_window.sweep import (
    LINED_FROM,
    leak_of_seal,
    pane_both,
    pane_name,
    past_seals,
    sweep,
    with_pane,
)
from isolate.standards.weighting import dba
from isolate.units import show_length

CLEAR_DB = 1.0  # a difference worth a sentence


@dataclass(frozen=True)
class Reason:
    """One reason in words, with the numbers it rests on."""

    key: str
    text: str
    values: Mapping[str, Any] = field(default_factory=dict)

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"key": self.key, "text": self.text, "values": dict(self.values)}


def of(pick: Pick) -> tuple[Reason, ...]:
    """All reasons that apply, the weightier first: where no pane helps, what else lets the noises in."""
    helps = max(float(pick.gains[noise]) for noise in pick.counting) >= NOTICED_DB
    order = ALL if helps else sorted(ALL, key=lambda find: find is not _ceiling)
    return tuple(reason for find in order for reason in find(pick))


def signed(value: float) -> str:
    """A difference in whole decibels with its sign.

    >>> signed(-0.3), signed(4.6)
    ('0', '+5')
    """
    text = f"{value:+.0f}"
    return "0" if text in ("+0", "-0") else text


def whole(value: float) -> str:
    """A number without its fraction.

    >>> whole(-0.3), whole(4.6)
    ('0', '5')
    """
    return signed(value).lstrip("+")


def by_octave(values: Array) -> dict[str, float]:
    """Values (9,) by the name of their octave."""
    return {f"{hz:g}": float(value) for hz, value in zip(OCTAVES, values, strict=True)}


def _tl(tau: Array) -> Array:
    return np.asarray(-10.0 * np.log10(tau))


def at_least(pick: Pick) -> float:
    """The smallest distance [m] from which no noise that counts sticks out noticeably more."""
    upto = pick.heard_over_gaps[pick.counting, : pick.spot.gap + 1]
    enough = (upto - upto[:, -1:]).max(0) < NOTICED_DB
    first = next(i for i in range(enough.size) if enough[i:].all())
    return float(pick.sweep.gaps[first])


def _distance(pick: Pick) -> Iterator[Reason]:
    gaps, noise = pick.sweep.gaps, pick.hardest
    if pick.spot.gap < 2:
        return
    gains, need = pick.over_gaps[noise], at_least(pick)
    middle = int(np.argmin(np.abs(np.log(gaps / np.sqrt(gaps[0] * pick.gap)))))
    told = listed([f"{whole(gains[i])} dB at {millimetres(gaps[i])}" for i in (0, middle, pick.spot.gap)])
    text = f"At least {show_length(need)} apart: {pick.name(noise)} is softer by {told}."
    if need <= gaps[0]:
        text = f"So near, distance decides little: {pick.name(noise)} is softer by {told}"
        further = np.flatnonzero(gains >= gains[pick.spot.gap] + NOTICED_DB)
        if further.size:
            text += (
                f"; it would take {show_length(float(gaps[further[0]]))} to gain {gains[further[0]]:.0f} dB"
            )
        text += "."
    yield Reason("distance", text, {"at_least_mm": need * 1e3, "noise": pick.name(noise)})


def _harm(pick: Pick) -> Iterator[Reason]:
    """Distances at which this pane makes a noise louder than it is now."""
    for noise in pick.counting:
        gains = pick.over_gaps[noise]
        bad = np.flatnonzero(gains < -0.5)
        if not bad.size:
            continue
        worst, last = int(gains.argmin()), float(pick.sweep.gaps[bad[-1]])
        text = (
            f"Up to {show_length(last)} apart it would make {pick.name(noise)} louder than now, by "
            f"{-gains[worst]:.0f} dB at {millimetres(pick.sweep.gaps[worst])}."
        )
        values = {"noise": pick.name(noise), "up_to_mm": last * 1e3, "worst_dba": float(gains[worst])}
        yield Reason("harm", text, values)


def _resonance(pick: Pick) -> Iterator[Reason]:
    """Bands one hears that get louder, although the whole gets softer."""
    rise = pick.sweep.rise_db[pick.counting, pick.spot.lining, pick.spot.pane]
    row, gap = (int(i) for i in np.unravel_index(rise.argmax(), rise.shape))
    if rise[row, gap] < CLEAR_DB:
        return
    noise, most = pick.counting[row], float(rise[row, gap])
    band = _loudened(pick, noise, gap)
    up_to = float(pick.sweep.gaps[np.flatnonzero(rise.max(0) >= CLEAR_DB)[-1]])
    where = "at every distance tried" if up_to >= pick.sweep.gaps[-1] else f"up to {show_length(up_to)} apart"
    text = (
        f"Part of the bass gets louder {where}, where the panes swing against each other: of "
        f"{pick.name(noise)} the {band:g} Hz third, by {most:.0f} dB at {millimetres(pick.sweep.gaps[gap])}; "
    )
    here = float(rise[:, pick.spot.gap].max())
    if here >= CLEAR_DB:
        which = pick.counting[int(rise[:, pick.spot.gap].argmax())]
        at = _loudened(pick, which, pick.spot.gap)
        text += f"as proposed still the {at:g} Hz third of {pick.name(which)}, by {here:.0f} dB."
    else:
        text += "as proposed none."
    values = {"up_to_mm": up_to * 1e3, "worst_db": most, "band_hz": band, "here_db": here}
    yield Reason("resonance", text, values)


def _loudened(pick: Pick, noise: int, gap: int) -> float:
    """The third octave [Hz] one hears now that rises most."""
    now = pick.setting.heard[noise]
    rise = pick.sweep.inside_db[noise, pick.spot.lining, pick.spot.pane, gap] - now.inside_db
    return float(THIRD_OCTAVES[int(np.where(now.margin_db > 0.0, rise, -np.inf).argmax())])


def _bass(pick: Pick) -> Iterator[Reason]:
    gain, ring = by_octave(pick.octave_gain), pick.resonances
    told = ", ".join(f"{signed(gain[hz])} at {hz} Hz" for hz in ("63", "125", "250"))
    text = (
        f"By octaves the window gains {told}, {signed(gain['1000'])} dB at 1 kHz. Old window and new pane "
        f"swing against each other at {ring[0]:.0f} Hz"
    )
    if len(ring) > 1:
        others = words.listed([f"{hz:.0f} Hz" for hz in ring[1:]])
        text += f" (being {len(ring) + 1} panes, at {others} too)"
    text += ": down there a second window brings little, or takes some."
    yield Reason("bass", text, {"octave_gain_db": gain, "resonances_hz": list(ring)})


def _ceiling(pick: Pick) -> Iterator[Reason]:
    """Where walls, vents and other sides let in more than the window then does."""
    told, values = [], []
    for noise in pick.counting:
        passed, name = pick.then[noise].passed, pick.name(noise)
        through = [path.side == pick.setting.side.name and path.kind != "vent" for path in passed.paths]
        own = float(passed.share[np.array(through)].sum())
        if own > 0.5 or passed.margin <= 0.0:
            continue
        left = passed.dba - float(dba(pick.setting.beside_db[noise]))
        way, share = passed.paths[passed.strongest], 100 * float(passed.share[passed.strongest])
        by = way.words.removesuffix(" (itself)")
        told.append(f"{share:.0f} % of {name} by {by}, perfect glass gaining {left:.1f} dB")
        values.append({"noise": name, "path": way.name, "left_dba": left, "window_share": own})
    if told:
        text = (
            "With it the window is not the weak side any more: of what is left come "
            f"{'; '.join(told)}. Deal with that next."
        )
        yield Reason("ceiling", text, {"noises": values})


def _more(pick: Pick) -> Iterator[Reason]:
    """What the heaviest pane within the depth, and what more depth, would still bring."""
    noise, mask = pick.hardest, allowed(pick.sweep, pick.asked)
    heavy = int(np.where(mask.any((0, 2)), pick.sweep.masses, -1.0).argmax())
    best = float(pick.sweep.gain_dba[noise, :, heavy][mask[:, heavy]].max() - pick.gains[noise])
    deep = float(pick.over_gaps[noise, -1] - pick.gains[noise])
    parts = []
    if heavy != pick.spot.pane:
        weight = f"{pick.sweep.masses[heavy]:.0f} kg"
        parts.append(f"{signed(best)} dB by {pane_name(pick.sweep.panes[heavy])} ({weight})")
    if pick.spot.gap < pick.sweep.gaps.size - 1:
        parts.append(f"{signed(deep)} dB by this pane {millimetres(pick.sweep.gaps[-1])} away")
    if parts:
        text = f"More glass or air, against {pick.name(noise)}: {', '.join(parts)}."
        values = {"noise": pick.name(noise), "heaviest_dba": best, "deepest_dba": deep}
        yield Reason("more", text, values)


def _thickness(pick: Pick) -> Iterator[Reason]:
    """A pane as thick as the old one keeps step with sound at the same frequency."""
    old = pick.window.layers[-1]
    if not isinstance(old, Leaf) or old.material.name != "glass":
        return
    thicker = replace(old, thickness=1.5 * old.thickness)
    both = sweep(pick.setting, [old, thicker], np.array([pick.gap]), seal=pick.sweep.seal)
    equal, other = _tl(both.panes_tau[pick.spot.lining, :, 0])
    alone = build(Construction("", "", "window", (old,)), size=pick.setting.size).leaves[0]
    assert alone is not None
    octaves = np.abs(np.log2(THIRD_OCTAVES / float(critical_frequency(alone))))
    band = int(np.where(octaves < 0.5, other - equal, -np.inf).argmax())
    loss, excess = float((other - equal)[band]), both.excess[:, pick.spot.lining, :, 0]
    noise = pick.counting[int((excess[:, 0] - excess[:, 1])[pick.counting].argmax())]
    less = float(np.subtract(*both.gain_dba[noise, pick.spot.lining, ::-1, 0]))
    alike = pick.pane.material is old.material and abs(pick.pane.thickness / old.thickness - 1) < 0.1
    text = (
        f"{'As thick as the old pane' if alike else 'Not as thick as the old pane'}: two of "
        f"{millimetres(old.thickness)} both keep step with sound at {THIRD_OCTAVES[band]:g} Hz; one of "
        f"{millimetres(thicker.thickness)} stops {loss:.0f} dB more there"
    )
    heard = f", {less:.0f} dB of {pick.name(noise)}." if less >= 0.5 else ", though not what decides here."
    values = {"band_hz": float(THIRD_OCTAVES[band]), "lost_db": loss, "noise": pick.name(noise)}
    yield Reason("thickness", text + heard, values | {"lost_dba": less})


def _interlayer(pick: Pick) -> Iterator[Reason]:
    """Soft interlayers in the bass, where no test shows what they gain."""
    if pick.pane.material.name != "acoustic laminated glass":
        return
    stiff = Leaf(material("laminated glass"), pick.pane.thickness)
    both = sweep(pick.setting, [pick.pane, stiff], np.array([pick.gap]), seal=pick.sweep.seal)
    soft = [pane.material.name for pane in both.panes].index("acoustic laminated glass")
    tl = octave_tl(_tl(both.tau[pick.spot.lining, :, 0]))
    gain = by_octave(tl[soft] - tl[1 - soft])
    if gain["63"] >= CLEAR_DB:
        text = (
            f"Its soft interlayer is credited with {gain['63']:.0f} dB at 63 Hz and {gain['125']:.0f} dB at "
            f"125 Hz over {pane_both(stiff)}. Tests of panes show 2 dB from 100 to 160 Hz and end there."
        )
        yield Reason("interlayer", text, {"octave_gain_db": gain})


def _lining(pick: Pick) -> Iterator[Reason]:
    at = pick.spot
    if pick.gap < LINED_FROM:
        return
    bare, lined = (pick.sweep.gain_dba[:, lining, at.pane, at.gap] for lining in (0, 1))
    noise = pick.counting[int((lined - bare)[pick.counting].argmax())]
    gain = float((lined - bare)[noise])
    low = float(np.subtract(*octave_tl(_tl(pick.sweep.tau[::-1, at.pane, at.gap])))[1])
    first = "Line the reveal: " if pick.edges == "absorbent" else "The reveal may stay bare: "
    text = (
        f"{first}50 mm of wool behind cloth on its four sides is worth {whole(gain)} dB against "
        f"{pick.name(noise)}, {signed(low)} dB at 63 Hz."
    )
    yield Reason("lining", text, {"noise": pick.name(noise), "gain_dba": gain, "gain_63_hz_db": low})


def _seal(pick: Pick) -> Iterator[Reason]:
    """What the new pane's seal decides, for the noise it matters most to."""
    taus = [pick.leaking(seal=seal) for seal in SEALS]
    counting = pick.counting
    lost = (pick.excess_of(taus[-1]) - pick.excess_of(taus[0]))[counting]
    noise = counting[int(lost.argmax())]
    gains = {seal: float(pick.gains_of(tau)[noise]) for seal, tau in zip(SEALS, taus, strict=True)}
    told = ", ".join(f"{seal} {whole(gain)} dB" for seal, gain in gains.items())
    text = f"The seal round the new pane, against {pick.name(noise)}: {told}."
    if gains[SEALS[0]] - gains[SEALS[-1]] >= NOTICED_DB:
        text += " A leak all round eats what the glass gains."
    yield Reason("seal", text, {"noise": pick.name(noise), "gain_dba": gains})


def _sash(pick: Pick) -> Iterator[Reason]:
    """The old sash: what strips on it bring alone, and behind a second window."""
    setting, first = pick.setting, pick.setting.first
    strips = leak_of_seal(setting, "draught-stripped")
    if leaking(setting.leaks()) < leaking(strips) + CLEAR_DB:
        return
    alone = float(pick.gains_of(second_window.of(pick.window, size=setting.size).tau([strips]))[first])
    both = float(pick.gains_of(pick.leaking(sash=strips))[first] - pick.gains[first])
    if alone < CLEAR_DB:
        return
    worth = f"{both:.0f} dB more" if both >= CLEAR_DB else "next to nothing more"
    text = (
        f"Draught strips on the old sash cost little and make {pick.name(first)} {alone:.0f} dB softer by "
        f"themselves, {worth} with the new pane in."
    )
    yield Reason("sash", text, {"noise": pick.name(first), "alone_dba": alone, "with_pane_dba": both})


def _one_removed(pick: Pick) -> Iterator[Reason]:
    """A window of several panes with its inner one taken out, the new pane where it is."""
    window, noise = pick.window, pick.hardest
    if len(window.layers) < 3:
        return
    cavity, inner = window.layers[-2:]
    assert isinstance(cavity, Cavity) and isinstance(inner, Leaf)
    outer = replace(window, layers=window.layers[:-2], measured=None)
    depth = np.array([pick.gap + cavity.depth + inner.thickness])
    size, closed = pick.setting.size, leak_of_seal(pick.setting, pick.sweep.seal)
    fewer = second_window.behind(outer, [pick.pane], depths=depth, size=size, edges=pick.edges).at(0, 0)
    tau = np.minimum(fewer.through + past_seals(pick.setting, fewer, seal=closed), 1.0)
    gain = float((pick.gains_of(tau) - pick.gains)[noise])
    octaves = by_octave(octave_tl(_tl(tau)) - octave_tl(pick.tl_then))
    low = ", ".join(f"{signed(octaves[hz])} at {hz} Hz" for hz in ("63", "125", "250"))
    count = sum(isinstance(layer, Leaf) for layer in outer.layers)
    what = "a single pane" if count == 1 else f"{count} panes"
    text = (
        f"With {what} in the old window ({millimetres(inner.thickness)} taken out) and the new one where it "
        f"is: {low}, {signed(gain)} dB against {pick.name(noise)}. "
    )
    text += "If it comes out, take it out." if gain >= CLEAR_DB else "Leave the old panes in."
    yield Reason(
        "one pane removed", text, {"noise": pick.name(noise), "gain_dba": gain, "octave_gain_db": octaves}
    )


def _frame(pick: Pick) -> Iterator[Reason]:
    """Fixed to the old frame, the new pane is shaken by it."""
    if pick.asked.no_fixing:
        return
    apart = with_pane(pick.window, pick.pane, depth=pick.gap, edges=pick.edges)
    *layers, gap, pane = apart.layers
    assert isinstance(gap, Cavity)
    held = replace(apart, layers=(*layers, replace(gap, framing="shared frame"), pane))
    shaken = 10 ** (-transmission(held, size=pick.setting.size).tl_db / 10)
    lost = (pick.gains - pick.gains_of(np.minimum(shaken + pick.sweep.leak_tau[pick.spot], 1.0)))[
        pick.counting
    ]
    noise = pick.counting[int(lost.argmax())]
    if lost.max() >= CLEAR_DB:
        text = (
            "In a frame of its own, fixed to the reveal: on the old frame the wood shakes it, "
            f"{lost.max():.0f} dB less against {pick.name(noise)}."
        )
        yield Reason("frame", text, {"noise": pick.name(noise), "lost_dba": float(lost.max())})


ALL: tuple[Callable[[Pick], Iterator[Reason]], ...] = (
    _distance, _harm, _resonance, _bass, _ceiling, _more, _thickness, _interlayer, _lining, _seal, _sash,
    _one_removed, _frame,
)  # fmt: skip
