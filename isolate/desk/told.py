"""What the desk's page is told: the library's answers as blocks of HTML and plain data."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import date
from functools import partial
from typing import Any

from markupsafe import Markup

from isolate.answers.listen import answer as listening
from isolate.describe import prices
from isolate.describe import questions as asked
from isolate.describe.questions import Question
from isolate.describe.rooms import Room
from isolate.desk import cards, picture, recordings
from isolate.desk.session import Edit, Session, Superseded, Tables
from isolate.errors import InputError, shown
from isolate.remedies import panels as hanging
from isolate.remedies.contrast import contrast, with_noise
from isolate.remedies.effect import Effect
from isolate.remedies.remedy import Remedy
from isolate.show import said, sections, web
from isolate.show.document import Document, Heading
from isolate.show.tell import panels as panels_told
from isolate.show.tell import room as room_told
from isolate.show.tell import sheet as sheet_told
from isolate.show.tell import tried as tried_told
from isolate.units import length_in, show_mass, told_in, with_unit

SECONDS = 5.0  # of each sound


def questions(session: Session) -> list[dict[str, Any]]:
    """The questions with their choices."""
    return [
        {
            "key": one.key, "ask": one.ask, "why": one.why, "kind": one.kind,
            "usual": told_in(one.usual, feet=session.feet) if one.kind == "size" else one.usual,
            "choices": [[choice.key, choice.words, bool(choice.gives)] for choice in one.choices],
            "own": bool(one.part),
        }
        for one in asked.questions()
    ]  # fmt: skip


def answer(session: Session, known: Mapping[str, Question], key: str, value: object) -> str | tuple[str, ...]:
    """One answer as the questions take it.

    Raises
    ------
    InputError
        No such question, or no answer to it.
    """
    if key not in known:
        raise InputError(f"{key}: no such question; the questions are {', '.join(known)}")
    text = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
    if known[key].kind == "size":
        text = with_unit(text, feet=session.feet)
    try:
        return known[key].answer(text)
    except ValueError as fault:
        raise InputError(f"{known[key].ask} {fault}") from None


def room(session: Session) -> dict[str, Any]:
    """The room as it stands, with the first figure; what takes longer is begun."""
    state: dict[str, Any] = {
        "begun": session.begun, "version": session.version, "file": session.path.name,
        "folder": str(session.folder), "named": bool(session.name), "unsaved": session.unsaved, **session.can,
        "feet": session.feet,
    }  # fmt: skip
    if not session.begun:
        return state
    standing = session.standing
    if not session.later.begun:
        session.later.begun = True
        threading.Thread(target=_meanwhile, args=(session,), daemon=True).start()
    return state | {
        "title": standing.room.title,
        "picture": picture.picture(standing.now, feet=session.feet),
        "answer": web.blocks(room_told.at_once(standing.now)),
        "parts": _parts(standing.data),
        "changes": _changes(session),
        "windows": list(session.windows),
        "noises": [one.name for one in standing.room.noises],
        "worst": standing.now.worst.name if standing.now.worst else "",
        "adds": list(cards.ADDED),
        "ways": recordings.ways(session),
        "kept": recordings.kept(session),
        "roles": recordings.ROLES,
        "most": recordings.MOST_BYTES,
    }


def _meanwhile(session: Session) -> None:
    """What takes longer than an answer may; then, while nobody asks, what may be chosen next: of the sides
    that let most of the worst noise through first."""
    session.look_further()
    now, data = session.standing.now, session.standing.data
    worst = now.worst
    through = worst.by_side if worst else {}
    sides = sorted(range(len(now.room.sides)), key=lambda i: -through.get(now.room.sides[i].name, 0.0))
    session.foresee(edit for i in sides[:1] for edit in _offered(data, ("side", i)))
    session.foresee_panes()
    session.foresee(partial(_added, room=now.room, what=what) for what in cards.BUILT)
    session.foresee(edit for i in sides[1:] for edit in _offered(data, ("side", i)))


def _offered(data: Tables, where: tuple[str | int, ...]) -> Iterator[Edit]:
    """What a card would make of a side, choice by choice."""
    for words in cards.offered(data, where):
        yield partial(_built, number=where[1], words=words)


def _built(data: Tables, number: int | str, words: str) -> Tables:
    sides = [one | {"construction": words} if i == number else one for i, one in enumerate(data["side"])]
    return {**data, "side": sides}


def _added(data: Tables, room: Room, what: str) -> Tables:
    kind, table = cards.new(data, room, what)
    return {**data, kind: [*data.get(kind, ()), table]}


def card(session: Session, where: tuple[str | int, ...]) -> dict[str, Any]:
    """The card of a part; what it offers is computed meanwhile."""
    standing = session.standing
    made = cards.card(standing.data, standing.room, where, feet=session.feet)
    if where[0] == "side":
        foresee = partial(session.foresee, _offered(standing.data, where), card=True)
        threading.Thread(target=foresee, daemon=True).start()
    return made


def _parts(data: Tables) -> list[dict[str, Any]]:
    """Everything described, by kind, for who would rather read a list than touch a picture."""
    heads = {
        "side": "Around you", "noise": "Comes in", "own": "Goes out", "neighbour": "Hears you", "vent": "Air",
    }  # fmt: skip
    return [
        {
            "head": head,
            "parts": [
                {"where": f"{kind}/{i}", "name": str(one.get("name", one.get("source", kind)))}
                for i, one in enumerate(data.get(kind, ()))
            ],
        }
        for kind, head in heads.items()
        if data.get(kind)
    ]


def later(session: Session) -> dict[str, Any]:
    """What has been found since: the whole first screen with judgement, then with ranges."""
    with session.lock:
        version, found = session.version, session.later
    state: dict[str, Any] = {"version": version, "waiting": found.waiting, "fault": found.fault}
    if found.now is not None:
        state["sure"] = web.blocks(room_told.how_sure(found.now))
    if found.answer is None:
        return state
    document = room_told.document(found.answer)
    return state | {
        "answer": web.first(document),
        "cautions": web.cautions(document),
        "full": web.rest(document),
        "changes": _changes(session),
        "ranges": found.drawn,
    }


def _changes(session: Session) -> list[dict[str, Any]]:
    """The switches: each change with its price, weight, gain and what it excludes."""
    remedies = session.remedies
    found = session.later.answer
    effects = {one.remedy.name: one for one in (*found.options, *found.best)} if found else {}
    return [_change(one, remedies, effects.get(one.name)) for one in remedies]


def _change(one: Remedy, remedies: Sequence[Remedy], effect: Effect | None) -> dict[str, Any]:
    return {
        "name": one.name,
        "whose": "your file" if one.origin == "yours" else "suggested",
        "price": said.short_price(one.cost),
        "mass": "" if abs(one.mass) < 0.5 else show_mass(one.mass).partition(" (")[0],
        "gain": "" if effect is None else said.gains(effect, (), 2),
        "excludes": [other.name for other in remedies if other is not one and one.excludes(other)],
    }


def tried(session: Session, on: Sequence[object], pane: Mapping[str, Any] | None) -> dict[str, Any]:
    """What is switched on does together."""
    effect = session.tried([str(one) for one in on], pane)
    return {
        "version": session.version,
        "told": web.blocks(tried_told.blocks(effect, prices.bundled().currency)),
        "picture": picture.picture(effect.after, feet=session.feet),
    }


def sure(session: Session, on: Sequence[object], pane: Mapping[str, Any] | None) -> dict[str, Any]:
    """The same with ranges and chances."""
    with session.lock:
        version = session.version
    if not session.draws:
        return {"version": version}
    try:
        effect = session.sure(session.tried([str(one) for one in on], pane))
    except Superseded:
        return {"version": session.version}
    told = web.blocks(tried_told.blocks(effect, prices.bundled().currency))
    return {"version": version, "told": told}


def sheet(session: Session, on: Sequence[object], pane: Mapping[str, Any] | None) -> dict[str, Any]:
    """The sheet for the builder of what is switched on."""
    if not on and pane is None:
        raise InputError("nothing is switched on: switch on what is to be built, then print")
    effect = session.tried([str(one) for one in on], pane)
    if session.draws:
        with suppress(Superseded):
            effect = session.sure(effect)
    feet, listed, done = session.feet, prices.bundled(), sheet_told.work(effect)
    length, width, height = (length_in(edge, feet=feet) for edge in effect.before.room.size)
    about = f"{date.today():%d %B %Y}. The room: {length} x {width}, {height} high."
    parts = [_head(effect.before.room.title, about)]
    for one, pair in zip(done.remedies, done.sides, strict=True):
        shown = sheet_told.built(effect, one, pair)
        drawings = sections.drawn([built for _, built in shown])
        seen = Markup("").join(
            Markup("<figure>{}<figcaption>{}</figcaption></figure>").format(Markup(svg), name)
            for (name, _), svg in zip(shown, drawings, strict=True) if svg
        )  # fmt: skip
        told = web.blocks([*sheet_told.change(effect, one, pair, currency=listed.currency, feet=feet)])
        parts.append(Markup('<section class="job">{}<div class="cuts">{}</div></section>').format(told, seen))
    rest = [*sheet_told.shopping(effect, listed, feet=feet), *sheet_told.site(effect)]
    parts += [web.blocks(rest), web.blocks(sheet_told.brings(effect))]
    raised = web.cautions(Document(title="", first=[], cautions=sheet_told.cautions(effect)))
    heading = web.blocks([Heading("Before it is built")]) if raised else Markup("")
    return {"version": session.version, "html": Markup("\n").join([*parts, heading, raised])}


def _head(title: str, about: str) -> Markup:
    text = Markup("<h2>For the builder: {}</h2><p>{} Layers are listed from the noisy side.</p>")
    return text.format(title, about)


def panels(session: Session) -> dict[str, Any]:
    """Why panels do not: the paragraph for the friend who asks."""
    found = session.later.answer
    if found is None or found.judgement is None:
        return {"waiting": session.later.waiting}
    _, noise = with_noise(found.room, None)
    if noise not in found.room.noises:
        return {"told": "No noise is described that comes in."}
    seen = contrast(found.judgement, noise, hanging.planned(found.now))
    return {"told": panels_told.friend(seen), "bars": web.blocks([panels_told.ladder(seen)])}


def heard(
    session: Session, on: Sequence[object], pane: Mapping[str, Any] | None, noise: str
) -> dict[str, Any]:
    """A noise now and with what is switched on, each a sound of its own, the same moment in both."""
    from isolate.show.page import sounds

    effect = session.tried([str(one) for one in on], pane)
    names = [one.name for one in effect.before.heard]
    if not names:
        raise InputError("noise: none comes in; add one first")
    if noise and noise not in names:
        raise InputError(f"noise: none of this name (got {shown(noise)}); it has: {', '.join(names)}")
    worst = effect.before.worst
    chosen = noise or (worst.name if worst else names[0])
    answer = listening.of_effect(effect, chosen)
    made = sounds.sounds(replace(answer, seconds=SECONDS), seconds=SECONDS, takes=False)
    return {
        "noise": chosen,
        "sounds": [
            {"key": one.key, "name": one.name, "uri": made[one.key].uri, "verdict": one.verdict}
            for one in answer.scenes
        ],
    }


def handed_on(session: Session) -> bytes:
    """The page to hand on, of the room as it stands."""
    from isolate.answers.story import story
    from isolate.answers.take.answer import take
    from isolate.show.page.html import render

    built, noise = with_noise(session.standing.room, None)
    found = story(built, noise=noise.name)
    taken = take(built, judged=found.judgement) if built.takes else None
    return render(found, listening.of_contrast(found.contrast), taken)
