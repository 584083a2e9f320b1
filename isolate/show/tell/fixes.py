"""The plan told: what first, what then, where to stop and why; then what money buys, lists and checks."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import accumulate

import numpy as np

from isolate.answers.fixes import FixesAnswer
from isolate.describe.words import listed
from isolate.remedies.bill import BOARDS
from isolate.remedies.combined import Chosen
from isolate.remedies.inner.materials import SHEET
from isolate.remedies.judgement.choice import Next, Set
from isolate.remedies.judgement.judgement import SURE
from isolate.remedies.judgement.stage import Ceiling
from isolate.remedies.popular import EGG_KG_M2, Popular
from isolate.remedies.remedy import YOURS, Need
from isolate.room import prediction
from isolate.show import said
from isolate.show.document import (
    Block,
    Cell,
    Document,
    Heading,
    Items,
    Paragraph,
    Table,
    decibels,
    notes,
    percent,
)
from isolate.show.document import Next as Onward
from isolate.units import FOOT

_MOST_COLUMNS = 6  # steps in the table side by side
_MOST_TOLD = 2  # sounds of a step
_FIRST_STEPS = 4  # in the first screen


def document(answer: FixesAnswer) -> Document:
    """What to do in which order, where to stop and what not to buy; the rest in full."""
    judged = answer.judgement
    steps = [_step(answer, i) for i in range(len(judged.steps))]
    left = [*_left_over(answer)]
    parts = (
        _table, _money, _unreached, _instead, _besides, _materials, _checks, _measure, _air, _aside,
    )  # fmt: skip
    return Document(
        title=f"What to do first: {answer.room.title}",
        about=_asked(answer),
        first=[
            *said.beyond(judged, 1), *(left if judged.in_vain else []), *_nothing(answer),
            *steps[:_FIRST_STEPS], *_later(answer), _stop(answer), *([] if judged.in_vain else left),
            *_next(answer), *_against(answer), _chance(answer),
            *said.hear_as_before(judged, [judged.effect(judged.plan.chosen)]),
        ],
        full=[*steps[_FIRST_STEPS:], *(block for part in parts for block in part(answer)),
              *notes([_how_sure(answer), prediction.LOW_SENTENCE], "How sure")],
        cautions=answer.cautions,
        next=_onward(answer),
        more="each step, what money buys, what to buy and check",
    )  # fmt: skip


def _onward(answer: FixesAnswer) -> list[Onward]:
    judged = answer.judgement
    then = Onward("Measure before you build, to know afterwards what it brought", "isolate guide measuring")
    if judged.asked.prices is None and answer.invented:
        then = Onward("Put in your own prices", "isolate fixes --write-prices prices.toml")
    return [*said.plan_for_neighbours(judged, [judged.effect(judged.plan.chosen)]), then]


def _how_sure(answer: FixesAnswer) -> str:
    return (
        f"Chances from {answer.judgement.sampled.count} draws of what is not known, the same ones before and "
        "after each step: gains are surer than levels."
    )


def _sum(answer: FixesAnswer, value: float, invented: bool = False) -> str:
    return f"{said.amount(value, invented)} {answer.currency if value else ''}".rstrip()


def _budget(answer: FixesAnswer) -> str:
    """The money that may be spent, as it was said."""
    return f"{answer.judgement.asked.budget:,.10g} {answer.currency}".rstrip()


def _spent(answer: FixesAnswer) -> list[float]:
    """What is spent by each step: the sum of what is told of each."""
    every = [step.cost for step in answer.judgement.steps]
    return [0.0, *accumulate(said.told(one.counts.typical, one.invented) for one in every)]


def _asked(answer: FixesAnswer) -> str:
    judged = answer.judgement
    asked, by_words = judged.asked, dict[str, list[str]]()
    for aim in judged.aims:
        by_words.setdefault(aim.words, []).append(aim.sound.name)
    every = [noise.name for noise in answer.room.noises]
    wanted = "; ".join(
        f"{'every noise' if names == every and len(every) > 1 else _few(names)} {what}"
        for what, names in by_words.items()
    )
    limits = [] if asked.budget is None else [f"{_budget(answer)} to spend"]
    limits += [] if asked.max_weight is None else [f"at most {asked.max_weight:.0f} kg"]
    limits += [] if asked.max_space is None else [f"at most {asked.max_space:.3g} m3 of the room"]
    limits += [] if asked.max_thickness is None else [f"at most {1e3 * asked.max_thickness:.0f} mm thick"]
    limits += [] if asked.chance is None else [f"with a chance of {percent(asked.chance)}"]
    tried = judged.chooser.looked_at
    money = f"Prices in {answer.currency}, *" if answer.currency else f"* {judged.prices.currency},"
    star = f" {money} invented." if answer.invented else ""
    which = f"Best of {tried:,} combinations" if judged.chooser.exact else "Too many to try them all"
    return f"Wanted: {'; '.join([wanted, *limits])}. {which}.{star}"


def _few(names: list[str]) -> str:
    return listed(names) if len(names) < 3 else f"{names[0]} and {len(names) - 1} more sounds"


# --- the plan ---


def _nothing(answer: FixesAnswer) -> Iterator[Block]:
    judged = answer.judgement
    if judged.first.met:
        met = said.is_met(judged, judged.first, "as the room is, all of it")
        yield Paragraph(met, "Nothing to do", "good")
    elif not judged.steps:
        yield Paragraph(
            "nothing tried that the limits allow makes a difference anyone would notice.",
            "Do nothing",
            "warn",
        )


def _step(answer: FixesAnswer, index: int) -> Paragraph:
    step = answer.judgement.steps[index]
    wanted = {aim.sound.name for aim in answer.judgement.aims}
    names = " + ".join(f"{one.name}{said.whose(one)}" for one in step.remedies)
    text = f"{names}, {said.short_price(step.cost)}: "
    effect = step.effect
    before, after = percent(step.before.chance_met), percent(step.after.chance_met)
    told = any(old.name in wanted for old, _ in effect.changed) or (effect.less_clear and not effect.changed)
    if effect.eased or told:
        text += said.gains(effect, list(wanted), _MOST_TOLD)
    else:
        text += (
            "a little surer that all is met" if before == after else f"all is met: {before} → {after} sure"
        )
    return Paragraph(f"{text}.", "Do this first" if index == 0 else "Then")


def _later(answer: FixesAnswer) -> Iterator[Block]:
    """What the steps take that the first screen leaves out."""
    later = len(answer.judgement.steps) - _FIRST_STEPS
    if later > 0:
        spent = _spent(answer)
        price = said.amount(spent[-1] - spent[_FIRST_STEPS], answer.cost.invented)
        yield Paragraph(f"{later} more {'step' if later == 1 else 'steps'}, {price}.", "Then")


def _stop(answer: FixesAnswer) -> Paragraph:
    judged = answer.judgement
    budget, most = judged.asked.budget, judged.unnoticed
    text = f"{_sum(answer, _spent(answer)[-1], answer.cost.invented)} spent"
    text += f" of {_budget(answer)}. " if budget is not None else ". "
    if judged.last.met:
        return Paragraph(text + said.is_met(judged, judged.last, "All that is wanted"), "Stop there")
    limited = any(np.isfinite(judged.asked.limits[1:])) or judged.asked.max_thickness is not None
    able = " the limits allow" if limited else " the money allows" if budget is not None else ""
    if most is None:
        told = f"Nothing else{' that' if able else ''}{able} makes any of it softer."
    else:
        told = f"Nobody would notice what {'else' if able else 'comes next'}{able}."
    return Paragraph(text + told, "Stop there")


def _left_over(answer: FixesAnswer) -> Iterator[Block]:
    """What the plan leaves too loud although something would do for it alone; out of reach of the money, and
    told first, where all is as good as never met."""
    found = [one for one in answer.judgement.ceilings if one.enough is not None]
    if found:
        worst = max(found, key=lambda one: one.missed)
        more = f"; {len(found) - 1} more" if len(found) > 1 else ""
        text = f"{worst.aim.sound.name}, {worst.aim.words}: {_missed(worst.missed)} dB too loud{more}."
        if answer.judgement.in_vain:
            yield Paragraph(f"for {_budget(answer)}: {text}", "Out of reach", "bad")
        else:
            yield Paragraph(text, "Left over", "warn")


def _next(answer: FixesAnswer) -> Iterator[Block]:
    judged, after = answer.judgement, answer.judgement.next
    if judged.last.met or after is None:
        return
    fix = judged.remedies[after.index]
    out = [judged.remedies[i] for i in sorted(after.instead)]
    instead = [one.way.name if one.way else one.name for one in out]
    place = f", instead of {listed(instead)}" if instead else ""
    drop = f"{judged.aims[after.sound].sound.name} {decibels(after.drop_db)} dB softer"
    price = _sum(answer, said.told(after.extra, fix.invented), fix.invented)
    text = f"{fix.name}{place}, {price} more: {drop} than with the plan."
    yield Paragraph(text, "Save for" if _beyond_budget(answer, after) else "Beyond that", "quiet")


def _beyond_budget(answer: FixesAnswer, after: Next) -> bool:
    budget = answer.judgement.asked.budget
    return budget is not None and after.then.cost > budget


def _against(answer: FixesAnswer) -> Iterator[Block]:
    """The popular thing to warn of first: foam, else the dearest that nobody would notice."""
    priced = [one for one in answer.instead if not one.effect.noticed and one.remedy.cost is not None]
    foam = [one for one in answer.instead if one.key == "foam"]
    wrong = next(iter(foam), max(priced, key=lambda one: one.remedy.price, default=None))
    if wrong is None:
        return
    worst = answer.judgement.aims[answer.judgement.first.worst].sound
    gain = decibels(max(wrong.effect.gains[worst.name], 0.0))
    price = said.short_price(wrong.remedy.cost)
    yield Paragraph(
        f"{wrong.remedy.name}, {price}: {gain} dB off {said.the(worst.name)}. {_reason(wrong)}",
        "Do not buy", "bad",
    )  # fmt: skip


def _chance(answer: FixesAnswer) -> Paragraph:
    judged = answer.judgement
    chance, wanted = judged.last.chance_met, judged.asked.chance
    one = len(judged.aims) == 1
    text = f"{percent(chance)} that {'it' if one else 'all of it'} is met"
    if wanted is not None and chance < wanted:
        text += f". Nothing tried within the limits comes to {percent(wanted)}."
    elif judged.last.met and not judged.is_sure(judged.last):
        text += (
            f": what is not known of the room may well make {'it' if one else 'some of it'} louder. "
            f"--chance {100 * SURE:.0f} plans for surer."
        )
    else:
        text += "."
    return Paragraph(text, "How likely")


# --- tables ---


def _table(answer: FixesAnswer) -> Iterator[Block]:
    """Sounds down, steps across."""
    judged = answer.judgement
    steps = judged.steps if len(judged.steps) <= _MOST_COLUMNS else judged.steps[-1:]
    stages = [judged.first, *(step.after for step in steps)]
    first = 1 if steps == judged.steps else len(judged.steps)
    yield Heading("Step by step: by how many dB each misses its aim (– met)")
    head = ["", "now", *(f"{first + i}" for i in range(len(steps))), "verdict then", "dBA", "5 – 95 %", "met"]
    rows: list[list[str | Cell]] = []
    for i, (aim, then) in enumerate(zip(judged.aims, judged.last.received, strict=True)):
        rows.append([
            aim.sound.name, *(_missed(float(stage.excess[i])) for stage in stages), said.verdict(then),
            decibels(then.dba), said.level_range(then), percent(judged.last.chance_of(i)),
        ])  # fmt: skip
    if steps:
        spent = [f"{value:,.0f}" for value in _spent(answer)[-len(steps) :]]
        star = "*" if answer.cost.invented else ""
        rows.append([Cell(f"spent{star}", "quiet"), "0", *spent, "", "", "", ""])
    yield Table(head, rows, "fr" + "r" * len(steps) + "lrrr")


def _missed(excess: float) -> str:
    return "–" if excess <= 0.0 else f"{excess:.0f}" if excess >= 0.5 else "< 1"


def _money(answer: FixesAnswer) -> Iterator[Block]:
    """The rungs of the front, the plan among them."""
    judged, rungs = answer.judgement, answer.rungs
    if len(rungs) < 2:
        return
    yield Heading("What money buys: steps up that one would notice (mean dB left beyond the aims)")
    shown = {one.chosen for one in rungs}
    every = [*rungs, *([] if judged.plan.chosen in shown else [judged.plan])]
    rows = [_rung(answer, one) for one in sorted(every, key=lambda one: one.cost)]
    yield Table(["", "dB left", "", "adds"], rows, "rrfr")


def _rung(answer: FixesAnswer, one: Set) -> list[str | Cell]:
    judged = answer.judgement
    names = listed([judged.remedies[i].name for i in sorted(one.chosen)]) or "as it is"
    ink = "strong" if one.chosen == judged.plan.chosen else ""
    mass = f"{one.mass:.0f} kg" if one.mass >= 0.5 else ""
    left = f"{one.left / len(judged.aims):.0f}"
    cost = judged.cost(one.chosen)
    value = _spent(answer)[-1] if ink else said.told(cost.counts.typical, cost.invented)
    return [Cell(_sum(answer, value, cost.invented), ink), left, Cell(names, ink), mass]


# --- why not ---


def _unreached(answer: FixesAnswer) -> Iterator[Block]:
    ceilings = answer.judgement.ceilings
    if not ceilings:
        return
    yield Heading("What the plan does not reach, and why")
    reachable = [_reachable(answer, one, one.enough) for one in ceilings if one.enough is not None]
    beyond: dict[Chosen, list[Ceiling]] = {}
    for one in answer.judgement.beyond:
        beyond.setdefault(one.set.chosen, []).append(one)
    yield Items([*reachable, *(_beyond_reach(answer, several) for several in beyond.values())])


def _reachable(answer: FixesAnswer, one: Ceiling, enough: Set) -> str:
    names = listed([answer.judgement.remedies[i].name for i in sorted(enough.chosen)])
    return (
        f"{one.aim.name}: {_missed(one.missed)} dB short. For this one alone {names} would do "
        f"({said.short_price(answer.judgement.cost(enough.chosen))})."
    )


def _beyond_reach(answer: FixesAnswer, several: list[Ceiling]) -> str:
    """Sounds of which the same set leaves least, and what holds each up."""
    first = several[0]
    names = listed([answer.judgement.remedies[i].name for i in sorted(first.set.chosen)])
    told = listed([f"{one.aim.name} {_missed(one.least)} dB short" for one in several])
    held: dict[str, list[str]] = {}
    for one in several:
        held.setdefault(one.held_by[0], []).append(one.aim.sound.name)
    ways = "; ".join(
        f"{said.by(way)}{'' if len(held) == 1 else f' ({listed(sounds)})'}" for way, sounds in held.items()
    )
    price = said.short_price(answer.judgement.cost(first.set.chosen))
    best = f"Even with {names} ({price})" if names else "Whatever is done"
    return f"{best}, {told}. Most of what is left comes {ways}: nothing tried stops that."


def _instead(answer: FixesAnswer) -> Iterator[Block]:
    if not answer.instead:
        return
    worst = answer.judgement.aims[answer.judgement.first.worst].sound.name
    yield Heading(f"Bought instead, and how much softer {said.the(worst)} gets")
    rows: list[list[str | Cell]] = []
    for one in answer.instead:
        gain = max(one.effect.gains[worst], 0.0)
        ink = "warn" if one.effect.noticed else "bad"
        rows.append([
            Cell(f"{decibels(gain)} dB", ink), f"{one.remedy.name}{said.whose(one.remedy)}",
            said.short_price(one.remedy.cost), _reason(one),
        ])  # fmt: skip
    yield Table(["", "", "price", ""], rows, "rfrf")


def _reason(one: Popular) -> str:
    """Why it disappoints, with its own numbers."""
    values = one.values
    weight = ""
    if "mass_law_db" in values:
        weight = (
            f"{values['kg_m2']:.1f} kg/m2 on {values['on_kg_m2']:.0f} are {values['mass_law_db']:.1f} dB "
            "by weight"
        )
    if one.key == "foam":
        bare = values.get("furnishing_db")
        more = f" Furniture brings {bare:.0f} dB for nothing." if bare else ""
        return f"Too light to stop sound, and it burns fast.{more}"
    if one.key == "egg boxes":
        return f"Hardly any weight: {EGG_KG_M2:g} kg/m2."
    if one.key == "curtain":
        return f"Cloth of {values['kg_m2']:.1f} kg/m2, open at hem and sides."
    if one.key == "loaded vinyl":
        boards = f" Two boards bring {values['boards_db']:.0f} dB, cheaper." if "boards_db" in values else ""
        return f"{weight}: its label was measured on the sheet hung up alone.{boards}"
    if one.key == "insulation":
        return f"The studs carry the sound past the wool: Rw {values['rw']:+d} dB."
    if one.key == "third leaf" and one.lost is not None:
        return (
            f"A third leaf splits the air into two stiffer springs: Rw {values['rw']:+d} dB, but "
            f"{one.lost[1]:.0f} dB less at {one.lost[0]:g} Hz."
        )
    return f"{said.capital(weight)}." if weight else ""


def _besides(answer: FixesAnswer) -> Iterator[Block]:
    told = [f"{new.name} {said.softer(old, new)}, {said.turn(old, new)}" for old, new in answer.besides]
    if told:
        yield Heading("What else changes")
        yield Paragraph(f"{'; '.join(told)}.")


# --- lists ---


def _materials(answer: FixesAnswer) -> Iterator[Block]:
    """What to buy, waste included."""
    needs = answer.materials
    if not needs:
        return
    yield Heading(f"To buy for the plan, waste included{' (invented prices)' if answer.invented else ''}")
    rows = [[need.name, *amount(need), _mass(need), _cost(answer, need)] for need in needs]
    yield Table(["", "amount", "", "weight", "price" if any(row[-1] for row in rows) else ""], rows, "frlrr")
    if any(need.item in BOARDS for need in needs):
        yield Paragraph("Boards of 1.2 m x 2.4 m.", "", "")


def amount(need: Need, *, feet: bool = False) -> tuple[str, str]:
    """How much to buy of something, and of what unit."""
    if need.unit == "piece":
        return f"{math.ceil(need.amount - 1e-9)}", "pieces" if need.amount > 1 else "piece"
    power = {"m": 1, "m2": 2}.get(need.unit) if feet else None
    value = need.amount / FOOT**power if power else need.amount
    unit = {1: "ft", 2: "ft2"}[power] if power else need.unit
    text = f"{value:.1f}" if value < 100 else f"{value:.0f}"
    if need.unit == "m2" and need.item in BOARDS:
        return text, f"{unit}, {math.ceil(need.amount / SHEET)} boards"
    return text, unit


def _mass(need: Need) -> str:
    return f"{need.mass:.0f} kg" if need.mass >= 0.5 else ""


def _cost(answer: FixesAnswer, need: Need) -> str:
    """By the list of prices, where no cost is the user's own."""
    if any(one.origin == YOURS for one in answer.chosen):
        return ""
    cost = answer.judgement.prices.cost(need.item, need.amount, thickness=need.thickness)
    return "" if cost is None else f"{cost.typical:,.0f}"


