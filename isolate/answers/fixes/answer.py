"""What to do first, and where to stop: an ordered plan of fixes for a room, with its reasons."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from isolate.answers.fixes import told
from isolate.answers.fixes.found import FixesAnswer
from isolate.answers.fixes.request import Request
from isolate.describe import prices as pricing
from isolate.describe import rooms
from isolate.describe.prices import Prices
from isolate.describe.rooms import Room
from isolate.errors import InputError
from isolate.remedies import checks as fixes_checks
from isolate.remedies.cautions.table import raised
from isolate.remedies.combined import PRESENT, Built, Chosen, Evaluator
from isolate.remedies.inner.stages import stages
from isolate.remedies.judgement import target
from isolate.remedies.judgement.chance import Chances
from isolate.remedies.judgement.choice import Chooser, Picked
from isolate.remedies.judgement.plan import Teller, onward
from isolate.remedies.judgement.search import searched
from isolate.remedies.options import of_options
from isolate.remedies.popular import USUAL_MONEY, Myths
from isolate.remedies.remedy import Fix
from isolate.remedies.sounds import Sound, sounds
from isolate.remedies.usual import candidates
from isolate.room import air, neighbours
from isolate.room import envelope as shell
from isolate.room.chances import Progress, quiet
from isolate.room.envelope import Shell
from isolate.room.scenario import State

DRAWS, SEED = 500, 1
SPARE_STEP, MOST_SPARE = 0.5, 20.0  # dB asked beyond the aims until the chance is what is wanted


def fixes(
    described: Room | str | None = None,
    request: Request | None = None,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    progress: Progress = quiet,
) -> FixesAnswer:
    """Answer: what should be done first, and where to stop?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    request : target, limits, candidates and prices; None: nothing shall be audible, whatever it costs.
    draws, seed : how many times what is not known is drawn, and from which seed.
    progress : told how many states of the room's parts are computed, and of how many.

    Raises
    ------
    InputError
        A room, target, list of prices or limit that does not work, or nothing to choose from.
    """
    asked = request or Request()
    room = described if isinstance(described, Room) else rooms.load(described)
    prices = pricing.load(asked.prices).working(asked.labour)
    now = _present(room)
    every = sounds(now)
    if not every:
        raise InputError(f"{room.name}: nothing is heard in it or outside; write [[noise]], or [[own]] and "
                         "[[neighbour]]")  # fmt: skip
    wanted = target.parse(asked.target or target.USUAL)
    aims = target.aims(wanted, room, every, absorption=now.shell.absorption)
    found, aside = _fixes(room, now.shell, asked, prices, progress)
    packages = _packages(room, asked, prices)
    built = Built(room, now.shell, (*found, *packages))
    evaluator = Evaluator(built, aims)
    tables = searched(evaluator, limits=asked.limits, progress=progress)
    chooser = Chooser(evaluator, tables)
    if packages and not chooser.sets(asked.limits)[-1].met:
        chooser = Chooser(evaluator, tables, range(len(found), len(built.fixes)))
        for done, i in enumerate(chooser.packages, 1):
            built.state(frozenset({i}))
            progress(done, len(packages))
    teller = Teller(chooser, Chances(room, aims, draws=draws, seed=seed), aims)
    picked = _picked(chooser, teller, asked)
    return _answer(asked, prices, every, chooser, teller, picked, aside)


def _present(room: Room) -> State:
    now = shell.of_room(room)
    heard = tuple(now.hear(noise) for noise in room.noises)
    return State(now, heard, neighbours.found(room, now))


# --- what is tried ---


def _fixes(
    room: Room, now: Shell, asked: Request, prices: Prices, progress: Progress
) -> tuple[tuple[Fix, ...], list[tuple[str, str]]]:
    """The fixes to choose from, in an order that does not depend on the file's; what is left out and why."""
    which = _which(room, asked)
    found: list[Fix] = []
    aside: list[tuple[str, str]] = []
    if which in ("options", "both"):
        found += of_options(room, now)
        aside += [(o.name, "no cost stated") for o in room.options if o.cost is None]
    if which in ("own", "both"):
        found += candidates(room, now, prices, reveal=asked.reveal, progress=progress)
    kept = []
    for fix in found:
        reason = _against(fix, asked)
        if reason:
            aside.append((fix.name, reason))
        else:
            kept.append(fix)
    if not found:
        raise InputError(
            f"{room.name}: no option says what it costs; write cost, or ask for --candidates own"
        )
    return tuple(sorted(kept, key=lambda fix: fix.key)), aside


