"""The second window: which pane, how far behind the old one, and is it worth it?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from isolate.answers import inputs
from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.answers.second_pane import reasons as why
from isolate.answers.second_pane.pick import Pick
from isolate.answers.second_pane.reasons import Reason
from isolate.bands import OCTAVES, THIRD_OCTAVES, octave_tl
from isolate.describe import prices as pricing
from isolate.describe.constructions import Leaf
from isolate.describe.rooms import Option, Room, Side
from isolate.remedies import making
from isolate.remedies.cautions.changes import facts
from isolate.remedies.cautions.facts import Caution
from isolate.remedies.cautions.table import raised
from isolate.remedies.combined import Combined
from isolate.remedies.effect import Effect
from isolate.remedies.remedy import Cost, Remedy
from isolate.remedies.second_window import choice
from isolate.remedies.second_window.asked import Asked
from isolate.remedies.second_window.others import Other, others
from isolate.remedies.second_window.panes import pane_name
from isolate.remedies.second_window.setting import Setting, setting
from isolate.remedies.second_window.sweep import LININGS, Spot, Sweep, gaps_tried, panes_sold, sweep
from isolate.remedies.usual import boxed
from isolate.room import DRAWS, SEED, audibility, prediction
from isolate.room.chances import Progress
from isolate.room.received import Received
from isolate.room.scenario import Sampled, gain_limits
from isolate.standards import ratings
from isolate.standards.weighting import dba


@dataclass(frozen=True, repr=False, eq=False)
class SecondPane(Answer):
    """The answer: `pick` is proposed, `best` the few worth looking at, `others` what else one may try.

    `closed`: the same with the vents of the room silenced, where the window is not what decides.
    """

    asked: Asked
    pick: Pick
    best: tuple[Spot, ...]
    reasons: tuple[Reason, ...]
    others: tuple[Other, ...]
    closed: Effect | None
    currency: str

    @property
    def setting(self) -> Setting:
        return self.pick.setting

    @property
    def sweep(self) -> Sweep:
        return self.pick.sweep

    @property
    def heard(self) -> tuple[Received, ...]:
        """The noises that reach the window, as they are."""
        return self.pick.heard

    @property
    def then(self) -> tuple[Received, ...]:
        """The same with the proposal."""
        return self.pick.then

    @property
    def verdict(self) -> str:
        """ "worth it" | "noticeable" | "not worth it" | "not needed"."""
        pick = self.pick
        if not any(pick.heard[noise].is_heard for noise in pick.counting):
            return "not needed"
        best = max(float(pick.gains[noise]) for noise in pick.counting)
        if best >= audibility.CLEARLY_DB or self.gone:
            return "worth it"
        return "noticeable" if audibility.noticed(best) else "not worth it"

    @property
    def gone(self) -> tuple[int, ...]:
        """The noises that are heard now and not with the proposal."""
        pick = self.pick
        return tuple(n for n in pick.counting if pick.heard[n].is_heard and not pick.then[n].is_heard)

    @property
    def cheaper(self) -> Other | None:
        """Strips on the old sash, where they are noticed and do nearly as much."""
        for one in self.others:
            gains = [one.effect.gains[self.pick.name(noise)] for noise in self.pick.counting]
            short = [
                self.pick.gains[noise] - gain for noise, gain in zip(self.pick.counting, gains, strict=True)
            ]
            helps = one.key == "strips" and any(map(audibility.noticed, gains))
            if helps and not any(map(audibility.noticed, short)):
                return one
        return None

    @property
    def cost(self) -> Cost | None:
        """What the proposal costs."""
        return self.pick.effect.cost

    @property
    def shown(self) -> int:
        """The noise the picture is of: the one asked about, or what is hardest to stop."""
        return self.pick.hardest if self.setting.chosen is None else self.setting.chosen

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """What putting in any of these may hurt."""
        tried = [*self.pick.effect.remedies, *(one.effect.remedy for one in self.others)]
        return raised(facts(self.setting.now, tried))

    def gain_limits(self, noise: int) -> tuple[float, float]:
        """5 % and 95 % limits of how much softer a noise gets [dBA]."""
        return gain_limits([self.heard[noise]], [self.then[noise]])

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return [
            (one.name, name, value)
            for one, gain in zip(self.then, self.pick.gains, strict=True)
            for name, value in (
                ("gain_dba", float(gain)),
                ("inside_dba", one.dba),
                ("margin_db", one.margin),
                ("chance_heard", one.chance),
            )
        ]

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        names = [one.name for one in self.heard]
        body = {
            "verdict": self.verdict,
            "proposal": self._proposal(),
            "noises": [self._noise(i) for i in range(len(self.heard))],
            "reasons": [reason.to_dict() for reason in self.reasons],
            "best": [self._spot(spot) for spot in self.best],
            "others": [one.to_dict(names) for one in self.others],
            "vents_silenced": self.closed.to_dict() if self.closed else None,
            "sweep": self._sweep(),
            "background_dba": float(dba(self.setting.now.envelope.background_db)),
            "notes": self.setting.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        return headed("second-pane", self._inputs(), body)

    def _inputs(self) -> dict[str, Any]:
        side, asked = self.setting.side, self.asked
        return {
            "room": self.setting.room.name,
            "side": side.name,
            "window": inputs.construction(replace(side.construction, size=self.setting.size)),
            "gaps": [inputs.gap(gap) for gap in side.gaps],
            "noise": asked.noise,
            "seal": asked.sealed,
            "reveal": asked.reveal,
            "max_gap_mm": choice.deepest(asked) * 1e3,
            "max_weight_kg": asked.max_weight,
            "openable": asked.openable,
            "light": asked.light,
            "no_fixing": asked.no_fixing,
        }

    def _proposal(self) -> dict[str, Any]:
        pick = self.pick
        return self._spot(pick.spot) | {
            "name": pick.effect.name,
            "gain_dba": {one.name: pick.effect.gains[one.name] for one in self.heard},
            "margin_db": {one.name: one.margin for one in self.then},
            "rw": int(ratings.rw(pick.tl_then)),
            "costs": self.cost.to_dict() if self.cost else None,
            "bands_hz": THIRD_OCTAVES,
            "tl_now_db": pick.tl_now,
            "tl_db": pick.tl_then,
            "octave": {
                "bands_hz": OCTAVES, "tl_now_db": octave_tl(pick.tl_now), "tl_db": octave_tl(pick.tl_then)
            },
            "rw_now": int(ratings.rw(pick.tl_now)),
            "resonances_hz": pick.resonances,
        }  # fmt: skip

    def _noise(self, index: int) -> dict[str, Any]:
        low, high = self.gain_limits(index)
        return {
            "name": self.heard[index].name,
            "now": self.heard[index].to_dict(),
            "then": self.then[index].to_dict(),
            "gain_dba": float(self.pick.gains[index]),
            "gain_low_dba": low,
            "gain_high_dba": high,
            "by_other_ways_dba": float(dba(self.setting.beside_db[index])),
        }

    def _spot(self, spot: Spot) -> dict[str, Any]:
        sweep = self.sweep
        return self._pane(sweep.panes[spot.pane], spot.pane) | {
            "gap_mm": float(sweep.gaps[spot.gap]) * 1e3,
            "reveal": "lined" if LININGS[spot.lining] == "absorbent" else "bare",
            "seal": sweep.seal,
            "rw": int(sweep.rw[spot]),
            "resonance_hz": sweep.resonances[spot.pane, spot.gap],
            "excess_db": sweep.score[spot],
            "gain_dba": {one.name: sweep.gain_dba[(i, *spot)] for i, one in enumerate(self.heard)},
            "margin_db": {one.name: sweep.margin[(i, *spot)] for i, one in enumerate(self.heard)},
        }

    def _pane(self, pane: Leaf, index: int) -> dict[str, Any]:
        return {
            "pane": pane_name(pane),
            "material": pane.material.name,
            "thickness_mm": pane.thickness * 1e3,
            "mass_kg": float(self.sweep.masses[index]),
        }

    def _sweep(self) -> dict[str, Any]:
        sweep = self.sweep
        return {
            "panes": [self._pane(pane, i) for i, pane in enumerate(sweep.panes)],
            "gaps_mm": sweep.gaps * 1e3,
            "reveals": ["bare", "lined"],
            "resonance_hz": sweep.resonances,
            "rw": sweep.rw,
            "gain_dba": {one.name: sweep.gain_dba[i] for i, one in enumerate(self.heard)},
        }

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: a row a pane, distance, reveal and noise."""
        header = [
            "pane", "material", "thickness_mm", "mass_kg", "gap_mm", "reveal", "seal", "rw", "resonance_hz",
            "noise", "gain_dba", "inside_dba", "margin_db", "verdict",
        ]  # fmt: skip
        sweep, rows = self.sweep, []
        for lining, pane, gap in np.ndindex(sweep.score.shape):
            spot = Spot(lining, pane, gap)
            told = self._spot(spot)
            start = [told[key] for key in header[:9]]
            for i, one in enumerate(self.heard):
                margin, gain = sweep.margin[(i, *spot)], sweep.gain_dba[(i, *spot)]
                word = audibility.verdict(margin, prediction.chance_above(margin, one.margin_sigma_db))
                rows.append([*start, one.name, gain, one.dba - gain, margin, word])
        return header, rows


