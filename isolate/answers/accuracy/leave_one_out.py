"""What the calibrated constants owe to each specimen: predictions with its influence taken out.

The constants are calibrated on many specimens at once. To see what a specimen would be predicted as had it
never been seen, its errors are taken as linear in the logarithms of the constants, the constants are fitted
with and without it (weighted least squares, the literature's range as prior), it is predicted anew, in full,
with the constants moved by the difference of both fits.

Reference: one Gauss-Newton step; leaving a block of rows out of a least-squares fit as in D. A. Belsley,
E. Kuh, R. E. Welsch, Regression Diagnostics (1980), chapter 2 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, NamedTuple

import numpy as np

from isolate.answers.accuracy.specimens import Specimen, predict
from isolate.bands import THIRD_OCTAVES, Array
from isolate.physics import calibrated
from isolate.physics.calibrated import Constant
from isolate.processes import mapped
from isolate.room import prediction
from isolate.room.model_error import Left
from isolate.standards.contours import contour_shift
from isolate.standards.tables import ISO_THIRDS, STC

Progress = Callable[[str, int, int], None]  # what is done, how many, of how many
STEP = 0.05  # of the logarithm of a constant
MODEL_DB = 2.5  # standard deviation of a prediction's band assumed in the fit (ISO 12354-1:2017, clause 5)
RATING_DB = 1.2  # between laboratories in a single number, ISO 12999-1:2014 table 3, situation A
UNKNOWN = math.log(3.0)  # standard deviation of ln of a constant without a range


@dataclass(frozen=True)
class Block:
    """A specimen in the fit: errors [dB] (n,), their slopes by each parameter (n, p), weights (n,)."""

    error: Array
    slope: Array
    weight: Array

    def normal(self) -> tuple[Array, Array]:
        """Its part of the normal equations, J' W J and -J' W e."""
        weighted = self.slope.T * self.weight
        return weighted @ self.slope, -weighted @ self.error


class Prior(NamedTuple):
    """Normal prior of each parameter: mean and standard deviation, (p,) both."""

    mean: Array
    sd: Array


def fitted(blocks: Sequence[Block], prior: Prior) -> tuple[Array, Array]:
    """Parameters (p,) that make the weighted squares of errors plus prior least, of all blocks, and without
    each in turn (blocks, p)."""
    parts = [block.normal() for block in blocks]
    inverse = 1.0 / prior.sd**2
    left = np.asarray(np.diag(inverse) + sum(a for a, _ in parts))
    right = np.asarray(inverse * prior.mean + sum(b for _, b in parts))
    without = [np.linalg.solve(left - a, right - b) for a, b in parts]
    return np.asarray(np.linalg.solve(left, right)), np.array(without)


class Fitted(NamedTuple):
    """A constant as it is and as the linearised fit of all specimens would have it."""

    name: str
    constant: Constant
    refit: float
    specimens: int

    def to_dict(self) -> dict[str, Any]:
        """Plain data, as text with enough digits."""
        return {
            "name": self.name, "unit": self.constant.unit, "value": f"{self.constant.value:.3g}",
            "refit": f"{self.refit:.3g}", "specimens": self.specimens,
            "literature": self.constant.literature, "set_on": self.constant.set_on,
        }  # fmt: skip


@dataclass(frozen=True)
class LeftOut:
    """Specimens predicted without their influence, in their order, and the constants fitted."""

    specimens: tuple[Specimen, ...]
    constants: tuple[Fitted, ...]


def quiet(what: str, done: int, of: int) -> None:
    """Progress that nobody watches."""


def leave_one_out(specimens: Sequence[Specimen], progress: Progress = quiet, processes: int = 1) -> LeftOut:
    """Predict each specimen with its own say in the calibrated constants taken out, by so many processes.

    Specimens marked as doubtful are predicted, but have no say in the fit.
    """
    names, blocks, found = _names(specimens), [], []
    for block in mapped(partial(_block, names=names), specimens, processes):
        blocks.append(block)
        progress("specimens differentiated by the constants", len(blocks), len(specimens))
    whole, without = fitted(blocks, _prior(names))
    moved = [dict(zip(names, steps.tolist(), strict=True)) for steps in without - whole]
    for one in mapped(_without, zip(specimens, moved, strict=True), processes):
        found.append(one)
        progress("specimens predicted without their own say", len(found), len(specimens))
    constants = tuple(
        Fitted(
            name,
            calibrated.CONSTANTS[name],
            calibrated.CONSTANTS[name].value * math.exp(step),
            sum(name in one.constants for one in specimens),
        )
        for name, step in zip(names, whole, strict=True)
    )
    return LeftOut(tuple(found), constants)


def _names(specimens: Sequence[Specimen]) -> list[str]:
    """Constants above zero that some specimen rests on, in the table's order."""
    read = frozenset().union(*(one.constants for one in specimens))
    return [name for name, one in calibrated.CONSTANTS.items() if name in read and one.value > 0.0]


