"""Everyday words: what people call parts of a home, by region and age; studs in a line; ten wrong entries."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

import isolate
from isolate import units
from isolate.cli import root
from isolate.describe import constructions, everyday, impacts, noises, rooms, sayings
from isolate.describe.everyday import Where
from isolate.describe.layers import Cavity
from isolate.errors import InputError
from isolate.room.element_unknowns import ElementUnknowns

ROOM = """
[room]
size = "4 x 3 x 2.5 m"
furnishing = "furnished"
background = "25 dBA"
{room}
[[side]]
name = "{name}"
faces = "{faces}"
construction = "{built}"
area = "76 x 198 cm"
{side}
[[noise]]
source = "{source}"
level = "60 dBA"
faces = "{faces}"
{noise}
"""


def read(folder: Path, **parts: str) -> rooms.Room:
    usual = {"room": "", "name": "window", "faces": "street", "built": "double glazed", "side": ""}
    path = folder / "room.toml"
    path.write_text(ROOM.format(**{**usual, "source": "tram", "noise": "", **parts}), encoding="utf-8")
    return rooms.load(path)


def every_meaning() -> list[tuple[str, str]]:
    found = []
    for entry in sayings.listed_words().entries.values():
        cases = [name for case in entry.where for name in (case["means"], *(case["perhaps"] or ()))]
        names = (entry.usual.means, *entry.usual.perhaps, *cases)
        found += [(entry.usual.part, name) for name in names if name]
    return sorted(set(found))


@pytest.mark.parametrize(("part", "name"), every_meaning())
def test_every_word_stands_for_something_there_is(part: str, name: str) -> None:
    if part in ("noise", "own"):
        assert noises.load(name).meant is None
    elif part == "vent":
        assert units.parse(name, "size" if " x " in name else "area" if "2" in name[-1:] else "length")
    else:
        built = constructions.load(name)
        assert built.meant is None and (built.layers or built.measured)


@pytest.mark.parametrize("part", everyday.BUILT)
def test_not_knowing_is_an_answer_and_says_how_to_find_out(part: str) -> None:
    meant = everyday.find("don't know", part=part)
    assert meant is not None and meant.perhaps and meant.tell and meant.share
    unsaid = [everyday.find(word, part=part) for word in ("?", part, f"the {part}")]
    assert [one and one.means for one in unsaid] == [meant.means] * 3


def test_not_knowing_what_is_asked_back() -> None:
    with pytest.raises(InputError, match="of what"):
        constructions.load("don't know")
    assert constructions.load("window, don't know").kind == "window"


@pytest.mark.parametrize(
    ("word", "means"),
    [
        ("UPVC double glazed", "double glass 4-16-4 mm"), ("uPVC window", "double glass 4-16-4 mm"),
        ("Double-Glazed windows", "double glass 4-16-4 mm"), ("single glazing", "glass 4 mm"),
        ("drywall", "wood stud wall 2x4 16 in, empty"), ("brick", "brick wall 225 mm, plastered"),
        ("old sash window", "glass 4 mm"), ("fire door", "solid core door 44 mm"),
        ("cinder blocks", "hollow block wall 200 mm"),
        ("two layers of plasterboard on studs", "wood stud wall 2x4 16 in, double boards, wool"),
        ("bay window", "double glass 4-16-4 mm"), ("wooden door", "hollow core door 35 mm"),
        ("carpet floor", "joist floor, plywood and board"), ("demising wall", "brick wall 225 mm, plastered"),
        ("FD60 door", "solid core door 54 mm"),
    ],
)  # fmt: skip
def test_words_in_any_form(word: str, means: str) -> None:
    built = constructions.load(word)
    assert built.name == means and built.layers == constructions.load(means).layers
    assert f'"{word}" taken as {means}' in built.notes[0] and "judgement" in built.notes[0]


@pytest.mark.parametrize("word", ["sheet of something", "laminate"])
def test_a_wall_is_not_looked_for_among_floors(word: str) -> None:
    assert everyday.find(word, part="inner wall") is None


def test_a_vent_by_its_name_is_the_hole_it_stands_for(tmp_path: Path) -> None:
    """A trickle vent clears some 300 x 13 mm and is as deep as the frame (trade knowledge, no source)."""
    vent = read(tmp_path, side='[[side.vent]]\nopening = "trickle vent"').sides[0].vents[0]
    assert vent.area == pytest.approx(0.3 * 0.013) and vent.length == pytest.approx(0.06)
    brick = read(tmp_path, side='[[side.vent]]\nopening = "air brick"\nlength = "0.4 m"').sides[0].vents[0]
    assert brick.area == pytest.approx(25e-4) and brick.length == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("word", "size", "length"),
    [("150 mm core vent", "150 mm", "0.3 m"), ('dryer vent, 4" dia', "4 in", "0.3 m"),
     ("trickle vent 400 x 15 mm", "400 mm x 15 mm", "60 mm")],
)  # fmt: skip
def test_a_vent_by_its_name_and_size_is_that_large(tmp_path: Path, word: str, size: str, length: str) -> None:
    """The size as it is said, the way through as its word has it."""
    said, plain = (
        read(tmp_path, side=f"[[side.vent]]\nopening = '{one}'\n{way}").sides[0].vents[0]
        for one, way in ((word, ""), (size, f'length = "{length}"'))
    )
    assert (said.area, said.section, said.round) == (plain.area, plain.section, plain.round)
    assert said.length == plain.length


def test_what_an_air_brick_measures_is_not_what_is_clear(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r'not an opening .*"80 cm2"'):
        read(tmp_path, side='[[side.vent]]\nopening = "air brick 225 x 75 mm"')


@pytest.mark.parametrize(
    ("word", "part", "region", "year", "means"),
    [
        ("double glazing", "window", "US", None, "double glass 3-12-3 mm"),
        ("double glazing", "window", "US", 1970, "double glass 3-6-3 mm"),
        ("double glazing", "window", "DE", 2010, "double glass 4-16-4 mm, argon"),
        ("single glazing", "window", "US", None, "glass 3 mm"),
        ("brick", "outer wall", "UK", 1900, "brick wall 225 mm, plastered"),
        ("brick", "outer wall", "UK", 1935, "cavity brick wall 102-50-102 mm"),
        ("brick", "outer wall", "US", 1985, "brick veneer on timber frame"),
        ("brick", "outer wall", "AU", 1950, "cavity brick wall 102-56-102 mm, plastered"),
        ("brick", "inner wall", "UK", 1935, "brick wall 102 mm, plastered"),
        ("brick", "party wall", "UK", 1935, "brick wall 225 mm, plastered"),
        ("drywall", "inner wall", "DE", None, "steel stud wall 64 mm, 50 mm wool"),
        ("floorboards", "floor", "UK", 1890, "joist floor, boards and lath and plaster"),
    ],
)
def test_words_go_by_part_region_and_age(
    word: str, part: str, region: str, year: int | None, means: str
) -> None:
    """The list of everyday names (2026, ages and regions as read there, shares judged): tables 1a, 2a, 3a."""
    meant = everyday.find(word, part=part, where=Where(region, year))
    assert meant is not None and meant.means == means


def test_a_room_says_where_and_when_once(tmp_path: Path) -> None:
    side = read(tmp_path, room='region = "England"\nbuilt = "1930s"', name="wall", built="brick").sides[0]
    assert side.construction.name == "cavity brick wall 102-50-102 mm"
    assert side.perhaps[0].name == "brick wall 225 mm, plastered"
    newer = read(tmp_path, room='region = "US"\nbuilt = 1930', side='built = "after 2000"').sides[0]
    assert newer.construction.name == "double glass 3-12-3 mm"  # a window newer than its house
    old = read(tmp_path, room='region = "US"\nbuilt = 1930')  # no window is as old as that
    assert old.sides[0].construction.name == "double glass 3-12-3 mm"
    original = read(tmp_path, room='region = "US"', side='built = "1930s"')
    assert original.sides[0].construction.name == "double glass 3-6-3 mm"
    nowhere = read(tmp_path, name="wall", built="brick")
    assert any("region and built in [room] would make it surer" in note for note in nowhere.notes)


def test_what_is_stated_goes_before_what_is_likely(tmp_path: Path) -> None:
    leaky = read(tmp_path, built="old sash window")
    assert leaky.sides[0].gaps and any("nothing said of its joints, unsealed taken" in n for n in leaky.notes)
    tight = read(tmp_path, built="old sash window", side='seal = "sealed"\nperhaps = ["glass 5 mm"]')
    assert tight.sides[0].gaps[0].width < leaky.sides[0].gaps[0].width / 5
    assert [one.name for one in tight.sides[0].perhaps] == ["glass 5 mm"]
    assert not read(tmp_path, built="old sash window", side="gap = []").sides[0].gaps


@pytest.mark.parametrize(
    ("word", "part", "means"),
    [
        ("half-timbered wall", "outer wall", "brick wall 102 mm, plastered"),
        ("ICF wall", "outer wall", "concrete wall 150 mm, plastered"),
        ("insulated concrete forms", "outer wall", "concrete wall 150 mm, plastered"),
        ("red brick wall", "outer wall", "brick wall 225 mm, plastered"),
        ("RCC wall", "outer wall", "concrete wall 150 mm, plastered"),
        ("panelák", "outer wall", "concrete wall 150 mm, plastered"),
        ("2x4 stud wall", "inner wall", "wood stud wall 2x4 16 in, empty"),
        ("lath & plaster", "inner wall", "lath and plaster wall"),
        ("aluminium sliding window", "window", "glass 5 mm"),
        ("triple paned", "window", "triple glass 4-16-4-16-4 mm"),
        ("28mm double glazing", "window", "double glass 4-20-4 mm"),
        ("bifold doors", "window", "glazed door 4-12-4 mm"),
        ("bifold doors", "door", "hollow core door 35 mm"),
        ("FD30S", "door", "solid core door 44 mm"), ("six panel door", "door", "hollow core door 35 mm"),
        ("screed", "floor", "floating screed on concrete 150 mm"),
        ("false ceiling", "ceiling", "concrete slab above, lay-in tile ceiling"),
        ("quadcopter", "noise", "drone"), ("Diwali crackers", "noise", "fireworks"),
        ("skaters", "noise", "skateboard"), ("car alarm", "noise", "car horn"),
        ("auto rickshaw", "noise", "motorcycle"), ("barking dogs", "noise", "dog"),
        ("neighbour's piano", "noise", "piano"), ("helicopters", "noise", "helicopter"),
        ("euphonium", "own", "tuba"), ("contrabassoon", "own", "bassoon"), ("harmonium", "own", "accordion"),
        ("small pipes", "own", "bagpipes"), ("cajón", "own", "drum kit"),
        ("clarinet lessons", "own", "clarinet"), ("neighbour's drums", "noise", "drum kit"),
        ("single hung window", "window", "glass 4 mm"),
        ("rendered brick", "outer wall", "brick wall 225 mm, plastered"),
        ("wooden wall", "outer wall", "boarded outer wall 2x6, wool"),
        ("single skin brick", "outer wall", "brick wall 102 mm"),
        ("plasterboard partition", "inner wall", "wood stud wall 2x4 16 in, empty"),
        ("plywood", "inner wall", "plywood 18 mm"), ("cooker hood", "vent", "150 mm"),
        ("aeroplane", "noise", "aircraft"), ("passers-by", "noise", "speech"),
        ("e-kit", "own", "electronic drums"),
        ("garden office", "outer wall", "boarded outer wall 2x6, wool"),
        ("prefab", "outer wall", "boarded outer wall 2x6, wool"),
        ("factory", "outer wall", "brick wall 340 mm, plastered"),
        ("sandstone tenement", "outer wall", "concrete wall 300 mm"),
        ("high-rise", "outer wall", "concrete wall 150 mm, plastered"),
        ("resilient bars", "ceiling", "timber floor above, resilient channel, wool"),
        ("staggered studs", "party wall", "staggered stud wall 2x4, 57 mm wool"),
        ("half-brick wall", "party wall", "brick wall 102 mm, plastered"),
        ("storm door", "door", "glass 3 mm"), ("T30 door", "door", "filled metal door"),
        ("up-and-over garage door", "door", "steel 0.7 mm"),
        ("magnetic secondary glazing", "window", "acrylic pane 6 mm, 75 mm behind glass"),
        ("slimline double glazing", "window", "double glass 4-6-4 mm"),
        ("raised access floor", "floor", "concrete slab 150 mm with screed"),
        ("door grille", "vent", "400 mm x 100 mm"), ("MVHR", "vent", "125 mm"),
        ("snoring", "noise", "speech"), ("factory next door", "noise", "outdoor unit"),
        ("padel court", "noise", "skateboard"), ("foxes", "noise", "dog"),
        ("gardeners", "noise", "lawn mower"), ("car doors slamming", "noise", "delivery van"),
        ("open-air concert", "noise", "party next door"), ("my dog", "own", "dog"),
        ("a/c", "noise", "outdoor unit"), ("a/c unit", "noise", "outdoor unit"),
        ("electric violin", "own", "electric guitar"), ("vlogging", "own", "speech"),
        ("just drywall", "inner wall", "wood stud wall 2x4 16 in, empty"),
        ("dry lining", "inner wall", "block wall 100 mm, board on dabs"),
        ("dot and dab plasterboard on block", "party wall", "block wall 100 mm, board on dabs"),
        ("pebbledashed brick", "outer wall", "brick wall 225 mm, plastered"),
        ("aerated concrete block", "outer wall", "aircrete block wall 150 mm"),
        ("prefab concrete panel", "outer wall", "concrete wall 150 mm, plastered"),
        ("frosted bathroom window", "window", "double glass 4-16-4 mm"),
        ("steel casement", "window", "glass 4 mm"),
        ("teaching drums", "own", "drum kit"), ("teaching", "own", "speech"),
        ("opera singer", "own", "singing voice"), ("uke", "own", "acoustic guitar"),
        ("decks", "own", "mixing"), ("100 watt amp", "own", "electric guitar"),
        ("recycling lorry", "noise", "refuse truck"), ("people smoking outside", "noise", "speech"),
        ("truck reversing beeper", "noise", "car horn"),
    ],
)  # fmt: skip
def test_what_people_in_many_places_write(word: str, part: str, means: str) -> None:
    """Habits of the UK, the US, Australia, India and central Europe (judgement, no source)."""
    meant = everyday.find(word, part=part)
    assert meant is not None and meant.means == means


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("heel clicks", "heels"), ("someone walking above me", "shoes"), ("stomping neighbour", "shoes"),
        ("footsteps upstairs", "shoes"), ("kids running above us", "children"), ("trolley", None),
    ],
)  # fmt: skip
def test_footsteps_in_words(word: str, kind: str | None) -> None:
    assert impacts.steps(word) == kind


def test_a_trolley_is_a_tram_where_people_say_so() -> None:
    there = [noises.resolve("trolley", None, where=Where(one)).name for one in ("US", "UK", None)]
    assert there == ["tram", "skateboard", "skateboard"]


def test_what_is_asked_for_a_window_is_a_window_first() -> None:
    """Words that say no more of a window leave one that nobody knows, whichever noun they stand with: no
    door, though doors too are glazed, in offices and of oak."""
    unknown = everyday.find("don't know", part="window")
    assert unknown is not None
    for word in ("", "office ", "kitchen ", "studio ", "balcony ", "aluminium ", "oak ", "front ", "fully "):
        for noun in ("window", "glazing", "glass", "glazed"):
            meant = [everyday.find(f"{word}{noun}", part=part) for part in ("window", None)]
            assert [one and (one.part, one.means) for one in meant] == [("window", unknown.means)] * 2, word


@pytest.mark.parametrize(
    ("word", "window", "door", "inner"),
    [
        ("office glazing", "double glass 4-16-4 mm", "glass 4 mm", "glass 6 mm"),
        ("kitchen window", *("double glass 4-16-4 mm",) * 3),
        ("shop glazing", "glass 6 mm", "glass 4 mm", "glass 6 mm"),
        ("shopfront", "glass 6 mm", "glass 6 mm", ""),
        ("glazed partition", *("glass 6 mm",) * 3),
        ("internal glazing", "glass 6 mm", "glass 4 mm", "glass 6 mm"),
        ("patio glazing", "glazed door 4-12-4 mm", "glass 4 mm", "glass 6 mm"),
        ("security window", *("laminated glass 6.4 mm",) * 3),
        ("fire-rated glazing", "glass 6 mm", "", ""),
        ("sliding", "glass 5 mm", "hollow core door 35 mm", ""),
        ("acoustic", "double glass 4-16-6.4 mm laminated", "insulated steel door 60 mm", ""),
        ("steel glazing", "glass 4 mm", "", "glass 6 mm"),
        ("curtain walling", *("double glass 6-12-6 mm",) * 3),
        ("half glazed", "glass 4 mm", "glass 4 mm", ""),
        ("front door", *("composite front door 44 mm",) * 2, "composite front door 44 mm"),
        ("metal window", *("double glass 4-16-4 mm",) * 3), ("light glazing", "", "", ""),
    ],
)  # fmt: skip
def test_one_saying_of_a_window_a_door_and_an_inner_wall(
    word: str, window: str, door: str, inner: str
) -> None:
    """Each part its own (judgement, no source); what says "window" is one wherever it is said; none where
    it is guesswork."""
    meant = [everyday.find(word, part=part) for part in ("window", "door", "inner wall")]
    assert ["" if one is None else one.means for one in meant] == [window, door, inner]


def test_a_garden_office_is_no_garden_door() -> None:
    """What stands in a wall may be a door, where its words say so: garden doors are, barns are not."""
    said = [everyday.find(word, part="outer wall") for word in ("garden office", "barn", "garden door")]
    assert [one and one.part for one in said] == ["outer wall", "outer wall", "door"]


@pytest.mark.parametrize(
    ("word", "part", "region", "means"),
    [
        ("1930s semi", "outer wall", "UK", "cavity brick wall 102-50-102 mm"),
        ("Victorian terraced house", "outer wall", "UK", "brick wall 225 mm, plastered"),
        ("Altbau", "outer wall", "DE", "brick wall 340 mm, plastered"),
        ("brick house from 1900", "outer wall", "UK", "brick wall 225 mm, plastered"),
        ("new build", "party wall", "US", "double stud wall 2x4, wool"),
        ("window from 1985", "window", "DE", "double glass 4-12-4 mm"),
        ("1950s window", "window", "US", "glass 3 mm"),
        ("double glazing from the 70s", "window", "US", "double glass 3-6-3 mm"),
        ("double glazing, approx 10 years old", "window", "US", "double glass 3-12-3 mm"),
        ("semi, 150 years old", "outer wall", "UK", "brick wall 225 mm, plastered"),
    ],
)
def test_words_may_tell_their_age(word: str, part: str, region: str, means: str) -> None:
    """Tables 1a, 2a and 3a of the list of everyday names, the year read in the words themselves; it goes
    before that of the house."""
    meant = everyday.find(word, part=part, where=Where(region, 1995))
    assert meant is not None and meant.means == means


@pytest.mark.parametrize(
    ("word", "seal"),
    [
        ("draughty old sash window", "unsealed"), ("draught-proofed sash window", "draught-stripped"),
        ("leaky window", "unsealed"), ("weatherstripped double glazing", "draught-stripped"),
    ],
)  # fmt: skip
def test_words_may_tell_how_tight_it_shuts(tmp_path: Path, word: str, seal: str) -> None:
    side = read(tmp_path, built=word).sides[0]
    stated = read(tmp_path, built=word.split(maxsplit=1)[1], side=f'seal = "{seal}"').sides[0]
    assert side.construction.layers == stated.construction.layers and side.gaps == stated.gaps


def test_a_seal_is_told_by_the_same_words(tmp_path: Path) -> None:
    """Those that say it of a whole window say it under `seal` too."""
    said, known = (read(tmp_path, side=f'seal = "{one}"').sides[0].gaps for one in ("leaky", "unsealed"))
    assert said == known


def test_fire_seals_do_not_seal_sound() -> None:
    meant = everyday.find("fire door with intumescent strip", part="door")
    assert meant is not None and (meant.means, meant.seal) == ("solid core door 44 mm", "unsealed")


def test_a_hole_said_with_a_door_is_in_it(tmp_path: Path) -> None:
    """A letter plate's flap leaves some 2 mm along 0.6 m, a cat flap 3 mm along 0.7 m (trade knowledge)."""
    plain = read(tmp_path, name="door", built="oak door").sides[0]
    room = read(tmp_path, name="door", built="oak door with a letter box and a cat flap")
    side = room.sides[0]
    assert any(one.startswith("door: nothing said of how its cat flap shuts, a slit") for one in room.notes)
    assert side.construction.layers == plain.construction.layers and side.gaps[:-2] == plain.gaps
    box, flap = side.gaps[-2:]
    assert (box.name, box.width, box.length) == ("letter box", 0.002, 0.6)
    assert (flap.name, flap.width, flap.length) == ("cat flap", 0.003, 0.7)
    sheet = read(tmp_path, name="door", built="door Rw 37 with cat flap").sides[0]
    assert sheet.construction.rated is not None and sheet.gaps[-1].name == "cat flap"


