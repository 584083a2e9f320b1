"""Stories and pages that several tests look at, made once."""

from __future__ import annotations

import json
import re
from functools import lru_cache

from isolate.answers.listen.answer import Listening, of_contrast
from isolate.answers.story import Story, story
from isolate.answers.take.answer import take
from isolate.describe import rooms
from isolate.show.page.html import render

SCRIPT = '<script>document.documentElement.dataset.caught = "yes"</script>'
HOSTILE = f"""
title = 'Loft {SCRIPT} & "co"'
about = '</script><img src=x onerror="document.documentElement.dataset.caught = 1">'
[room]
size = "4 m x 3 m x 2.5 m"
furnishing = "furnished"
background = "24 dBA"
[[side]]
name = 'window "><b>bold</b>'
faces = "street"
construction = "glass 4 mm"
area = "1.2 m x 1.2 m"
[[noise]]
name = '{SCRIPT}'
source = "tram"
level = "75 dBA"
faces = "street"
[[own]]
name = "<i>voice</i>"
source = "singing voice"
level = "85 dBA"
[[neighbour]]
name = "<u>flat</u>"
through = ['window "><b>bold</b>']
distance = "10 m"
background = "25 dBA"
[[option]]
name = "<marquee>pane</marquee>"
replace = 'window "><b>bold</b>'
construction = "glass 4 mm + 100 mm + laminated 6.4 mm"
cost = "900"
"""


@lru_cache(maxsize=1)
def demo() -> Story:
    """The bundled room's story."""
    return story(draws=100)


@lru_cache(maxsize=1)
def hostile(folder: str) -> Story:
    """The story of a room whose every name is markup."""
    from pathlib import Path

    path = Path(folder) / "loft.toml"
    path.write_text(HOSTILE)
    return story(rooms.load(str(path)), draws=60)


@lru_cache(maxsize=1)
def heard() -> Listening:
    """What is to be heard of the bundled room's story."""
    return of_contrast(demo().contrast)


@lru_cache(maxsize=2)
def page(which: str, folder: str = "") -> bytes:
    """The page of one of them."""
    if which == "demo":
        return render(demo(), heard(), take(demo().room, draws=100))
    told = hostile(folder)
    return render(told, of_contrast(told.contrast), None)


def data_of(html: str) -> dict:  # type: ignore[type-arg]
    """What the page's script is given."""
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', html, re.DOTALL)
    assert found is not None
    result: dict = json.loads(found[1])  # type: ignore[type-arg]
    return result