def second_pane(
    described: Room | str | None = None,
    asked: Asked | None = None,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    processes: int = 1,
    progress: Progress | None = None,
) -> SecondPane:
    """Answer: what would a second window behind this one bring, which, and how far away?

    Parameters
    ----------
    described : a room, its name or path; None: the window of the question alone, or the bundled room.
    asked : the question, see `second_window.asked`.
    draws, seed, processes, progress : for the chances, as for a room.

    Raises
    ------
    InputError
        A room, window, noise or limit that does not work.
    """
    asked = asked or Asked()
    place = setting(described, asked)
    swept = sweep(place, asked.panes or panes_sold(), gaps_tried(asked), seal=asked.sealed)
    mask = choice.allowed(swept, asked)
    spot = choice.lightest(swept, mask)
    prices = pricing.bundled()
    now, envelope = place.now, place.now.envelope
    pane = making.made(envelope, swept.option(spot), "second window", prices)
    boxes = [
        making.made(envelope, option, "box", prices)
        for one in envelope.sides
        for option in _boxes(one.side)
    ]
    combined = Combined(now, [pane, *boxes])
    sampled = Sampled(place.room, seed=seed, count=draws, processes=processes, progress=progress)
    first, then = sampled.scenarios([now, combined.scenario(frozenset({0}))])
    pick = Pick(swept, asked, spot, Effect((pane,), first, then))
    return SecondPane(
        asked=asked,
        pick=pick,
        best=choice.ladder(swept, mask, spot),
        reasons=why.of(pick),
        others=others(place, asked, prices, depth=choice.deepest(asked)),
        closed=_closed(pick, combined, [pane, *boxes], sampled),
        currency=prices.currency,
    )


def _boxes(side: Side) -> list[Option]:
    """A lined box more on every vent of a side."""
    if not side.vents or any(vent.tested for vent in side.vents):
        return []
    vents = tuple(boxed(vent) for vent in side.vents)
    return [Option(f"a lined box on each vent of the {side.name}", side.name, vents=vents)]


def _closed(pick: Pick, combined: Combined, remedies: list[Remedy], sampled: Sampled) -> Effect | None:
    """The proposal with the vents silenced, where that makes a noise noticeably softer still."""
    if len(remedies) < 2:
        return None
    every = frozenset(range(len(remedies)))
    first = pick.effect.before
    found = Effect(tuple(remedies), first, sampled.scenario(combined.scenario(every)))
    more = [found.gains[pick.name(n)] - float(pick.gains[n]) for n in pick.counting]
    return found if any(audibility.noticed(gain) for gain in more) else None
