"""What stands on the page: every number as one reads it, every drawing, ready for the template."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from markupsafe import Markup

from isolate.answers.listen.answer import Scene
from isolate.answers.page import words as page_words
from isolate.answers.page.answer import SURE, Story
from isolate.answers.room.options import OptionFound
from isolate.answers.take.parts import NoiseInTake
from isolate.bands import THIRD_OCTAVES
from isolate.describe import words
from isolate.describe.words import listed
from isolate.remedies.contrast import a_second
from isolate.room.received import Passed
from isolate.show.page import drawings as draw
from isolate.show.page.sounds import PageSound
from isolate.show.text.common import decibels, percent
from isolate.show.text.room_paths import decides
from isolate.standards import hearing
from isolate.units import show_length
from isolate.version import __version__

YOU = {
    "clear": "you hear it clearly", "audible": "you hear it", "faint": "a trace is left",
    "not audible": "gone: you no longer hear it",
}  # fmt: skip
_PATHS = 5  # ways in that are drawn
_SHORT = {"outside": "outside", "now": "now", "panels": "panels", "shell": "inner room"}


def slug(verdict: str) -> str:
    """A verdict as the name of a style."""
    return verdict.replace(" ", "-")


def view(story: Story, sounds: dict[str, PageSound]) -> dict[str, Any]:
    """Everything the template names."""
    room = story.room.room
    length, width, height = room.size
    return {
        "title": room.title,
        "about": room.about,
        "size": f"{length:.3g} x {width:.3g} x {height:.3g} m",
        "background": decibels(story.room.background_dba),
        "question": story.question,
        "short_answer": story.short_answer,
        "noise": page_words.the(story.panels.noise.name),
        "scenes": [_scene(story, one, sounds) for one in story.listening.scenes],
        "volume": _volume(story, sounds),
        "why": [{"head": head, "text": text} for head, text in story.why],
        "tries": _tries(story),
        "to_do": page_words.to_do(story),
        "options": [_option(story, one) for one in _ordered(story)],
        "heard": [_heard(story, one.name, one.outside_dba, one.passed) for one in story.room.heard],
        "ways": list(_ways(story)),
        "decides": decides(story.panels.now.passed, story.panels.noise.name),
        "neighbours": list(_neighbours(story)),
        "take": _take(story, sounds),
        "first": list(_first(story)),
        "sure": SURE,
        "draws": story.room.sure.draws if story.room.sure else 0,
        "cautions": [one.to_dict() for one in story.cautions],
        "notes": story.notes,
        "version": __version__,
    }


def _scene(story: Story, one: Scene, sounds: dict[str, PageSound]) -> dict[str, Any]:
    outside = story.listening.made.dba
    passed, sound = one.passed, sounds.get(one.key)
    hidden = passed.dba - passed.margin if passed else 0.0
    told = f"{decibels(one.dba)} dBA" + (f", {YOU[one.verdict]}" if passed else "")
    name = one.name[0].upper() + one.name[1:]
    style = slug(one.verdict or "made")
    return {
        "key": one.key,
        "name": name,
        "short": (_SHORT | {"pane": page_words.second(story).split()[-1]}).get(one.key, name),
        "dba": _level(one.dba),
        "verdict": one.verdict,
        "slug": style,
        "you": YOU[one.verdict] if passed else "",
        "gain": _gain(one),
        "why": page_words.why_of(story, one.key),
        "uri": Markup(sound.uri) if sound else "",
        "seconds": f"{sound.seconds:.1f}" if sound else "",
        "softer": round(sound.softer_db) if sound else 0,
        "bar": Markup(draw.level_bar(one.dba, hidden_dba=hidden, most=outside, key=style)),
        "drawing": Markup(draw.section(
            one.key, outside_dba=outside, inside_dba=one.dba if passed else None, title=f"{name}: {told}",
            told=_drawn(story, one),
        )),
    }  # fmt: skip


def _gain(one: Scene) -> str:
    """How much softer than now, in words."""
    if one.gain_db is None or one.key == "now":
        return ""
    gain = round(one.gain_db)
    if gain == 0:
        return "no softer at all"
    return f"{abs(gain)} dB {'softer' if gain > 0 else 'louder'}: {words.change(gain)}"


def _drawn(story: Story, one: Scene) -> str:
    """A section in words."""
    side = story.panels.weak.side.name
    what = {
        "outside": f"the noise comes up to the {side} from outside",
        "now": f"the noise comes in by the {side} and is thrown back by the walls",
        "panels": f"the noise comes in by the {side} as before; panels on walls and ceiling soak up what "
        "would be thrown back",
        "pane": f"{a_second(story.panels.weak.side)} behind the {side} lets little of the noise in",
        "shell": "a second shell inside the first, which it touches nowhere, lets least in",
    }
    return f"Section through wall and room: {what.get(one.key, one.name)}."


def _volume(story: Story, sounds: dict[str, PageSound]) -> dict[str, Any]:
    made, now = story.listening.made, story.listening.scene("now")
    softer = round(sounds[made.key].softer_db) if made.key in sounds else 0
    source = (
        f"The noise is the recording {story.listening.recorded.name}."
        if story.listening.recorded
        else "The noise is made by computer in the spectrum and at the level stated; nobody recorded it."
    )
    level = decibels(now.dba if now else 0.0)
    return {"softer": softer, "made": made.name, "now": level, "source": source}


def _tries(story: Story) -> dict[str, Any]:
    """The sliders as they stand at first: the pane the story tells of, no panels."""
    found = story.tries
    gap = _first_gap(story)
    chart = draw.chart_of([found.outside_db[0], *story.room.shell.background_db[None]])
    verdict = found.verdict(gap, 0, 0)
    return {
        "noises": [one.name for one in found.noises],
        "pane": found.pane,
        "leaf": found.leaf,
        "side": found.side,
        "mass": decibels(found.mass),
        "gaps": [_gap_words(one) for one in found.gaps],
        "counts": list(found.counts),
        "gap": gap,
        "count": 0,
        "most": found.counts[-1],
        "dba": _level(float(found.dba[gap, 0, 0])),
        "verdict": verdict,
        "slug": slug(verdict),
        "you": YOU[verdict],
        "gain": _gain_words(float(found.dba[0, 0, 0] - found.dba[gap, 0, 0])),
        "what": f"{found.noises[0].name}: {_pane_words(story)[gap]}{_count_words(story)[0]}",
        "count_words": _count_words(story)[0],
        "rows": _rows(story),
        "curve": Markup(draw.curve(
            chart, outside=found.outside_db[0], now=found.inside_db[0, 0], tried=found.inside_db[gap, 0],
            hidden=story.room.hidden_db, title=f"{found.noises[0].name} by frequency",
            told="Level in decibels from 25 Hz to 10 kHz: outside, in the room now, and with what is chosen, "
            "over the level up to which nothing is heard. The table below has the numbers.",
        )),
    }  # fmt: skip


def _rows(story: Story) -> list[dict[str, str]]:
    """What can be tried as a table: each distance without panels, then each number of panels without a
    pane."""
    found = story.tries
    spots = [(g, 0) for g in range(len(found.gaps))] + [(0, c) for c in range(1, len(found.counts))]
    rows = []
    for g, c in spots:
        name = f"{found.counts[c]} panels" if c else _gap_words(found.gaps[g])
        if not c:
            name = "as it is" if g == 0 else f"{found.pane}, {name} behind"
        level = _level(float(found.dba[g, c, 0]))
        rows.append({"name": name, "dba": level, "verdict": found.verdict(g, c, 0)})
    return rows


def _level(dba: float) -> str:
    """A level as one reads it; nobody reads negative ones."""
    return decibels(dba) if dba >= -0.5 else "under 0"


def _first_gap(story: Story) -> int:
    """Where the slider of distances stands at first: at the story's own."""
    found = story.tries
    pane = story.panels.state("pane")
    if len(found.gaps) == 1 or pane is None:
        return 0
    return 1 + int(abs(found.dba[1:, 0, 0] - pane.heard.inside_dba).argmin())


