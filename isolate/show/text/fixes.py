"""The plan as text: what first, what then, where to stop and why; then what money buys, lists and checks."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.answers.fixes.found import FixesAnswer
from isolate.describe.words import NOTICED_DB, listed
from isolate.remedies.combined import Chosen
from isolate.remedies.judgement.choice import Next, Set
from isolate.remedies.judgement.plan import Ceiling, Step
from isolate.remedies.popular import Instead
from isolate.remedies.remedy import YOURS
from isolate.show.layout import VERDICT_INKS, Cell, Page
from isolate.show.text import common
from isolate.show.text import fixes_lists as lists

_MARGIN = 16
_MOST_COLUMNS = 6  # steps in the table side by side
_MOST_TOLD = 4  # sounds in one sentence
_PRICED = {"curtain": "heavy curtain", "film": "window film", "insulation": "wool"}


def render(answer: FixesAnswer, page: Page) -> str:
    """The whole answer."""
    parts = (
        _head, _plan, _table, _money, _ceilings, _instead, lists.materials, lists.checks, lists.measure,
        lists.air, lists.aside,
    )  # fmt: skip
    lines = [line for part in parts for line in part(answer, page)]
    lines += common.cautions(page, answer.cautions)
    lines += common.notes(page, answer.notes)
    lines += common.notes(page, [_how_sure(answer)], "How sure")
    return "\n".join(lines) + "\n"


def _how_sure(answer: FixesAnswer) -> str:
    draws = len(answer.then.drawn.excess)
    return (
        f"Chances from {draws} draws of what is not known, the same ones before and after each step. Levels "
        "may be off by several decibels, gains by less; isolate room says what to clear up first."
    )


def money(answer: FixesAnswer, value: float) -> str:
    """A sum in the currency of the answer."""
    return f"{value:.0f} {answer.currency}".rstrip()


def _head(answer: FixesAnswer, page: Page) -> Iterator[str]:
    yield page.ink(page.wrapped(f"What to do first: {answer.room.title}"), "title")
    yield page.wrapped(_asked(answer), ink="quiet")
    yield ""


def _asked(answer: FixesAnswer) -> str:
    asked = answer.request
    by_words: dict[str, list[str]] = {}
    for aim in answer.aims:
        by_words.setdefault(aim.words, []).append(aim.sound.name)
    every = [noise.name for noise in answer.room.noises]
    wanted = "; ".join(
        f"{'every noise' if names == every and len(every) > 1 else listed(names)} {what}"
        for what, names in by_words.items()
    )
    limits = [] if asked.budget is None else [f"{money(answer, asked.budget)} to spend"]
    limits += [] if asked.max_weight is None else [f"at most {asked.max_weight:.0f} kg"]
    limits += [] if asked.max_space is None else [f"at most {asked.max_space:.3g} m3 of the room"]
    limits += [] if asked.max_thickness is None else [f"at most {1e3 * asked.max_thickness:.0f} mm thick"]
    limits += [] if asked.chance is None else [f"with a chance of {common.percent(asked.chance)}"]
    which = f"The best of {answer.looked_at:,} combinations" if answer.exact else "Too many to try them all"
    return f"Wanted: {wanted}{', ' if limits else ''}{listed(limits) if limits else ''}. {which}."


# --- the plan ---


def _plan(answer: FixesAnswer, page: Page) -> Iterator[str]:
    if answer.now.met:
        text = "all of it is met as the room is."
        yield page.wrapped(text, label="Nothing to do", ink="good", margin=_MARGIN)
        return
    if not answer.steps:
        text = "nothing on the list that the limits allow makes a difference anyone would notice."
        yield page.wrapped(text, label="Do nothing", ink="warn", margin=_MARGIN)
    for i, step in enumerate(answer.steps):
        label = "Do this first" if i == 0 else "Then"
        yield page.wrapped(_step(answer, step), label=label, ink="strong", margin=_MARGIN)
    yield page.wrapped(_stop(answer), label="Stop there", ink="strong", margin=_MARGIN)
    if not answer.then.met and (after := answer.onward.next) is not None:
        label = "Save for" if _beyond(answer, after) else "Beyond that"
        yield page.wrapped(_next(answer, after), label=label, ink="strong", margin=_MARGIN)
    if not answer.then.met and all(fix.origin == YOURS for fix in answer.fixes):
        yield page.wrapped(_ALSO, label="Also", ink="quiet", margin=_MARGIN)
    if answer.besides:
        yield page.wrapped(_besides(answer), label="Besides", ink="quiet", margin=_MARGIN)
    wrong = _wrong(answer)
    if wrong is not None:
        yield page.wrapped(_against(answer, wrong), label="Do not buy", ink="bad", margin=_MARGIN)
    yield page.wrapped(_chance(answer), label="How likely", ink="strong", margin=_MARGIN)


_ALSO = (
    "only what the room file lists was tried; --candidates both tries the tool's own remedies too, at "
    "invented prices until you put in yours."
)


def _step(answer: FixesAnswer, step: Step) -> str:
    cost = step.fix.cost
    spread = "" if cost.high <= cost.low else f", {cost.low:.0f} to {cost.high:.0f}"
    text = f"{step.fix.name} ({money(answer, cost.typical)}{spread}): {_effects(answer, step)}."
    path, share = step.after.weakest
    worst = answer.aims[step.after.worst].sound.name
    return f"{text} Then {common.percent(share)} of {worst} comes by {path}."


def _effects(answer: FixesAnswer, step: Step) -> str:
    """The sounds that change noticeably, in words."""
    told = []
    for i in step.moved[:_MOST_TOLD]:
        before, after = step.before.passed[i].verdict, step.after.passed[i].verdict
        drop, less = step.drop(i), step.less(i)
        how = _softer(drop) if abs(drop) >= NOTICED_DB or abs(less) < abs(drop) + 1.0 else _less(less)
        told.append(f"{answer.aims[i].sound.name} {how}, {_verdict(before, after)}")
    more = len(step.moved) - _MOST_TOLD
    if told:
        return "; ".join(told) + (f"; {more} other{'s' * (more > 1)} too" if more > 0 else "")
    before_chance, chance = step.before.drawn.met, step.after.drawn.met
    if chance > before_chance + 0.02:
        return f"makes it surer, {common.percent(before_chance)} → {common.percent(chance)} that all is met"
    last = bool(answer.steps) and step is answer.steps[-1]
    return "little by itself, but the steps add up" if last else "prepares the next step"


def _softer(drop: float) -> str:
    return f"{abs(drop):.2g} dB {'softer' if drop > 0 else 'louder'}"


def _less(less: float) -> str:
    return f"sticks out by {abs(less):.2g} dB {'less' if less > 0 else 'more'}"


def _verdict(before: str, after: str) -> str:
    return f"still {after}" if before == after else f"{before} → {after}"


def _besides(answer: FixesAnswer) -> str:
    told = [f"{one.name} {_softer(one.drop_db)}, {_verdict(one.before, one.after)}" for one in answer.besides]
    return "; ".join(told) + "."


def _stop(answer: FixesAnswer) -> str:
    spent, budget, most = answer.plan.cost, answer.request.budget, answer.onward.most
    text = f"{money(answer, spent)} spent"
    text += f" of {money(answer, budget)}. " if budget is not None else ". "
    if answer.then.met:
        return text + "Everything wanted is met; more would only be for the case that it turns out worse."
    if most is None:
        if answer.onward.next is not None and not _beyond(answer, answer.onward.next):
            return text + "From here on more money brings less."
        limits = "the limits allow" if answer.request.budget is None else "the money and the limits allow"
        return text + f"Nothing else that {limits} makes any of it softer."
    rest = f"{answer.fixes[most.index].name} for {money(answer, most.extra)} more"
    drop = f"{most.drop_db:.1f} dB off {answer.aims[most.sound].sound.name}"
    return text + f"The next step buys {drop} ({rest}): from {NOTICED_DB:g} dB on one notices."


def _beyond(answer: FixesAnswer, after: Next) -> bool:
    return answer.request.budget is not None and after.total > answer.request.budget


def _next(answer: FixesAnswer, after: Next) -> str:
    fix, step = answer.fixes[after.index], answer.onward.step
    instead = [answer.fixes[i].name for i in sorted(after.instead)]
    place = f" in place of {listed(instead)}" if instead else ""
    text = f"{fix.name}{place}, {money(answer, after.extra)} more, {money(answer, after.total)} in all"
    assert step is not None
    skip = f" With it, {listed(instead)} would be for nothing." if instead else ""
    return f"{text}: beyond the plan {_effects(answer, step)}.{skip}"


def _chance(answer: FixesAnswer) -> str:
    chance, wanted = answer.chance, answer.request.chance
    short = ""
    if wanted is not None and chance < wanted:
        short = f" Nothing within the limits comes to {common.percent(wanted)}."
    if len(answer.aims) == 1:
        return f"{common.percent(chance)} that it is met, given all that is not known.{short}"
    each = [
        f"{aim.sound.name} {common.percent(answer.then.drawn.met_of(i))}" for i, aim in enumerate(answer.aims)
    ]
    return f"{common.percent(chance)} that all of it is met together; one by one: {', '.join(each)}.{short}"


# --- tables ---


def _table(answer: FixesAnswer, page: Page) -> Iterator[str]:
    """Sounds down, steps across."""
    yield page.heading("Step by step: by how many dB each misses its aim (– met)")
    steps = answer.steps if len(answer.steps) <= _MOST_COLUMNS else answer.steps[-1:]
    stages = [answer.now, *(step.after for step in steps)]
    first = 1 if len(answer.steps) <= _MOST_COLUMNS else len(answer.steps)
    head = ["", "now", *(f"{first + i}" for i in range(len(steps))), "verdict then", "dBA", "5 – 95 %", "met"]
    rows: list[list[str | Cell]] = []
    for i, aim in enumerate(answer.aims):
        passed = answer.then.passed[i]
        low, high = answer.then.drawn.limits_dba(i)
        rows.append([
            aim.sound.name,
            *(_missed(float(stage.excess[i])) for stage in stages),
            Cell(passed.verdict, VERDICT_INKS[passed.verdict]),
            common.decibels(passed.dba),
            f"{common.decibels(low)} – {common.decibels(high)}",
            common.percent(answer.then.drawn.met_of(i)),
        ])  # fmt: skip
    if answer.steps:
        spent = [money(answer, step.total).split()[0] for step in steps]
        rows.append([Cell("spent", "quiet"), "0", *spent, "", "", "", ""])
    yield page.table(head, rows, align="fr" + "r" * len(steps) + "lrrr")


def _missed(excess: float) -> str:
    return "–" if excess <= 0.0 else f"{excess:.0f}" if excess >= 0.5 else "< 1"


def _money(answer: FixesAnswer, page: Page) -> Iterator[str]:
    """The rungs of the front, the plan among them."""
    rungs = answer.rungs
    if len(rungs) < 2:
        return
    yield page.heading("What money buys: steps up that one would notice (mean dB left beyond the aims)")
    shown = {one.chosen for one in rungs}
    every = [*rungs, *([] if answer.plan.chosen in shown else [answer.plan])]
    for one in sorted(every, key=lambda one: one.cost):
        yield _rung(answer, page, one)


def _rung(answer: FixesAnswer, page: Page, one: Set) -> str:
    names = listed([answer.fixes[i].name for i in sorted(one.chosen)]) or "as it is"
    mark = ">" if one.chosen == answer.plan.chosen else " "
    label = f"{mark} {money(answer, one.cost):>9}  {one.left / len(answer.aims):4.1f} dB"
    weight = [f"{one.mass:.0f} kg"] if one.mass >= 0.5 else []
    weight += [f"{one.space:.2g} m3 of the room"] if one.space >= 0.05 else []
    extra = f" ({', '.join(weight)})" if weight else ""
    return page.wrapped(names + extra, label=label, ink="strong" if mark == ">" else "", margin=23)


# --- why not ---


def _ceilings(answer: FixesAnswer, page: Page) -> Iterator[str]:
    if not answer.ceilings:
        return
    yield page.heading("What the plan does not reach, and why")
    for one in answer.ceilings:
        if one.enough is not None:
            yield page.wrapped(_reachable(answer, one), label="  -", margin=4)
    beyond: dict[Chosen, list[Ceiling]] = {}
    for one in answer.ceilings:
        if one.enough is None:
            beyond.setdefault(one.set.chosen, []).append(one)
    for several in beyond.values():
        yield page.wrapped(_beyond_reach(answer, several), label="  !", ink="bad", margin=4)


def _aim(answer: FixesAnswer, index: int) -> str:
    """A sound, with what it shall come to where that is not the same for all."""
    aim = answer.aims[index]
    return (
        aim.sound.name if len({one.words for one in answer.aims}) == 1 else f"{aim.sound.name} ({aim.words})"
    )


def _reachable(answer: FixesAnswer, one: Ceiling) -> str:
    assert one.enough is not None
    names = listed([answer.fixes[i].name for i in sorted(one.enough.chosen)])
    short = f"{one.missed:.0f} dB short" if one.missed >= 0.5 else "just missed"
    cost = money(answer, one.enough.cost)
    return f"{_aim(answer, one.aim)}: {short}. For this one alone {names} would do ({cost})."


def _beyond_reach(answer: FixesAnswer, several: list[Ceiling]) -> str:
    """Sounds of which the same set leaves least, and what holds each up."""
    first = several[0]
    names = listed([answer.fixes[i].name for i in sorted(first.set.chosen)])
    told = [
        f"{_aim(answer, one.aim)} stays {max(one.least, 0.1):.2g} dB short (plan: {one.missed:.0f} dB)"
        for one in several
    ]
    held: dict[str, list[str]] = {}
    for one in several:
        passed = one.stage.passed[one.aim]
        held.setdefault(passed.paths[passed.strongest].words, []).append(answer.aims[one.aim].sound.name)
    ways = "; ".join(
        f"{path}{'' if len(held) == 1 else f' ({listed(sounds)})'}" for path, sounds in held.items()
    )
    best = f"Even with {names} ({money(answer, first.set.cost)})" if names else "Whatever is done"
    return f"{best}, {listed(told)}. Most of what is left comes by {ways}: nothing on the list stops that."


def _wrong(answer: FixesAnswer) -> Instead | None:
    """The popular thing to warn of first: foam, else the dearest that nobody would notice."""
    foam = [one for one in answer.instead if one.key == "foam"]
    idle = [one for one in answer.instead if not one.noticed and one.cost is not None]
    return next(iter(foam), max(idle, key=lambda one: one.cost.typical, default=None))  # type: ignore[union-attr]


def _against(answer: FixesAnswer, wrong: Instead) -> str:
    worst = answer.now.worst
    name = answer.aims[worst].sound.name
    cost = f" for {money_of(answer, wrong)}" if wrong.cost is not None else ""
    text = f"{wrong.name}{cost}: {wrong.on_worst:.1f} dB off {name}"
    plan = answer.now.passed[worst].dba - answer.then.passed[worst].dba
    if answer.steps and plan > wrong.on_worst:
        text += f", where the plan takes {plan:.1f} dB for {money(answer, answer.plan.cost)}"
    return f"{text}. {wrong.reason}"


def money_of(answer: FixesAnswer, one: Instead) -> str:
    """What one of the popular things costs; some, where the price is an invented one."""
    assert one.cost is not None
    some = "" if one.yours or not answer.prices.invents(_PRICED.get(one.key, one.key)) else "some "
    return some + money(answer, one.cost.typical)


def _instead(answer: FixesAnswer, page: Page) -> Iterator[str]:
    if not answer.instead:
        return
    worst = answer.aims[answer.now.worst].sound.name
    some = any("some " in money_of(answer, one) for one in answer.instead if one.cost is not None)
    yield page.heading("Bought instead, and what it does here")
    about = "; some: an invented price" if some else ""
    yield page.wrapped(f"In front: how much softer {worst} gets{about}.", ink="quiet")
    for one in answer.instead:
        cost = "" if one.cost is None else f", {money_of(answer, one)}"
        label = f"  {f'{one.on_worst:.1f}'.replace('-0.0', '0.0'):>4} dB"
        yours = " (on your list)" if one.yours else ""
        text = f"{one.name}{yours}{cost}. {one.reason}"
        yield page.wrapped(text, label=label, ink="bad" if not one.noticed else "warn", margin=11)
