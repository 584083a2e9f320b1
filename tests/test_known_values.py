"""What a practitioner would call normal, in single numbers (the trade's, from memory, good to about 2 dB).

None of them set a constant. A construction that leaves its range by more than 2 dB stands in `APART` with the
reason; where a figure that was read says otherwise, the read one wins.
"""

from __future__ import annotations

import re

import pytest

from isolate.describe import constructions, tested
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.materials import material
from isolate.physics.transmission import transmission
from isolate.standards import ratings

NEAR = 2  # dB
BOARD, WOOL = Leaf(material("gypsum board"), 0.0159), material("glass wool")
RATED = {"Rw": ratings.rw, "STC": ratings.stc}


def boards(n: int) -> Leaf:
    return Leaf(BOARD.material, BOARD.thickness, sheets=n)


def framed(
    framing: str,
    depth: float,
    spacing: float | None = None,
    n: int = 1,
    gauge: float | None = None,
    fill: bool = True,
) -> Construction:
    """`n` boards of 15.9 mm either side of a cavity that is full of wool, or empty."""
    gap = Cavity(
        depth, WOOL if fill else None, depth if fill else 0.0, framing=framing, spacing=spacing, gauge=gauge
    )
    return Construction("x", "x", "wall", (boards(n), gap, boards(n)), None)


def wood(spacing: float, **more: int) -> Construction:
    return framed("wood stud", 0.089, spacing, **more)


def steel(gauge: float, spacing: float, **more: int) -> Construction:
    return framed("steel stud", 0.092, spacing, gauge=gauge, **more)


CLOSE, WIDE = 0.4064, 0.6096
FRAMED = {
    "wood 406, empty": (wood(CLOSE, fill=False), "STC", 32, 33),
    "wood 406": (wood(CLOSE), "STC", 36, 36),
    "wood 406, two boards": (wood(CLOSE, n=2), "STC", 38, 38),
    "wood 610": (wood(WIDE), "STC", 38, 40),
    "wood 610, two boards": (wood(WIDE, n=2), "STC", 45, 46),
    "channel 406": (framed("resilient channel", 0.102, CLOSE), "STC", 45, 48),
    "channel 406, two boards": (framed("resilient channel", 0.102, CLOSE, n=2), "STC", 55, 57),
    "channel 610": (framed("resilient channel", 0.102, WIDE), "STC", 50, 50),
    "channel 610, two boards": (framed("resilient channel", 0.102, WIDE, n=2), "STC", 59, 60),
    "staggered": (framed("staggered stud", 0.14), "STC", 47, 52),
    "staggered, two boards": (framed("staggered stud", 0.14, n=2), "STC", 55, 57),
    "clips": (framed("resilient clip", 0.12), "STC", 53, 56),
    "double studs": (framed("double stud", 0.2), "STC", 57, 57),
    "double studs, two boards": (framed("double stud", 0.2, n=2), "STC", 66, 67),
    "steel 0.5 at 610, empty": (steel(0.5e-3, WIDE, fill=False), "STC", 39, 41),
    "steel 0.5 at 610": (steel(0.5e-3, WIDE), "STC", 47, 49),
    "steel 0.5 at 610, two boards": (steel(0.5e-3, WIDE, n=2), "STC", 55, 56),
    "steel 0.5 at 406": (steel(0.5e-3, CLOSE), "STC", 44, 46),
    "steel 0.85 at 406": (steel(0.85e-3, CLOSE), "STC", 38, 40),
    "steel 0.85 at 610": (steel(0.85e-3, WIDE), "STC", 42, 44),
}
NAMED = {
    "glass 3 mm": ("Rw", 28, 28), "glass 4 mm": ("Rw", 29, 29), "glass 6 mm": ("Rw", 31, 31),
    "glass 8 mm": ("Rw", 32, 32), "glass 10 mm": ("Rw", 33, 33), "glass 12 mm": ("Rw", 34, 34),
    "laminated 6.4 mm": ("Rw", 32, 32), "laminated 10.8 mm": ("Rw", 34, 36),
    "acoustic laminated 6.8 mm": ("Rw", 36, 36), "acoustic laminated 8.8 mm": ("Rw", 37, 37),
    "acoustic laminated 12.8 mm": ("Rw", 39, 39), "acoustic laminated 16.8 mm": ("Rw", 41, 41),
    "4-12-4": ("Rw", 29, 31), "4-16-4": ("Rw", 30, 31), "6-16-4": ("Rw", 34, 35), "8-16-4": ("Rw", 35, 36),
    "10-16-6": ("Rw", 37, 38),
    "concrete 100 mm": ("Rw", 47, 47), "concrete 150 mm": ("Rw", 53, 53), "concrete 200 mm": ("Rw", 58, 58),
    "concrete 300 mm": ("Rw", 64, 64), "brick wall 102 mm": ("Rw", 43, 46),
    "brick wall 225 mm, plastered": ("Rw", 53, 54), "cavity brick wall 102-50-102 mm": ("Rw", 52, 55),
    "resilient clip wall 2x4, double boards, wool": ("STC", 62, 64),
    "double stud wall 2x4, board inside the cavity": ("STC", 44, 44),
    "timber floor above, resilient channel, wool": ("Rw", 53, 55),
    "timber floor above, resilient clips, wool": ("Rw", 57, 60),
    "timber floor above, free inner ceiling": ("Rw", 63, 66),
    "tiled roof, wool and one board": ("Rw", 43, 50),
    "insulated steel door 60 mm": ("Rw", 38, 43), "solid core door 44 mm": ("STC", 30, 33),
    "second pane 4-150-6.4 mm laminated, lined reveal": ("Rw", 45, 53),
    "second pane 4-200-6.4 mm laminated": ("Rw", 45, 53),
}  # fmt: skip
# Predicted less the range, and why it stands.
APART = {
    "wood 610": (
        3, "its Rw is 4 above that at 406 mm, within the 2 to 5 of the trade, its STC 8, of which the trade "
        "has 2 to 4: at 406 mm one band at 160 Hz holds it down (8 dB rule), where one that was read is "
        "3 dB lower still; none at 610 mm was read. Tried on copies: studs that keep boards from turning, "
        "boards stiffer one way, unlike bays, few bays, cavities closed at studs change the 8 by 1 at most; "
        "hinged joints on studs raise it or both walls; 0.05 mm of air between boards and studs makes it 5, "
        "but what was read at 406 mm is then missed by 6 dB where bays ring",
    ),
    "double stud wall 2x4, board inside the cavity": (
        -4, "all waves of its four leaves, solved at once, give the same; the figure has no source, and "
        "which spacing it was is not told",
    ),
    "concrete 200 mm": (-3, "a slab of 200 mm was read at STC 50; what laboratories add round it is counted"),
    "concrete 300 mm": (-5, "37.5 lg m - 42 leaves out what goes round; a table with 300 mm has 2 dB less"),
    "tiled roof, wool and one board": (3, "no roof was read; tiles leak as the free area of joints does"),
}  # fmt: skip


