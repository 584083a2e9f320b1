"""The drawings of a page, as SVG that takes its colours from the page: sections of the room, curves, bars.

They are built as trees, so that whatever is written into them is text and nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as Tree

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array

_TICKS = ("31", "63", "125", "250", "500", "1k", "2k", "4k", "8k")
_PANELS = (
    (203.0, 22.0, 7.0, 30.0), (203.0, 70.0, 7.0, 30.0), (108.0, 14.0, 34.0, 7.0), (152.0, 14.0, 34.0, 7.0),
)  # fmt: skip
SOFT_DBA, RANGE_DBA = 12.0, 78.0  # what is drawn as no sound at all, and up to where it gets stronger
QUIET_DBA = 32.0  # from here on it is drawn as something soft
_SPREAD = 0.72  # [rad] of a wave front to each side


def drawing(width: float, height: float, title: str, told: str, key: str, **more: str) -> Tree.Element:
    """An empty drawing with its alternative text."""
    root = Tree.Element(
        "svg", {"viewBox": f"0 0 {width:g} {height:g}", "role": "img",
                "aria-labelledby": f"{key}-t {key}-d", **more},
    )  # fmt: skip
    Tree.SubElement(root, "title", {"id": f"{key}-t"}).text = title
    Tree.SubElement(root, "desc", {"id": f"{key}-d"}).text = told
    return root


def put(root: Tree.Element, tag: str, text: str = "", /, **attributes: object) -> Tree.Element:
    """One more element; numbers to a tenth, `cls` is its class, `_` in names a hyphen."""
    plain = {"cls": "class"}
    element = Tree.SubElement(root, tag)
    for name, value in attributes.items():
        shown = f"{value:.4g}" if isinstance(value, float) else str(value)
        element.set(plain.get(name, name.replace("_", "-")), shown)
    if text:
        element.text = text
    return element


def written(root: Tree.Element) -> str:
    """A drawing as text, everything in it escaped."""
    return Tree.tostring(root, encoding="unicode")


def section(key: str, *, outside_dba: float, inside_dba: float | None, title: str, told: str) -> str:
    """The street, the wall with its window and the room, in the state of this key; arcs as strong as the
    sound.

    `inside_dba` None: the street alone is meant.
    """
    root = drawing(220.0, 124.0, title, told, f"section-{key}", **{"class": "section"})
    put(root, "rect", x=0.0, y=0.0, width=220.0, height=124.0, cls="s-air")
    room = put(root, "g", cls="s-room" if inside_dba is not None else "s-room s-away")
    put(room, "path", d="M84 12H212V112H84", cls="s-wall s-thin")
    _arcs(root, 4.0, 62.0, range(16, 72, 9), outside_dba)
    for y, height in ((8.0, 32.0), (84.0, 32.0)):
        put(room, "rect", x=76.0, y=y, width=8.0, height=height, cls="s-wall")
    put(room, "path", d="M80 40V84", cls="s-pane")
    if inside_dba is not None:
        _state(root, key, inside_dba)
    return written(root)


def _state(root: Tree.Element, key: str, inside_dba: float) -> None:
    layer, inner = key == "second", key == "inner"
    if inner:
        put(root, "path", d="M98 44V24H200V100H98V80", cls="s-inner")
    if layer or inner:
        put(root, "path", d="M98 44V80" if inner else "M95 40V84", cls="s-pane s-new")
    room = put(root, "svg", x=84.0, y=13.0, width=127.0, height=98.0, viewBox="84 13 127 98")
    _arcs(room, 98.0 if layer or inner else 84.0, 62.0, range(11, 130, 11), inside_dba)
    if key == "panels":
        for x, y, width, height in _PANELS:
            put(root, "rect", x=x, y=y, width=width, height=height, cls="s-panel")
    elif key == "now":
        _arcs(room, 211.0, 62.0, (12, 24), inside_dba - 6.0, back=True)


def _arcs(
    root: Tree.Element, x: float, y: float, radii: Iterable[float], dba: float, *, back: bool = False
) -> None:
    """Wave fronts from a point, as far and as bold as the sound is strong."""
    strength = min(max((dba - SOFT_DBA) / RANGE_DBA, 0.0), 1.0)
    for radius in radii:
        left = strength - 0.0034 * radius
        if left <= 0.0:
            break
        dx, dy = radius * math.cos(_SPREAD), radius * math.sin(_SPREAD)
        end, turn = (-dx, 0) if back else (dx, 1)
        put(
            root, "path",
            d=f"M{x + end:.1f} {y - dy:.1f}A{radius:g} {radius:g} 0 0 {turn} {x + end:.1f} {y + dy:.1f}",
            cls="s-wave" if dba > QUIET_DBA else "s-wave s-soft",
            stroke_width=float(0.8 + 5.2 * left), opacity=float(min(0.35 + 1.1 * left, 1.0)),
        )  # fmt: skip


@dataclass(frozen=True)
class Chart:
    """Where a curve is drawn: a box in the drawing, and the levels [dB] at its bottom and top."""

    low: float
    high: float
    left: float = 34.0
    right: float = 372.0
    top: float = 24.0
    bottom: float = 212.0

    def x(self, band: float) -> float:
        """Place of a band by its number."""
        return self.left + (self.right - self.left) * (band + 0.5) / THIRD_OCTAVES.size

    def y(self, level_db: float) -> float:
        """Place of a level, held within the box."""
        held = min(max(level_db, self.low), self.high)
        return self.bottom - (self.bottom - self.top) * (held - self.low) / (self.high - self.low)

    def line(self, level_db: Array) -> str:
        """A curve as the data of a path."""
        return "M" + "L".join(f"{self.x(i):.1f} {self.y(float(v)):.1f}" for i, v in enumerate(level_db))

    def to_dict(self) -> dict[str, float]:
        """For the page's own script."""
        return dict(vars(self))