def test_a_vent_said_with_a_window_is_in_it(tmp_path: Path) -> None:
    room = read(tmp_path, built="4-16-4 with trickle vents")
    vent = room.sides[0].vents[0]
    assert vent.area == pytest.approx(0.3 * 0.013) and vent.length == pytest.approx(0.06)
    assert any('"trickle vents" taken as 300 mm x 13 mm' in note for note in room.notes)
    alone = constructions.load("double glazing with trickle vents")
    assert any("trickle vents left out: it counts in a room" in note for note in alone.notes)


@pytest.mark.parametrize(
    ("word", "told"),
    [
        ("brick", ['"brick" is this in 50 % (judgement)', "else cavity brick wall 102-50-102 mm"]),
        ("purple double glazing", ['nothing known of "purple"']),
        ("front door with a cat flap", ["Without its cat flap: that counts in a room"]),
    ],
)
def test_a_curve_says_what_a_word_was_taken_for(word: str, told: list[str]) -> None:
    """On the first screen, with what it may be instead; a name of the catalogue needs no such line."""
    screens = (CliRunner().invoke(root, ["curve", one]).output for one in (word, "glass 4 mm"))
    said, plain = (" ".join(one.split()) for one in screens)
    assert all(one in said for one in told) and "Meant" not in plain


