"""The second window: which pane, how far behind the old one, and is it worth it?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.answers.second_pane import choice
from isolate.answers.second_pane import reasons as second_pane_reasons
from isolate.answers.second_pane import words as second_pane_words
from isolate.answers.second_pane.pick import Pick
from isolate.answers.second_pane.reasons import Reason
from isolate.answers.second_pane.words import Verdict
from isolate.bands import OCTAVES, THIRD_OCTAVES, octave_tl
from isolate.describe import words
from isolate.describe.constructions import Leaf
from isolate.describe.rooms import Room
from isolate.remedies.cautions.facts import Caution, Change, Facts
from isolate.remedies.cautions.table import raised
from isolate.remedies.second_window.asked import Asked
from isolate.remedies.second_window.others import Tried, tried
from isolate.remedies.second_window.setting import Setting, setting
from isolate.remedies.second_window.sweep import (
    LININGS,
    Spot,
    Sweep,
    gaps_tried,
    pane_name,
    panes_sold,
    sweep,
)
from isolate.room.chances import Progress, quiet
from isolate.room.envelope import Heard
from isolate.room.scenario import State, gain_limits, sure
from isolate.standards import hearing, ratings
from isolate.standards.weighting import dba

DRAWS, SEED = 500, 1


@dataclass(frozen=True, repr=False, eq=False)
class SecondPane(Answer):
    """The answer: `pick` is proposed, `best` the few worth looking at, `others` what else one may try.

    `heard` and `then`: the noises now and with the proposal, with their chances.
    """

    asked: Asked
    pick: Pick
    heard: tuple[Heard, ...]
    best: tuple[Spot, ...]
    reasons: tuple[Reason, ...]
    others: tuple[Tried, ...]
    verdict: Verdict
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def setting(self) -> Setting:
        return self.pick.setting

    @property
    def sweep(self) -> Sweep:
        return self.pick.sweep

    @property
    def then(self) -> tuple[Heard, ...]:
        return self.pick.then

    @property
    def shown(self) -> int:
        """The noise the picture is of: the one asked about, or what is hardest to stop."""
        return self.pick.hardest if self.setting.chosen is None else self.setting.chosen

    def gain_limits(self, noise: int) -> tuple[float, float]:
        """5 % and 95 % limits of how much softer a noise gets [dBA]."""
        return gain_limits([self.heard[noise].passed], [self.then[noise].passed])

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return [
            (one.name, name, value)
            for one, gain in zip(self.then, self.pick.gains, strict=True)
            for name, value in (
                ("gain_dba", float(gain)),
                ("inside_dba", one.inside_dba),
                ("margin_db", one.margin),
                ("chance_heard", one.chance),
            )
        ]

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "verdict": self.verdict.word,
            "words": self.verdict.text,
            "proposal": self._proposal(),
            "noises": [self._noise(i) for i in range(len(self.heard))],
            "reasons": [reason.to_dict() for reason in self.reasons],
            "best": [self._spot(spot) for spot in self.best],
            "others": [one.to_dict() for one in self.others],
            "sweep": self._sweep(),
            "background_dba": float(dba(self.setting.shell.background_db)),
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        return headed("second-pane", self._inputs(), body)

    def _inputs(self) -> dict[str, Any]:
        side, asked = self.setting.side, self.asked
        return {
            "room": self.setting.room.name,
            "side": side.name,
            "window": words.construction_inputs(replace(side.construction, size=self.setting.size)),
            "gaps": [words.gap_inputs(gap) for gap in side.gaps],
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
            "words": second_pane_words.proposal(pick),
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
                inside = one.inside_dba - sweep.gain_dba[(i, *spot)]
                margin = sweep.margin[(i, *spot)]
                gain, word = sweep.gain_dba[(i, *spot)], hearing.verdict(margin)
                rows.append([*start, one.name, gain, inside, margin, word])
        return header, rows


def second_pane(
    described: Room | str | None = None,
    asked: Asked | None = None,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    processes: int = 1,
    progress: Progress = quiet,
) -> SecondPane:
    """Answer: what would a second window behind this one bring, which, and how far away?

    Parameters
    ----------
    described : a room, its name or path; None: the window of the question alone, or the bundled room.
    asked : the question, see `second_pane_asked.asked`.
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
    then = place.shell.replaced(swept.found(spot))
    states = [
        State(place.shell, place.heard, ()),
        State(then, tuple(then.hear(one.noise) for one in place.heard), ()),
    ]
    (now, after), _ = sure(place.room, states, seed=seed, count=draws, processes=processes, progress=progress)
    pick = Pick(swept, asked, spot, after.heard)
    others = tried(swept, asked, depth=choice.deepest(asked))
    return SecondPane(
        asked=asked,
        pick=pick,
        heard=now.heard,
        best=choice.ladder(swept, mask, spot),
        reasons=second_pane_reasons.of(pick),
        others=others,
        verdict=second_pane_words.verdict(pick, others),
        notes=second_pane_words.notes(place, asked, pick),
        cautions=raised(_facts(pick, others)),
    )


def _facts(pick: Pick, others: tuple[Tried, ...]) -> Facts:
    side = pick.setting.side
    change = Change(
        "the second window",
        pick.sweep.construction(pick.spot),
        side.construction,
        added=pick.mass / side.area,
        area=side.area,
        gaps=(),
        old_gaps=side.gaps,
    )
    more = (one.change(side.construction, side.area) for one in others)
    room = pick.setting.room
    return Facts(
        changes=(change, *(one for one in more if one is not None)), volume=room.volume,
        fan=any(one.vents for one in room.sides),
    )  # fmt: skip
