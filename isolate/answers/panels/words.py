"""The contrast between absorbing and isolating, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from isolate.bands import Array, index_of
from isolate.describe.rooms import Room
from isolate.describe.words import NOTICED_DB, millimetres
from isolate.remedies.contrast import State
from isolate.remedies.panels import Plan
from isolate.room.prediction import LOW_SENTENCE
from isolate.units import show_length

_STILL = {
    "clear": "you still hear it clearly",
    "audible": "you still hear it",
    "faint": "only a trace of it is left",
    "not audible": "you no longer hear it",
}


def friend(noise: str, states: Sequence[State], second: str) -> str:
    """One paragraph with three numbers: what panels, a second layer (`second` with its article) and an inner
    room take off the noise."""
    by_key = {state.key: state for state in states}
    now, hung, inner = by_key["now"], by_key["panels"], by_key["shell"]
    sound = noise if noise.startswith("the ") else f"the {noise}"
    if now.heard.verdict == "not audible":
        return (
            f"You do not hear {sound} in this room as it is, so there is nothing to stop. Panels would only "
            "change how the room itself sounds: less echo, clearer words."
        )
    weakest = now.heard.way_in
    parts = [
        f"{sound[0].upper()}{sound[1:]} comes in by the {weakest}, and panels hang on the walls. They soak "
        f"up sound that is already in the room: it gets {softer(hung)}, {heard(hung)}.",
        _pane(by_key.get("pane"), weakest, hung, second),
        f"A room within the room makes it {softer(inner)}, and {_STILL[inner.heard.verdict]}.",
        "To keep sound out takes weight, no gaps, and a second layer that touches the first nowhere; panels "
        "are light and full of air. Buy them for how the room sounds: less echo, clearer words.",
    ]
    return " ".join(part for part in parts if part)


def softer(state: State) -> str:
    """The gain of a state as one says it, in whole decibels."""
    decibels = round(state.gain_db)
    if decibels == 0:
        return "no softer at all"
    return f"{abs(decibels)} dB {'softer' if decibels > 0 else 'louder'}"


def heard(state: State) -> str:
    """What a gain means, and whether the noise is still there."""
    still = _STILL[state.heard.verdict]
    decibels = abs(round(state.gain_db))
    if decibels == 0:
        return f"and {still}"
    return "which nobody notices" if decibels < NOTICED_DB else f"{state.words}, and {still}"


def _pane(pane: State | None, weakest: str, hung: State, what: str) -> str:
    if pane is None:
        return ""
    alike = pane.cost and hung.cost and 0.7 * pane.cost <= hung.cost <= 1.4 * pane.cost
    subject = f"For the same money {what}" if alike else what[0].upper() + what[1:]
    if round(pane.gain_db) < NOTICED_DB:
        return f"{subject} alone makes it {softer(pane)}, for most of it comes by the {weakest}."
    return f"{subject} makes it {softer(pane)}: {heard(pane)}."


def notes(room: Room, plan: Plan, after: Array) -> tuple[str, ...]:
    """What the contrast takes for granted, with the limits of its formulas; `after` [s] (27,)."""
    board = plan.board
    resistance = board.flow_resistivity.typical if board.flow_resistivity else 0.0
    limit = 2000.0 * (float(after[index_of(500)]) / room.volume) ** 0.5
    gap = f", {millimetres(plan.gap)} off the wall" if plan.gap else ""
    found = [
        f"Panels: {board.name}, {show_length(plan.thickness)}{gap}, {resistance / 1000:.3g} kPa s/m2, in "
        "cloth, 0.6 m x 1.2 m each, in equal rows on four walls or stacked in four corners.",
        "A row takes in more than its area shows, as sound bends into its rims (radiation impedance of a "
        "finite piece, Thomasson 1980): that is why coefficients pass 1, here as in test reports. Ratings "
        "are those of a 10.8 m2 sample, as in data sheets.",
        "Levels fall by 10 lg of the ratio of the absorption areas (Sabine), the most panels can do: near a "
        "window, or near what you play, sound has not met them yet.",
        "Sabine holds while the mean coefficient is below about 0.2, Eyring while absorption is spread "
        "evenly; with all of it on one wall the room rings longer. Below about "
        f"{round(limit, -1):.0f} Hz this room has too few modes for either: there the times are nominal.",
        "The inner room is that of the file, or a usual one: two boards on free studs, a ceiling on them, a "
        "floor on mounts, a second window and door, air by lined ways; nothing touches. isolate "
        "room-in-room says what it takes and what limits it.",
        "A panel over the window hangs 25 mm off it all round, like a picture, or is sealed airtight; either "
        "way it takes the daylight.",
        LOW_SENTENCE,
        "A cost is the room file's own, or --money; a panel's is the stated one, or 60 (common practice).",
    ]
    if plan.count < plan.asked:
        found.insert(0, f"{plan.asked} panels were asked for; {plan.fit} fit, with some wall left free.")
    if room.reverberation_time is None:
        found.append(
            f"Reverberation as is usual in a {room.furnishing} room (common practice); for your own state "
            "reverberation_time, or its surfaces with --surface."
        )
    return tuple(found)
