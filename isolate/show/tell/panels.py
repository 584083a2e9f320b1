"""Panels against isolation told: one paragraph, the picture, the money, then which panels for what."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.answers.absorbers import Kind
from isolate.answers.panels import PanelsAnswer
from isolate.bands import Array, octave_tl
from isolate.describe.words import hertz, listed
from isolate.physics.absorption import octaves
from isolate.remedies.contrast import Contrast
from isolate.remedies.effect import Effect
from isolate.room import audibility, prediction
from isolate.show import said
from isolate.show.document import (
    VERDICT_INKS,
    Bar,
    Bars,
    Block,
    Cell,
    Document,
    Heading,
    Items,
    Next,
    Paragraph,
    Table,
    decibels,
    notes,
)
from isolate.units import show_length

_SHOWN = slice(1, 8)  # octaves 63 Hz to 4 kHz
_BANDS = ["63", "125", "250", "500", "1k", "2k", "4k"]
_CLEAREST = 30.0  # dB, above which clearness is only "more than"


def document(answer: PanelsAnswer) -> Document:
    """Why panels do not keep the noise out, and what does."""
    found = answer.contrast
    return Document(
        title=f"Panels against {said.the(found.noise.name)}",
        about=found.room.title,
        first=[Paragraph(friend(found)), ladder(found)],
        full=[
            *_takes(found), *_room(answer), *_reach(answer), *_kinds(answer),
            *notes([prediction.LOW_SENTENCE], "How sure"),
        ],
        cautions=answer.cautions,
        next=[Next("Hear the difference", said.command("listen", found.room, "--out sounds"))],
        more="prices, what panels are for, how thick, of what",
    )  # fmt: skip


def friend(found: Contrast) -> str:
    """The paragraph for the friend who asks: what panels do, why, and what would help."""
    text, now = hung_up(found), found.now
    helps = found.second or found.cure
    if helps is not None and helps.noticed:
        then = found.then(helps)
        name = said.capital(helps.name) + ("," if "," in helps.name else "")
        text += f" {name} makes it {said.softer(now, then)}, {said.turn(now, then)}."
    if found.inner is not None:
        then = found.then(found.inner)
        text += f" {said.capital(found.inner.name)}: {said.softer(now, then)}, {said.turn(now, then)}."
    return text


def hung_up(found: Contrast) -> str:
    """What panels do, and why no more."""
    plan, noise = found.plan, said.the(found.noise.name)
    now, hung = found.now, found.then(found.panels)
    speech = found.at_speech
    return (
        f"{said.capital(plan.name)} ({plan.area:.1f} m2) make {noise} {said.softer(now, hung)}: "
        f"{decibels(now.dba)} dBA without, {decibels(hung.dba)} with. They soak up sound that is in the room "
        f"already, so that it dies away in {speech['reverberation_after_s']:.2f} s, not "
        f"{speech['reverberation_before_s']:.2f}; they are too light to stop any on its way in."
    )


def ladder(found: Contrast) -> Bars:
    """How loud it is outside, as it is, with panels and with what helps."""
    made = found.now.made_dba
    told = [one for key, one in found.effects if "cover" not in key]
    inside = [("inside, as it is", found.now), *((one.name, found.then(one)) for one in told)]
    return Bars([
        Bar("outside", 1.0, f"{decibels(made)} dBA", "quiet"),
        *(
            Bar(name, max(one.dba, 0.0) / made, f"{decibels(one.dba)} dBA, {one.verdict}",
                VERDICT_INKS[one.verdict])
            for name, one in inside
        ),
    ])  # fmt: skip


def _takes(found: Contrast) -> Iterator[Block]:
    """What each takes off the noise, and what it takes."""
    currency = found.judgement.prices.currency
    rows = [_effect(found, one) for _, one in found.effects]
    head = ["", "softer", "to the ear", "adds", said.priced(currency, [one.cost for _, one in found.effects])]
    yield Heading(f"What each takes off {said.the(found.noise.name)}")
    yield Table(head, rows, "frlrr")


def _effect(found: Contrast, effect: Effect) -> list[str | Cell]:
    then = found.then(effect)
    gain = said.drop(found.now, then)
    noticed = audibility.noticed(gain)
    ear = audibility.loudness(gain) if noticed else "nobody notices"
    mass = "" if abs(effect.mass) < 0.5 else f"{effect.mass:.0f} kg"
    return [
        effect.name, f"{gain} dB", Cell(ear, "good" if noticed else "warn"), mass,
        said.short_price(effect.cost),
    ]  # fmt: skip


def _bands(rows: list[tuple[str, Array, str]]) -> Table:
    cells: list[list[str | Cell]] = [
        [name, *(format(float(value), style) for value in values[_SHOWN])] for name, values, style in rows
    ]
    return Table(["", *_BANDS], cells, "f" + "r" * len(_BANDS))


def _room(answer: PanelsAnswer) -> Iterator[Block]:
    found = answer.contrast
    speech, weak = found.at_speech, found.weak
    yield Heading(f"What {found.plan.name} are for (octaves in Hz)")
    yield _bands([
        ("reverberation now, s", octaves(found.before), ".2f"),
        ("with them, Sabine, s", octaves(found.sabine), ".2f"),
        ("with them, Eyring, s", octaves(found.eyring), ".2f"),
        ("all sound in the room falls by, dB", octaves(found.drop_db), ".1f"),
        ("a panel by itself keeps out, dB", octave_tl(answer.own_db), ".0f"),
        (f"the {weak.side.name} keeps out, dB", octave_tl(weak.tl_db), ".0f"),
    ])  # fmt: skip
    told = [
        f"At your ears: direct sound leads the room's up to {speech['direct_within_after_m']:.1f} m from "
        f"what sounds, now {speech['direct_within_before_m']:.1f} m; clearness (50 ms over the rest, 1 kHz) "
        f"goes from {_clear(speech['clearness_before_db'])} to {_clear(speech['clearness_after_db'])} dB. "
        "Slap and flutter between bare parallel walls go where a panel hangs on one of the two (common "
        "practice)."
    ]
    out = [one for one in found.scenario.sounds if one.where]
    if out:
        own, drops = dict.fromkeys(one.what for one in out), [found.panels.gains[one.name] for one in out]
        told.append(
            f"Outwards ({listed(list(own))}): {max(drops):.0f} dB softer for the neighbours at most, for the "
            "same reason."
        )
    yield Items(told)


def _clear(value: float) -> str:
    return f"{value:.0f}" if value < _CLEAREST else f"over {_CLEAREST:.0f}"


def _hertz(value: float | None) -> str:
    return "–" if value is None else hertz(value)


def _reach(answer: PanelsAnswer) -> Iterator[Block]:
    yield Heading(f"How thick for the bass: {answer.contrast.plan.board.name} takes in over half of it from")
    rows = [
        [show_length(one.thickness), _hertz(one.piece), _hertz(one.spaced), _hertz(one.whole)]
        for one in answer.reaches
    ]
    yield Table(["", "0.6 x 1.2 m on the wall", "as far off it", "whole wall lined"], rows, "frrr")


def _kinds(answer: PanelsAnswer) -> Iterator[Block]:
    yield Heading("What takes in how much (sound taken in over sound that meets it, by octave)")
    head = ["", *_BANDS, "aw", "NRC", "SAA"]
    yield Table(head, [_kind(kind) for kind in answer.kinds], "f" + "r" * (len(head) - 1))
    unclear = [kind for kind in answer.kinds if not kind.name.startswith("board ") or kind.rating is None]
    layers = "; ".join(f"{kind.name}: {kind.about}" for kind in unclear)
    yield Paragraph(
        "aw: ISO 11654, its letters for a surplus at L(ow), M(iddle) or H(igh) frequencies; NRC and SAA: "
        f"ASTM C423. {layers}."
    )


def _kind(kind: Kind) -> list[str | Cell]:
    values = [f"{value:.2f}" for value in octaves(kind.alpha)[_SHOWN]]
    rating = kind.rating
    if rating is None:
        return [kind.name, *values, "–", "–", "–"]
    rated = [f"{rating.alpha_w:.2f}{rating.shape}", f"{rating.nrc:.2f}", f"{rating.saa:.2f}"]
    return [kind.name, *values, *rated]
