"""The list of prices: the invented one, the user's over it, and what is wrong with a user's."""

from __future__ import annotations

from pathlib import Path

import pytest

from isolate.describe import prices
from isolate.describe.materials import Range
from isolate.errors import InputError

MINE = """
[list]
currency = "GBP"
year = 2024
place = "our town"
labour = "hired"

[[price]]
item = "laminated glass"
unit = "m2"
thickness = "6.4 mm"
material = [80, 100, 120]
labour = 50
"""


def write(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_bundled_price_says_that_it_is_invented() -> None:
    bundled = prices.bundled()
    assert bundled.invented
    assert bundled.currency and bundled.year
    assert all(price.invented for price in bundled.by_item.values())
    assert "INVENTED" in prices.path().read_text(encoding="utf-8")


def test_low_typical_and_high_rise() -> None:
    for price in prices.bundled().by_item.values():
        for value in (price.material, price.labour):
            assert 0.0 <= value.low <= value.typical <= value.high


def test_a_price_of_ones_own_is_not_invented_and_the_others_stay_so(tmp_path: Path) -> None:
    mine = prices.load(write(tmp_path, MINE))
    assert (mine.currency, mine.year, mine.place, mine.labour) == ("GBP", 2024, "our town", "hired")
    assert not mine.invents("laminated glass")
    assert mine.invents("drop seal")
    assert mine.by_item.keys() == prices.bundled().by_item.keys()


def test_what_an_amount_costs_by_hand(tmp_path: Path) -> None:
    """2 m2 of 12.8 mm, twice the thickness: 2 (100 x 2 + 50) = 500; built by oneself 400."""
    mine = prices.load(write(tmp_path, MINE))
    assert mine.cost("laminated glass", 2.0, thickness=0.0128) == Range(420.0, 500.0, 580.0)
    assert mine.working("own").cost("laminated glass", 2.0, thickness=0.0128) == Range(320.0, 400.0, 480.0)
    assert mine.cost("gold", 1.0) is None


def test_the_bundled_file_may_be_copied_and_stays_invented_until_its_line_goes(tmp_path: Path) -> None:
    text = prices.path().read_text(encoding="utf-8")
    assert prices.load(write(tmp_path, text)).invents("drop seal")
    mine = prices.load(write(tmp_path, text.replace("invented = true", "")))
    assert not any(mine.invents(item) for item in mine.by_item)


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ('"GBP"', "3", r"list\.currency: not a text \(got 3\)"),
        ("[list]", "[head]", r"list: missing; write \[list\]"),
        ('item = "laminated glass"', 'item = "laminated glas"', 'did you mean "laminated glass"'),
        ('unit = "m2"', 'unit = "m"', r'price\[1\]\.unit: .*write "m2"'),
        ("[80, 100, 120]", "[80, 70, 120]", r"material: not low, typical, high"),
        ("[80, 100, 120]", "-3", r"material: .*got -3"),
        ('thickness = "6.4 mm"', "", r"thickness: missing"),
        ('labour = "hired"', 'labour = "stolen"', r"list\.labour: unknown \(got \"stolen\"\)"),
        ("labour = 50", "labor = 50", r"labor: unknown key"),
    ],
)
def test_faults_say_where_and_what_instead(tmp_path: Path, old: str, new: str, what: str) -> None:
    assert old in MINE
    with pytest.raises(InputError, match=what):
        prices.load(write(tmp_path, MINE.replace(old, new)))


def test_a_price_twice_is_a_fault(tmp_path: Path) -> None:
    again = MINE[MINE.index("[[price]]") :]
    with pytest.raises(InputError, match="is there twice"):
        prices.load(write(tmp_path, MINE + again))
