"""A script as users of the library write it: checked by mypy with the rest, run by test_library.py."""

# ruff: noqa: F401  types are named in quotes

from pathlib import Path
from typing import TYPE_CHECKING, assert_type

import isolate

if TYPE_CHECKING:
    import pandas as pd

    from isolate.answers.accuracy.answer import Accuracy
    from isolate.answers.air import AirAnswer
    from isolate.answers.catalogue import Entry, Listing
    from isolate.answers.compare import Comparison
    from isolate.answers.curve.answer import Curve
    from isolate.answers.fixes import FixesAnswer
    from isolate.answers.inner_room.answer import InnerRoomAnswer
    from isolate.answers.panels import PanelsAnswer
    from isolate.answers.play import Play
    from isolate.answers.rating import Rating
    from isolate.answers.room import RoomAnswer
    from isolate.answers.second_pane.answer import SecondPane
    from isolate.answers.story import Story
    from isolate.answers.take.answer import TakeAnswer
    from isolate.describe.constructions import Construction
    from isolate.measuring.isolation import Measurement
    from isolate.measuring.survey import Survey


def curves() -> str:
    built = isolate.describe("glass 4 mm + 100 mm + laminated 6.4 mm")
    assert_type(built, "Construction")
    curve = isolate.predict(built)
    assert_type(curve, "Curve")
    assert_type(curve.to_frame(), "pd.DataFrame")
    assert_type(curve.ratings, dict[str, int])
    assert_type(isolate.compare(["glass 4 mm", "glass 8 mm"]), "Comparison")
    assert_type(isolate.rate(curve.tl_db), "Rating")
    assert_type(isolate.listing(), "Listing")
    assert_type(isolate.entry("glass 4 mm"), "Entry")
    try:
        isolate.predict("no such thing")
    except isolate.InputError as fault:
        assert_type(fault.exit_code, int)
    return isolate.text(curve)


def rooms() -> None:
    assert_type(isolate.room(draws=0), "RoomAnswer")
    assert_type(isolate.take("room.toml", draws=50), "TakeAnswer")
    assert_type(isolate.play("drum room", at="9 pm"), "Play")
    assert_type(isolate.air("drum room", people=4, target="NC 20"), "AirAnswer")
    assert_type(isolate.second_pane(window="4 mm", gaps=["100 mm"]), "SecondPane")
    assert_type(isolate.room_in_room("drum room", boards="2 x gypsum board 15 mm"), "InnerRoomAnswer")
    assert_type(isolate.panels(count=12), "PanelsAnswer")
    assert_type(isolate.fixes(budget=600), "FixesAnswer")
    assert_type(isolate.explain(), "Story")
    assert_type(isolate.accuracy("window"), "Accuracy")
    assert_type(isolate.measure([Path("loud.wav")], ["quiet.wav"], volume="32 m3"), "Measurement")
    assert_type(isolate.survey(Path("night.wav")), "Survey")
    isolate.second_pane(windw="4 mm")  # type: ignore[call-arg]
    isolate.no_such_name  # type: ignore[attr-defined]  # noqa: B018