def _prior(names: Sequence[str]) -> Prior:
    """Of ln(constant / its value): the literature's range as 5 and 95 %, or a factor of three either way."""
    mean, sd = np.zeros(len(names)), np.full(len(names), UNKNOWN)
    for i, name in enumerate(names):
        one = calibrated.CONSTANTS[name]
        if one.low and one.high and one.high > one.low > 0.0:
            mean[i] = math.log(math.sqrt(one.low * one.high) / one.value)
            sd[i] = math.log(one.high / one.low) / (2.0 * prediction.LIMIT)
    return Prior(mean, sd)


def _block(one: Specimen, names: Sequence[str]) -> Block:
    """A specimen's errors, and how they go with each of these constants."""
    error, weight = _fitted_to(one)
    slope = np.zeros((error.size, len(names)))
    for j, name in enumerate(names):
        if name in one.constants:
            with calibrated.using(**{name: calibrated.CONSTANTS[name].value * math.exp(STEP)}):
                slope[:, j] = (_fitted_to(predict(one.construction))[0] - error) / STEP
    return Block(error, slope, np.zeros_like(weight) if one.measured.doubt else weight)


def _without(asked: tuple[Specimen, dict[str, float]]) -> Specimen:
    """A specimen with the constants it rests on moved by so much, in ln."""
    one, moved = asked
    at = {
        name: calibrated.CONSTANTS[name].value * math.exp(step)
        for name, step in moved.items()
        if name in one.constants and abs(step) > 1e-9
    }
    with calibrated.using(**at):
        return predict(one.construction) if at else one


def _fitted_to(one: Specimen) -> tuple[Array, Array]:
    """Errors of a specimen that the fit sees, and their weights: its bands, an octave counting like three
    thirds, or the single number if there are none."""
    if one.bands_hz.size:
        sigma = np.hypot(laboratory(one), MODEL_DB)
        return one.error_db, (1.0 if one.measured.octave else 1.0 / 3.0) / sigma**2
    weight = np.full(len(one.rated), 1.0 / (RATING_DB**2 + MODEL_DB**2))
    return np.array([fraction(one.tl_db, r.name) - r.published for r in one.rated]), weight


def fraction(tl_db: Array, name: str) -> float:
    """Rw or STC [dB] to hundredths, so that it moves with the curve; half a decibel lower, because the whole
    one that is published cuts half a decibel off on average."""
    fine = replace({"Rw": ISO_THIRDS, "STC": STC}[name], units_per_db=100)
    return float(contour_shift(tl_db[fine.bands], fine, per_db=100)) / 100.0 - 0.5


def laboratory(one: Specimen) -> Array:
    """Standard deviation between laboratories [dB] in the specimen's bands (n,)."""
    return np.interp(np.log(one.bands_hz), np.log(THIRD_OCTAVES), prediction.LABORATORY_DB)


def left(one: Specimen) -> Left:
    """What is left of a specimen's bands, for the table of the model's error."""
    return Left(one.family, one.bands_hz, one.error_db, laboratory(one))
