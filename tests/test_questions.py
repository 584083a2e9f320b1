"""A room in ten questions: whoever asks them gets one room, and it is the room one would have typed."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

import isolate
from isolate.cli import root
from isolate.describe import constructions, questions, rooms
from isolate.describe.rooms import Room

TYPED = """
[room]
size = "13 x 11 x 8 ft"
furnishing = "furnished"
background = "20 dBA"
flanking = "brick house, timber floors"
region = "UK"
built = "1930s"
people = 1
[[side]]
name = "window"
faces = "street"
construction = "UPVC double glazed"
area = "1.2 x 1.4 m"
seal = "unsealed"
[[side]]
name = "outer wall"
faces = "street"
construction = "brick"
area = "8.0 sqm"
[[side]]
name = "door"
faces = "hall"
construction = "fire door"
area = "0.8 x 2 m"
seal = "draught-stripped"
threshold = "draught-stripped"
[[side]]
name = "party wall"
faces = "next door"
construction = "not sure"
area = "3.35 x 2.44 m"
[[noise]]
name = "children outside"
source = "kids"
level = "74 dBA"
at = "10 m"
distance = "20 m"
faces = "street"
[[own]]
source = "clarinet"
level = "86 dBA"
[[neighbour]]
name = "neighbour next door"
through = ["party wall"]
background = "25 dBA"
"""
ANSWERS = {
    "edge": "draughty", "second": "no", "glass": "double", "home": "row", "place": "UK 1930s",
    "size": "13 x 11 x 8 ft", "walls": "brick", "door": "sealed", "noises": ("kids",), "plays": ("clarinet",),
    "hears": ("beside",), "quiet": "very",
}  # fmt: skip


def load(folder: Path, text: str) -> Room:
    path = folder / "room.toml"
    path.write_text(text, encoding="utf-8")
    return rooms.load(path)


def alike(room: Room) -> Room:
    """Without what was said in other words."""
    sides = tuple(
        replace(side, construction=replace(side.construction, meant=None, notes=())) for side in room.sides
    )
    noises = tuple(replace(one, spectrum=replace(one.spectrum, meant=None)) for one in room.noises)
    return replace(room, sides=sides, noises=noises, notes=(), title="")


def test_the_asked_room_is_the_typed_room(tmp_path: Path) -> None:
    asked, typed = load(tmp_path, questions.written(ANSWERS)), load(tmp_path, TYPED)
    for name in ("size", "sides", "background", "people", "neighbours", "flanking"):
        assert repr(getattr(alike(asked), name)) == repr(getattr(alike(typed), name)), name
    assert [one.name for one in asked.noises] == [one.name for one in typed.noises]


def test_the_file_holds_the_room_and_comments() -> None:
    text = questions.written(ANSWERS)
    assert tomllib.loads(text) == {k: v for k, v in questions.room(ANSWERS).items() if v}
    assert text.startswith("# A room by its questions") and text.count(" # ") >= 8


def test_a_limit_is_shown_where_neighbours_stand(tmp_path: Path) -> None:
    """The questions ask for none; the line that sets one stands beside the neighbour and is read as it is."""
    text = questions.written(ANSWERS)
    line = text.partition("what is agreed: ")[2].partition("\n")[0]
    assert line == 'limit = "30 dBA at night"'
    assert load(tmp_path, f"{text}\n{line}\n").neighbours[0].limits


@pytest.mark.parametrize("question", questions.questions(), ids=lambda one: one.key)
def test_every_answer_makes_a_room(tmp_path: Path, question: questions.Question) -> None:
    for choice in question.choices:
        said = (choice.key,) if question.kind == "choices" else choice.key
        room = load(tmp_path, questions.written({"plays": ("piano",), question.key: said}))
        assert room.doubts == () and room.sides
        assert question.answer(choice.words) == question.answer(choice.key) == said
    assert question.kind == "size" or question.answer("?") is not None or question.usual


def test_not_knowing_anything_is_a_room(tmp_path: Path) -> None:
    room = load(tmp_path, questions.written({}))
    assert room.sides[0].perhaps and any("likeliest" in note for note in room.notes)


def test_a_second_frame_counts(tmp_path: Path) -> None:
    far = load(tmp_path, questions.written({"second": "far", "glass": "double"})).sides[0].construction
    near = load(tmp_path, questions.written({"second": "near", "glass": "single"})).sides[0].construction
    assert (far.name, near.name) == ("second pane behind 4-12-4, 100 mm", "second pane 4-50-6 mm")


@pytest.mark.parametrize(
    ("key", "said", "answer"),
    [
        ("edge", "it rattles", "draughty"), ("home", "a timber house", "wood"), ("quiet", "a fridge", "hum"),
        ("glass", "no idea", "don't know"), ("edge", "not sure", "don't know"), ("plays", "?", ("nothing",)),
        ("hears", "neighbours", ("beside",)), ("glass", "double glazed", "double"),
        ("walls", "bricks", "brick"),
        ("noises", "trams and kids", ("tram", "kids")), ("plays", "my clarinet", ("clarinet",)),
        ("glass", "box window", "box window"), ("door", "oak", "oak"),
        ("noises", "drones, 2", ("drones", "bus")),
        ("plays", "tuba and voice", ("tuba", "voice")),
    ],
)  # fmt: skip
def test_answers_in_everyday_words(
    tmp_path: Path, key: str, said: str, answer: str | tuple[str, ...]
) -> None:
    """The choice that means the same, else the word itself, which the room's file takes as it is."""
    question = next(one for one in questions.questions() if one.key == key)
    assert question.answer(said) == answer
    load(tmp_path, questions.written({"plays": ("piano",), key: question.answer(said)}))


