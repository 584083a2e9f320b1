"""Sentences that several answers share: a gain, a price, what decides a sound, what to find out first."""

from __future__ import annotations

import math
import re
import shlex
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from isolate.describe import datasheet
from isolate.describe.constructions import Construction
from isolate.describe.everyday import Meaning
from isolate.describe.rooms import Room
from isolate.describe.words import listed
from isolate.errors import shown
from isolate.remedies.effect import Effect
from isolate.remedies.judgement.judgement import Judgement
from isolate.remedies.judgement.stage import Ceiling, Stage
from isolate.remedies.remedy import YOURS, Cost, Remedy
from isolate.room import audibility
from isolate.room.first import ToClear
from isolate.room.received import Received
from isolate.room.scenario import Scenario
from isolate.show.document import VERDICT_INKS, Block, Cell, Next, Paragraph, decibels, percent
from isolate.units import length_in

YOU = {
    "clear": "you hear it clearly", "audible": "you hear it", "faint": "you hear it faintly",
    "may be heard": "you may hear it", "not audible": "gone: you no longer hear it",
}  # fmt: skip
_BY_VERDICT = {
    "clear": "You hear clearly", "audible": "You hear", "faint": "You hear faintly",
    "may be heard": "You may hear", "not audible": "You do not hear",
}  # fmt: skip
_THERE = {
    "clear": "Heard clearly by", "audible": "Heard by", "faint": "Heard faintly by",
    "may be heard": "May be heard by", "not audible": "Not heard by",
}  # fmt: skip
_MOST_UNKNOWNS = 3  # told after the first
_MOST_GAINS = 3  # sounds told of a change
_FEW_WORDS = 2  # told with what each may be instead
SURE = (
    "The ranges and chances count the spread of materials, how wide gaps may be, what laboratories differ by "
    "when they test one wall, the error of the prediction, how well levels and pitch of noises are known, "
    "how such noises and backgrounds vary, and what the room absorbs. They do not count a construction that "
    'is not what the file says, unless it lists others: perhaps = ["glass 6 mm"].'
)


def the(noise: str) -> str:
    """A noise with its article, several without: "the bus", "buses"."""
    several = noise.endswith("s") and not noise.endswith(("us", "ss"))
    return noise if noise.startswith(("the ", "a ")) or several else f"the {noise}"


def by(path: str) -> str:
    """By which path, with its article: "by the window (sash gaps)", "by flanking (party wall)"."""
    return f"by {path}" if path.startswith(("flanking", "the ")) else f"by the {path}"


def capital(text: str) -> str:
    """Text as a sentence begins."""
    return text[:1].upper() + text[1:]


def command(question: str, room: Room, more: str = "") -> str:
    """The command that asks this of a room by what it was asked for, in quotes where a shell needs them."""
    asked = "".join(one for one in room.asked if one.isprintable())
    return " ".join(part for part in ("isolate", question, quoted(asked), more) if part)


def quoted(name: str) -> str:
    """A name as a shell takes it."""
    if not re.search(r"[^\w.,:~+/\\-]", name):
        return name
    return shlex.quote(name) if re.search(r"[\"$`!]", name) else f'"{name}"'


# --- sizes ---


def box_in(size: Sequence[float], *, feet: bool) -> str:
    """A size [m], of a room or a window, in feet and inches or in metres.

    >>> box_in((4.1, 3.2, 2.6), feet=False), box_in((3.6576, 3.3528, 2.4384), feet=True)
    ('4.10 x 3.20 x 2.60 m', "12' x 11' x 8'")
    """
    if not feet:
        return " x ".join(f"{edge:.2f}" for edge in size) + " m"
    told = (length_in(edge, feet=True) for edge in size)
    return " x ".join(re.sub(" 0 in$", "", one).replace(" ft", "'").replace(" in", '"') for one in told)


# --- money ---


def price(cost: Cost | None, currency: str = "") -> str:
    """What something costs, invented sums marked and rounded; a dash where nothing says so."""
    if cost is None:
        return "–"
    value = cost.counts.typical
    if value == 0.0:
        return "nothing"
    if not cost.invented:
        return f"{value:,.0f} {currency}".rstrip()
    return f"about {round_sum(value)} {currency}".rstrip() + " (invented)"


def round_sum(value: float) -> str:
    """A sum to two digits.

    >>> round_sum(821.0), round_sum(3412.0)
    ('820', '3,400')
    """
    return f"{float(f'{value:.2g}'):,.0f}"


def short_price(cost: Cost | None) -> str:
    """The same for a table: a star marks an invented sum."""
    if cost is None:
        return "–"
    return amount(told(cost.counts.typical, cost.invented), cost.invented)


