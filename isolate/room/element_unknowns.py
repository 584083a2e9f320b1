"""What is not known of the elements of the envelope: materials, workmanship, gaps, and how well a prediction
holds.

Published specimens are predicted at typical materials, so the error of the prediction (`uncertainty`) holds
the scatter of materials already: what materials and workmanship add up to is taken out of it, and the whole
is larger only where they alone are more.

Constructions that have much in common err alike. Of the error's variance a part goes with the family, a part
with the layers, shared out among them, and the rest with the one construction: two windows that share all
layers and differ in a cavity's depth err mostly alike, a wall and a window do not. What laboratories differ
by is taken as a matter of the place: most of it stays with the side when its construction changes. The parts
are assumptions; in published specimens of one family, from different laboratories, errors correlate by 0
(panes) to 0.3 (masonry, studs).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from isolate.bands import N_BANDS, Array
from isolate.describe import words
from isolate.describe.constructions import Construction
from isolate.describe.materials import Range
from isolate.describe.rooms import Gap, Side
from isolate.physics import leakage, rated
from isolate.physics.averages import NOTHING
from isolate.physics.responses import WORKMANSHIP, Response
from isolate.physics.transmission import transmission
from isolate.room import model_error, prediction, unknowns
from isolate.room.contributions import Answering, Contribution, OneOf, Smooth, spread
from isolate.room.elements import TAPE_DB, BuiltSide, Element, Finder, named_gaps
from isolate.room.families import family

TESTED = "as tested"  # the place of a construction by itself
FAMILY, LAYERS, OWN = 0.2, 0.5, 0.3  # parts of the variance of a prediction's error
PLACE = 0.7  # part of the laboratories' variance that belongs to the place


@dataclass
class ElementUnknowns:
    """Finds the contributions of elements; the `finder` knows what their constructions answer to."""

    finder: Finder = field(default_factory=Finder)

    def of(self, one: Element, sides: Mapping[str, BuiltSide]) -> tuple[Contribution, ...]:
        """What adds to the loss of an element [dB]; `sides` by name."""
        found = sides.get(one.side)
        if one.kind == "construction" and found is not None and found.side.second is None:
            return self._construction(found.side)
        if one.kind == "gap" and found is not None:
            return (self._gap(one, found.side),)
        return (_other(one),)

    def _construction(self, side: Side) -> tuple[Contribution, ...]:
        if side.found is not None:
            shares = ((f"measured {side.name}", 1.0),)
            return (Smooth(unknowns.prediction(side.name), shares, side.found.sigma_db),)
        size = side.extent
        parts = self.of_construction(side.construction, size=size, place=side.name)
        return (*parts, _make(side, size)) if side.perhaps else parts

    def of_construction(
        self, built: Construction, *, size: tuple[float, float], place: str
    ) -> tuple[Contribution, ...]:
        """What adds to the transmission loss [dB] of a construction of this size [m] at a place."""
        parts: list[Contribution] = [
            Answering(unknowns.of_key(one.key), one, one.key) for one in self.finder.responses(built, size)
        ]
        if built.layers:
            error = model_error.of(family(built))
            rest = np.sqrt(np.maximum(error**2 - spread(parts) ** 2, 0.0))
            parts.append(Smooth(unknowns.prediction(place), _shares(built), rest))
        if built.rated is not None:
            left = rated.curve(built.rated.ratings, built.kind)[1]
            parts.append(Smooth(unknowns.sheet(place), ((f"sheet {built.name}", 1.0),), left))
        here = f"place {place}"
        shares = ((here, PLACE), (f"{here} {built.name}", 1.0 - PLACE))
        parts.append(Smooth(unknowns.prediction(place), shares, prediction.LABORATORY_DB))
        return tuple(parts)

    def _gap(self, one: Element, side: Side) -> Contribution:
        """A gap's width, or its whole loss where no gap of the side is called so."""
        unknown = unknowns.gap(one.name)
        gap = _gap_of(one, side)
        if gap is None:
            return Smooth(unknown, ((one.name, 1.0),), one.sigma_db)
        widths = gap.widths or _by_tape(gap.width)
        ends = [leakage.gap(_exactly(gap, width)) for width in (gap.width, widths.low, widths.high)]
        usual, low, high = (-10.0 * np.log10(np.maximum(tau_area, NOTHING)) for tau_area in ends)
        key = f"{side.name} {gap.name} {gap.width:.6f}"
        return Answering(unknown, Response(key, low - usual, high - usual), key)


def beyond_model(construction: Construction, *, size: tuple[float, float]) -> tuple[Array, Array]:
    """Standard deviation [dB] (27,) that materials and workmanship add to the error of the prediction, which
    holds their usual scatter already; and what poor workmanship changes [dB] (27,), 0 at most."""
    parts = ElementUnknowns().of_construction(construction, size=size, place=TESTED)
    answering = [part for part in parts if isinstance(part, Answering)]
    more = np.sqrt(np.maximum(spread(answering) ** 2 - model_error.of(family(construction)) ** 2, 0.0))
    built = [part.response for part in answering if part.response.key in WORKMANSHIP]
    ends = [np.zeros(N_BANDS), *(end for one in built for end in (one.low_db, one.high_db))]
    return more, np.min(ends, axis=0)


def _shares(construction: Construction) -> tuple[tuple[str, float], ...]:
    layers = [words.layer(layer) for layer in construction.layers]
    return (
        (f"family {family(construction)}", FAMILY),
        *(
            (f"layer {layer} {layers[:i].count(layer)}", LAYERS / len(layers))
            for i, layer in enumerate(layers)
        ),
        (f"construction {construction.kind}: {' + '.join(layers)}", OWN),
    )


def _make(side: Side, size: tuple[float, float]) -> OneOf:
    curves = [transmission(one, size=size).tl_db for one in (side.construction, *side.perhaps)]
    meant = side.construction.meant
    unknown = unknowns.make(side.name, side.construction.kind, tell=meant.tell if meant else "")
    return OneOf(unknown, f"make {side.name}", np.array(curves) - curves[0])


def _gap_of(one: Element, side: Side) -> Gap | None:
    return next((gap for gap, name in named_gaps(side.gaps) if one.name == f"{side.name}: {name}"), None)


def _by_tape(width: float) -> Range:
    """A stated width as it is measured: its level within `TAPE_DB` (standard deviation)."""
    factor = 10.0 ** (prediction.LIMIT * TAPE_DB / 10.0)
    return Range(width / factor, width, width * factor)


def _exactly(gap: Gap, width: float) -> Gap:
    return replace(gap, width=width, widths=None)


def _other(one: Element) -> Contribution:
    """An element known as a whole: vents, openings, flanking, pairs of doors."""
    unknown = {
        "vent": unknowns.vent,
        "opening": unknowns.opening,
        "flanking": unknowns.flanking,
        "gap": unknowns.gap,
        "structure": unknowns.floor,
    }.get(one.kind, unknowns.prediction)
    name = one.side if one.kind == "construction" else one.name
    return Smooth(unknown(name), ((one.name, 1.0),), one.sigma_db)