@pytest.mark.parametrize(
    ("said", "faces", "indoors"),
    [
        ("neighbour's piano", "next door", True), ("dogs next door", "next door", True),
        ("television upstairs", "flat above", True), ("kids running upstairs", "flat above", None),
        ("upstairs kids running", "flat above", None),
        ("the upstairs neighbors' footsteps", "flat above", None),
        ("drums from the flat below", "flat below", True), ("church bells", "street", None),
    ],
)  # fmt: skip
def test_where_a_noise_in_ones_own_words_comes_from(
    tmp_path: Path, said: str, faces: str, indoors: bool | None
) -> None:
    """What is next door comes through its wall, what is above through the ceiling (common practice)."""
    question = next(one for one in questions.questions() if one.key == "noises")
    text = questions.written({"noises": question.answer(said)})
    noise = tomllib.loads(text)["noise"][0]
    assert (noise["faces"], noise.get("indoors")) == (faces, indoors)
    room = load(tmp_path, text)
    assert faces in [side.faces for side in room.sides] and room.doubts == ()


def test_a_garage_without_a_window_is_heard_outdoors_through_its_door(tmp_path: Path) -> None:
    answers = {"glass": "none", "door": "garage", "noises": ("nothing",), "plays": ("drums",)}
    room = load(tmp_path, questions.written({**answers, "hears": ("across",)}))
    assert room.noises == () and room.neighbours[0].through == ("outer wall", "door")


def test_a_sound_in_ones_own_words_has_its_level_in_the_file(tmp_path: Path) -> None:
    """A small drone is 60 to 65 dBA at 10 m, a tuba some 92 dBA in a room (from memory)."""
    text = questions.written({"noises": ("drones",), "plays": ("tuba",)})
    found = tomllib.loads(text)
    assert found["noise"][0] | {"name": ""} == {
        "name": "", "source": "drones", "level": "62 dBA", "at": "10 m", "distance": "10 m",
        "faces": "street",
    }  # fmt: skip
    assert found["own"][0]["level"] == "92 dBA"
    assert load(tmp_path, text).noises[0].spectrum.name == "drone"


