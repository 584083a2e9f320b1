"""Other ways to play, where building does not bring a sound to what is wanted: which are worth a search."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np

from isolate.remedies.combined import PRESENT, Chosen, Combined
from isolate.remedies.judgement.choice import Chooser, Picked
from isolate.remedies.judgement.search import searched
from isolate.room.chances import Progress


def chosen(building: Chooser, limits: Sequence[float], *, progress: Progress) -> tuple[Chooser, Picked]:
    """Who chooses, and what: among what is built alone, else also among other ways to play what is too loud
    then."""
    picked = building.pick(limits)
    ways = _worth(building, picked.plan.chosen)
    if not ways:
        return building, picked
    aside = building.aside - ways
    tables = searched(
        building.evaluator, limits=limits, aside=aside, known=building.tables, progress=progress
    )
    every = list(_together(building.evaluator.combined, ways))
    beside = [one | more for one in building.packages for more in every]
    chooser = Chooser(building.evaluator, tables, beside, aside=aside)
    return chooser, chooser.pick(limits)


def _worth(building: Chooser, plan: Chosen) -> Chosen:
    """The ways to play sounds that building does not bring where they are wanted, without those that cost
    more and leave no less, by themselves and with the plan."""
    aims, remedies = building.evaluator.aims, building.remedies
    missed = [i for i, much in enumerate(building.excess(plan)) if much > 0.0 and aims[i].sound.where]
    found: set[int] = set()
    for sound in dict.fromkeys(aims[i].sound.what for i in missed):
        its = [i for i in building.aside if (way := remedies[i].way) is not None and way.sound == sound]
        mine = [i for i in missed if aims[i].sound.what == sound]
        left = {
            i: np.maximum([building.excess(frozenset({i}) | one)[mine] for one in (PRESENT, plan)], 0.0)
            for i in its
        }
        for i in its:
            cheaper = [k for k in its if (remedies[k].price, k) < (remedies[i].price, i)]
            if not any((left[k] <= left[i]).all() for k in cheaper):
                found.add(i)
    return frozenset(found)


def _together(combined: Combined, ways: Chosen) -> Iterator[Chosen]:
    """Every choice of these ways that go together: for each sound none or one, and its hours."""
    each: dict[frozenset[tuple[str, str]], list[Chosen]] = {}
    for i in sorted(ways):
        each.setdefault(combined.remedies[i].slots, [PRESENT]).append(frozenset({i}))
    for some in product(*each.values()):
        yield frozenset().union(*some)
