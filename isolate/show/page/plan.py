"""The room within the room on the page: what it reaches, its drawings, and what a builder prices and does."""

from __future__ import annotations

import base64
import importlib.metadata
from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from isolate.answers.inner_room.answer import InnerRoomAnswer
from isolate.physics import kept
from isolate.remedies.cautions.facts import Caution
from isolate.show import said, web
from isolate.show.document import Document
from isolate.show.tell import inner_plan, inner_room


def view(answer: InnerRoomAnswer, told: Sequence[Caution]) -> dict[str, Any]:
    """What the template names of it, with the cautions that are not `told` elsewhere on the page. The drawing
    is a picture of its own, whose style the page's policy does not touch."""
    load, air, version = answer.load, answer.plan.ducts, importlib.metadata.version("matplotlib")
    ducts = None if air is None else (air.side, air.system)
    shown = [answer.room, answer.inner, load.mounts, load.carried, ducts, answer.resonances]
    drawn = kept.text(["plan", version, *shown], lambda: _drawn(answer))
    elsewhere = {one.text for one in told}
    more = tuple(one for one in answer.cautions if one.text not in elsewhere)
    return {
        "about": said.capital(inner_room.document(answer).about),
        "reached": web.blocks(list(inner_room.reached(answer))),
        "drawing": Markup("data:image/svg+xml;base64,") + drawn,
        "plan": web.blocks(list(inner_plan.blocks(answer))),
        "cautions": web.cautions(Document("", (), cautions=more)),
    }


def _drawn(answer: InnerRoomAnswer) -> str:
    from isolate.show.figures import common
    from isolate.show.figures.inner_room import handed_over

    return base64.b64encode(common.rendered(handed_over(answer), "svg")).decode()