def test_a_comparison_names_what_was_typed_and_what_it_was_taken_for() -> None:
    """Every table, gain and column has the words; once below stands what they are, together what is alike."""
    asked = ["UPVC double glazed", "double glazing", "front door with a letter box"]
    found = isolate.compare(asked)
    shown = ["UPVC double glazed", "double glazing", "front door with letter box"]
    assert list(found.labels) == shown and found.to_rows()[0] == ["band_hz", *shown]
    told = CliRunner().invoke(root, ["compare", *asked]).output
    first, _, below = told.partition("Meant")
    assert all(first.count(f"\n{one}  ") == 2 for one in shown) and "4-16-4" not in first
    said = " ".join(below.split())
    assert said.startswith('"UPVC double glazed" and "double glazing" are double glass 4-16-4 mm in ')
    assert '"front door" is composite front door 44 mm in ' in said and "Without the letter box: " in said
    assert said.count("4-16-4") == 1 and 'isolate curve "front door with letter box" --why' in said
    assert "UPVC double glazed and double glazing keep out" in " ".join(first.split())
    assert max(map(len, told.splitlines())) <= 80
    again = isolate.compare(["double glazing", "Double  glazing", "double glazing"]).labels
    assert again == ("double glazing (1)", "Double glazing", "double glazing (3)")


