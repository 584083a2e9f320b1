"""Answers as plain data for JSON: numbers rounded, infinities and missing values as null."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from isolate.version import __version__

_CHANCE_DIGITS = 5
FORMAT = 2  # of every answer's data; raised when a key changes its meaning


def plain(value: Any, digits: int = 2) -> Any:
    """`value` with arrays as lists, floats rounded to `digits` (chances finer, so that none reads 0 or 1),
    what is not finite as None."""
    if isinstance(value, dict):
        return {
            str(key): plain(item, _CHANCE_DIGITS if "chance" in str(key) else digits)
            for key, item in value.items()
        }
    if isinstance(value, list | tuple):
        return [plain(item, digits) for item in value]
    if isinstance(value, np.ndarray):
        return plain(value.tolist(), digits)
    if isinstance(value, float | np.floating):
        return round(float(value), digits) if math.isfinite(value) else None
    if isinstance(value, np.integer):
        return int(value)
    return value


def headed(question: str, inputs: dict[str, Any], body: dict[str, Any]) -> dict[str, Any]:
    """The data of an answer with what all answers carry: `format`, `version`, `question`, `inputs`."""
    head = {"format": FORMAT, "version": __version__, "question": question, "inputs": inputs}
    return plain(head) | plain(body)