def _pane_words(story: Story) -> list[str]:
    """Each distance as the beginning of what was chosen."""
    pane = story.tries.pane
    if not pane:
        return [""]
    gaps = (f"{pane} {show_length(gap)} behind the {story.tries.side}, " for gap in story.tries.gaps[1:])
    return [f"no {pane}, ", *gaps]


def _count_words(story: Story) -> list[str]:
    """Each number of panels as its end."""
    counts = (f"{count} panel{'s' * (count > 1)}" for count in story.tries.counts[1:])
    return ["no panels", *counts]


def _gap_words(gap: float) -> str:
    return show_length(gap) if gap else "none"


def _gain_words(gain: float) -> str:
    decibel = round(gain)
    if decibel == 0:
        return "as now"
    return f"{abs(decibel)} dB {'softer' if decibel > 0 else 'louder'} than now: {words.change(decibel)}"


def _ordered(story: Story) -> list[OptionFound]:
    """Options by what they do to all noises together, the most first."""
    return sorted(story.room.options, key=lambda one: -one.gain_db)


def _option(story: Story, found: OptionFound) -> dict[str, Any]:
    low, high = found.gain_limits
    known = high - low >= 0.05
    return {
        "name": found.option.name,
        "gain": f"{found.gain_db:.0f}".replace("-0", "0"),
        "limits": f"{low:.0f} to {high:.0f}".replace("-0", "0") if known else "",
        "ear": found.words,
        "good": found.gain_db >= words.NOTICED_DB or bool(found.helped) or bool(found.spared),
        "mass": f"{found.mass:.0f} kg" if abs(found.mass) >= 0.5 else "–",
        "cost": f"{found.option.cost:g}" if found.option.cost is not None else "–",
        "becomes": page_words.becomes(story, found),
        "share": Markup(draw.share_bar(min(max(found.gain_db, 0.0) / 30.0, 1.0))),
    }


