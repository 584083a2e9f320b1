"""The answers about one room that make its story."""

from __future__ import annotations

from dataclasses import dataclass

from isolate.answers.listen.answer import Listening
from isolate.answers.page.tries import Tries
from isolate.answers.panels.answer import PanelsAnswer
from isolate.answers.room.answer import RoomAnswer
from isolate.answers.take.answer import TakeAnswer


@dataclass(frozen=True, repr=False)
class Gathered:
    """`room` itself, `panels` against other remedies for one noise, `listening` to it, what to `tries`, and
    its `take`s, None where nothing is recorded."""

    room: RoomAnswer
    panels: PanelsAnswer
    listening: Listening
    tries: Tries
    take: TakeAnswer | None
