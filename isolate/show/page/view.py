"""What stands on the page: what to hear and to try with its drawings, and what documents tell."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from isolate.answers.listen.answer import Listening, Scene
from isolate.answers.story import Story
from isolate.answers.take.answer import TakeAnswer
from isolate.bands import THIRD_OCTAVES
from isolate.room.audibility import loudness
from isolate.show import said, web
from isolate.show.document import Block, Document, Heading, Items, Paragraph, decibels
from isolate.show.page import drawings as draw
from isolate.show.page.sounds import PageSound
from isolate.show.tell import explain, take
from isolate.show.tell import room as room_told
from isolate.standards import hearing
from isolate.units import show_length
from isolate.version import __version__

_SHORT = {
    "outside": "outside", "now": "now", "panels": "panels", "cure": "first step", "second": "second layer",
    "inner": "inner room",
}  # fmt: skip


def slug(verdict: str) -> str:
    """A verdict as the name of a style."""
    return verdict.replace(" ", "-")


def told(story: Story, heard: Listening) -> dict[str, Any]:
    """What the template names and no sound changes."""
    found, room = story.contrast, story.room
    why = [block for head, text in explain.why(found) for block in (Heading(head), Paragraph(text))]
    return {
        "title": room.title,
        "about": room.about,
        "size": said.box_in(room.size, feet=room.in_feet),
        "background": decibels(heard.background_dba),
        "question": explain.question(found),
        "short_answer": list(explain.short_answer(story)),
        "tries": _tries(story),
        "why": web.blocks(why),
        "to_do": web.blocks(
            [*said.beyond(story.judgement), *explain.to_do(story), *room_told.changes(story.options)]
        ),
        "by_sound": web.blocks(list(room_told.sound_by_sound(story.options))),
        "rooms": web.blocks(list(room_told.in_and_out(story.now))),
        "sure": web.blocks(_sure(story)),
        "cautions": web.cautions(Document("", (), cautions=story.cautions)),
        "version": __version__,
    }


def played(
    story: Story, heard: Listening, taken: TakeAnswer | None, sounds: dict[str, PageSound]
) -> dict[str, Any]:
    """What it names beside that: what can be played, with these `sounds` by their keys."""
    return {
        "scenes": [_scene(story, heard, one, sounds) for one in heard.scenes],
        "volume": _volume(heard, sounds),
        "take": _take(heard, taken, sounds),
    }


def _scene(story: Story, heard: Listening, one: Scene, sounds: dict[str, PageSound]) -> dict[str, Any]:
    outside, received, sound = heard.made.dba, one.received, sounds.get(one.key)
    hidden = received.dba - received.margin if received else 0.0
    told = f"{decibels(one.dba)} dBA" + (f", {said.YOU[one.verdict]}" if received else "")
    name, style = said.capital(one.name), slug(one.verdict or "made")
    return {
        "key": slug(one.key),
        "name": name,
        "short": _SHORT.get(one.key, name),
        "dba": _level(one.dba),
        "verdict": one.verdict,
        "slug": style,
        "you": said.YOU[one.verdict] if received else "",
        "gain": _gain(heard, one),
        "why": _why(story, one),
        "uri": Markup(sound.uri) if sound else "",
        "seconds": f"{sound.seconds:.1f}" if sound else "",
        "softer": round(sound.softer_db) if sound else 0,
        "bar": Markup(draw.level_bar(one.dba, hidden_dba=hidden, most=outside, key=style)),
        "drawing": Markup(draw.section(
            slug(one.key), outside_dba=outside, inside_dba=one.dba if received else None,
            title=f"{name}: {told}", told=f"Section through wall and room: {one.name}.",
        )),
    }  # fmt: skip


def _gain(heard: Listening, one: Scene) -> str:
    """How much softer than now, in words."""
    now = heard.scene("now")
    if one.received is None or now is None or one is now:
        return ""
    return _gain_words(round(now.dba) - round(one.dba))


def _gain_words(gain: int) -> str:
    if gain == 0:
        return "no softer"
    return f"{abs(gain)} dB {'softer' if gain > 0 else 'louder'}: {loudness(gain)}"


def _why(story: Story, one: Scene) -> str:
    """What happens to the noise in one scene, in a sentence."""
    if one.received is None:
        return f"What arrives at the {story.contrast.weak.side.name}."
    if one.key == "panels":
        return "They soak up what is inside already; as much comes in as before."
    left = one.received.elements[one.received.strongest].words
    return f"Most of {'it' if one.key == 'now' else 'what is left'} comes in {said.by(left)}."


def _volume(heard: Listening, sounds: dict[str, PageSound]) -> dict[str, Any]:
    made, now = heard.made, heard.scene("now")
    source = (
        f"The noise is the recording {heard.recorded.path.name}."
        if heard.recorded
        else "The noise is made by computer in the spectrum and at the level stated; nobody recorded it."
    )
    softer = round(sounds[made.key].softer_db) if made.key in sounds else 0
    return {"softer": softer, "now": decibels(now.dba if now else 0.0), "source": source}


def _take(heard: Listening, taken: TakeAnswer | None, sounds: dict[str, PageSound]) -> dict[str, Any] | None:
    players = [
        {"name": name, "uri": Markup(sounds[key].uri), "seconds": f"{sounds[key].seconds:.1f}"}
        for key, name in (("take now", "room as it is"), ("take second", "with the second layer"))
        if key in sounds
    ]
    told = web.first(take.document(taken)) if taken else Markup("")
    return {"players": players, "told": told} if players or taken else None


def _sure(story: Story) -> list[Block]:
    sure = story.sure
    found: list[Block] = [Items([said.SURE])]
    if sure is None:
        return found
    return [*said.find_out(sure.first), *said.how_to_find_out(sure.first, sure.luck), *found]


# --- to try ---


def _tries(story: Story) -> dict[str, Any]:
    """The sliders as they stand at first: the layer the story tells of, no panels."""
    found, gap = story.tries, _first_gap(story)
    quiet = story.now.envelope.background_db
    chart = draw.chart_of([found.outside_db[0], quiet])
    verdict = found.verdict(gap, 0, 0)
    return {
        "noises": [one.name for one in found.noises],
        "leaf": found.leaf,
        "side": found.side,
        "gaps": [_gap_words(one) for one in found.gaps],
        "counts": list(found.counts),
        "gap": gap,
        "dba": _level(float(found.dba[gap, 0, 0])),
        "slug": slug(verdict),
        "you": said.YOU[verdict],
        "gain": _changes(story)[gap][0][0],
        "what": f"{found.noises[0].name}: {_layer_words(story)[gap]}{_count_words(story)[0]}",
        "count_words": _count_words(story)[0],
        "rows": _rows(story),
        "curve": Markup(draw.curve(
            chart, outside=found.outside_db[0], now=found.inside_db[0, 0], tried=found.inside_db[gap, 0],
            hidden=hearing.masked_threshold(quiet), title=f"{found.noises[0].name} by frequency",
            told="Level in decibels from 25 Hz to 10 kHz: outside, in the room now, and with what is chosen, "
            "over the level up to which nothing is heard. The table below has the numbers.",
        )),
    }  # fmt: skip


def _rows(story: Story) -> list[dict[str, str]]:
    """What can be tried as a table: each distance without panels, then each number of panels without a
    layer."""
    found = story.tries
    rows = [("as it is" if g == 0 else f"{found.leaf}, {_gap_words(gap)} behind", g, 0)
            for g, gap in enumerate(found.gaps)]  # fmt: skip
    rows += [(f"{count} panels", 0, c) for c, count in enumerate(found.counts) if c]
    return [
        {"name": name, "dba": _level(float(found.dba[g, c, 0])), "verdict": found.verdict(g, c, 0)}
        for name, g, c in rows
    ]


def _level(dba: float) -> str:
    """A level as one reads it; nobody reads negative ones."""
    return decibels(dba) if dba >= -0.5 else "under 0"


def _first_gap(story: Story) -> int:
    """Where the slider of distances stands at first: at the story's own."""
    found, second = story.tries, story.contrast.second
    if len(found.gaps) == 1 or second is None:
        return 0
    return 1 + int(abs(found.dba[1:, 0, 0] - story.contrast.then(second).dba).argmin())


