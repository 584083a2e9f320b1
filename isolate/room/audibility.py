"""Words for what is heard: one verdict from margin and chance, one rule for what is noticed, what a gain
means.

Published practice (programmes of sound insulation; words for changes in noise guidance): 1 dB goes unnoticed
outside a laboratory, 3 dB is just noticed, 5 dB clearly; each 10 dB halves the loudness (sone scale, ISO 532
in its simplest form: 2^(dB/10)).
"""

from __future__ import annotations

from isolate.standards import hearing

NOTICED_DB, CLEARLY_DB = 3.0, 5.0
UNNOTICED_DB = 1.0  # below it nobody tells a difference outside a laboratory
LIKELY = 1.0 / 3.0  # from this chance on what is not heard, as computed, is told as what may be
MAYBE = "may be heard"
VERDICTS = ("not audible", MAYBE, "faint", "audible", "clear")  # from the softest
_LEAST_HALF_DB = 8.5  # from which a gain is told as a fraction of the loudness
_FRACTIONS = (
    "half", "a third", "a quarter", "a fifth", "a sixth", "a seventh", "an eighth", "a ninth", "a tenth",
)  # fmt: skip


def verdict(margin_db: float, chance: float) -> str:
    """The word for a sound that sticks out by `margin_db` and is heard with `chance`.

    >>> verdict(-1.0, 0.44), verdict(-8.0, 0.02), verdict(12.0, 0.99)
    ('may be heard', 'not audible', 'clear')
    """
    word = hearing.verdict(margin_db)
    return MAYBE if word == VERDICTS[0] and chance >= LIKELY else word


def heard(verdict: str) -> bool:
    """Whether a verdict says that something is heard, surely or perhaps."""
    return verdict != VERDICTS[0]


def noticed(gain_db: float) -> bool:
    """Whether a drop of so many dB is noticed: 3 dB to the whole decibel.

    >>> noticed(2.6), noticed(2.4)
    (True, False)
    """
    return gain_db >= NOTICED_DB - 0.5


def loudness(gain_db: float) -> str:
    """What a drop of `gain_db` [dB] means to a listener.

    >>> loudness(2.0), loudness(10.0), loudness(25.0)
    ('you will not notice this', 'about half as loud', 'about a sixth as loud')
    """
    if noticed(-gain_db):
        return "louder than now"
    if not noticed(gain_db):
        return "you will not notice this"
    if gain_db < CLEARLY_DB:
        return "just noticeable"
    if gain_db < _LEAST_HALF_DB:
        return "clearly quieter"
    part = round(2.0 ** (gain_db / 10.0))
    return f"about {_FRACTIONS[part - 2]} as loud" if part <= 10 else "less than a tenth as loud"