def told(value: float, invented: bool) -> float:
    """A sum as it is told, an invented one to two digits."""
    return float(f"{value:.2g}") if invented else value


def amount(value: float, invented: bool) -> str:
    """Money, a star where it is invented."""
    return "nothing" if value == 0.0 else f"{value:,.0f}{'*' if invented else ''}"


def priced(currency: str, costs: Iterable[Cost | None]) -> str:
    """The head of a column of prices, with what its stars mean."""
    return f"{currency}, * invented" if any(one is not None and one.invented for one in costs) else currency


# --- gains ---


def drop(old: Received, new: Received) -> int:
    """How much softer a sound gets, in whole decibels that fit the levels as they are told."""
    return round(old.dba) - round(new.dba)


def softer(old: Received, new: Received) -> str:
    """The same in words."""
    gain = drop(old, new)
    if gain == 0:
        return "no softer"
    return f"{abs(gain)} dB {'softer' if gain > 0 else 'louder'}"


def turn(old: Received, new: Received) -> str:
    """What becomes of its verdict."""
    return f"still {new.verdict}" if old.verdict == new.verdict else f"{old.verdict} → {new.verdict}"


def gains(
    effect: Effect, wanted: Sequence[str] = (), most: int = _MOST_GAINS, *, headed: bool = False
) -> str:
    """What a change brings, noise by noise: the wanted ones first, then what drops most; `headed`: a heading
    says that these are dB softer."""
    pairs = sorted(effect.changed, key=lambda pair: pair[0].name not in wanted)
    told = [f"{new.name} {softer(old, new)}" for old, new in pairs[:most]]
    said = 0 if headed else 1
    told = [*told[:said], *(one.removesuffix(" dB softer") for one in told[said:])]
    if not pairs and not effect.eased and effect.less_clear:
        old, new = effect.less_clear[0]
        return f"{new.name} {decibels(old.margin - new.margin)} dB less clear"
    easier = sorted(effect.eased.items(), key=lambda one: -one[1])
    told += [_eased(name, much) for name, much in easier[: max(most - len(told), 1)]]
    more = len(pairs) + len(easier) - len(told)
    return listed(told + ([f"{more} more"] if more > 0 else [])) or "nothing one would notice"


def _eased(name: str, much: float) -> str:
    """What other hours are worth to a sound with limits."""
    return f"{name} may be {much:.0f} dB louder" if math.isfinite(much) else f"no limit for {name}"


def ear(effect: Effect) -> Cell:
    """What a change is to the ear: of the sound it helps most."""
    if effect.worsened and not effect.helped:
        return Cell("louder", "bad")
    if not effect.helped:
        return Cell("nobody notices", "warn")
    first = effect.helped[0]
    gain = effect.before.sound(first.name).dba - first.dba
    return Cell(audibility.loudness(gain).removesuffix(" as loud"), "good")


def whose(remedy: Remedy) -> str:
    """Where a remedy comes from, where that is the file."""
    return " (yours)" if remedy.origin == YOURS else ""


# --- sounds ---


def verdict(sound: Received) -> Cell:
    """The word for a sound, in its ink."""
    return Cell(sound.verdict, VERDICT_INKS[sound.verdict])


def level_range(sound: Received) -> str:
    """5 % and 95 % of a level."""
    return " – ".join(decibels(value) for value in sound.limits_dba)


def who_hears_what(now: Scenario) -> list[Block]:
    """The noises inside and the own sounds at neighbours, by verdict."""
    if not now.sounds:
        missing = "no noise comes in and nobody hears you: add a noise, or a neighbour to what you play."
        return [Paragraph(missing, "Nothing yet")]
    found: list[Block] = []
    for word, label in _BY_VERDICT.items():
        names = [_maybe(one) for one in now.heard if one.verdict == word]
        if names:
            found.append(Paragraph(listed(names), label, VERDICT_INKS[word]))
    for word, label in _THERE.items():
        by_sounds: dict[str, list[str]] = {}
        for to in now.neighbours:
            names = [_maybe(one) for one in to.heard if one.verdict == word]
            if names:
                by_sounds.setdefault(listed(names), []).append(to.name)
        told = [f"{listed(rooms)} ({names})" for names, rooms in by_sounds.items()]
        if told and (word != audibility.VERDICTS[0] or not any(one.is_heard for one in _there(now))):
            found.append(Paragraph("; ".join(told), label, VERDICT_INKS[word]))
    return found


def _there(now: Scenario) -> Iterator[Received]:
    """Every own sound at every neighbour."""
    return (one for to in now.neighbours for one in to.heard)


