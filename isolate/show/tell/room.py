"""Whether you still hear it, where it comes in, what to do first: the room, told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from isolate.answers.room import RoomAnswer
from isolate.describe.rooms import Room
from isolate.describe.words import background, hertz, listed
from isolate.remedies.effect import Effect
from isolate.room.elements import BuiltSide
from isolate.room.limits import LimitMet
from isolate.room.neighbours import AtNeighbour
from isolate.room.often import TIMES, AtTime, Often
from isolate.room.received import Received
from isolate.room.scenario import Scenario
from isolate.show import said
from isolate.show.document import (
    VERDICT_INKS,
    Block,
    Cell,
    Document,
    Figure,
    Heading,
    Items,
    Later,
    Next,
    Paragraph,
    Table,
    decibels,
    minutes,
    notes,
    percent,
)
from isolate.standards import hearing
from isolate.standards.weighting import dba
from isolate.units import show_mass

LEAKS_COUNT_DB = 2  # from how many dB of Rw on the leaks of a side are spoken of
_LEAST_ROUND = 0.005  # share from which what comes round about is told
_MOST_DOUBTS = 2  # of a room's, on the first screen
_ALONE = {"leak": "a leak alone", "flanking": "flanking alone"}  # what explains a measurement
_COLUMN = 14  # characters of a noise's name above its shares


def document(answer: RoomAnswer) -> Document:
    """Who hears what, the loudest, the weakest path and its cure, the best changes, what to find out."""
    sure = answer.sure
    return Document(
        title=answer.room.title,
        about=_about(answer),
        first=[
            *said.who_hears_what(answer.now),
            *_check(answer.room),
            *_measured(answer),
            *_worst(answer),
            *_best(answer),
            *(said.find_out(sure.first) if sure and answer.now.sounds else []),
        ],
        full=Later(lambda: _full(answer)),
        cautions=answer.cautions,
        next=_next(answer),
        more="each noise, path, side and change",
    )


def _next(answer: RoomAnswer) -> list[Next]:
    judged = answer.judgement
    if judged is None:
        return []
    plan = Next("Plan it, with a budget or a target", said.command("fixes", answer.room))
    return [plan, *said.plan_for_neighbours(judged, judged.best)]


def _full(answer: RoomAnswer) -> Iterator[Block]:
    """Each noise, path, side and change."""
    now, sure = answer.now, answer.sure
    drawn = (
        [f"{sure.draws} draws, seed {sure.seed}. Changes are held against the same draws as the room now."]
        if sure else []
    )  # fmt: skip
    yield from said.how_to_find_out(sure.first, sure.luck) if sure else []
    yield from said.beyond(answer.judgement) if answer.judgement else []
    yield from _noises(now)
    yield from _often(answer)
    yield from _ways(now)
    yield from _cures(answer)
    yield from _sides(answer)
    yield from _neighbours(now)
    yield from changes(answer.options)
    yield from sound_by_sound(answer.options)
    yield from _air(answer)
    yield from notes(answer.notes)
    yield from notes([said.SURE, *drawn], "How sure")


def _about(answer: RoomAnswer) -> str:
    room = answer.room
    stated = background(room.background)
    level = "" if stated.endswith("dBA") else f" ({decibels(answer.background_dba)} dBA)"
    furnished = "" if room.reverberation_time is not None else f", {room.furnishing}"
    return f"{said.box_in(room.size, feet=room.in_feet)}{furnished}, background {stated}{level}"


def at_once(now: Scenario) -> list[Block]:
    """Who hears what, the loudest and its weakest path: what is told before anything is judged."""
    return [*said.who_hears_what(now), *_check(now.room), *_loudest(now.worst)]


def how_sure(now: Scenario) -> list[Block]:
    """The range of the loudest and the chance that it is heard; nothing without draws."""
    worst = now.worst
    if worst is None or worst.drawn is None:
        return []
    heard = f"heard with a chance of {percent(worst.chance)}"
    return [Paragraph(f"{said.level_range(worst)} dBA inside (5 to 95 %), {heard}.", "How sure")]


def _loudest(worst: Received | None, cure: str = "") -> Iterator[Block]:
    if worst is not None:
        yield Figure(f"{decibels(worst.dba)} dBA", said.loudest(worst))
        yield Paragraph(f"{said.decides(worst)}{cure}", "Weakest path")


def _check(room: Room) -> Iterator[Block]:
    """What of the room is hardly so, asked back."""
    doubts = room.doubts
    if doubts:
        more = len(doubts) - _MOST_DOUBTS
        rest = f"; {more} more in full" if more > 0 else ""
        told = f"{'; '.join(doubts[:_MOST_DOUBTS])}{rest}"
        yield Paragraph(told if told.endswith("?") else f"{told}.", "Check this", "warn")


def _measured(answer: RoomAnswer) -> Iterator[Block]:
    """What the measurement it is told from is explained by, how surely, and what else might be."""
    found = answer.explained
    if found is not None:
        told = sorted(found.chances, key=lambda one: one[0] != found.kind)
        sure = ", ".join(f"{_ALONE.get(kind, kind)} {percent(chance)}" for kind, chance in told)
        text = (
            f"through {listed(found.sides)}: {'; '.join(found.what)}. How sure: {sure}. All that follows is "
            "told from there."
        )
        yield Paragraph(text, "Measured")


def _worst(answer: RoomAnswer) -> Iterator[Block]:
    worst, judged = answer.worst, answer.judgement
    if worst is None:
        return
    cure = judged.cure(worst) if judged is not None and worst.is_heard else None
    below = judged is not None and cure is not None and cure.remedy.name in {
        one.remedy.name for one in judged.best
    }  # fmt: skip
    yield from _loudest(worst, f" Its cure: {cure.name}." if below and cure is not None else "")
    if judged is not None and worst.is_heard and not below:
        yield Paragraph(said.cure(worst, cure, judged.prices.currency), "Its cure", "good")


def _best(answer: RoomAnswer) -> Iterator[Block]:
    """What building will not do, and the few changes worth a thought."""
    judged = answer.judgement
    if judged is None:
        return
    yield from said.out_of_reach(judged)
    if not judged.best:
        none = "nothing tried makes any of it noticeably softer."
        met = said.is_met(judged, judged.first, "all that is wanted") if judged.first.met else none
        yield Paragraph(met, "What helps")
        yield from said.hear_as_before(judged, judged.best)
        return
    wanted = [aim.sound.name for aim in judged.aims]
    head = said.priced(judged.prices.currency, [one.cost for one in judged.best])
    yield Heading(f"What helps most (dB softer; {head})")
    told = [
        f"{one.name}{said.whose(one.remedy)}, {said.short_price(one.cost)}: "
        + said.gains(one, wanted, 2, headed=True)
        for one in judged.best
    ]
    yield Items(told, few=len(told))
    yield from said.hear_as_before(judged, judged.best)


def in_and_out(now: Scenario) -> Iterator[Block]:
    """Every noise and its ways in, and what the neighbours hear."""
    yield from _noises(now)
    yield from _ways(now)
    yield from _neighbours(now)


def _noises(now: Scenario) -> Iterator[Block]:
    if not now.heard:
        return
    yield Heading("Noise by noise (levels in dBA, margin in dB, chance that it is heard)")
    head = ["", "outside", "inside", "5 – 95 %", "margin", "verdict", "chance"]
    yield Table(head, [_row(one) for one in now.heard], "frrrrlr")


def _row(one: Received) -> list[str | Cell]:
    return [
        one.what, decibels(one.made_dba), decibels(one.dba), said.level_range(one), decibels(one.margin),
        said.verdict(one), percent(one.chance),
    ]  # fmt: skip


# --- how often ---


def _often(answer: RoomAnswer) -> Iterator[Block]:
    """A row a noise; none where no number a day, no hours and no background by day or night is stated."""
    found = answer.often
    if not any(one.per_day is not None or one.hours for one in found) and not answer.room.backgrounds:
        return
    yield Heading("How often you hear it (events a day; chance that one is heard)")
    rows = [_frequency(one) for one in found]
    yield Table(["", "comes", "for", "heard", "by day", "at night"], rows, "frrrrr")
    stated = answer.room.backgrounds
    if stated:
        over = {when: stated.get(when, answer.room.background) for when in TIMES}
        both = "; ".join(f"{when} ({TIMES[when]}): {background(one)}" for when, one in over.items())
        yield Paragraph(f"Backgrounds: {both}.")


def _frequency(one: Often) -> list[str | Cell]:
    comes = f"{one.per_day:.3g}" if one.per_day is not None else "steady"
    heard = one.heard_per_day
    times = {time.when: time for time in one.times}
    return [
        one.name,
        comes,
        minutes(one.duration) if one.duration and one.per_day is not None else "–",
        f"{heard:.2g}" if heard is not None and heard < 10 else "" if heard is None else f"{heard:.0f}",
        *(_time(times.get(when)) for when in TIMES),
    ]


def _time(time: AtTime | None) -> Cell:
    """The verdict and chance; "–" where it does not come then."""
    if time is None:
        return Cell("–", "quiet")
    return Cell(f"{time.verdict} {percent(time.chance):>6}", VERDICT_INKS[time.verdict])


# --- ways in ---


def _ways(now: Scenario) -> Iterator[Block]:
    """A row a noise: its weakest path, without it, by it alone."""
    if not now.heard:
        return
    yield Heading("Which path decides (dBA now, with it closed, by it alone)")
    rows: list[list[str | Cell]] = [
        [
            one.what, one.elements[one.strongest].words, percent(float(one.share[one.strongest])),
            decibels(one.dba), _level(one.without_strongest), _level(one.ceiling),
        ]
        for one in now.heard
    ]  # fmt: skip
    yield Table(["", "weakest path", "share", "now", "closed", "alone"], rows, "ffrrrr")


def _cures(answer: RoomAnswer) -> Iterator[Block]:
    judged = answer.judgement
    if judged is not None:
        cures = [
            f"{name}: {said.cure(judged.now.sound(name), found, judged.prices.currency)}"
            for name, found in judged.cures.items()
        ]
        yield Heading("The cure of each sound's weakest path")
        yield Items(cures)


def _level(sound: Received | None) -> Cell:
    if sound is None:
        return Cell("–", "good")
    return Cell(decibels(sound.dba), VERDICT_INKS[sound.verdict])


def _sides(answer: RoomAnswer) -> Iterator[Block]:
    """The sides by the word they face, with the share each lets in, and what their leaks make of them."""
    yield Heading("Where it comes in (Rw with all leaks, and tight; share of the A-weighted energy)")
    for word in answer.composite_db:
        heard = [one for one in answer.heard if word in one.noise.reaches]
        first = sorted(heard, key=lambda one: -one.margin)[:2]
        rows: list[list[str | Cell]] = [_side(answer, found, first) for found in answer.envelope.facing(word)]
        round_about = f"flanking ({word})"
        if any(one.by_side.get(round_about, 0.0) >= _LEAST_ROUND for one in first):
            rows.append(["  round about", "", "", "", "", *_shares(first, round_about)])
        head = [f"faces {word}", "area", "Rw", "5 – 95 %", "tight", *(_short(one.what) for one in first)]
        yield Table(head, rows, "frrrr" + "r" * len(first))
        leaks = [text for found in answer.envelope.facing(word) if (text := _leaks(found))]
        if leaks:
            yield Items(leaks)


def _short(name: str) -> str:
    return name if len(name) <= _COLUMN else name[: _COLUMN - 1] + "…"


def _side(answer: RoomAnswer, found: BuiltSide, first: list[Received]) -> list[str | Cell]:
    side = found.side
    tight = f"{found.own_rw}" if len(found.elements) > 1 else ""
    low, high = answer.rw_limits(found)
    limits = "" if low is None or high is None else f"{low:.0f} – {high:.0f}"
    return [
        f"  {side.name}", f"{side.area:.1f} m2", f"{found.rw}", limits, tight, *_shares(first, side.name),
    ]  # fmt: skip


def _shares(first: list[Received], name: str) -> list[str | Cell]:
    return [percent(one.by_side.get(name, 0.0)) for one in first]


def _leaks(found: BuiltSide) -> str:
    """What the leaks of a side cap it at; empty where they do not count."""
    ceiling = found.leak_rw
    if ceiling is None or found.own_rw - found.rw < LEAKS_COUNT_DB:
        return ""
    thing = {"window": "glass", "door": "door"}.get(found.side.construction.kind, found.side.name)
    return (
        f"{found.side.name} leaks ({found.leak_words}): Rw {found.rw} in place of {found.own_rw}. Before "
        f"that is seen to, no better {thing} brings it above Rw {ceiling}."
    )


# --- neighbours ---


def _neighbours(now: Scenario) -> Iterator[Block]:
    if not any(one.heard for one in now.neighbours):
        return
    yield Heading("What the neighbours hear (levels in dBA, margin in dB, chance that it is heard)")
    for one in now.neighbours:
        if not one.heard or one.worst is None:
            continue
        head = [one.name, "made", "there", "5 – 95 %", "margin", "verdict", "chance"]
        yield Table(head, [_row(heard) for heard in one.heard], "frrrrlr")
        yield Items([
            _where(one), said.decides(one.worst), *_both_ways(one), *_speech_and_bass(one), *_limits(one),
        ])  # fmt: skip


def _where(one: AtNeighbour) -> str:
    stated = one.neighbour
    over = f"over a background of {decibels(one.background_dba)} dBA"
    through = listed(stated.through)
    if one.dnt_w is not None:
        return f"Through {through}, all paths together DnT,w {one.dnt_w} (C {one.c:+d}), {over}."
    behind = f", behind {stated.facade.construction.name}" if stated.facade else ", outdoors"
    return f"Out through {through}, {stated.distance:.3g} m away{behind}, {over}."


def _both_ways(one: AtNeighbour) -> Iterator[str]:
    """What of each sound comes by the air and what by the floor, where both count."""
    for heard in one.heard:
        ways = [heard.by(structure=structure) for structure in (False, True)]
        if all(hearing.margin(level, heard.background_db).max() > 0.0 for level in ways):
            by_air, by_floor = (decibels(float(dba(level))) for level in ways)
            yield f"{heard.what}: {by_air} dBA by the air, {by_floor} by the floor, each heard by itself."


def _speech_and_bass(one: AtNeighbour) -> Iterator[str]:
    """What becomes of speech on the way there, and of sounds of which little but bass gets through."""
    if one.speech is not None:
        grade = {"normal": "; normal voices are private", "confidential": "; confidential"}
        yield f"Speech, by the scale for speech alone: {one.speech.words}{grade.get(one.speech.grade, '')}."
    for heard in one.heard:
        if heard.bass and heard.is_heard:
            yield f"{heard.what}: {heard.bass} (dBC {heard.bass_db:.0f} dB above dBA)."


def _limits(one: AtNeighbour) -> Iterator[str]:
    for heard in one.heard:
        for limit in heard.limits:
            yield f"{heard.what}, {limit.limit.text}: {limit_told(limit)}."


def limit_told(limit: LimitMet) -> str:
    """Whether a limit is kept, and by how much."""
    band = f", most at {hertz(limit.at_hz)}" if limit.at_hz else ""
    off = max(abs(round(limit.excess_db)), 1) if not limit.met else abs(round(limit.excess_db))
    text = f"kept, {off} dB to spare" if limit.met else f"{off} dB too loud{band}"
    return text if limit.chance is None else f"{text} (chance that it is kept: {percent(limit.chance)})"


# --- changes ---


def changes(options: Sequence[Effect]) -> Iterator[Block]:
    """What each of the file's options does to the ear, weighs and costs."""
    if not options:
        return
    yield Heading("What each change of your file does")
    rows: list[list[str | Cell]] = [
        [one.name, said.ear(one), _mass(one), said.short_price(one.cost)] for one in options
    ]
    yield Table(["", "to the ear", "adds", "price"], rows, "flrr")