@pytest.mark.parametrize(("word", "laid"), [("carpet on joists", "carpet"), ("joist floor", "")])
def test_what_lies_on_a_floor_is_not_in_it(word: str, laid: str) -> None:
    """A word for a covering changes no floor, and says so (a room has `covering` for it)."""
    meant = everyday.find(word, part="floor")
    assert meant is not None and meant.laid == laid and ("covering =" in meant.note) == bool(laid)
    assert meant.means == "joist floor, plywood and board"


def test_coverings_in_words_are_those_of_floors() -> None:
    assert set(sayings.listed_words().laid) <= set(impacts.coverings())


def test_an_option_may_bring_a_hole(tmp_path: Path) -> None:
    option = '[[option]]\nname = "new"\nreplace = "door"\nconstruction = "fire door with a letter box"'
    room = read(tmp_path, name="door", built="oak door", noise=option)
    changed = room.options[0].gaps
    assert changed is not None and changed[:-1] == room.sides[0].gaps and changed[-1].name == "letter box"


def test_a_glazed_door_has_a_gap_under_it(tmp_path: Path) -> None:
    """A door of glass is a door: it has a threshold and its three edges, not a sash."""
    door = read(tmp_path, name="door", built="half glazed", side='threshold = "unsealed"\nseal = "unsealed"')
    assert {gap.name for gap in door.sides[0].gaps} == {"edge gaps", "gap under it"}


