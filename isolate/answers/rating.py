"""The single numbers of a measured spectrum."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import spectra
from isolate.errors import IsolateError
from isolate.room.prediction import LOW_NOTE
from isolate.standards import impact as impact_ratings
from isolate.standards.impact import ImpactNumbers
from isolate.standards.scales import speech_privacy
from isolate.standards.single_numbers import SingleNumbers, rate_spectrum


@dataclass(frozen=True, repr=False)
class Rating(Answer):
    """`name` of the file, its bands [Hz] and values [dB], and the `numbers` they give: of transmission loss,
    or with `impact` of impact sound levels."""

    name: str
    bands_hz: Array
    values_db: Array
    numbers: SingleNumbers | ImpactNumbers
    impact: bool = False

    @property
    def ratings(self) -> dict[str, int | None]:
        """Every rating under the standard's name; None where bands are missing."""
        return self.numbers.to_dict()

    @property
    def speech(self) -> str:
        """What is left of speech behind it, in words; empty without STC."""
        stc = self.ratings.get("STC")
        return "" if stc is None else speech_privacy(stc).words

    @property
    def notes(self) -> tuple[str, ...]:
        low = (LOW_NOTE.partition(", so")[0],) if (self.bands_hz < 100.0).any() else ()
        return (*self.numbers.notes, *low)

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return [(self.name, name, float(value)) for name, value in self.ratings.items() if value is not None]

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        values = {"l_n_db" if self.impact else "tl_db": self.values_db}
        body = {"ratings": self.ratings, "bands_hz": self.bands_hz, **values, "notes": self.notes}
        return headed("rate", {"spectrum": self.name}, body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output, a row a rating."""
        return ["rating", "value_db"], [[name, value] for name, value in self.ratings.items()]


def rating(
    spectrum: Path | str | ArrayLike, *, bands_hz: ArrayLike = THIRD_OCTAVES, impact: bool = False
) -> Rating:
    """Answer: what do the standards make of this spectrum?

    Parameters
    ----------
    spectrum : a CSV file with columns band_hz,tl_db ("-" is standard input), or transmission loss or level
        differences [dB] (n,); with `impact` band_hz,l_n, or normalised impact sound levels.
    bands_hz : third octaves or octaves (n,) [Hz] of values that come from no file.

    Raises
    ------
    InputError
        A file that cannot be read, or values and bands that do not go together.
    IsolateError
        Too few bands for any rating.

    Examples
    --------
    >>> import isolate
    >>> found = isolate.rate([21, 25, 31, 36, 39], bands_hz=[125, 250, 500, 1000, 2000])
    >>> found.ratings["Rw"], found.ratings["STC"]
    (35, None)
    """
    if isinstance(spectrum, str | Path):
        columns = ("band_hz", "l_n" if impact else "tl_db")
        name, (bands, values) = str(spectrum), spectra.read_csv(Path(spectrum), columns)
    else:
        name, bands, values = "values", np.asarray(bands_hz, float), np.asarray(spectrum, float)
    numbers = impact_ratings.rate_spectrum(bands, values) if impact else rate_spectrum(bands, values)
    found = Rating(name, bands, values, numbers, impact)
    if not any(value is not None for value in found.ratings.values()):
        raise IsolateError(f"{name}: no rating can be made of these bands: {'; '.join(numbers.notes)}")
    return found