def sound_by_sound(options: Sequence[Effect]) -> Iterator[Block]:
    """What each does to every sound, keeps and takes."""
    if options:
        yield Items([f"{one.name}: {'; '.join(_told(one))}." for one in options])


def _told(one: Effect) -> list[str]:
    return [said.gains(one, most=len(one.changed)), *_turns(one)]


def _mass(found: Effect) -> str:
    if abs(found.mass) < 0.5:
        return "0 kg"
    return show_mass(found.mass).partition(" (")[0]


def _turns(found: Effect) -> Iterator[str]:
    """Verdicts that turn, what it keeps of leaks and takes of air."""
    turned: dict[str, list[str]] = {}
    for old, new in found.changed:
        if old.verdict != new.verdict:
            turned.setdefault(said.turn(old, new), []).append(new.name)
    yield from (f"{how}: {listed(names)}" for how, names in turned.items())
    worst = found.before.worst
    if worst is not None:
        then = found.after.sound(worst.name)
        way = then.elements[then.strongest]
        if way.name != worst.elements[worst.strongest].name:
            yield f"then most of {said.the(worst.name)} comes {said.by(way.words)}"
    yield from _kept(found)
    if found.air_lost >= 0.2:
        yield f"takes away air for {found.air_lost:.1f} people: plan another way in for it"


