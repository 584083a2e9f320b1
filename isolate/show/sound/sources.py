"""Noises made by us: a character that suits the name, given the spectrum and the level that were stated."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy import fft

from isolate.bands import THIRD_OCTAVES, Array, energy_sum
from isolate.show.sound import machines, shaping, voices
from isolate.show.sound.filters import Complex, fast, frequencies
from isolate.show.sound.machines import Maker
from isolate.standards.third_octave import usable
from isolate.standards.weighting import A_WEIGHTING

FADE = 0.08  # [s] at both ends
_BED_DB = -18.0  # of the plain noise under a character, re the whole, where the character has energy
_TRUST_DB = 22.0  # a band of the character is not lifted by more than this above what the others need


@dataclass(frozen=True)
class Kind:
    """How a noise is made: `passing` ones state their level at the loudest second, others on the mean; they
    have plain noise in the bands that their character does not reach, as machines do and a tune
    does not; `words` for what is heard."""

    make: Maker
    words: str
    passing: bool = False
    bed_hz: float = np.inf


_M, _V = machines, voices
KINDS: dict[str, Kind] = {
    "siren": Kind(_M.wail, "a siren that sweeps", passing=True),
    "siren, two-tone": Kind(_M.two_tones, "a two-tone horn", passing=True, bed_hz=330.0),
    "refuse truck": Kind(_M.refuse_truck, "a truck that idles, then presses", passing=True),
    "delivery van": Kind(_M.delivery_van, "a van that idles, then pulls away", passing=True),
    "lorry": Kind(_M.bus, "a lorry that passes", passing=True),
    "bus": Kind(_M.bus, "a bus that pulls away", passing=True),
    "motorcycle": Kind(_M.motorcycle, "a motorcycle that pulls away", passing=True),
    "lawn mower": Kind(_M.lawn_mower, "a lawn mower"),
    "helicopter": Kind(_M.helicopter, "a helicopter that passes", passing=True),
    "tram": Kind(_M.tram, "a tram that passes", passing=True),
    "tram squeal": Kind(_M.squeal, "wheels that squeal in a curve", passing=True),
    "train": Kind(_M.train, "a train that passes", passing=True),
    "aircraft": Kind(_M.jet, "a jet that passes over", passing=True),
    "road traffic": Kind(_M.traffic, "cars that pass"),
    "motorway": Kind(_M.traffic, "cars that pass"),
    "transport mix": Kind(_M.traffic, "traffic"),
    "outdoor unit": Kind(_M.hum, "a compressor and its fan"),
    "speech": Kind(_V.talk, "two who talk"),
    "shouting": Kind(_V.shouts, "two who shout"),
    "television": Kind(_V.talk, "voices"),
    "playground": Kind(_V.yard, "children's voices"),
    "dawn birds": Kind(_V.birds, "five birds that sing"),
    "dog": Kind(_V.dog, "a dog that barks"),
    "party next door": Kind(_V.beat, "a beat and a bass line"),
    "mixing": Kind(_V.beat, "a beat and a bass line"),
    "drum kit": Kind(_V.drums, "drums"),
    "amplified bass": Kind(_V.bass_line, "a bass line", bed_hz=0.0),
    "clarinet": Kind(_V.clarinet, "a clarinet's tune", bed_hz=0.0),
    "saxophone": Kind(_V.saxophone, "a saxophone's tune", bed_hz=0.0),
    "trumpet": Kind(_V.trumpet, "a trumpet's tune", bed_hz=0.0),
    "cello": Kind(_V.cello, "a cello's tune", bed_hz=0.0),
    "violin": Kind(_V.violin, "a violin's tune", bed_hz=0.0),
    "singing voice": Kind(_V.singer, "a tune on one vowel", bed_hz=0.0),
    "piano": Kind(_V.piano, "a piano's tune", bed_hz=0.0),
    "acoustic guitar": Kind(_V.guitar, "a guitar's tune", bed_hz=0.0),
    "electric guitar": Kind(_V.guitar, "a guitar's tune", bed_hz=0.0),
}
SPEAKER = Kind(_V.speaker, "one who talks")
PLAIN = Kind(_M.plain, "plain noise of this spectrum")


_PLACES = {
    ("speech", False): Kind(_V.pavement, "two who talk as they pass"),
    ("speech", True): Kind(_V.landing, "two who talk between bare walls"),
}


def kind_of(name: str, *, indoors: bool | None = None) -> Kind:
    """How the noise of this name in the catalogue is made, outdoors or `indoors` where that is known and it
    matters; plain noise where there is no better way."""
    usual = KINDS.get(name, PLAIN)
    return usual if indoors is None else _PLACES.get((name, indoors), usual)


def made(kind: Kind, level_db: Array, *, seconds: float, rate: int, seed: int) -> Array:
    """The noise [re 20 uPa], silent at both ends, with third-octave levels (27,) that stand to each other as
    `level_db` and, A-weighted, come to the stated level: at the loudest second, or on the mean."""
    rng = np.random.default_rng(seed)
    count = round(seconds * rate)
    spectrum_db = np.where(usable(rate), level_db, -400.0)
    character, course = kind.make(count, rate, rng)
    # an abrupt start would be a click, whose bass the fit to the spectrum would raise to a thump
    spectrum = fft.rfft(faded(character, rate), fast(count + rate))
    del character
    both = _with_bed(spectrum, course, spectrum_db, rate, rng, bed_hz=kind.bed_hz)
    return levelled(faded(both, rate), level_db, rate, loudest_second=kind.passing)


def _with_bed(
    spectrum: Complex, course: Array, level_db: Array, rate: int, rng: np.random.Generator, *, bed_hz: float
) -> Array:
    """The character of this `spectrum`, as long as its `course`, where it has energy, plain noise along
    `course` in the bands it leaves empty, up to `bed_hz`."""
    count, padded = course.size, fast(course.size + rate)
    own_db = shaping.levels_of(spectrum, count=padded, rate=rate)
    own = shaping.carries(spectrum, count=padded, rate=rate)
    need = level_db - own_db
    weight = 10.0 ** ((level_db - level_db.max()) / 10.0) * own
    own &= need < np.sum(weight * np.where(own, need, 0.0)) / weight.sum() + _TRUST_DB
    lead = fft.irfft(shaping.fitted(spectrum, level_db, count=padded, rate=rate, where=own), padded)[:count]
    del spectrum
    laid = bed_hz >= THIRD_OCTAVES
    if not laid.any():
        return np.asarray(lead)
    bed_db = np.where(laid, np.where(own, level_db + _BED_DB, level_db), -400.0)
    bed = shaping.noise(bed_db, padded, rate, rng)[:count]
    bed *= course * np.sqrt(padded / count / np.mean(course**2))
    lead = lead + bed
    del bed
    whole = fft.rfft(faded(lead, rate), padded)
    whole = shaping.fitted(whole, level_db, count=padded, rate=rate, where=usable(rate) & (own | laid))
    return np.asarray(fft.irfft(whole, padded)[:count])


def faded(samples: Array, rate: int) -> Array:
    """With both ends brought to silence."""
    found, count = samples.copy(), round(FADE * rate)
    ramp = np.sin(0.5 * np.pi * np.arange(count) / count) ** 2
    found[:count] *= ramp
    found[-count:] *= ramp[::-1]
    return found


def weighted_course(samples: Array, rate: int, *, seconds: float = 1.0) -> Array:
    """A-weighted mean square of every stretch of `seconds`, (count - stretch + 1,)."""
    padded = shaping.padded(samples.size, rate)
    weight = 10.0 ** (shaping.gain_over(A_WEIGHTING, frequencies(padded, rate)) / 20.0)
    weighed = fft.irfft(fft.rfft(np.asarray(samples, float), padded) * weight, padded)[: samples.size]
    total = np.concatenate(([0.0], np.cumsum(weighed**2)))
    stretch = min(round(seconds * rate), samples.size)
    return np.asarray((total[stretch:] - total[:-stretch]) / stretch)


def loudest(samples: Array, rate: int) -> float:
    """A-weighted level [dB] of the loudest second."""
    return float(10.0 * np.log10(weighted_course(samples, rate).max()))


def levelled(samples: Array, level_db: Array, rate: int, *, loudest_second: bool) -> Array:
    """Samples scaled so that their A-weighted level is that of `level_db` (27,) in the bands they can
    hold."""
    wanted = float(energy_sum((level_db + A_WEIGHTING)[usable(rate)]))
    if loudest_second:
        now = loudest(samples, rate)
    else:
        now = float(energy_sum(shaping.levels(samples, rate) + A_WEIGHTING))
    return samples * 10.0 ** ((wanted - now) / 20.0)
