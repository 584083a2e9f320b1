"""Limits at the listener and the privacy scale of speech, as data with their sources.

None of them stands in for the rule that holds where the room is: local codes, leases and planning conditions.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Limit:
    """A published limit [dB] of noise inside a dwelling.

    `quantity` is "dBA", "dBA max", "third octave" (each third octave of `bands_hz`) or
    "dBA over background"; `when` and `where` say for what it was written.
    """

    key: str
    quantity: str
    value_db: float
    where: str
    when: str
    source: str
    basis: str
    bands_hz: tuple[float, float] | None = None


_WHO = "WHO, Guidelines for Community Noise, 1999"
_CITY = "city noise code, commercial music measured inside a dwelling"
_CONDITION = "planning condition, example"
_FLOOR = "city noise code, noise over background in a bedroom"

LIMITS: tuple[Limit, ...] = (
    Limit("who-bedroom", "dBA", 30.0, "bedroom", "night, average", _WHO, "read"),
    Limit("who-bedroom-max", "dBA max", 45.0, "bedroom", "night, single events", _WHO, "read"),
    Limit("who-living-room", "dBA", 35.0, "living room", "day, average", _WHO, "read"),
    Limit("music-total", "dBA", 42.0, "dwelling", "any time", _CITY, "read"),
    Limit("music-bass", "third octave", 45.0, "dwelling", "any time", _CITY, "read", (63.0, 500.0)),
    Limit("over-background-day", "dBA over background", 3.0, "dwelling", "day", _CONDITION, "read"),
    Limit("over-background-night", "dBA over background", 1.0, "dwelling", "night", _CONDITION, "read"),
    Limit("over-background-total", "dBA over background", 5.0, "bedroom", "any time", _FLOOR, "read"),
    Limit("over-background-octave", "octave over background", 8.0, "bedroom", "any time", _FLOOR, "read",
          (31.5, 8000.0)),
)  # fmt: skip

BASS: tuple[tuple[float, str], ...] = ((20.0, "mostly bass"), (10.0, "the bass of it first"))
"""Words for a C-weighted less an A-weighted level [dB], from the largest: above 20 dB low frequencies rule
(DIN 45680:1997), above 10 dB they deserve a look of their own (WHO, Guidelines for Community Noise, 1999);
both from memory."""

OPEN_WINDOW_DB = 15.0
"""What a window ajar is taken to keep out, dBA (WHO, Guidelines for Community Noise, 1999)."""

NORMAL_PRIVACY = 80.0
CONFIDENTIAL_PRIVACY = 86.0
"""STC plus background [dBA] from which normal speech is private, or confidential: published as STC 45 with
35 dBA, and STC 51 with 35 dBA or STC 45 with 41 dBA."""

SCALE_BACKGROUND_DBA = 30.0
"""Background the published scale of words is read for: common practice, no source."""

# Published scales differ by a few points; speech only, never music.
_SPEECH: tuple[tuple[float, str], ...] = (
    (50.0, "loud speech not heard"),
    (48.0, "loud speech barely heard"),
    (45.0, "loud speech heard only when straining to listen"),
    (42.0, "loud speech heard as a murmur"),
    (35.0, "loud speech heard but not understood"),
    (30.0, "loud speech understood fairly well"),
    (25.0, "normal speech understood"),
)


@dataclass(frozen=True)
class SpeechPrivacy:
    """What becomes of speech behind a partition: words for loud and normal speech, and the grade of privacy
    ("none", "normal", "confidential") of normal speech."""

    words: str
    grade: str


def speech_privacy(stc: float, *, background_dba: float = SCALE_BACKGROUND_DBA) -> SpeechPrivacy:
    """Privacy of speech through a partition of `stc` (or NIC) into a background [dBA]. Not for music.

    Each decibel more background does what a point of STC does, which is what the published pairs show.

    >>> speech_privacy(45, background_dba=35).grade
    'normal'
    """
    alike = stc + background_dba - SCALE_BACKGROUND_DBA
    words = next((text for least, text in _SPEECH if alike >= least), "normal speech understood easily")
    total = stc + background_dba
    if total >= CONFIDENTIAL_PRIVACY:
        return SpeechPrivacy(words, "confidential")
    return SpeechPrivacy(words, "normal" if total >= NORMAL_PRIVACY else "none")