def _kept(found: Effect) -> Iterator[str]:
    """Gaps of the old side that a change keeps."""
    option = found.remedy.option
    old = next((one.side for one in found.before.envelope.sides if one.side.name == option.replace), None)
    if old is None or option.construction is None or not old.gaps:
        return
    if option.adds_window(old):
        yield "the old window and its gaps stay; the new one is sealed all round as far as a house allows"
    elif option.gaps is None and not option.changes_kind(old):
        yield f"keeps the old gaps of the {old.name}: write gap = [] or seal if they go"


# --- air ---


def _air(answer: RoomAnswer) -> Iterator[Block]:
    """What air the openings let through, for how many people."""
    air = answer.air
    ways = [way for way in air.ways if way.people is None or way.people > 0.02]
    yield Heading(f"Fresh air ({_flow(air.per_person)} a person; by itself, and with a small fan)")
    if ways:
        rows = [
            [way.name, _flow(way.still), _people(way.people), _flow(way.fan), _people(way.people_with_fan)]
            for way in ways
        ]
        yield Table(["", "by itself", "people", "with a fan", "people"], rows, "frrrr")
    else:
        yield Paragraph("Nothing in the file lets air in.")
    yield Paragraph(_needed(answer))


def _needed(answer: RoomAnswer) -> str:
    air = answer.air
    text = ""
    if air.people:
        who = "One person needs" if air.people == 1 else f"{air.people:g} people need"
        area = 1e4 * air.missing_area
        enough = "that is enough" if air.served >= air.people else (
            f"{area:.0f} cm2 more of clear opening, or a fan, would bring the rest"
        )  # fmt: skip
        text = (
            f"{who} {_flow(air.people * air.per_person)}; the room gets {_flow(air.still)} by itself: "
            f"{enough}. "
        )
    if air.ways:
        return (
            text
            + "Whatever closes one of these takes its air away; a lined duct brings it back (isolate air)."
        )
    return text + "A shut room needs a way for it: a lined duct, say."


def _flow(flow: float | None) -> str:
    if flow is None:
        return "–"
    return f"{1e3 * flow:.0f} L/s" if flow >= 0.01 else f"{1e3 * flow:.1f} L/s"


def _people(people: float | None) -> str:
    return "–" if people is None else f"{people:.1f}" if people < 20.0 else f"{people:.0f}"