def chart_of(levels: Sequence[Array]) -> Chart:
    """A box that holds these curves from 0 dB up."""
    top = max(float(one.max()) for one in levels)
    return Chart(0.0, 10.0 * math.ceil((top + 2.0) / 10.0))


def curve(
    chart: Chart, *, outside: Array, now: Array, tried: Array, hidden: Array, title: str, told: str
) -> str:
    """A noise outside, in the room now and with what is tried, over what is too soft to hear."""
    root = drawing(380.0, 244.0, title, told, "curve", **{"class": "chart", "id": "curve"})
    step = 20.0 if chart.high - chart.low > 60.0 else 10.0
    for k in range(int((chart.high - chart.low) / step) + 1):
        level = chart.low + k * step
        y = chart.y(level)
        put(root, "path", d=f"M{chart.left:g} {y:.1f}H{chart.right:g}", cls="c-grid")
        put(root, "text", f"{level:.0f}", x=chart.left - 5.0, y=y + 4.0, text_anchor="end")
    for tick, hz in zip(_TICKS, OCTAVES, strict=True):
        band = float(abs(THIRD_OCTAVES - hz).argmin())
        put(root, "text", tick, x=chart.x(band), y=chart.bottom + 15.0, text_anchor="middle")
    put(root, "text", "Hz", x=chart.right, y=chart.bottom + 29.0, text_anchor="end")
    put(root, "text", "dB", x=chart.left - 5.0, y=11.0, text_anchor="end")
    base = f"L{chart.x(26):.1f} {chart.bottom:g}L{chart.x(0):.1f} {chart.bottom:g}Z"
    put(root, "path", d=chart.line(tried) + base, cls="c-heard", id="c-heard")
    put(root, "path", d=chart.line(hidden) + base, cls="c-hidden")
    for values, kind in ((outside, "outside"), (now, "now"), (tried, "tried")):
        put(root, "path", d=chart.line(values), cls=f"c-{kind}", id=f"c-{kind}")
    return written(root)


def level_bar(dba: float, *, hidden_dba: float, most: float, key: str) -> str:
    """A bar of a level: pale as far as it is hidden, strong above."""
    root = Tree.Element("svg", {
        "viewBox": "0 0 100 5", "preserveAspectRatio": "none", "class": "bar", "aria-hidden": "true",
    })  # fmt: skip
    shown, pale = max(dba, 0.0) / most, max(min(hidden_dba, dba), 0.0) / most
    put(root, "rect", x=0.0, y=0.0, width=100.0, height=5.0, cls="b-all")
    put(root, "rect", x=0.0, y=0.0, width=100.0 * shown, height=5.0, cls=f"b-heard b-{key}")
    put(root, "rect", x=0.0, y=0.0, width=100.0 * pale, height=5.0, cls="b-pale")
    return written(root)
