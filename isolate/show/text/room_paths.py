"""The room's answer as text: the path that decides each noise, the sides with their leaks, fresh air."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.answers.room.answer import RoomAnswer
from isolate.room.elements import SideFound
from isolate.room.envelope import Heard
from isolate.room.received import Passed
from isolate.show.layout import VERDICT_INKS, Cell, Page
from isolate.show.text import common

_BAR = 12
_WIDEST = 20  # columns of a noise's name above its shares
LEAKS_COUNT_DB = 2  # from how many dB of Rw on the leaks of a side are spoken of


def decides(heard: Passed, what: str) -> str:
    """The strongest path of a sound in words: what closing it brings, and what nothing else gets below."""
    path = heard.paths[heard.strongest]
    share = common.percent(float(heard.share[heard.strongest]))
    rest = heard.without_strongest
    text = f"{share} of {what} comes by {path.words}. "
    if rest is None:
        return text + "It is the only way."
    text += f"Were it perfect, {common.decibels(rest.dba)} dBA would be left ({rest.verdict})"
    ceiling = heard.ceiling
    if heard.dba - ceiling.dba >= 3.0:
        return text + f"; were all the others, {common.decibels(ceiling.dba)} dBA ({ceiling.verdict})."
    return text + (
        f"; as long as it stays, nothing you do elsewhere gets below {common.decibels(ceiling.dba)} dBA "
        f"({ceiling.verdict})."
    )


def paths(answer: RoomAnswer, page: Page) -> Iterator[str]:
    """A row a noise: its strongest path, without it, and by it alone."""
    if not answer.heard:
        return
    yield page.heading("Which path decides (dBA now, were that path perfect, were all the others)")
    rows: list[list[str | Cell]] = []
    for one in answer.heard:
        heard, rest = one.passed, one.passed.without_strongest
        rows.append([
            one.name,
            heard.paths[heard.strongest].name,
            common.percent(float(heard.share[heard.strongest])),
            common.decibels(heard.dba),
            _verdict(rest),
            _verdict(heard.ceiling),
        ])  # fmt: skip
    yield page.table(
        ["", "strongest path", "share", "now", "without it", "by it alone"], rows, align="ffrrrr"
    )


def _verdict(heard: Passed | None) -> Cell:
    if heard is None:
        return Cell("–", "good")
    return Cell(f"{common.decibels(heard.dba)}", VERDICT_INKS[heard.verdict])


def sides(answer: RoomAnswer, page: Page) -> Iterator[str]:
    """The sides by the word they face, with the share each lets in, and what their leaks make of them."""
    yield page.heading("Where it comes in (Rw with all leaks, and tight; share of the A-weighted energy)")
    for word in answer.composite_db:
        heard = [one for one in answer.heard if word in one.noise.reaches]
        worst = max(heard, key=lambda one: one.margin, default=None)
        rows = [_side(page, answer, found, worst) for found in answer.shell.facing(word)]
        if worst and word in answer.shell.flanking:
            name = f"flanking ({word})"
            share = worst.share.get(name, 0.0)
            rows.append(["  round about", "", "", "", "", *_share(page, share, worst)])
        head = [f"faces {word}", "area", "Rw", "5 – 95 %", "tight", "", _short(worst)]
        yield from ([""] if word != next(iter(answer.composite_db)) else [])
        yield page.table(head, rows, align="frrrrrl")
        for one in heard:
            if one is not worst:
                yield page.wrapped(_shares(one), label=f"  {one.name}:", margin=min(len(one.name) + 4, 36))
        for found in answer.shell.facing(word):
            yield from _leaks(found, page)


def _short(worst: Heard | None) -> str:
    """The name above the shares, cut where it would push the rest aside."""
    name = worst.name if worst else "no noise"
    return name if len(name) <= _WIDEST else name[: _WIDEST - 1] + "…"


def _side(page: Page, answer: RoomAnswer, found: SideFound, worst: Heard | None) -> list[str | Cell]:
    side = found.side
    share = worst.share.get(side.name, 0.0) if worst else 0.0
    tight = f"{found.own_rw}" if len(found.paths) > 1 else ""
    low, high = answer.rw_limits(found)
    limits = "" if low is None or high is None else f"{low:.0f} – {high:.0f}"
    return [
        f"  {side.name}",
        f"{side.area:.1f} m2",
        f"{found.rw}",
        limits,
        tight,
        *_share(page, share, worst),
    ]


def _share(page: Page, share: float, worst: Heard | None) -> list[str | Cell]:
    return [common.percent(share) if worst else "", Cell(page.bar(share, _BAR) if worst else "", "mild")]


def _shares(one: Heard) -> str:
    first = sorted(one.share.items(), key=lambda item: -item[1])[:4]
    return ", ".join(f"{name} {common.percent(share)}" for name, share in first if share >= 0.01)


def _leaks(found: SideFound, page: Page) -> Iterator[str]:
    """What the leaks of a side cap it at, where they count."""
    ceiling = found.leak_rw
    if ceiling is None or found.own_rw - found.rw < LEAKS_COUNT_DB:
        return
    share = f" by {_percent_open(found.open_share)} of its area" if found.open_share else ""
    yield page.wrapped(
        f"{found.side.name} is open{share} ({found.leak_words}): Rw {found.rw}; tight, it would have "
        f"{found.own_rw}. Before that is seen to, no better {_thing(found)} brings it above Rw {ceiling}.",
        label="  !", ink="warn", margin=4,
    )  # fmt: skip


def _thing(found: SideFound) -> str:
    return {"window": "glass", "door": "door"}.get(found.side.construction.kind, found.side.name)


def _percent_open(share: float) -> str:
    return f"{100 * share:.1g} %" if share < 0.01 else f"{100 * share:.2g} %"


def air(answer: RoomAnswer, page: Page) -> Iterator[str]:
    """What air the openings let through, for how many people."""
    ways = [way for way in answer.air.ways if way.people is None or way.people > 0.02]
    each = f"{_flow(answer.air.per_person)} a person"
    yield page.heading(f"Fresh air ({each}; by itself, about 1 Pa; with a small fan, 20 Pa)")
    if ways:
        rows: list[list[str | Cell]] = [
            [way.name, _flow(way.still), _people(way.people), _flow(way.fan), _people(way.people_with_fan)]
            for way in ways
        ]
        yield page.table(["", "by itself", "people", "with a fan", "people"], rows, align="frrrr")
    else:
        yield "Nothing in the file lets air in."
    yield page.wrapped(_needed(answer), margin=0)


def _needed(answer: RoomAnswer) -> str:
    served, people = answer.air.served, answer.air.people
    text = ""
    if people:
        area = 1e4 * answer.air.missing_area
        more = f"a further {area:.0f} cm2 of clear opening, or a fan, would bring the rest. "
        enough = "that is enough. " if served >= people else more
        needed, still = _flow(people * answer.air.per_person), _flow(answer.air.still)
        text = f"{people:g} in the room need {needed}, {still} come by themselves: "
        text += enough
    if answer.air.ways:
        text += "Whatever closes one of these takes its air away; a lined duct brings it back. "
    else:
        text += "A shut room needs a way for it: a lined duct, say. "
    return text + "What noise the air itself would make: isolate air."


def _flow(flow: float | None) -> str:
    if flow is None:
        return "–"
    return f"{1e3 * flow:.0f} L/s" if flow >= 0.01 else f"{1e3 * flow:.1f} L/s"


def _people(people: float | None) -> str:
    return "–" if people is None else f"{people:.1f}" if people < 20.0 else f"{people:.0f}"