def test_asked_in_the_terminal(tmp_path: Path) -> None:
    """A wrong answer is asked again, back goes back, ? is not knowing, Enter is usual."""
    path = tmp_path / "mine.toml"
    said = ["held", "back", "3", "1", "?", "2", "UK 1930s", "tall", "13 x 11 x 8 m", "4 x 3 x 2.5 m",
            "1", "", "1, tram"]  # fmt: skip
    run = CliRunner().invoke(root, ["new", str(path), "--ask"], input="\n".join(said) + "\n")
    assert run.exit_code == 0, run.output
    assert "not a size of a room" in run.output and "was it measured in feet?" in run.output
    room = rooms.load(path)
    assert [one.name for one in room.noises][1] == "trams"
    wanted = {
        "edge": "draughty", "glass": "don't know", "home": "row", "place": "UK 1930s",
        "size": "4 x 3 x 2.5 m", "walls": "brick", "noises": ("traffic", "tram"),
    }  # fmt: skip
    assert path.read_text() == questions.written(wanted)
    assert "traffic" in run.output.split("wrote")[1]  # the first answer follows
    before = path.read_bytes()
    again = CliRunner().invoke(root, ["new", str(path), "--ask"], input="\n")
    assert again.exit_code != 0 and path.read_bytes() == before


@pytest.mark.parametrize(
    ("key", "said", "choice"),
    [
        ("home", "terraced house", "row"), ("home", "detached house", "house"),
        ("home", "Altbau", "old flat"),
        ("home", "wood-frame house", "wood"), ("home", "wood frame apartment", "wood flat"),
        ("home", "condo", "new flat"), ("home", "flat with wooden floors", "old flat"),
        ("second", "yes, a storm window", "near"), ("second", "Kastenfenster", "far"),
        ("plays", "double bass", ("bass",)), ("plays", "cello", ("cello",)),
        ("door", "old wooden door", "panel"), ("quiet", "a quiet street", "quiet"),
        ("hears", "neighbours below", ("below",)), ("hears", "roommates", ("hall",)),
        ("hears", "next door and upstairs", ("beside", "above")),
    ],
)  # fmt: skip
def test_a_choice_by_other_words(key: str, said: str, choice: str | tuple[str, ...]) -> None:
    question = next(one for one in questions.questions() if one.key == key)
    assert question.answer(said) == choice


def test_a_shed_has_all_its_sides_outdoors(tmp_path: Path) -> None:
    """Four walls, roof and door; who hears it and who plays next door are outdoors, nobody behind a wall."""
    asked = {one.key: one for one in questions.questions()}
    comes = asked["noises"].answer("kids next door, tram, TV next door")
    answers = {"noises": comes, "plays": ("guitar",), "hears": ("beside", "hall")}
    text = questions.written({"home": asked["home"].answer("garden shed"), **answers})
    shed = load(tmp_path, text)
    assert {side.faces for side in shed.sides} == {"street"} and shed.doubts == ()
    printed = sum(side.area for side in shed.sides)
    assert printed == pytest.approx(2 * (4 + 3) * 2.5 + 4 * 3, abs=0.05)
    assert [one.name for one in shed.noises] == ["kids next door", "trams"]
    kids = tomllib.loads(text)["noise"][0]
    assert (kids["level"], kids["distance"], "indoors" in kids) == ("62 dBA", "10 m", False)
    (hears,) = shed.neighbours
    assert (hears.name, hears.distance, len(hears.through)) == ("people outdoors", 15.0, 7)
    assert questions.room({"home": "garden room"})["side"][-1]["construction"] == "flat roof"


@pytest.mark.parametrize(("home", "walls", "built"), [
    ("shed", "don't know", "shed"), ("garden room", "don't know", "garden room"), ("shed", "brick", "brick"),
    ("house", "don't know", "don't know"),
])  # fmt: skip
def test_a_shed_of_which_nobody_knows_the_walls_is_not_of_masonry(home: str, walls: str, built: str) -> None:
    sides = questions.room({"home": home, "walls": walls})["side"]
    assert {one["construction"] for one in sides if one["name"].endswith("wall")} - {"don't know"} <= {built}
    assert next(one["construction"] for one in sides if one["name"] == "outer wall") == built