@pytest.mark.parametrize(
    ("word", "part", "said"),
    [
        ("oak fire door", "door", 'did you mean "fire door" or "oak door"?'),
        ("cajon and guitar", "own", 'did you mean "cajon" or "guitar"?'),
        ("drumms", "own", 'did you mean "drums"?'),
        ("drywall", "door", 'that is said of an inner wall; write such as "internal door"'),
        ("my neighbour is annoying", "noise", "it says not what is heard of them: write that"),
        ("brik", "window", 'did you mean "brick"?'),
        ("windoww", "window", 'did you mean "window"?'), ("dooor", "door", 'did you mean "door"?'),
        ("cieling", "ceiling", 'did you mean "ceiling"?'),
        ("awnning", "window", "it stops next to nothing by itself: write the window behind it"),
        ("glass 4", "window", 'did you mean "glass 4 mm" or '),
        ("zonk", "outer wall", 'write it in other words, such as "brick", "solid brick", '),
        ("zonk", "noise", 'write what it sounds like, such as "children", '),
        ("pink elephant wall", "outer wall", 'write it in other words, such as "brick"'),
    ],
)
def test_what_is_not_understood_says_what_to_write(word: str, part: str, said: str) -> None:
    """One message: no other part's words, and no word that only looks alike ("sea" for "sex")."""
    assert everyday.find(word, part=part) is None and everyday.likely(word, part).startswith(said)


@pytest.mark.parametrize(
    ("word", "part", "means", "unread"),
    [
        ("purple double glazing", "window", "double glass 4-16-4 mm", ("purple",)),
        ("low flying planes", "noise", "aircraft", ("flying", "low")),
        ("drunk people shouting", "noise", "shouting", ()),
        ("cosy fire door", "door", "solid core door 44 mm", ("cosy",)),
        ("fire door FD30", "door", "solid core door 44 mm", ()),
        ("metal security door", "door", "steel front door 44 mm, foam", ()),
        ("vinyl double hung window, double pane", "window", "double glass 4-16-4 mm", ()),
        ("aluminum slider single pane", "window", "glass 4 mm", ()),
        ("uPVC back door half glazed", "door", "glass 4 mm", ()),
        ("plywood subfloor on 2x10 joists", "floor", "joist floor, plywood and board", ("2x10",)),
        ("the M25 motorway", "noise", "motorway", ("m25",)),
        ("helicopter hovering overhead", "noise", "helicopter", ("hovering", "overhead")),
        ("tram squeal on the bend", "noise", "tram squeal", ("bend",)),
    ],
)
def test_words_that_say_nothing_are_told(word: str, part: str, means: str, unread: tuple[str, ...]) -> None:
    meant = everyday.find(word, part=part)
    assert meant is not None and (meant.means, meant.unread) == (means, unread)
    assert all(f'nothing known of "{one}"' in meant.note or f'"{one}"' in meant.note for one in unread)


