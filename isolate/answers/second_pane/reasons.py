"""Why this pane at this distance: each reason as a key and the numbers it rests on, computed for the window
at hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from isolate.answers.second_pane.pick import Pick
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_tl
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.leaks import SEALS
from isolate.describe.materials import material
from isolate.physics import second_window
from isolate.physics.leaves import critical_frequency
from isolate.physics.stack import build
from isolate.physics.transmission import transmission
from isolate.remedies.second_window import choice, setting
from isolate.remedies.second_window.asked import Asked
from isolate.remedies.second_window.choice import allowed
from isolate.remedies.second_window.others import leaking
from isolate.remedies.second_window.panes import pane_name, with_pane
from isolate.remedies.second_window.sweep import LINED_FROM, leak_of_seal, past_seals, sweep
from isolate.room.audibility import noticed
from isolate.standards.weighting import dba

CLEAR_DB = 1.0  # a difference worth a sentence


@dataclass(frozen=True)
class Reason:
    """One reason with the numbers it rests on."""

    key: str
    values: Mapping[str, Any] = field(default_factory=dict)

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"key": self.key, "values": dict(self.values)}


def of(pick: Pick) -> tuple[Reason, ...]:
    """All reasons that apply, the weightier first: where no pane helps, what else lets the noises in."""
    helps = any(noticed(float(pick.gains[noise])) for noise in pick.counting)
    order = ALL if helps else sorted(ALL, key=lambda find: find is not _ceiling)
    return tuple(reason for find in order for reason in find(pick))


def by_octave(values: Array) -> dict[str, float]:
    """Values (9,) by the name of their octave."""
    return {f"{hz:g}": float(value) for hz, value in zip(OCTAVES, values, strict=True)}


def _tl(tau: Array) -> Array:
    return np.asarray(-10.0 * np.log10(tau))


def at_least(pick: Pick) -> float:
    """The smallest distance [m] from which no noise that counts sticks out noticeably more."""
    upto = pick.heard_over_gaps[pick.counting, : pick.spot.gap + 1]
    enough = [not noticed(worse) for worse in (upto - upto[:, -1:]).max(0)]
    first = next(i for i in range(len(enough)) if all(enough[i:]))
    return float(pick.sweep.gaps[first])


def _distance(pick: Pick) -> Iterator[Reason]:
    gaps, noise = pick.sweep.gaps, pick.hardest
    if pick.spot.gap < 2:
        return
    gains = pick.over_gaps[noise]
    middle = int(np.argmin(np.abs(np.log(gaps / np.sqrt(gaps[0] * pick.gap)))))
    told = [(1e3 * float(gaps[i]), float(gains[i])) for i in (0, middle, pick.spot.gap)]
    further = [i for i in range(len(gaps)) if noticed(gains[i] - gains[pick.spot.gap])]
    yield Reason("distance", {
        "at_least_mm": 1e3 * at_least(pick), "nearest_mm": 1e3 * float(gaps[0]), "noise": pick.name(noise),
        "softer_at_mm": told,
        "further_mm": 1e3 * float(gaps[further[0]]) if further else None,
        "further_dba": float(gains[further[0]]) if further else None,
    })  # fmt: skip


def _harm(pick: Pick) -> Iterator[Reason]:
    """Distances at which this pane makes a noise louder than it is now."""
    for noise in pick.counting:
        gains = pick.over_gaps[noise]
        bad = np.flatnonzero(gains < -0.5)
        if bad.size:
            worst = int(gains.argmin())
            yield Reason("harm", {
                "noise": pick.name(noise), "up_to_mm": 1e3 * float(pick.sweep.gaps[bad[-1]]),
                "worst_mm": 1e3 * float(pick.sweep.gaps[worst]), "worst_dba": float(gains[worst]),
            })  # fmt: skip


def _resonance(pick: Pick) -> Iterator[Reason]:
    """Bands one hears that get louder, although the whole gets softer."""
    rise = pick.sweep.rise_db[pick.counting, pick.spot.lining, pick.spot.pane]
    row, gap = (int(i) for i in np.unravel_index(rise.argmax(), rise.shape))
    if rise[row, gap] < CLEAR_DB:
        return
    noise, most = pick.counting[row], float(rise[row, gap])
    up_to = float(pick.sweep.gaps[np.flatnonzero(rise.max(0) >= CLEAR_DB)[-1]])
    here = float(rise[:, pick.spot.gap].max())
    which = pick.counting[int(rise[:, pick.spot.gap].argmax())]
    yield Reason("resonance", {
        "up_to_mm": 1e3 * up_to, "everywhere": bool(up_to >= pick.sweep.gaps[-1]), "worst_db": most,
        "noise": pick.name(noise), "worst_mm": 1e3 * float(pick.sweep.gaps[gap]),
        "band_hz": _loudened(pick, noise, gap), "here_db": here, "here_noise": pick.name(which),
        "here_hz": _loudened(pick, which, pick.spot.gap),
    })  # fmt: skip


def _loudened(pick: Pick, noise: int, gap: int) -> float:
    """The third octave [Hz] one hears now that rises most."""
    now = pick.setting.heard[noise]
    rise = pick.sweep.inside_db[noise, pick.spot.lining, pick.spot.pane, gap] - now.level_db
    return float(THIRD_OCTAVES[int(np.where(now.margin_db > 0.0, rise, -np.inf).argmax())])


def _bass(pick: Pick) -> Iterator[Reason]:
    values = {"octave_gain_db": by_octave(pick.octave_gain), "resonances_hz": list(pick.resonances)}
    yield Reason("bass", values)


def _ceiling(pick: Pick) -> Iterator[Reason]:
    """Where walls, vents and other sides let in more than the window then does."""
    values = []
    for noise in pick.counting:
        then = pick.then[noise]
        through = [one.side == pick.setting.side.name and one.kind != "vent" for one in then.elements]
        own = float(then.share[np.array(through)].sum())
        if own > 0.5 or not then.is_heard:
            continue
        way = then.elements[then.strongest]
        values.append({
            "noise": pick.name(noise), "path": way.name, "by": way.words,
            "share": float(then.share[then.strongest]), "window_share": own,
            "left_dba": then.dba - float(dba(pick.setting.beside_db[noise])),
        })  # fmt: skip
    if values:
        yield Reason("ceiling", {"noises": values, "if_closed": _if_closed(pick)})


def _if_closed(pick: Pick) -> dict[str, Any] | None:
    """The pane for a room where the other ways are closed too, as a plan may have it; None where that is this
    one, or where more is asked for than a plan asks."""
    if replace(pick.asked, side=None, max_gap=None) != Asked():
        return None
    place = setting.of(pick.setting.now, pick.setting.side.name, beside=False)
    swept, spot = choice.proposed(place, choice.deepest(pick.asked))
    if swept.option(spot).name == pick.effect.remedy.option.name:
        return None
    return {
        "pane": pane_name(swept.panes[spot.pane]), "gap_mm": 1e3 * float(swept.gaps[spot.gap]),
        "edges": swept.linings[spot.lining],
    }  # fmt: skip


def _more(pick: Pick) -> Iterator[Reason]:
    """What the heaviest pane within the depth, and what more depth, would still bring."""
    noise, mask = pick.hardest, allowed(pick.sweep, pick.asked)
    here = float(pick.sweep.gain_dba[(noise, *pick.spot)])
    heavy = int(np.where(mask.any((0, 2)), pick.sweep.masses, -1.0).argmax())
    best = float(pick.sweep.gain_dba[noise, :, heavy][mask[:, heavy]].max()) - here
    deep = float(pick.over_gaps[noise, -1]) - here
    heaviest = heavy != pick.spot.pane
    deeper = pick.spot.gap < pick.sweep.gaps.size - 1
    if heaviest or deeper:
        yield Reason("more", {
            "noise": pick.name(noise),
            "heaviest": pane_name(pick.sweep.panes[heavy]) if heaviest else None,
            "heaviest_kg": float(pick.sweep.masses[heavy]), "heaviest_dba": best if heaviest else None,
            "deepest_mm": 1e3 * float(pick.sweep.gaps[-1]), "deepest_dba": deep if deeper else None,
        })  # fmt: skip


def _thickness(pick: Pick) -> Iterator[Reason]:
    """A pane as thick as the old one is weak at the same frequency."""
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
    excess = both.excess[:, pick.spot.lining, :, 0]
    noise = pick.counting[int((excess[:, 0] - excess[:, 1])[pick.counting].argmax())]
    alike = pick.pane.material is old.material and abs(pick.pane.thickness / old.thickness - 1) < 0.1
    yield Reason("thickness", {
        "alike": alike, "old_mm": 1e3 * old.thickness, "thicker_mm": 1e3 * thicker.thickness,
        "band_hz": float(THIRD_OCTAVES[band]), "lost_db": float((other - equal)[band]),
        "noise": pick.name(noise),
        "lost_dba": float(np.subtract(*both.gain_dba[noise, pick.spot.lining, ::-1, 0])),
    })  # fmt: skip


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
        yield Reason("interlayer", {"octave_gain_db": gain, "stiff": pane_name(stiff, both=True)})


def _lining(pick: Pick) -> Iterator[Reason]:
    at = pick.spot
    if pick.gap < LINED_FROM:
        return
    bare, lined = (pick.sweep.gain_dba[:, lining, at.pane, at.gap] for lining in (0, 1))
    noise = pick.counting[int((lined - bare)[pick.counting].argmax())]
    low = float(np.subtract(*octave_tl(_tl(pick.sweep.tau[::-1, at.pane, at.gap])))[1])
    yield Reason("lining", {
        "lined": pick.edges == "absorbent", "noise": pick.name(noise),
        "gain_dba": float((lined - bare)[noise]), "gain_63_hz_db": low,
    })  # fmt: skip


def _seal(pick: Pick) -> Iterator[Reason]:
    """What the new pane's seal decides, for the noise it matters most to."""
    taus = [pick.leaking(seal=seal) for seal in SEALS]
    counting = pick.counting
    lost = (pick.excess_of(taus[-1]) - pick.excess_of(taus[0]))[counting]
    noise = counting[int(lost.argmax())]
    gains = {seal: float(pick.gains_of(tau)[noise]) for seal, tau in zip(SEALS, taus, strict=True)}
    matters = noticed(gains[SEALS[0]] - gains[SEALS[-1]])
    yield Reason("seal", {"noise": pick.name(noise), "gain_dba": gains, "matters": matters})


