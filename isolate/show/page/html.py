"""The page: one HTML file that holds all it needs, text and drawings and sounds, and asks nobody for
anything.

Whatever comes from a room's file is text to the page: the template escapes all of it, drawings are built as
trees, the script sets text only, and the page's own policy lets no other script or style run than its own.
"""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from isolate.answers.inner_room.answer import InnerRoomAnswer
from isolate.answers.listen.answer import Listening
from isolate.answers.plain import plain
from isolate.answers.story import Story
from isolate.answers.take.answer import TakeAnswer
from isolate.errors import IsolateError
from isolate.room import draws
from isolate.show import web
from isolate.show.page import plan as page_plan
from isolate.show.page import sounds as page_sounds
from isolate.show.page import view as page_view

if TYPE_CHECKING:
    from jinja2 import Template

MOST_BYTES = 3_000_000
_ROOM_FOR_CHANGE = 20_000  # bytes kept free
_HERE = Path(__file__).parent


def render(
    story: Story, heard: Listening, taken: TakeAnswer | None, inner: InnerRoomAnswer | None = None
) -> bytes:
    """The file of a story, at most 3 MB: sounds as long as there is room for, takes only if there is.

    heard : what is made audible of its noise. taken : what becomes of the room's takes, None without any.
    inner : a room within it, for who builds it; None where there is no space for one.

    Raises
    ------
    IsolateError
        A room of so many words that no room is left for sounds.
    """
    told = page_view.told(story, heard)
    told["inner"] = page_plan.view(inner, story.cautions) if inner else None
    told["data"] = plain(page_view.data(story), 1)
    left = MOST_BYTES - _ROOM_FOR_CHANGE - len(_page({**told, **page_view.played(story, heard, taken, {})}))
    draws.forget()  # all is drawn, and sounds take more memory than anything before
    for takes in (True, False):
        count = page_sounds.count_of(heard, takes=takes)
        tenths = int(10.0 * left / count / page_sounds.BYTES_A_SECOND)  # lengths that transforms are quick at
        seconds = min(tenths / 10.0, page_sounds.LONGEST)
        if seconds >= page_sounds.SHORTEST:
            sounds = page_sounds.sounds(heard, seconds=seconds, takes=takes)
            return _page({**told, **page_view.played(story, heard, taken, sounds)})
    raise IsolateError("the room's file says so much that the page passes 3 MB; shorten names and options")


def _page(view: dict[str, Any]) -> bytes:
    from markupsafe import Markup

    style, script = ((_HERE / f"page.{kind}").read_text(encoding="utf-8") for kind in ("css", "js"))
    style += web.STYLE.read_text(encoding="utf-8")
    parts = _template().generate(
        **view, style=Markup(style), script=Markup(script), style_hash=_hash(style), script_hash=_hash(script)
    )
    return b"".join(part.encode() for part in parts)  # as text, all of it would take twice its size


@cache
def _template() -> Template:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    house = Environment(
        loader=FileSystemLoader(_HERE), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    return house.get_template("page.html.j2")


def _hash(text: str) -> str:
    """What a content security policy knows a script or style by."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