@pytest.mark.parametrize(
    ("word", "part"),
    [
        ("house without brick", "outer wall"), ("not brick", "outer wall"), ("oak or pine", "door"),
        ("drums and trumpet", "own"), ("purple brick 99 thick", "inner wall"),
        ("vinyl plank on gypcrete", "floor"),
        ("brick of some very odd kind", "outer wall"), ("not a tram", "noise"), ("siren and tram", "noise"),
        ("tram 200 m away", "noise"),
    ],
)  # fmt: skip
def test_words_that_turn_or_say_more_are_asked_about(word: str, part: str) -> None:
    assert everyday.find(word, part=part) is None


@pytest.mark.parametrize("part", everyday.PARTS)
def test_what_is_proposed_is_understood(part: str) -> None:
    told = everyday.likely("zonk", part)
    for word in (one for one in told.split('"')[1::2] if one != "glass 6 mm"):
        assert everyday.find(word, part=part) is not None


@pytest.mark.parametrize("word", ["bathroom exhaust", "extract valve"])
def test_an_x_in_a_word_is_no_size(tmp_path: Path, word: str) -> None:
    vent = read(tmp_path, side=f'[[side.vent]]\nopening = "{word}"').sides[0].vents[0]
    assert vent.area == pytest.approx(0.00785, rel=0.01)  # a pipe of 100 mm


@pytest.mark.parametrize(
    ("word", "part", "write"),
    [
        ("SIP", "outer wall", "data sheet says"), ("slab on grade", "floor", "leave that side out"),
        ("roller shutter", "window", "the window behind it"), ("cat flap", "door", "door with a cat flap"),
        ("thatched roof", "ceiling", "roof Rw"), ("waterfall", "noise", "as the background"),
        ("bookcase", "inner wall", "the wall behind it"), ("neighbours", "noise", "footsteps above"),
        ("window AC", "window", "unsealed"), ("stove", "vent", "leave it out"),
        ("music lessons", "own", "write the instrument"), ("tap dancing", "own", "heels"),
    ],
)  # fmt: skip
def test_what_stands_for_nothing_says_what_to_write(word: str, part: str, write: str) -> None:
    meant = everyday.find(word, part=part)
    assert meant is not None and not meant.means and write in meant.refuse


def test_every_refusal_says_what_to_do() -> None:
    """A message ends in what to write, measure, count or leave out instead."""
    refused = {entry.usual.refuse for entry in sayings.listed_words().entries.values()} - {""}
    assert len(refused) >= 10
    for one in refused:
        assert any(word in one for word in ("write", "measure", "count", "leave")), one


def test_a_sound_in_words_has_the_level_its_word_means(tmp_path: Path) -> None:
    """Ten children in a yard make 62 dBA at 10 m, a hundred 74 (Hashimoto 2016, by its abstract)."""
    bare = ROOM.replace('level = "60 dBA"', "").replace('source = "{source}"', 'source = "kids"')
    path = tmp_path / "room.toml"
    usual = {"room": "", "name": "window", "faces": "street", "built": "glass 4 mm", "side": "", "noise": ""}
    path.write_text(bare.format(**usual) + '[[own]]\nsource = "harmonium"\n', encoding="utf-8")
    room = rooms.load(path)
    level = room.noises[0].spectrum.level
    assert level is not None and level.value == 62.0 and room.noises[0].spectrum.distance == 10.0
    assert any("62 dBA, as it is 10.00 m" in note for note in room.notes)
    own = room.own[0].spectrum.level
    assert own is not None and own.value == 78.0


def test_noises_in_words(tmp_path: Path) -> None:
    kids = read(tmp_path, source="kids")
    assert kids.noises[0].spectrum.name == "playground"
    assert any("ten children" in note for note in kids.notes)
    assert noises.resolve("police", None, where=Where("UK")).name == "siren, two-tone"
    assert noises.resolve("bass", None, part="own").name == "amplified bass"
    assert noises.resolve("bass", None).name == "party next door"
    with pytest.raises(InputError, match=r"no noise to compute with .* through the ground"):
        noises.load("subway")


@pytest.mark.parametrize(
    ("line", "wall"),
    [
        (
            "gypsum board 15.9 mm + 2x4 wood studs at 406 mm + gypsum board 15.9 mm",
            "wood stud wall 2x4 16 in, 15.9 mm boards, empty",
        ),
        (
            "gypsum board 15.9 mm + 64 mm steel studs 610 mm, 50 mm glass wool + gypsum board 15.9 mm",
            "steel stud wall 64 mm, 50 mm wool",
        ),
        (
            "gypsum board 15.9 mm + 102 mm resilient channels every 610 mm + gypsum board 15.9 mm",
            "resilient channel wall 2x4, empty",
        ),
        (
            "gypsum board 15.9 mm + 203 mm double studs 406 mm with 178 mm glass wool + gypsum board 15.9 mm",
            "double stud wall 2x4, wool",
        ),
        (
            "plaster board 15.9 mm / 64 mm metal studs at 610 mm centres / 50 mm wool / drywall 15.9 mm",
            "steel stud wall 64 mm, 50 mm wool",
        ),
        ("4mm glass, 16 mm spacer, 4mm glass", "double glass 4-16-4 mm"),
        ("4mm toughened / 16mm spacer / 4mm float", "double glass 4-16-4 mm"),
        ("4-16-4", "double glass 4-16-4 mm"),
        ("glass 4 mm + 16 mm spacer + glass 4 mm", "double glass 4-16-4 mm"),
    ],
)
def test_studs_in_a_line_are_the_wall_of_the_catalogue(line: str, wall: str) -> None:
    written, listed = constructions.load(line), constructions.load(wall)
    assert written.layers == listed.layers
    assert written.kind == listed.kind and not any("nothing ties" in note for note in written.notes)