def test_a_basement_has_its_ceiling_where_somebody_above_counts() -> None:
    """Whoever lives upstairs hears it by the door and the ceiling, and walks on that; talk in the hall comes
    by the door alone."""
    asked = {one.key: one for one in questions.questions()}
    home = asked["home"].answer("the basement")
    made = questions.room({"home": home, "plays": ("drums",), "hears": ("hall",), "noises": ("footsteps",)})
    ceiling = next(one for one in made["side"] if one["name"] == "ceiling")
    assert made["neighbour"][0]["through"] == ["door", "ceiling"]
    assert made["noise"][0]["faces"] == ceiling["faces"]
    assert ceiling["construction"] == "don't know" and made["room"]["floor"] == "concrete"
    talk = questions.room({"home": home, "noises": ("hall",)})
    assert [one["name"] for one in talk["side"]] == ["window", "outer wall", "door"]


def test_what_shakes_the_floor_stands_on_one(tmp_path: Path) -> None:
    """Drums go out by the floor too, although nobody lives below; a voice does not, and whoever is below has
    the floor as a side."""
    for home, floor in (("row", "don't know"), ("new flat", "concrete")):
        drums = questions.room({"home": home, "plays": ("voice", "drums"), "hears": ("beside",)})
        assert drums["room"]["floor"] == floor
    assert "floor" not in questions.room({"plays": ("voice",), "hears": ("beside",)})["room"]
    assert "floor" not in questions.room({"plays": ("drums",), "hears": ("below",)})["room"]
    text = questions.written({"home": "row", "plays": ("drums",), "hears": ("beside",)})
    (tmp_path / "bare.toml").write_text(text.replace('floor = "don\'t know"', "#"))
    (tmp_path / "room.toml").write_text(text)
    bare, there = (
        next(one.dba for one in isolate.room(str(tmp_path / name), draws=0).now.sounds if one.where)
        for name in ("bare.toml", "room.toml")
    )
    assert there > bare + 3  # the difference is the kick pedal's


@pytest.mark.parametrize(
    ("key", "said"),
    [("glass", "double glazing from the 70s"), ("glass", "draughty windows"), ("walls", '8" cinder block')],
)
def test_what_says_more_than_a_choice_stays_as_it_was_said(key: str, said: str) -> None:
    question = next(one for one in questions.questions() if one.key == key)
    assert question.answer(said) == said


def test_a_window_without_glass_is_asked_about(tmp_path: Path) -> None:
    question = next(one for one in questions.questions() if one.key == "glass")
    with pytest.raises(ValueError, match=r'no glass in it .* write the panes, such as "4-16-4"'):
        question.answer("18 cm concrete")
    text = questions.written({}).replace('"don\'t know"\narea = "1.2 m', '"concrete 18 cm"\narea = "1.2 m')
    assert load(tmp_path, text).doubts == ("window: no glass in concrete 18 cm; is that right?",)


@pytest.mark.parametrize("said", ["nothing", "none", "no", "no one", "no neighbours"])
def test_nobody_and_nothing_are_answers(said: str) -> None:
    asked = {one.key: one for one in questions.questions()}
    for key in ("noises", "plays", "hears"):
        (choice,) = asked[key].answer(said)
        assert choice in ("nothing", "nobody") and not asked[key].choice(choice).gives


def test_who_hears_it_is_told_as_somebody() -> None:
    """Names stand after "by" and "at": "Heard clearly by housemates"."""
    hears = next(one for one in questions.questions() if one.key == "hears")
    names = {str(one.gives["name"]) for one in hears.choices if one.gives}
    assert names and all(one.startswith(("neighbour ", "housemates", "people ")) for one in names)


@pytest.mark.parametrize(
    "said", ["4-16-4", "44.2 acoustic", "Rw 42 (-2; -6)", "glass 6 mm + 100 mm + glass 4 mm"]
)
def test_panes_and_data_sheets_are_answers(tmp_path: Path, said: str) -> None:
    question = next(one for one in questions.questions() if one.key == "glass")
    assert question.answer(said) == said
    window = load(tmp_path, questions.written({"glass": said})).sides[0]
    assert window.construction.layers == constructions.load(said).layers
    with pytest.raises(ValueError, match="of heat, nothing of sound"):
        question.answer("U-value 1.1")