def _checks(answer: FixesAnswer) -> Iterator[Block]:
    if answer.checks:
        yield Heading("While you build")
        yield from (Paragraph(one.text, one.title) for one in answer.checks)


def _measure(answer: FixesAnswer) -> Iterator[Block]:
    if answer.measure is None:
        return
    yield Heading("Measure it")
    yield Paragraph(answer.measure.text)
    yield Items([answer.measure.command, "isolate measure --from after.json --against before.json"])


def _air(answer: FixesAnswer) -> Iterator[Block]:
    """What the plan leaves of the air, where it takes any away."""
    now, then = answer.air
    lost = now.served - then.served
    if lost < 0.05:
        return
    people = f" of {now.people:g}" if now.people and then.served >= 0.05 else ""
    left = f"{then.served:.1f}" if then.served >= 0.05 else "nobody"
    yield Heading("Fresh air")
    yield Paragraph(
        f"The plan closes gaps that let in air for {lost:.1f} people: {1e3 * then.still:.0f} L/s are left by "
        f"themselves, for {left}{people} (now {now.served:.1f}). Open the window between takes, or add a "
        "lined duct with a small fan."
    )


def _aside(answer: FixesAnswer) -> Iterator[Block]:
    if answer.aside:
        yield Heading("Left out of the plans")
        yield Items([f"{name}: {reason}." for name, reason in answer.aside])
