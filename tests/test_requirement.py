"""Requirements: their wording, what they hold against an answer, what they refuse."""

from __future__ import annotations

import pytest

from isolate.answers import requirement
from isolate.errors import InputError

QUANTITIES = [("tram", "inside_dba", 30.0), ("siren", "inside_dba", 41.0), ("tram", "margin_db", 2.0)]


@pytest.mark.parametrize(
    ("text", "unmet"),
    [
        ("inside_dba < 42", 0),
        ("inside_dba<41", 1),
        ("inside_dba <= 41", 0),
        ("inside_dba < 10", 2),
        ("tram: inside_dba <= 30", 0),
        ("tram: inside_dba > 30", 1),
        ("margin_db >= 2, tram: inside_dba < 30", 1),
    ],
)
def test_what_is_not_met_is_told(text: str, unmet: int) -> None:
    assert sum(len(one.unmet(QUANTITIES)) for one in requirement.parse(text)) == unmet


def test_names_may_hold_commas_as_those_of_field_ratings_do() -> None:
    first, second = requirement.parse("DnT,w >= 45, wall: D2m,nT,w < 30")
    assert (first.subject, first.quantity, first.limit) == (None, "DnT,w", 45.0)
    assert (second.subject, second.quantity, second.limit) == ("wall", "D2m,nT,w", 30.0)
    assert first.unmet([("measured", "DnT,w", 44.0)]) == ["measured: DnT,w is 44, required >= 45"]


@pytest.mark.parametrize(
    ("text", "subjects"),
    [
        ("line 5, 9: night: inside_dba < 3", ["line 5, 9: night"]),
        ('"line 5, 9: night": inside_dba < 3', ["line 5, 9: night"]),
        ('"a < b > 3": inside_dba < 3, tram: Rw >= 45', ["a < b > 3", "tram"]),
        ('inside_dba < 3, "tram, 9": margin_db < 0, b, c: Rw > 1', [None, "tram, 9", "b, c"]),
    ],
)
def test_subjects_may_hold_colons_and_commas_and_anything_in_quotes(
    text: str, subjects: list[str | None]
) -> None:
    assert [one.subject for one in requirement.parse(text)] == subjects


def test_the_message_says_who_what_and_how_far() -> None:
    (one,) = requirement.parse("siren: inside_dba < 30.5")
    assert one.unmet(QUANTITIES) == ["siren: inside_dba is 41, required < 30.5"]


@pytest.mark.parametrize(
    "text", ["", "quiet", "inside_dba = 30", "inside_dba < loud", "< 30", "inside_dba < 30 dBA"]
)
def test_other_wordings_are_refused_with_an_example(text: str) -> None:
    with pytest.raises(InputError, match="write for example"):
        requirement.parse(text)


def test_an_answer_without_any_quantity_says_so() -> None:
    """As a survey has."""
    (one,) = requirement.parse("Rw >= 45")
    with pytest.raises(InputError, match="nothing to hold Rw against"):
        one.unmet([])


def test_what_the_answer_does_not_have_is_refused_with_what_it_has() -> None:
    with pytest.raises(InputError, match='no quantity "loudness" here; one of inside_dba, margin_db'):
        requirement.parse("loudness < 3")[0].unmet(QUANTITIES)
    with pytest.raises(InputError, match='no subject "bus" here; one of tram, siren'):
        requirement.parse("bus: inside_dba < 3")[0].unmet(QUANTITIES)