def _which(room: Room, asked: Request) -> str:
    """Where fixes come from: as asked, else the file's options if one of them says what it costs."""
    return asked.candidates or ("options" if any(o.cost is not None for o in room.options) else "own")


def _against(fix: Fix, asked: Request) -> str:
    """Why a fix is left out; empty where it is not."""
    if fix.closes and not asked.may_close:
        return f"it takes away air for {fix.air_lost:.1f} people and brings none (--may-close allows it)"
    if asked.max_thickness is not None and fix.depth > asked.max_thickness + 1e-9:
        return f"{1e3 * fix.depth:.0f} mm thick"
    return ""


def _packages(room: Room, asked: Request, prices: Prices) -> tuple[Fix, ...]:
    """Inner rooms, where the tool's own remedies are asked for and the budget could pay for one."""
    if _which(room, asked) == "options":
        return ()
    budget = float("inf") if asked.budget is None else asked.budget
    return tuple(fix for fix in stages(room, prices, budget=budget) if not _against(fix, asked))


# --- what is chosen ---


def _picked(chooser: Chooser, teller: Teller, asked: Request) -> Picked:
    """The plan; with a chance asked for, one with so much to spare that the chance is reached."""
    usual = chooser.pick(asked.limits)
    if asked.chance is None or not usual.plan.met:
        return usual
    best = usual, teller.stage(usual.plan.chosen).drawn.met
    for spare in np.arange(SPARE_STEP, MOST_SPARE, SPARE_STEP):
        if best[1] >= asked.chance:
            break
        picked = chooser.pick(asked.limits, spare=float(spare))
        if not picked.plan.met:
            break
        chance = teller.stage(picked.plan.chosen).drawn.met
        if chance > best[1]:
            best = picked, chance
    plan = chooser.as_set(_trimmed(chooser, teller, best[0].plan.chosen, min(asked.chance, best[1])))
    return Picked(plan, plan, usual.sets)


def _trimmed(chooser: Chooser, teller: Teller, chosen: Chosen, wanted: float) -> Chosen:
    """A set as likely as wanted, with fixes dropped or exchanged for cheaper ones while it stays so."""
    tried = {chosen}
    while True:
        cost = chooser.as_set(chosen).cost
        others = [chooser.as_set(one) for one in chooser.cheaper(chosen) if one not in tried]
        able = sorted((one for one in others if one.met and one.cost < cost), key=lambda one: one.cost)
        found = None
        for one in able:
            tried.add(one.chosen)
            if teller.stage(one.chosen).drawn.met >= wanted:
                found = one.chosen
                break
        if found is None:
            return chosen
        chosen = found


def _answer(
    asked: Request,
    prices: Prices,
    every: Sequence[Sound],
    chooser: Chooser,
    teller: Teller,
    picked: Picked,
    aside: Sequence[tuple[str, str]],
) -> FixesAnswer:
    room, chosen = chooser.evaluator.built.room, picked.plan.chosen
    steps, now, then = teller.steps(chosen), teller.stage(PRESENT), teller.stage(chosen)
    after = then.state.shell.sides
    work = told.work(chooser, [step.index for step in steps])
    aimed = [aim.sound for aim in teller.aims]
    money = asked.budget or picked.plan.cost or USUAL_MONEY
    return FixesAnswer(
        room=room,
        request=asked,
        prices=prices,
        aims=teller.aims,
        besides=told.besides([one for one in every if one not in aimed], now, then),
        fixes=chooser.fixes,
        picked=picked,
        by_mass=chooser.sets(asked.limits, by=1),
        by_space=chooser.sets(asked.limits, by=2),
        rungs=chooser.rungs(chooser.sets()),
        now=now,
        then=then,
        steps=steps,
        onward=onward(chooser, teller, chosen, asked.limits),
        ceilings=teller.ceilings(chosen),
        instead=Myths(room, now.state, teller.aims, prices, money).all(),
        checks=fixes_checks.checks(work),
        measure=told.measure(steps, teller.aims, now, then, room),
        aside=(*aside, *told.idle(chooser)),
        air=(air.of_sides(now.state.shell.sides, room.people), air.of_sides(after, room.people)),
        missed={one.chosen: chooser.excess(one.chosen) for one in (*picked.sets, picked.plan)},
        looked_at=chooser.looked_at,
        exact=chooser.exact,
        notes=tuple(told.notes(room, asked, prices, chooser)),
        cautions=raised(told.facts(room, steps, work)),
    )