@pytest.mark.parametrize(
    ("line", "plain"),
    [
        ('13 1/2" thick brick wall', "brick 13 1/2 in"), ("200 mm concrete slab", "concrete 200 mm"),
        ("beam and block floor with screed", "beam and block floor, screed"),
        ("plastered brick wall, 225 mm", "brick wall 225 mm, plastered"),
        ("uPVC double glazed units 4-20-4", "4-20-4"), ("4-16-4 argon filled", "4-16-4 argon"),
        ("6/12/6.4 laminated", "6/12/6.4"),
        ("2x12.5mm plasterboard + 2x4 studs + gypsum board 12.5 mm",
         "2 x gypsum board 12.5 mm + 2x4 studs + gypsum board 12.5 mm"),
        ("two layers of 12.5 mm drywall + 100 mm cavity filled with rock wool + brick 102 mm",
         "2 x gypsum board 12.5 mm + 100 mm rock wool + brick 102 mm"),
        ('1/2" drywall + 3 5/8" steel studs 24" o.c. + 1/2" drywall',
         "gypsum board 1/2 in + 3 5/8 in steel studs 24 in + gypsum board 1/2 in"),
        ("glass 4 mm + 100 mm air gap + glass 6 mm", "glass 4 mm + 100 mm + glass 6 mm"),
        ("brick 215 mm, plaster 13 mm", "brick 215 mm + plaster 13 mm"),
        ("OSB 9 mm + 4x2 studs + OSB 9 mm", "OSB 9 mm + 100 mm studs + OSB 9 mm"),
    ],
)  # fmt: skip
def test_layers_as_builders_write_them(line: str, plain: str) -> None:
    assert constructions.load(line).layers == constructions.load(plain).layers