def _maybe(sound: Received) -> str:
    """With its chance, once that was drawn."""
    sure = sound.verdict == audibility.MAYBE and sound.drawn is not None
    return f"{sound.what}, {percent(sound.chance)}" if sure else sound.what


def loudest(sound: Received) -> str:
    """How loud it is, and how far that stands out."""
    above = f"{decibels(abs(sound.margin))} dB {'above' if sound.margin > 0 else 'below'}"
    peak = " at their loudest" if sound.noise.impact is not None else ""
    return f"inside: {sound.name}{peak}, {above} what you just hear."


def decides(sound: Received) -> str:
    """The strongest element of a sound: what closing it leaves, and what nothing else gets below."""
    path, rest = sound.elements[sound.strongest], sound.without_strongest
    share = percent(float(sound.share[sound.strongest]))
    text = f"{share} of {the(sound.what)} comes {by(path.words)}"
    if rest is None:
        return f"{text}, the only path."
    left = f"{decibels(rest.dba)} dBA are" if rest.dba >= 1.0 else "next to nothing is"
    left = f"Without it {left} left"
    ceiling = sound.ceiling
    if audibility.noticed(sound.dba - ceiling.dba):
        return f"{text}. {left}."
    return f"{text}. {left}; leave it and nothing else gets below {decibels(ceiling.dba)}."


def cure(sound: Received, found: Effect | None, currency: str) -> str:
    """The cheapest change of a sound's strongest element that is worth it."""
    if found is None:
        return f"nothing tried on that path alone makes {the(sound.what)} noticeably softer."
    then = found.after.sound(sound.name)
    return (
        f"{found.name}{whose(found.remedy)}, {price(found.cost, currency)}: {the(sound.what)} "
        f"{softer(sound, then)}, {turn(sound, then)}."
    )


def is_met(judged: Judgement, stage: Stage, what: str) -> str:
    """That all aims are met at a stage, with the reserve due where it may well turn out otherwise."""
    return f"{what} is met{'' if judged.is_sure(stage) else ', going by the likeliest figures'}."


# --- what building will not do ---


def beyond(judged: Judgement, most: int = 2) -> list[Block]:
    """What no building tried reaches: said first, with the best there is and what is left to do."""
    told = [_beyond(judged, one) for one in judged.beyond[:most]]
    rest = listed([one.aim.sound.name for one in judged.beyond[most:]])
    if rest:
        told[-1] += f" The same holds for {rest}."
    return [Paragraph(text, "Out of reach", "bad") for text in told]


def out_of_reach(judged: Judgement) -> list[Block]:
    """The same in a sentence."""
    if not judged.beyond:
        return []
    one, more = judged.beyond[0], len(judged.beyond) - 1
    text = f"{_aimed(one)}at best {_too_loud(one)} dB too loud{_or_else(one)}"
    return [Paragraph(text + (f"; {more} more." if more else "."), "Out of reach", "bad")]


def hear_as_before(judged: Judgement, told: Sequence[Effect]) -> list[Block]:
    """Neighbours who hear what nothing `told` makes softer, since they state no limit, and what would;
    nothing where somebody said what is wanted."""
    if judged.asked.target is not None:
        return []
    aimed = {aim.sound.name for aim in judged.aims}
    eased = {new.name for one in told for _, new in one.changed}
    heard = [one for one in judged.now.sounds if one.where and one.is_heard and not one.limits]
    left = {one.name for one in heard} - aimed - eased
    if not left:
        return []
    text, whole = "some hear you as before: they state no limit to plan for.", judged.inner_room()
    softer = [new.name for old, new in whole.changed if new.dba < old.dba] if whole else []
    if whole and (theirs := [one for one in softer if one in left]):
        text += f" {capital(whole.name)}, {short_price(whole.cost)}: {gains(whole, theirs, 1)}."
    return [Paragraph(text, "Neighbours")]


def plan_for_neighbours(judged: Judgement, told: Sequence[Effect]) -> list[Next]:
    """The command that plans for those who hear one as before."""
    if not hear_as_before(judged, told):
        return []
    plan = command("fixes", judged.now.room, '--target "neighbours: not audible"')
    return [Next("Plan for the neighbours", plan)]


def _aimed(one: Ceiling) -> str:
    """What is wanted of a sound; of one's own as it is played, since to play otherwise may do."""
    return f"{one.aim.sound.name}, {one.aim.words}: {'played as now, ' if one.received.where else ''}"


def _or_else(one: Ceiling) -> str:
    """How loud an own sound may be, and when it may be as it is."""
    if one.loudest_dba is None:
        return ""
    told = [f"no louder than {one.loudest_dba:.0f} dBA would do"]
    if one.hours:
        told.append(f"as it is allowed {_hours(one)}")
    return f" ({'; '.join(told)})"