def _layer_words(story: Story) -> list[str]:
    """Each distance as the beginning of what was chosen."""
    found = story.tries
    if not found.leaf:
        return [""]
    gaps = (f"{found.leaf}, {show_length(gap)} behind the {found.side}, " for gap in found.gaps[1:])
    return ["no second layer, ", *gaps]


def _count_words(story: Story) -> list[str]:
    """Each number of panels as its end."""
    counts = (f"{count} panel{'s' * (count > 1)}" for count in story.tries.counts[1:])
    return ["no panels", *counts]


def _gap_words(gap: float) -> str:
    return show_length(gap) if gap else "none"


def _changes(story: Story) -> list[list[list[str]]]:
    """What the reader is told of each choice: by distance, number of panels and noise."""
    levels = story.tries.dba.round().astype(int)
    now = levels[0, 0]
    return [
        [[_gain_words(int(was - will)) for was, will in zip(now, row, strict=True)] for row in rows]
        for rows in levels
    ]


def data(story: Story) -> dict[str, Any]:
    """What the page's script needs to redraw it: everything computed, nothing to compute but differences."""
    found, quiet = story.tries, story.now.envelope.background_db
    chart = draw.chart_of([found.outside_db[0], quiet])
    return found.to_dict() | {
        "gap_words": [_gap_words(one) for one in found.gaps],
        "layer_words": _layer_words(story),
        "count_words": _count_words(story),
        "chart": chart.to_dict() | {"bands": int(THIRD_OCTAVES.size)},
        "hidden_db": hearing.masked_threshold(quiet),
        "you": said.YOU,
        "slugs": {verdict: slug(verdict) for verdict in said.YOU},
        "said": _changes(story),
        "shown_dba": [[[_level(float(one)) for one in row] for row in rows] for rows in found.dba],
    }