@pytest.mark.parametrize(
    ("word", "part", "layers"),
    [
        ("24 cm Kalksandstein", "outer wall", "sand-lime block wall 240 mm, plastered"),
        ("stone wall 60cm thick", "outer wall", "concrete 600 mm"),
        ('8" cinder block', "outer wall", "hollow block wall 200 mm"),
        ("1 3/4 in solid core door", "door", "solid core door 44 mm"),
        ("200mm concrete ceiling", "ceiling", "concrete slab 150 mm with screed"),
    ],
)
def test_a_thickness_said_with_a_word_is_its_own(word: str, part: str, layers: str) -> None:
    """Where none of the likely ones is as thick, what is heavy is made so; and nothing else may it be."""
    built, meant = constructions.resolve(word, None, part=part), constructions.load(layers)
    assert [one.sheets * one.thickness for one in built.layers if not isinstance(one, Cavity)] == [
        one.sheets * one.thickness for one in meant.layers if not isinstance(one, Cavity)
    ]
    assert built.meant is not None and built.meant.perhaps == () and built.meant.share is None


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("brick 36,5 cm", r'a decimal comma .*write "brick 36\.5 cm"'),
        ("glass 400 mm", "no sane thickness"),
        ("30 cm zonk", r'write layers such as "glass 4 mm'),
        ("30 cm brik", 'did you mean "brick 30 cm"'),
        ("100 mm blockwork, plaster on both sides", 'did you mean "blockwork"'),
        ("hollow core door, 3/4 in undercut", 'did you mean "hollow core"'),
        ("22 mm fire dor", 'did you mean "fire door"'),
        ("drywall 12.5 mm + 2x4 studs with 100 mm wool + drywall 12.5 mm", "more filling than gap"),
        ("6/12/6 laminated", "no construction of this name"), ("44.2/16/6 acoustic", "no construction"),
        ("glass 6 mm, 12 mm", "an outermost cavity"), ("walls/mine", r"a path ending in \.toml"),
    ],
)  # fmt: skip
def test_lines_that_cannot_be_read_say_what_to_write(line: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        constructions.load(line)


def test_a_slash_between_words_is_no_path() -> None:
    said, plain = (constructions.load(one) for one in ("brick/block cavity", "brick and block cavity"))
    assert said.layers == plain.layers and noises.load("loud TV/radio").name == noises.load("TV").name


def test_what_is_left_out_of_studs_is_taken_and_said() -> None:
    built = constructions.load("gypsum board 12.5 mm + 75 mm studs, wool + gypsum board 12.5 mm")
    cavity = built.layers[1]
    assert isinstance(cavity, Cavity) and cavity.framing == "wood stud" and cavity.full
    assert any("taken as wood studs" in note for note in built.notes)
    assert any("no spacing stated" in note for note in built.notes)
    plain = constructions.load("gypsum board 12.5 mm + 75 mm + gypsum board 12.5 mm")
    assert any("75 mm wood studs 400 mm" in note for note in plain.notes)


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ({"built": "brik"}, r'side\[1\].construction: no construction .* did you mean .*"brick"'),
        ({"built": "double glazzing"}, 'did you mean .*"double glazing"'),
        ({"built": "gypsum board 12.5 mm + wood studs 400 mm + gypsum board 12.5 mm"}, "no depth|too many"),
        ({"built": "OSB 9 mm + 50 mm wood studs, 80 mm glass wool + OSB 9 mm"}, "more filling than gap"),
        ({"built": "glass 4 mm + 16 mm spacer 400 mm + glass 4 mm"}, "a spacing of glazing spacers has no"),
        ({"built": "OSB 9 mm + 100 mm wood studs, oak + OSB 9 mm"}, '"oak" neither fills a gap nor ties'),
        ({"built": "4-90-4"}, "no insulating unit"),
        ({"room": 'region = "Atlantis"'}, r'room.region: no region .*"Atlantis"\); write one of US '),
        ({"room": 'built = "long ago"'}, r"room.built: no year"),
        ({"source": "metro"}, r"noise\[1\].source: no noise to compute with"),
        ({"name": "door", "built": "no door"}, r'construction: .*you would hang, with open = "open"'),
        ({"source": "tram", "noise": "per_day = 100000"}, r"noise\[1\].per_day: out of range"),
    ],
)  # fmt: skip
def test_wrong_entries_are_answered(tmp_path: Path, parts: dict[str, str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        read(tmp_path, **parts)


@pytest.mark.parametrize(
    ("text", "year"),
    [("1935", 1935), (1935, 1935), ("1930s", 1935), ("before 1920", 1919), ("1960-1980", 1970),
     ("after 2000", 2000), ("70s", 1975), ("the '60s", 1965), ("late 70s", 1978), ("early 1970s", 1972),
     ("seventies", 1975), ("Victorian", 1870), ("pre-war", 1935)],
)  # fmt: skip
def test_years(text: object, year: int) -> None:
    assert everyday.year(text) == year


def test_a_room_of_catalogue_names_reads_no_list(tmp_path: Path) -> None:
    sayings.listed_words.cache_clear()
    read(tmp_path, built="double glass 4-16-4 mm")
    assert sayings.listed_words.cache_info().misses == 0


@pytest.mark.parametrize(
    ("parts", "asked"),
    [
        ({"size": "13 x 11 x 8 m"}, 'was it measured in feet? Then write size = "13 x 11 x 8 ft"'),
        ({"size": "4 x 3 x 1.2 m"}, "a height of 1200 mm"),
        ({"size": "40 x 3 x 2.5 m"}, "is that right, and in metres?"),
        ({"area": "40 sqm"}, "more than the room's largest face, 12 m2"),
        ({"area": "6 x 0.4 m"}, "longer than the room"),
        ({"name": "door", "built": "fire door", "area": "2040 x 820 mm"}, "The width comes first"),
        ({"name": "wall", "built": "brick", "area": "2.4 sqm"}, "less than half of the room's smallest wall"),
        ({"side": '[[side.vent]]\nopening = "1 m"\nlength = "0.3 m"'}, "is that in millimetres?"),
        ({"side": '[[side.gap]]\nwidth = "5 cm"\nlength = "1 m"\ndepth = "4 cm"'}, "a slit 50 mm"),
        ({"room": "people = 200"}, "200 people on 12 m2"),
        ({"name": "door", "built": "hollow core door 35 mm", "area": "0.8 x 2 m"}, "how does it shut?"),
        ({"noise": '[[own]]\nname = "pipe"\nsource = "clarinet"\nlevel = "180 dBA"'}, "pipe: 180 dBA"),
    ],
)
def test_what_is_hardly_so_is_asked_about(tmp_path: Path, parts: dict[str, str], asked: str) -> None:
    change = {"size": "4 x 3 x 2.5 m", "area": "76 x 198 cm", "side": "", **parts}
    named = ("name", "built", "side", "room", "noise")
    usual = {"room": "", "name": "window", "faces": "street", "source": "tram", "noise": ""}
    text = ROOM.format(**{**usual, "built": "glass 4 mm", **{k: v for k, v in change.items() if k in named}})
    path = tmp_path / "room.toml"
    path.write_text(text.replace("4 x 3 x 2.5 m", change["size"]).replace("76 x 198 cm", change["area"]))
    found = rooms.load(path)
    assert any(asked in one for one in found.doubts) and f"check this: {found.doubts[0]}" == found.notes[0]


@pytest.mark.parametrize(
    "side",
    ['seal = "sealed"', "gap = []", '[[side.gap]]\nplace = "under the door"\nseal = "unsealed"'],
)
def test_a_door_of_which_something_is_said_is_not_asked_about(tmp_path: Path, side: str) -> None:
    there = {"name": "door", "built": "hollow core door 35 mm", "faces": "landing", "source": "talk"}
    assert read(tmp_path, side=side, **there).doubts == ()


def test_walls_may_be_more_than_one(tmp_path: Path) -> None:
    """What is called walls is held against all four of the room, a wall against its largest face."""
    text = ROOM.format(
        room="", name="walls", faces="street", built="brick", side="", source="tram", noise=""
    )
    path = tmp_path / "room.toml"
    path.write_text(text.replace("76 x 198 cm", "30 sqm"))
    assert rooms.load(path).doubts == ()
    path.write_text(text.replace("76 x 198 cm", "40 sqm"))
    assert "more than the four walls of the room, 35 m2" in rooms.load(path).doubts[0]


@pytest.mark.parametrize("name", ["demo", "drum room", "voice booth"])
def test_nothing_is_asked_about_the_bundled_rooms(name: str) -> None:
    assert rooms.load(name).doubts == ()


def test_not_knowing_comes_with_the_way_to_find_out(tmp_path: Path) -> None:
    """What the answer says to find out is what tells the likely ones apart."""
    side = read(tmp_path, name="party wall", faces="next door", built="don't know").sides[0]
    meant = side.construction.meant
    assert meant is not None and len(side.perhaps) == len(meant.perhaps) >= 2
    parts = ElementUnknowns()._construction(side)
    assert any(part.unknown.how == meant.tell for part in parts)
    assert isolate.entry("single glazing").item == constructions.load("single glazing")


def test_a_stroke_joins_two_letters_of_one_word_only() -> None:
    """Not the end of one word and the beginning of the next."""
    said = ("Window A/C", "opera/choir", "villa/cottage", "block/brick")
    assert [sayings.plain(one) for one in said] == [
        "window ac", "opera choir", "villa cottage", "block brick",
    ]  # fmt: skip
