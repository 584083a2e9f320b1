"""The lists behind a plan as text: what to buy, what to look at while it is built, what to measure, air."""

from __future__ import annotations

import math
from collections.abc import Iterator

from isolate.answers.fixes.found import FixesAnswer
from isolate.remedies.bill import BOARDS
from isolate.remedies.inner.materials import SHEET
from isolate.remedies.remedy import YOURS, Need
from isolate.show.layout import Page

_MARGIN = 14


def materials(answer: FixesAnswer, page: Page) -> Iterator[str]:
    """What to buy, waste included."""
    needs = answer.materials
    if not needs:
        return
    invented = " (prices INVENTED)" if any(fix.invented for fix in answer.chosen) else ""
    yield page.heading(f"To buy for the plan, waste included{invented}")
    rows = [[need.name, *_amount(need), _mass(need), _cost(answer, need)] for need in needs]
    yield page.table(["", "amount", "", "weight", "cost" if any(row[-1] for row in rows) else ""], rows,
                     align="frlrr")  # fmt: skip
    boards = "Boards of 1.2 m x 2.4 m. " if any(need.item in BOARDS for need in needs) else ""
    yours = any(fix.origin == YOURS for fix in answer.chosen)
    text = boards + ("Costs are those of your options; this is what they come to." if yours else "")
    if text:
        yield page.wrapped(text, ink="quiet")


def _amount(need: Need) -> tuple[str, str]:
    if need.unit == "piece":
        return f"{math.ceil(need.amount - 1e-9)}", "pieces" if need.amount > 1 else "piece"
    text = f"{need.amount:.1f}" if need.amount < 100 else f"{need.amount:.0f}"
    if need.unit == "m2" and need.item in BOARDS:
        return text, f"m2, {math.ceil(need.amount / SHEET)} boards"
    return text, need.unit


def _mass(need: Need) -> str:
    return f"{need.mass:.0f} kg" if need.mass >= 0.5 else ""


def _cost(answer: FixesAnswer, need: Need) -> str:
    """By the list of prices, where no cost is the user's own."""
    if any(fix.origin == YOURS for fix in answer.chosen):
        return ""
    cost = answer.prices.cost(need.item, need.amount, thickness=need.thickness)
    return "" if cost is None else f"{cost.typical:.0f}"


def checks(answer: FixesAnswer, page: Page) -> Iterator[str]:
    """What decides on site."""
    if not answer.checks:
        return
    yield page.heading("While you build")
    for one in answer.checks:
        yield page.wrapped(one.text, label=f"  {one.title}", ink="strong", margin=_MARGIN)


def measure(answer: FixesAnswer, page: Page) -> Iterator[str]:
    """What to measure before and after."""
    if answer.measure is None:
        return
    yield page.heading("Measure it")
    yield page.wrapped(answer.measure.text)
    commands = f"{answer.measure.command}\nisolate measure --from after.json --against before.json"
    yield "\n".join(f"  {line}" for line in commands.split("\n"))


def air(answer: FixesAnswer, page: Page) -> Iterator[str]:
    """What the plan leaves of the air, where it takes any away."""
    now, then = answer.air
    lost = now.served - then.served
    if lost < 0.05:
        return
    people = f" of {now.people:g}" if now.people and then.served >= 0.05 else ""
    left = f"{then.served:.1f}" if then.served >= 0.05 else "nobody"
    yield page.heading("Fresh air")
    yield page.wrapped(
        f"The plan closes gaps that let in air for {lost:.1f} people: {1e3 * then.still:.0f} L/s are left by "
        f"themselves, for {left}{people} (now {now.served:.1f}). Open the window between takes, "
        "or add a lined duct with a small fan; isolate room lists every opening."
    )


def aside(answer: FixesAnswer, page: Page) -> Iterator[str]:
    """What was left out, and why."""
    if not answer.aside:
        return
    yield page.heading("Left out of the plans")
    for name, reason in answer.aside:
        yield page.wrapped(f"{name}: {reason}.", label="  -", margin=4)