def _hours(one: Ceiling) -> str:
    return listed([f"from {hours}" for hours in one.hours])


def _too_loud(one: Ceiling) -> str:
    return f"{one.least:.0f}" if one.least >= 0.95 else "less than 1"


def _beyond(judged: Judgement, one: Ceiling) -> str:
    names = listed([judged.remedies[i].name for i in sorted(one.set.chosen)])
    money = price(judged.cost(one.set.chosen), judged.prices.currency)
    best = f"even with {names}, {money}," if names else "whatever is done,"
    way, share = one.held_by
    text = (
        f"{_aimed(one)}{best} it is {_too_loud(one)} dB too loud; "
        f"{percent(share)} of that comes {by(way)}."
    )
    if one.loudest_dba is not None:
        text += f" Played no louder than {one.loudest_dba:.0f} dBA it would do."
    others = [found for i in judged.plan.chosen if (found := judged.remedies[i].way) is not None]
    if one.hours and not any(other.hours and other.sound == one.received.what for other in others):
        text += f" Played as now it is allowed {_hours(one)}."
    played = {other.sound for other in others}
    if one.way is not None and one.received.what not in played:
        other, missed = one.way
        then = "would do" if missed <= 0.0 else f"leaves it {max(missed, 0.5):.0f} dB too loud"
        text += f" Of other ways to play, {other.name} {then}."
    return text


# --- data sheets ---


def meant(*built: Construction, named: bool = False) -> list[Block]:
    """What everyday words were taken for, how likely that is, what else it may be, and what was left out;
    words for one thing together, the thing `named` where no title tells it."""
    words: dict[Meaning, list[str]] = {}
    for one in built:
        if one.meant is not None:
            alike = words.setdefault(replace(one.meant, word="", seal=None, tell="", laid=""), [])
            alike += [one.meant.word] if one.meant.word not in alike else []
    told = []
    for found, alike in words.items():
        thing = found.means if named else "this"
        odds = f"taken as {thing}" if found.share is None else f"{thing} in {found.share:.0f} % (judgement)"
        others = found.perhaps[:2] if len(words) <= _FEW_WORDS else ()
        otherwise = f"; else {' or '.join(others)}" if others else ""
        unread = f"; nothing known of {listed([shown(one) for one in found.unread])}" if found.unread else ""
        verb = "are" if len(alike) > 1 else "is"
        told.append(f"{listed([shown(one) for one in alike])} {verb} {odds}{otherwise}{unread}")
    left = dict.fromkeys(hole for one in built for hole in one.holes)
    left |= dict.fromkeys(one.meant.laid for one in built if one.meant is not None and one.meant.laid)
    told += [f"Without {'the' if named else 'its'} {one}: that counts in a room" for one in left]
    return [Paragraph(f"{'. '.join(told)}.", "Meant")] if told else []


def ask_seller(*built: Construction) -> list[Block]:
    """What to ask for where a data sheet tells single numbers only."""
    offered = [one for one in built if one.offered]
    vents = {one.kind == datasheet.VENT for one in offered}
    asked = [(datasheet.ask(one.kind), one.kind == datasheet.VENT) for one in offered]
    return [
        Paragraph(f"{what}.", "Of the vent" if vent and len(vents) > 1 else "Ask the seller")
        for what, vent in sorted(dict.fromkeys(asked), key=lambda pair: pair[1])
    ]


def without_asking(notes: Iterable[str]) -> list[str]:
    """Notes but for that, where it is said already."""
    return [note for note in notes if "ask the seller for" not in note]


# --- how sure ---


def find_out(first: Sequence[ToClear]) -> list[Block]:
    """What to find out first."""
    if not first:
        return [Paragraph("nothing: no verdict hangs on what is not known.", "Find out first", "strong")]
    one = first[0]
    return [Paragraph(f"{one.unknown.words}: {percent(one.share)} of the doubt.", "Find out first")]


def how_to_find_out(first: Sequence[ToClear], luck: float) -> list[Block]:
    """How, what comes after it, and what nobody can find out."""
    if not first:
        return []
    found: list[Block] = [Paragraph(first[0].unknown.how, "How", "strong")]
    told = [f"{one.unknown.words}, {percent(one.share)}" for one in first[1 : _MOST_UNKNOWNS + 1]]
    if luck >= 0.05:
        told.append(f"{percent(luck)} is chance: no two events are alike")
    return [*found, Paragraph("; ".join(told), "Then", "quiet")] if told else found