def _heard(story: Story, name: str, made_dba: float, passed: Passed) -> dict[str, Any]:
    low, high = passed.limits_dba
    most = max([100.0, *(one.outside_dba for one in story.room.heard)])
    return {
        "name": name,
        "made": decibels(made_dba),
        "dba": decibels(passed.dba),
        "limits": f"{decibels(low)} to {decibels(high)}",
        "verdict": passed.verdict,
        "slug": slug(passed.verdict),
        "chance": percent(passed.chance),
        "way": passed.paths[passed.strongest].words,
        "range": Markup(draw.range_bar(passed.dba, low, high, most=most)),
    }


def _ways(story: Story) -> Iterator[dict[str, Any]]:
    """The ways by which the noise of the story comes in, the widest first."""
    passed = story.panels.now.passed
    pairs = sorted(zip(passed.share, passed.paths, strict=True), key=lambda pair: -pair[0])
    for share, path in pairs[:_PATHS]:
        bar = Markup(draw.share_bar(float(share)))
        yield {"name": path.words, "share": percent(float(share)), "bar": bar}


def _neighbours(story: Story) -> Iterator[dict[str, Any]]:
    for one in story.room.neighbours:
        if one.heard and one.worst is not None:
            limits = [
                {
                    "text": f"{heard.name}, {limit.limit.text}",
                    "met": limit.met,
                    "off": f"{abs(limit.excess_db):.0f} dB {'to spare' if limit.met else 'too much'}",
                }
                for heard in one.heard
                for limit in heard.limits
            ]
            yield {
                "name": one.name,
                "rows": [_heard(story, heard.name, heard.made_dba, heard.passed) for heard in one.heard],
                "decides": decides(one.worst.passed, one.worst.name),
                "limits": limits,
            }


def _take(story: Story, sounds: dict[str, PageSound]) -> dict[str, Any] | None:
    mixed, layer = story.listening.in_take, page_words.second(story)
    players = [
        {"key": key, "name": name, "uri": Markup(sounds[key].uri), "seconds": f"{sounds[key].seconds:.1f}"}
        for key, name in (
            ("take now", "room as it is"),
            ("take pane", f"with the {layer}"),
        )
        if key in sounds
    ]
    if mixed is None or not (players or story.take):
        return None
    found = None if story.take is None else next(
        (one for one in story.take.takes if one.take.name == mixed.take.name), None
    )  # fmt: skip
    return {
        "name": mixed.take.name,
        "plays": mixed.take.own.name,
        "compression": decibels(mixed.reduction_db),
        "players": players,
        "clean": percent(found.chance_clean) if found else "",
        "minutes": f"{mixed.take.length / 60.0:.3g}",
        "rows": [_in_take(one) for one in found.noises] if found else [],
    }


def _in_take(one: NoiseInTake) -> dict[str, str]:
    return {
        "name": one.name,
        "under": decibels(float(one.met.under_db)),
        "verdict": one.verdict,
        "chance": percent(one.chance_in_take),
    }


def _first(story: Story) -> Iterator[dict[str, str]]:
    """What to find out first, and how."""
    if story.room.sure is None:
        return
    for one in story.room.sure.first[:3]:
        yield {
            "what": one.unknown.words, "how": one.unknown.how, "share": percent(one.share),
            "moves": listed(list(one.moves)),
        }  # fmt: skip


def data(story: Story) -> dict[str, Any]:
    """What the page's script needs to redraw it: everything computed, nothing to compute but differences."""
    found = story.tries
    chart = draw.chart_of([found.outside_db[0], *story.room.shell.background_db[None]])
    return found.to_dict() | {
        "gap_words": [_gap_words(one) for one in found.gaps],
        "pane_words": _pane_words(story),
        "count_words": _count_words(story),
        "chart": chart.to_dict() | {"bands": int(THIRD_OCTAVES.size)},
        "hidden_db": hearing.masked_threshold(story.room.shell.background_db),
        "you": YOU,
        "slugs": {verdict: slug(verdict) for verdict in YOU},
        "said": _said(story),
        "shown_dba": [[[_level(float(one)) for one in row] for row in rows] for rows in found.dba],
    }


def _said(story: Story) -> list[list[list[str]]]:
    """What the reader is told of each choice: by distance, number of panels and noise."""
    levels = story.tries.dba
    now = levels[0, 0]
    return [
        [[_gain_words(float(was - will)) for was, will in zip(now, row, strict=True)] for row in rows]
        for rows in levels
    ]
