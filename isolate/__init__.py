"""Sound isolation of a room at home: what is built, how sound gets through, what is heard.

The library, each name of which is loaded when it is first used:

- `describe` reads a construction, `predict` tells what it stops, `compare` sets several side by side,
  `rate` rates a measured spectrum;
- `room` tells what is heard in a room, `take` what is recorded, `play` whether one may, `air` how one
  breathes; `second_pane`, `room_in_room`, `panels` and `fixes` what would help, `explain` the whole story.
  Each takes a room's name or file; without one, it is the bundled room;
- `measure` and `survey` make something of recordings; `listing`, `entry` and `accuracy` tell what there is
  and how far to trust it.

Every answer holds arrays in its attributes; `to_frame()` gives its table (pandas), `to_dict()` what
``--json`` prints, `text(answer)` what the command prints. Quantities are SI, levels in dB; bands are
`isolate.bands.THIRD_OCTAVES`, always the last axis.

>>> import isolate
>>> curve = isolate.predict("glass 4 mm + 100 mm + laminated 6.4 mm")
>>> curve.tl_db.shape
(27,)
"""

from __future__ import annotations

import importlib
import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any

from isolate.errors import InputError, IsolateError
from isolate.version import __version__ as __version__

if TYPE_CHECKING:
    from isolate.answers.accuracy.answer import accuracy
    from isolate.answers.air import fresh_air as air
    from isolate.answers.catalogue import entry, listing
    from isolate.answers.compare import compare
    from isolate.answers.curve.answer import curve as predict
    from isolate.answers.panels import panels
    from isolate.answers.play import play
    from isolate.answers.rating import rating as rate
    from isolate.answers.room import room
    from isolate.answers.story import story as explain
    from isolate.answers.take.answer import take
    from isolate.describe.constructions import load as describe
    from isolate.library import fixes, measure, room_in_room, second_pane, text
    from isolate.measuring.survey import survey

__all__ = [
    "InputError", "IsolateError", "accuracy", "air", "compare", "describe", "entry", "explain", "fixes",
    "listing", "measure", "panels", "play", "predict", "rate", "room", "room_in_room", "second_pane",
    "survey", "take", "text",
]  # fmt: skip

if not TYPE_CHECKING:  # where a checker reads the names above
    _HOMES = {
        "accuracy": "answers.accuracy.answer:accuracy",
        "air": "answers.air:fresh_air",
        "compare": "answers.compare:compare",
        "entry": "answers.catalogue:entry",
        "explain": "answers.story:story",
        "listing": "answers.catalogue:listing",
        "panels": "answers.panels:panels",
        "predict": "answers.curve.answer:curve",
        "play": "answers.play:play",
        "rate": "answers.rating:rating",
        "room": "answers.room:room",
        "survey": "measuring.survey:survey",
        "take": "answers.take.answer:take",
        **{name: f"library:{name}" for name in ("fixes", "measure", "room_in_room", "second_pane", "text")},
    }

    def __getattr__(name: str) -> Any:
        if name == "describe":  # the folder, which reads a construction when called
            return importlib.import_module("isolate.describe")
        if name not in _HOMES:
            raise AttributeError(f"module 'isolate' has no attribute {name!r}")
        module, _, function = _HOMES[name].partition(":")
        return getattr(importlib.import_module(f"isolate.{module}"), function)

    def __dir__() -> list[str]:
        return sorted({*globals(), *__all__})

    class _Library(ModuleType):
        """The library, whose `room` is the function even when the folder of that name has been loaded."""

        @property
        def room(self) -> Any:
            return __getattr__("room")

        @room.setter
        def room(self, folder: ModuleType) -> None:
            """What loading the folder would put here; it is found by its full name."""

    sys.modules[__name__].__class__ = _Library