def test_a_door_by_its_data_sheet_hangs_with_its_seals(tmp_path: Path) -> None:
    question = next(one for one in questions.questions() if one.key == "door")
    room = load(tmp_path, questions.written({"door": question.answer("door Rw 37")}))
    rated = next(one for one in room.sides if one.name == "door")
    usual = load(tmp_path, questions.written({"door": "hollow"}))
    assert rated.construction.rated is not None and rated.faces == "hall"
    assert max(gap.width for gap in rated.gaps) < max(
        gap.width for one in usual.sides if one.name == "door" for gap in one.gaps
    )


def test_what_is_seldom_said_stands_for_no_choice(tmp_path: Path) -> None:
    """Snoring is no voice on the pavement: it keeps its word and level."""
    question = next(one for one in questions.questions() if one.key == "noises")
    found = tomllib.loads(questions.written({"noises": question.answer("snoring next door")}))["noise"][0]
    assert (found["source"], found["level"], found["faces"]) == ("snoring next door", "60 dBA", "next door")


def test_a_door_is_said_with_its_hole(tmp_path: Path) -> None:
    """It leads where that door leads and shuts as that does, and the flap is in it."""
    question = next(one for one in questions.questions() if one.key == "door")
    plain, holed = (
        load(tmp_path, questions.written({"door": question.answer(one)})).sides
        for one in ("front door", "front door with a cat flap")
    )
    door, other = (next(one for one in sides if one.name == "door") for sides in (plain, holed))
    assert other.faces == door.faces == "street" and other.gaps[:-1] == door.gaps
    assert other.gaps[-1].name == "cat flap"


@pytest.mark.parametrize(
    ("said", "region", "year"),
    [
        ("UK 1930s", "UK", "1930s"), ("UK Victorian", "UK", "Victorian"), ("US, late 70s", "US", "late 70s"),
        ("New Zealand 1920s", "AU", "1920s"), ("Victorian", None, "Victorian"), ("Ireland", "IE", None),
    ],
)  # fmt: skip
def test_a_place_is_a_country_or_an_age_or_both(
    tmp_path: Path, said: str, region: str | None, year: str | None
) -> None:
    assert questions.place(said) == (region, year)
    load(tmp_path, questions.written({"place": said}))


@pytest.mark.parametrize("said", ["buses", "trams", "dog", "piano and traffic"])
def test_what_comes_in_is_not_played(said: str) -> None:
    question = next(one for one in questions.questions() if one.key == "plays")
    what = said.split()[-1]
    with pytest.raises(ValueError, match=f'outdoors .got "{what}".; write what you play, or "my {what}"'):
        question.answer(said)


@pytest.mark.parametrize("said", ["my dog", "my leaf blower", "television", "our trams"])
def test_what_sounds_inside_holds_in_the_room(tmp_path: Path, said: str) -> None:
    """What is outdoors for others may be one's own: the file it writes is read."""
    question = next(one for one in questions.questions() if one.key == "plays")
    found = load(tmp_path, questions.written({"plays": question.answer(said)})).own
    assert len(found) == 1 and found[0].spectrum.level is not None


def test_a_size_without_a_unit_is_asked_about() -> None:
    question = next(one for one in questions.questions() if one.key == "size")
    for said in ("4.2 x 3.6 x 3.1", "13x11x8", "4.2 by 3.6 by 2.5"):
        with pytest.raises(ValueError, match=f'metres or in feet.*"{said} m" or "{said} ft"'):
            question.answer(said)
        assert question.answer(f"{said} m") == f"{said} m"


@pytest.mark.parametrize(
    ("key", "said", "message"),
    [
        ("edge", "banana", "no answer to this .* such as .it is held all round"), ("edge", "9", "no answer"),
        ("home", "flat", "may be .in a flat .* or .in a flat .*; write which"),
        ("noises", "rain", "measure it in the room"),
        ("size", "4 x 3", "not a size of a room|bare number"), ("place", "Atlantis 1930", "no region"),
        ("place", "UK 19", "no region"), ("noises", "tram, banana", "no answer"),
    ],
)  # fmt: skip
def test_wrong_answers_are_asked_again(key: str, said: str, message: str) -> None:
    question = next(one for one in questions.questions() if one.key == key)
    with pytest.raises(ValueError, match=message):
        question.answer(said)
