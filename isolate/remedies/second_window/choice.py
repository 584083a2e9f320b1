"""Which of the swept panes to take: what the limits allow, the lightest that is good enough, the best few."""

from __future__ import annotations

import numpy as np

from isolate.errors import InputError
from isolate.remedies.second_window.asked import Asked
from isolate.remedies.second_window.setting import Setting
from isolate.remedies.second_window.sweep import LININGS, Spot, Sweep, gaps_tried, panes_sold, sweep
from isolate.units import show_length, show_mass

USUAL_DEPTH = 0.2  # [m] a reveal has room for, when none is stated (common practice, no source)
NEARLY_DB, ALIKE_DB = 2.0, 0.5  # less than one notices; what is as good
STEP_DB = 0.25  # of mean excess: what a heavier pane must save to be listed
MOST_ROWS = 7
HELD_MM = 10.5  # thickest acrylic that clips and magnets hold (common practice, no source)


def proposed(setting: Setting, max_gap: float) -> tuple[Sweep, Spot]:
    """The pane to put behind a window, at most `max_gap` [m] behind it, where nothing else is asked for."""
    asked = Asked(max_gap=max_gap)
    panes, gaps = [one for one in panes_sold() if one.material.name != "acrylic"], gaps_tried(asked)
    swept = sweep(setting, panes, gaps[gaps <= max_gap + 1e-6], seal=asked.sealed)
    return swept, lightest(swept, allowed(swept, asked))


def deepest(asked: Asked) -> float:
    """The largest distance [m] that may be proposed."""
    return asked.max_gap or (max(asked.gaps) if asked.gaps else USUAL_DEPTH)


def allowed(sweep: Sweep, asked: Asked) -> np.ndarray:
    """Where the limits are kept, (linings, panes, gaps).

    Raises
    ------
    InputError
        Nowhere; says which limit leaves nothing.
    """
    acrylic = np.array([pane.material.name == "acrylic" for pane in sweep.panes])
    panes = np.ones(len(sweep.panes), bool)
    if asked.no_fixing:
        thickness = np.array([pane.thickness * 1e3 for pane in sweep.panes])
        panes &= acrylic & (thickness < HELD_MM)
    elif asked.max_weight is None and not asked.panes and not acrylic.all():
        panes &= ~acrylic
    light = np.ones_like(panes) if asked.max_weight is None else sweep.masses <= asked.max_weight
    near = sweep.gaps <= deepest(asked) + 1e-6
    lining = np.array([edges == (asked.reveal or edges) for edges in LININGS])
    if asked.no_fixing and asked.reveal is None:
        lining &= np.array([edges == "bare" for edges in LININGS])
    if not (panes & light).any():
        least = show_mass(float(sweep.masses[panes].min())) if panes.any() else "none is held without fixings"
        raise InputError(f"max_weight: no pane is that light; the lightest here: {least}")
    if not near.any():
        raise InputError(f"max_gap: nothing is tried that near; the nearest: {show_length(min(sweep.gaps))}")
    return np.asarray(lining[:, None, None] & (panes & light)[None, :, None] & near)


def shortfall(sweep: Sweep, mask: np.ndarray) -> np.ndarray:
    """How far [dB] each is from the best that is allowed, by the noise that counts for which that is most
    (linings, panes, gaps): by what sticks out of it, or by its level while it is heard."""
    counting = list(sweep.setting.counting)
    excess, gain = sweep.excess[counting], sweep.gain_dba[counting]
    least = np.where(mask, excess, np.inf).min((1, 2, 3), keepdims=True)
    most = np.where(mask, gain, -np.inf).max((1, 2, 3), keepdims=True)
    return np.asarray(np.maximum(excess - least, np.where(excess > 0.0, most - gain, 0.0)).max(0))


def lightest(sweep: Sweep, mask: np.ndarray) -> Spot:
    """The lightest pane with which no noise that counts is `NEARLY_DB` worse than with the best for it that
    is allowed; of equals without lining, then at the smallest distance."""
    short = np.where(mask, shortfall(sweep, mask), np.inf)
    enough = np.argwhere(short < max(NEARLY_DB, float(short.min()) + ALIKE_DB))
    return Spot(*min(map(tuple, enough), key=lambda at: (round(sweep.masses[at[1]], 3), at[0], at[2])))


def ladder(sweep: Sweep, mask: np.ndarray, chosen: Spot) -> tuple[Spot, ...]:
    """Each pane where it does best, lightest first; heavier ones only if they gain on all lighter ones."""
    rows: list[Spot] = []
    least = np.inf
    for pane in np.argsort(sweep.masses, kind="stable"):
        if not mask[:, pane].any():
            continue
        spot = chosen if pane == chosen.pane else _where_best(sweep, mask, int(pane))
        if sweep.score[spot] < least - STEP_DB or spot == chosen:
            rows.append(spot)
            least = min(least, float(sweep.score[spot]))
    while len(rows) > MOST_ROWS:
        at = rows.index(chosen)
        rows.pop(0 if at > len(rows) // 2 else next(i for i in (*range(1, len(rows) - 1), 0) if i != at))
    return tuple(rows)


def _where_best(sweep: Sweep, mask: np.ndarray, pane: int) -> Spot:
    """Where a pane does best: bare if that is as good, at the smallest distance that is."""
    score = np.where(mask[:, pane], sweep.score[:, pane], np.inf)
    lining, gap = min(map(tuple, np.argwhere(score <= score.min() + STEP_DB)))
    return Spot(int(lining), pane, int(gap))