def outside(tl_db: object, name: str, low: int, high: int) -> int:
    """How far the rating lies from its range [dB]."""
    got = int(RATED[name](tl_db))
    return got - min(max(got, low), high)


@pytest.mark.parametrize("name", [*FRAMED, *NAMED])
def test_a_usual_construction_is_what_the_trade_expects_or_why_not(name: str) -> None:
    built, rating, low, high = FRAMED[name] if name in FRAMED else (constructions.load(name), *NAMED[name])
    off = outside(transmission(built).tl_db, rating, low, high)
    if name in APART:
        assert abs(off) > NEAR and off == pytest.approx(APART[name][0], abs=1), (
            "tell the reason anew, or no more"
        )
    else:
        assert abs(off) <= NEAR


def test_gauge_and_spacing_of_steel_studs_count_as_a_trade_association_has_it() -> None:
    """0.46 mm at 610 mm to 0.76 mm at 406 mm, single boards and wool: STC 4 less (read). Within 2."""
    light, heavy = (
        int(ratings.stc(transmission(steel(*way)).tl_db)) for way in ((0.46e-3, WIDE), (0.76e-3, CLOSE))
    )
    assert light - heavy == pytest.approx(4, abs=2)


def test_wood_studs_further_apart_are_two_to_five_better() -> None:
    """406 to 610 mm, one board and two, empty and filled (trade, from memory); in Rw, which no band rules. In
    STC it is as much as `isolate accuracy` says of its framed walls, to where the trade does not go."""
    about = next(topic.about for topic in tested.topics() if topic.title == "Framed walls and floors")
    rw, stc = ([*map(int, ends)] for ends in re.findall(r"(\d+) to (\d+)", about))
    assert rw == [2, 5]
    for more in ({}, {"fill": False}, {"n": 2}):
        close, wide = (transmission(wood(apart, **more)).tl_db for apart in (CLOSE, WIDE))
        assert rw[0] <= int(ratings.rw(wide)) - int(ratings.rw(close)) <= rw[1]
        assert stc[0] <= int(ratings.stc(wide)) - int(ratings.stc(close)) <= stc[1]
