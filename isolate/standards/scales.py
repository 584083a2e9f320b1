"""Published scales of words: how much of a level is bass, what becomes of speech behind a partition."""

from __future__ import annotations

from dataclasses import dataclass

BASS: tuple[tuple[float, str], ...] = ((20.0, "mostly bass"), (10.0, "the bass of it first"))
"""Words for a C-weighted less an A-weighted level [dB], from the largest: above 20 dB low frequencies rule
(DIN 45680:1997), above 10 dB they deserve a look of their own (WHO, Guidelines for Community Noise, 1999);
both from memory."""

NORMAL_PRIVACY = 80.0
CONFIDENTIAL_PRIVACY = 86.0
"""STC plus background [dBA] from which normal speech is private, or confidential: published as STC 45 with
35 dBA, and STC 51 with 35 dBA or STC 45 with 41 dBA."""

SCALE_BACKGROUND_DBA = 30.0
"""Background the published scale of words is read for: common practice, no source."""

_SPEECH: tuple[tuple[float, str], ...] = (
    (50.0, "raised voices are not heard"),
    (48.0, "raised voices are at the edge of hearing"),
    (45.0, "raised voices are caught only by who listens for them"),
    (42.0, "raised voices are a murmur"),
    (35.0, "raised voices are heard, but no words"),
    (30.0, "raised voices are followed, most words of them"),
    (25.0, "talk is followed, raised voices to the word"),
)
_LEAST = "talk is followed without effort"
"""What is left of speech from which STC on: the steps are those of scales that practice publishes, which
differ among themselves by a few points (read; no standard states them), the words are our own. Speech only,
never music."""


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
    words = next((text for least, text in _SPEECH if alike >= least), _LEAST)
    total = stc + background_dba
    if total >= CONFIDENTIAL_PRIVACY:
        return SpeechPrivacy(words, "confidential")
    return SpeechPrivacy(words, "normal" if total >= NORMAL_PRIVACY else "none")