def _sash(pick: Pick) -> Iterator[Reason]:
    """The old sash: what strips on it bring alone, and behind a second window."""
    setting, first = pick.setting, pick.setting.first
    strips = leak_of_seal(setting, "draught-stripped")
    if leaking(setting.leaks()) < leaking(strips) + CLEAR_DB:
        return
    alone = float(pick.gains_of(second_window.of(pick.window, size=setting.size).tau([strips]))[first])
    both = float((pick.gains_of(pick.leaking(sash=strips)) - pick.gains_of(pick.tried))[first])
    if alone >= CLEAR_DB:
        yield Reason("sash", {"noise": pick.name(first), "alone_dba": alone, "with_pane_dba": both})


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
    yield Reason("one pane removed", {
        "panes_left": sum(isinstance(layer, Leaf) for layer in outer.layers),
        "taken_out_mm": 1e3 * inner.thickness, "noise": pick.name(noise),
        "gain_dba": float((pick.gains_of(tau) - pick.gains_of(pick.tried))[noise]),
        "octave_gain_db": by_octave(octave_tl(_tl(tau)) - octave_tl(_tl(pick.tried))),
    })  # fmt: skip


def _frame(pick: Pick) -> Iterator[Reason]:
    """Fixed to the old frame, the new pane is shaken by it."""
    if pick.asked.no_fixing:
        return
    apart = with_pane(pick.window, pick.pane, depth=pick.gap, edges=pick.edges)
    *layers, gap, pane = apart.layers
    assert isinstance(gap, Cavity)
    held = replace(apart, layers=(*layers, replace(gap, framing="shared frame"), pane))
    shaken = 10 ** (-transmission(held, size=pick.setting.size).tl_db / 10)
    here = pick.gains_of(pick.tried)
    lost = (here - pick.gains_of(np.minimum(shaken + pick.sweep.leak_tau[pick.spot], 1.0)))[pick.counting]
    noise = pick.counting[int(lost.argmax())]
    if lost.max() >= CLEAR_DB:
        yield Reason("frame", {"noise": pick.name(noise), "lost_dba": float(lost.max())})


ALL: tuple[Callable[[Pick], Iterator[Reason]], ...] = (
    _distance, _harm, _resonance, _bass, _ceiling, _more, _thickness, _interlayer, _lining, _seal, _sash,
    _one_removed, _frame,
)  # fmt: skip
