"""Numbers on the command line."""

from __future__ import annotations

import math
from typing import Any

import click


class Finite(click.FloatRange):
    """A number in a range; "nan" lies outside every range."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value} is no number to reckon with.", param, ctx)
        return number
