"""What is asked of a second window, read from words: the old window, the new panes, the limits."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from isolate import units
from isolate.describe import constructions, leaks, noises
from isolate.describe.constructions import Construction, Leaf
from isolate.describe.layers import is_pane
from isolate.describe.noises import Level
from isolate.describe.stated import Stated
from isolate.errors import shown

Size = tuple[float, float]
SHALLOWEST, DEEPEST = 0.005, 0.6  # [m] between two windows
REVEALS = {"bare": "bare", "lined": "absorbent", "absorbent": "absorbent"}
_INSTEAD = 'write its glass, such as "4 mm", "1/8 in", "double glazed" or "4-16-4"'
_NUMBER = r"\d+(?:\.\d+)?"


@dataclass(frozen=True)
class Asked:
    """A question about a second window; None where nothing was said. Lengths [m], masses [kg].

    window : the old one, sash : the slit round it (width [m]) or the state of its seal, size of both.
    side : of the room; noise : the one that counts, with its `level`.
    seal : state of the new pane's seal; reveal "bare" | "absorbent"; `gaps` and `panes` to look at.
    openable, light, no_fixing : it must open, keep the daylight, or hold without screws and glue.
    """

    window: Construction | None = None
    size: Size | None = None
    sash: str | float | None = None
    side: str | None = None
    noise: str | None = None
    level: Level | None = None
    seal: str | None = None
    reveal: str | None = None
    gaps: tuple[float, ...] = ()
    panes: tuple[Leaf, ...] = ()
    max_gap: float | None = None
    max_weight: float | None = None
    openable: bool = False
    light: bool = False
    no_fixing: bool = False
    notes: tuple[str, ...] = ()

    @property
    def sealed(self) -> str:
        """State of the new pane's seal: as stated, or what such a pane can have."""
        return self.seal or ("draught-stripped" if self.openable or self.no_fixing else "sealed")


def asked(
    *,
    window: str | None = None,
    size: str | None = None,
    sash: str | None = None,
    side: str | None = None,
    noise: str | None = None,
    level: str | None = None,
    seal: str | None = None,
    reveal: str | None = None,
    gaps: Sequence[str] = (),
    panes: Sequence[str] = (),
    max_gap: str | None = None,
    max_weight: str | None = None,
    openable: bool = False,
    light: bool = False,
    no_fixing: bool = False,
) -> Asked:
    """A question in words, each option as on the command line.

    Raises
    ------
    InputError
        All faults together, each behind the name of its option.
    """
    options = Stated()
    built = options.read("window", window, old_window)
    found = Asked(
        window=None if built is None else built[0],
        size=options.read("size", size, _size),
        sash=options.read("sash", sash, _sash),
        side=side,
        noise=noise,
        level=options.read("level", level, noises.level),
        seal=options.read("seal", seal, _seal),
        reveal=options.read("reveal", reveal, _reveal),
        gaps=tuple(g for text in gaps if (g := options.read("gaps", text, _gap)) is not None),
        panes=tuple(p for text in panes if (p := options.read("panes", text, new_pane)) is not None),
        max_gap=options.read("max_gap", max_gap, _gap),
        max_weight=options.read("max_weight", max_weight, lambda text: units.parse(text, "mass")),
        openable=openable,
        light=light,
        no_fixing=no_fixing,
        notes=() if built is None else built[1],
    )
    if level is not None and noise is None:
        options.fault("level", "belongs to one noise; name the noise")
    if found.seal == "sealed" and (openable or no_fixing):
        how = "that opens" if openable else "without fixings"
        options.fault("seal", f"no pane {how} closes that well (got {shown(seal)}); write draught-stripped")
    options.stop()
    return found


def old_window(text: str) -> tuple[Construction, tuple[str, ...]]:
    """A window as people name it: "4 mm", "1/8 in", "double glazed", "4-16-4", or any construction.

    Returns it with notes on what was taken for granted. ValueError or InputError when it is no window.
    """
    tidy = text.strip()
    if _is_length(tidy):
        return constructions.inline(f"glass {tidy}"), ()
    if re.fullmatch(_NUMBER, tidy):
        raise ValueError(f"no window (got {shown(text)}); {_INSTEAD}")
    try:
        built = constructions.resolve(tidy, None, part="window")
    except ValueError as fault:
        if re.search(r"\d", tidy):
            raise
        raise ValueError(f"no window (got {shown(text)}); {_INSTEAD}") from fault
    if not built.layers:
        raise ValueError(f"only its measured curve is known (got {shown(text)}); write its layers")
    if not all(is_pane(layer) for layer in built.layers if isinstance(layer, Leaf)):
        raise ValueError(f"not a window (got {shown(text)}); {_INSTEAD}")
    return built, built.notes


def new_pane(text: str) -> Leaf:
    """A pane to put behind: "6 mm" of glass, "1/4 in", "laminated 6.4 mm", "acrylic 3/8 in"."""
    name = f"glass {text.strip()}" if _is_length(text.strip()) else text
    built = constructions.inline(name)
    pane = built.layers[0]
    if len(built.layers) > 1 or not is_pane(pane):
        raise ValueError(f'not one pane (got {shown(text)}); write it as "6 mm" or "laminated 1/4 in"')
    assert isinstance(pane, Leaf)
    if not 0.001 <= pane.thickness <= 0.04:
        raise ValueError(f'no sane pane (got {shown(text)}); write one of 1 to 40 mm, such as "6 mm"')
    return pane


def _is_length(text: str) -> bool:
    try:
        units.parse(text, "length")
    except ValueError:
        return False
    return True


def _size(text: str) -> Size:
    width, height = units.parse(text, "size")
    if not all(0.15 <= edge <= 6.0 for edge in (width, height)):
        raise ValueError(
            f"no sane window (got {shown(text)}); write width x height, such as "
            '"1.2 m x 1.5 m" or "36 in x 48 in"'
        )
    return width, height


def _gap(text: str) -> float:
    length = units.parse(text, "length")
    if not SHALLOWEST <= length <= DEEPEST:
        raise ValueError(
            f'not from 5 to 600 mm (got {shown(text)}); write the clear distance between the panes, as "4 in"'
        )
    return length


def _sash(text: str) -> str | float:
    if not _is_length(text):
        return leaks.find("window sash", text).seal
    width = units.parse(text, "length")
    if not 2e-5 <= width <= 0.02:
        raise ValueError(f'no sane gap round a sash (got {shown(text)}); write one such as "1 mm"')
    return width


def _seal(text: str) -> str:
    return leaks.find("window sash", text).seal


def _reveal(text: str) -> str:
    word = text.strip().casefold()
    if word not in REVEALS:
        raise ValueError(f"neither bare nor lined (got {shown(text)}); write one of both")
    return REVEALS[word]
