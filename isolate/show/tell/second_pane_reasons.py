"""The reasons for a second window in sentences."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from isolate.answers.second_pane.reasons import CLEAR_DB, Reason
from isolate.describe.words import listed
from isolate.show import said
from isolate.units import show_length

Values = Mapping[str, Any]


def sentence(reason: Reason) -> str:
    """A reason told."""
    return _SENTENCES[reason.key](reason.values)


def signed(value: float) -> str:
    """A difference in whole decibels with its sign.

    >>> signed(-0.3), signed(4.6)
    ('0', '+5')
    """
    text = f"{value:+.0f}"
    return "0" if text in ("+0", "-0") else text


def _whole(value: float) -> str:
    return signed(value).lstrip("+")


def _mm(value: float) -> str:
    return f"{value:.4g} mm"


def _apart(value: float) -> str:
    return show_length(1e-3 * value)


def _distance(values: Values) -> str:
    softer = values["softer_at_mm"]
    told = listed([f"{_whole(gain)} dB at {_mm(at)}" for at, gain in softer])
    if values["at_least_mm"] > values["nearest_mm"]:
        return f"At least {_apart(values['at_least_mm'])} apart: {values['noise']} softer by {told}."
    text = f"So near, distance decides little: {values['noise']} softer by {told}"
    if values["further_mm"] is not None:
        text += f"; it would take {_apart(values['further_mm'])} to gain {_whole(values['further_dba'])} dB"
    return f"{text}."


def _harm(values: Values) -> str:
    return (
        f"Up to {_apart(values['up_to_mm'])} apart it would make {values['noise']} louder than now, by "
        f"{_whole(-values['worst_dba'])} dB at {_mm(values['worst_mm'])}."
    )


def _resonance(values: Values) -> str:
    where = "at every distance tried" if values["everywhere"] else f"up to {_apart(values['up_to_mm'])} apart"
    text = (
        f"Part of the bass gets louder {where}, where the panes swing against each other: of "
        f"{values['noise']} the {values['band_hz']:g} Hz third, by {_whole(values['worst_db'])} dB at "
        f"{_mm(values['worst_mm'])}; "
    )
    if values["here_db"] < CLEAR_DB:
        return f"{text}as proposed none."
    return (
        f"{text}as proposed still the {values['here_hz']:g} Hz third of {values['here_noise']}, by "
        f"{_whole(values['here_db'])} dB."
    )


def _bass(values: Values) -> str:
    gain, ring = values["octave_gain_db"], values["resonances_hz"]
    told = ", ".join(f"{signed(gain[hz])} at {hz} Hz" for hz in ("63", "125", "250"))
    text = (
        f"By octaves the window gains {told}, {signed(gain['1000'])} dB at 1 kHz. Old window and new pane "
        f"swing against each other at {ring[0]:.0f} Hz"
    )
    if len(ring) > 1:
        others = listed([f"{hz:.0f} Hz" for hz in ring[1:]])
        text += f" (being {len(ring) + 1} panes, at {others} too)"
    return f"{text}: down there a second window brings little, or takes some."


def _ceiling(values: Values) -> str:
    ways: dict[str, list[str]] = {}
    for one in values["noises"]:
        ways.setdefault(one["by"], []).append(f"{100 * one['share']:.0f} % of {one['noise']}")
    told = "; ".join(f"{listed(shares)} {said.by(way)}" for way, shares in ways.items())
    left = sorted({max(round(one["left_dba"]), 0) for one in values["noises"]})
    more = f"{left[0]} to {left[-1]} dB" if len(left) > 1 else f"{left[0]} dB" if left[0] else "nothing"
    text = f"What is left then comes by another path: {told}. Perfect glass would gain {more} more."
    if (then := values["if_closed"]) is None:
        return text
    lined = ", the reveal lined" if then["edges"] == "absorbent" else ""
    return f"{text} For a room with that closed too: {then['pane']}, {_mm(then['gap_mm'])} apart{lined}."


def _more(values: Values) -> str:
    parts = []
    if values["heaviest"]:
        parts.append(
            f"{signed(values['heaviest_dba'])} dB by {values['heaviest']} ({values['heaviest_kg']:.0f} kg)"
        )
    if values["deepest_dba"] is not None:
        parts.append(f"{signed(values['deepest_dba'])} dB by this pane {_mm(values['deepest_mm'])} away")
    return f"More glass or air, against {values['noise']}: {', '.join(parts)}."


def _thickness(values: Values) -> str:
    text = (
        f"{'As thick as the old pane' if values['alike'] else 'Not as thick as the old pane'}: two of "
        f"{_mm(values['old_mm'])} are both weak at {values['band_hz']:g} Hz; one of "
        f"{_mm(values['thicker_mm'])} stops {_whole(values['lost_db'])} dB more there"
    )
    lost = values["lost_dba"]
    return text + (
        f", {_whole(lost)} dB of {values['noise']}." if lost >= 0.5 else ", which decides nothing here."
    )


def _interlayer(values: Values) -> str:
    gain = values["octave_gain_db"]
    return (
        f"Its soft interlayer is credited with {_whole(gain['63'])} dB at 63 Hz and {_whole(gain['125'])} dB "
        f"at 125 Hz over {values['stiff']}. Tests of panes show 2 dB from 100 to 160 Hz and end there."
    )


def _lining(values: Values) -> str:
    first = "Line the reveal: " if values["lined"] else "The reveal may stay bare: "
    return (
        f"{first}50 mm of wool behind cloth on its four sides is worth {_whole(values['gain_dba'])} dB "
        f"against {values['noise']}, {signed(values['gain_63_hz_db'])} dB at 63 Hz."
    )


def _seal(values: Values) -> str:
    told = ", ".join(f"{seal} {_whole(gain)} dB" for seal, gain in values["gain_dba"].items())
    text = f"The seal round the new pane, against {values['noise']}: {told}."
    return f"{text} A leak all round eats what the glass gains." if values["matters"] else text


def _sash(values: Values) -> str:
    both = values["with_pane_dba"]
    worth = f"{_whole(both)} dB more" if both >= CLEAR_DB else "next to nothing more"
    return (
        f"Draught strips on the old sash cost little and make {values['noise']} "
        f"{_whole(values['alone_dba'])} dB softer by themselves, {worth} with the new pane in."
    )


def _one_removed(values: Values) -> str:
    fewer, octaves = values["panes_left"], values["octave_gain_db"]
    low = ", ".join(f"{signed(octaves[hz])} at {hz} Hz" for hz in ("63", "125", "250"))
    what = "a single pane" if fewer == 1 else f"{fewer} panes"
    end = "If it comes out, take it out." if values["gain_dba"] >= CLEAR_DB else "Leave the old panes in."
    return (
        f"With {what} in the old window ({_mm(values['taken_out_mm'])} taken out) and the new one as it is: "
        f"{low}, {signed(values['gain_dba'])} dB against {values['noise']}. {end}"
    )


def _frame(values: Values) -> str:
    return (
        "In a frame of its own, fixed to the reveal: on the old frame the wood shakes it, "
        f"{_whole(values['lost_dba'])} dB less against {values['noise']}."
    )


_SENTENCES: dict[str, Callable[[Values], str]] = {
    "distance": _distance, "harm": _harm, "resonance": _resonance, "bass": _bass, "ceiling": _ceiling,
    "more": _more, "thickness": _thickness, "interlayer": _interlayer, "lining": _lining, "seal": _seal,
    "sash": _sash, "one pane removed": _one_removed, "frame": _frame,
}  # fmt: skip
