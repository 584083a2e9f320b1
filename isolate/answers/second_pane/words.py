"""The verdict on a second window in plain words, and what was taken for granted."""

from __future__ import annotations

from typing import NamedTuple

from isolate.answers.second_pane.choice import NEARLY_DB, USUAL_DEPTH
from isolate.answers.second_pane.pick import Pick
from isolate.describe.words import LIKELY, NOTICED_DB, listed
from isolate.remedies.second_window.asked import Asked
from isolate.remedies.second_window.others import Tried
from isolate.remedies.second_window.setting import Setting
from isolate.remedies.second_window.sweep import LINED_FROM, pane_both
from isolate.room import prediction
from isolate.room.envelope import Heard
from isolate.standards.weighting import dba
from isolate.units import show_length

WORTH_DB = 5.0  # the least that programmes of sound insulation pay for (published practice, see `words`)
_LEFT = {
    "not audible": "No longer heard",
    "maybe": "May still be heard",
    "faint": "Faint by then",
    "audible": "Still heard",
    "clear": "Still clear",
}


class Verdict(NamedTuple):
    """ "worth it" | "noticeable" | "not worth it" | "not needed", and a paragraph."""

    word: str
    text: str


def verdict(pick: Pick, others: tuple[Tried, ...]) -> Verdict:
    """Whether to buy the pane, and what it does to each noise that counts."""
    setting = pick.setting
    if all(setting.heard[noise].margin <= 0.0 for noise in pick.counting):
        names = listed([pick.name(noise) for noise in pick.counting])
        return Verdict("not needed", f"You do not hear {names} here as it is: nothing to stop by glass.")
    best = max(float(pick.gains[noise]) for noise in pick.counting)
    gone = any(_goes(pick, noise) for noise in pick.counting)
    if best < NOTICED_DB and not gone:
        return Verdict("not worth it", f"Do not buy it: {_why_not(pick)} {_effects(pick)}")
    word = "worth it" if best >= WORTH_DB or gone else "noticeable"
    start = "Worth it" if word == "worth it" else "You would just notice it"
    return Verdict(word, f"{start}: {proposal(pick)} {_effects(pick)}{_cheaper(pick, others)}")


def proposal(pick: Pick) -> str:
    """What is proposed, as one would order it."""
    reveal = "the reveal lined" if pick.edges == "absorbent" else "the reveal bare"
    seal = {"sealed": "sealed all round"}.get(pick.sweep.seal, f"its seal {pick.sweep.seal}")
    frame = "pressed into the reveal" if pick.asked.no_fixing else "in a frame of its own"
    opens = " that opens" if pick.asked.openable else ""
    return (
        f"{pane_both(pick.pane)}, {show_length(pick.gap)} behind the old window, {frame}{opens}, {seal}, "
        f"{reveal}."
    )


def _goes(pick: Pick, noise: int) -> bool:
    return pick.setting.heard[noise].margin > 0.0 >= pick.then[noise].margin


def _effects(pick: Pick) -> str:
    """The noises that count by what becomes of them."""
    told = []
    for verdict, start in _LEFT.items():
        noises = [noise for noise in pick.counting if _left(pick.then[noise]) == verdict]
        if noises:
            told.append(f"{start}: {listed([_softer(pick, noise) for noise in noises])}.")
    return " ".join(told)


def _left(heard: Heard) -> str:
    """The word for a noise that is left; apart, what is not heard as computed but well may be."""
    maybe = heard.verdict == "not audible" and heard.chance >= LIKELY
    return "maybe" if maybe else heard.verdict


def _softer(pick: Pick, noise: int) -> str:
    decibels = round(float(pick.gains[noise]))
    if decibels == 0:
        return f"{pick.name(noise)} (no softer)"
    return f"{pick.name(noise)} ({abs(decibels)} dB {'softer' if decibels > 0 else 'louder'})"


def _why_not(pick: Pick) -> str:
    """What keeps any pane from helping."""
    noise, own = pick.hardest, pick.setting.side.name
    heard = pick.setting.heard[noise]
    share = heard.passed.share
    ways = [i for i, path in enumerate(heard.passed.paths) if path.side != own or path.kind == "vent"]
    most = heard.inside_dba - float(dba(pick.setting.beside_db[noise]))
    if not ways or most >= WORTH_DB:
        return "even the best pane allowed here changes nothing one would notice."
    other = max(ways, key=lambda i: float(share[i]))
    by = heard.passed.paths[other].words.removesuffix(" (itself)")
    if share[other] > 0.5:
        return f"most of {pick.name(noise)} comes by the {by}, not by this window."
    return f"perfect glass would gain {most:.1f} dB, for {pick.name(noise)} also comes by the {by}."


def _cheaper(pick: Pick, others: tuple[Tried, ...]) -> str:
    """Strips on the old sash where they do nearly as much."""
    for one in others:
        near = [pick.gains[noise] - one.gains_dba[noise] < NOTICED_DB for noise in pick.counting]
        if one.key == "strips" and all(near):
            return f" But {one.name} do nearly as much, for little: start with them."
    return ""


def notes(setting: Setting, asked: Asked, pick: Pick) -> tuple[str, ...]:
    """What the answer takes for granted."""
    found = [*setting.notes]
    if setting.side.opened is not None:
        found.append(
            f"{setting.side.name} stands open by {100 * setting.side.opened.typical:.0f} % as the file says, "
            "now and behind the second window, which is shut."
        )
    if not asked.gaps and asked.max_gap is None:
        found.append(
            f"Up to {show_length(USUAL_DEPTH)} between the windows, as no --max-gap was stated; it is the "
            "clear distance from pane to pane."
        )
    found += [
        f"Proposed is the lightest pane with which no noise that counts is {NEARLY_DB:g} dB worse, less than "
        "one notices, than with the best allowed (by its level, and by what sticks out of background and "
        "hearing); then without lining if that suffices, then at "
        f"the smallest distance. A reveal is lined only from {show_length(LINED_FROM)} on.",
        "The new pane stands in a frame of its own and covers the whole old window; its seal runs all round. "
        "Sound that gets past the old sash or the new seal fills the space between, which its edges soak up.",
        "Vents of the window are left open to the room: a second window that covers one takes its air too.",
        prediction.LOW_SENTENCE,
    ]
    if setting.alone:
        length, width, height = setting.room.size
        found.append(
            f"No room was named: {length:g} x {width:g} x {height:g} m taken, furnished, background 25 dBA, "
            "nothing coming in but by this window; noises of a town street at usual distances. Name a room "
            "file for your own: from about Rw 50 on walls, vents and what comes round set the limit."
        )
    if not asked.no_fixing and asked.max_weight is None and not asked.panes:
        found.append(
            "Acrylic is proposed only where the weight or fixings are limited: it scratches, burns, and "
            "costs more than glass that does as much."
        )
    if pick.sweep.seal != "sealed" and asked.seal is None:
        found.append(f"A pane that opens or comes out is {pick.sweep.seal} at best (common practice).")
    return tuple(found)
