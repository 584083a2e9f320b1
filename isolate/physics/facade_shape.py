"""Level difference by the shape of a facade: what a balcony, gallery or terrace before it takes or adds.

dLfs of ISO 12354-3:2017, annex C, is a table by kind, absorption under the roof and line of sight. The
table itself was not at hand; the ranges over its rows were (read): gallery and balcony -1 to +4 dB,
terrace 3 to 7 dB. Within them the absorption of the soffit and the height of the line of sight are
given half the range each, linearly, which is our own reading.
"""

from __future__ import annotations

RANGES_DB: dict[str, tuple[float, float]] = {
    "plane": (0.0, 0.0),
    "gallery": (-1.0, 4.0),
    "balcony": (-1.0, 4.0),
    "terrace": (3.0, 7.0),
}
LINE_OF_SIGHT = (1.5, 2.5)  # heights of the line of sight between which the table's rows change [m]


def level_difference(kind: str, *, soffit_absorption: float = 0.0, sight_height: float = 0.0) -> float:
    """dLfs [dB] to add to the level difference of the facade.

    kind : "plane", "gallery", "balcony" or "terrace".
    soffit_absorption : alpha_w of the ceiling of the balcony above, 0 to 0.9.
    sight_height : height above its floor [m] at which the line of sight from the source, over a closed
        parapet, meets the facade; below it is shadow. 1.5 m or less is no shielding, 2.5 m and more is
        all there is. Without a closed parapet: 0.
    Raises ValueError for another kind.
    """
    if kind not in RANGES_DB:
        raise ValueError(f"kind: no facade called {kind!r}; known are {', '.join(RANGES_DB)}")
    low, high = RANGES_DB[kind]
    absorbed = min(max(soffit_absorption, 0.0), 0.9) / 0.9
    least, most = LINE_OF_SIGHT
    shielded = (min(max(sight_height, least), most) - least) / (most - least)
    return low + (high - low) * (absorbed + shielded) / 2.0
