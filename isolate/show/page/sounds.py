"""The sounds of a page: short files of one channel, small enough to be part of it, one gain for all in the
room."""

from __future__ import annotations

import base64
from dataclasses import dataclass, replace

import numpy as np

from isolate.answers.listen.answer import Listening
from isolate.bands import Array
from isolate.describe import wav
from isolate.show.sound import scenes as sound_scenes
from isolate.show.sound import sources, take
from isolate.show.sound.filters import filtered, high_pass

RATE = 24_000  # holds the band of 10 kHz
LONGEST, SHORTEST = 5.6, 3.0  # [s]
PEAK_DB = -1.5
LOW_CUT_HZ = 50.0  # nothing below: telephones cannot play it, and it would only take room from the rest
BYTES_A_SECOND = RATE * 2 * 4 / 3  # as text (base64)
_DITHER_SEED = 606


@dataclass(frozen=True)
class PageSound:
    """One sound: its `key`, the file as the text of a data URI, `seconds`, and by how much it is turned down
    against the others of the page [dB]."""

    key: str
    uri: str
    seconds: float
    softer_db: float = 0.0


def count_of(answer: Listening, *, takes: bool) -> int:
    """How many sounds a page has of this answer."""
    return len(answer.scenes) + (2 if takes and answer.in_take else 0)


def sounds(answer: Listening, *, seconds: float, takes: bool) -> dict[str, PageSound]:
    """The scenes by their keys, and compressed takes as "take now" and "take pane".

    Those in the room have one gain, their highest peak just below full scale; the one where the sound is made
    is turned down as far as it must be.
    """
    heard = sound_scenes.rendered(replace(answer, seconds=seconds), rate=RATE, cut=True)

    def scene(key: str) -> Array:  # filtered anew wherever it is asked for: all at once would fill the memory
        return filtered(heard.scenes[key].astype(float), RATE, high_pass(LOW_CUT_HZ))

    made = answer.made.key
    inside = sound_scenes.full_scale((scene(key) for key in heard.scenes if key != made), peak_db=PEAK_DB)
    outside = max(inside, sound_scenes.full_scale([scene(made)], peak_db=PEAK_DB))
    found = {
        key: _sound(key, scene(key), *((outside, outside - inside) if key == made else (inside, 0.0)))
        for key in heard.scenes
    }
    if takes and answer.in_take:
        mixed = take.takes(answer, heard)
        for (key, compressed), one in mixed.signals.items():
            if compressed:
                name = f"take {key}"
                found[name] = _sound(name, one, mixed.full_scale_db + sound_scenes.PEAK_DB - PEAK_DB, 0.0)
    return found


def _sound(
    key: str, samples: Array | sound_scenes.Signal, full_scale_db: float, softer_db: float
) -> PageSound:
    """Samples [re 20 uPa] as a file of 16 bits, with the noise that keeps its last bit honest."""
    rng = np.random.default_rng(_DITHER_SEED)
    dither = (rng.random(samples.size) - rng.random(samples.size)) * 2.0**-15
    scaled = sources.faded(samples * 10.0 ** (-full_scale_db / 20.0), RATE) + dither
    data = base64.b64encode(wav.encode(scaled, rate=RATE, bits=16)).decode()
    return PageSound(key, f"data:audio/wav;base64,{data}", samples.size / RATE, softer_db)
