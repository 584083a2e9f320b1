"""What the library asks in words, as the command line does: options with their units, made into an answer.

`isolate.second_pane` and its like are these; what needs no words is the answers' own functions, named in
``isolate/__init__.py``.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypedDict, Unpack

from isolate.room import DRAWS, SEED

if TYPE_CHECKING:
    from isolate.answers.base import Answer
    from isolate.answers.fixes import FixesAnswer
    from isolate.answers.inner_room.answer import InnerRoomAnswer
    from isolate.answers.listen.answer import How
    from isolate.answers.second_pane.answer import SecondPane
    from isolate.describe.rooms import Room
    from isolate.measuring.isolation import Measurement
    from isolate.room.chances import Progress



class SecondPaneOptions(TypedDict, total=False):
    """What may be said of a second window, each as on the command line: lengths and masses with units."""

    window: str | None
    size: str | None
    sash: str | None
    side: str | None
    noise: str | None
    level: str | None
    seal: str | None
    reveal: str | None
    gaps: Sequence[str]
    panes: Sequence[str]
    max_gap: str | None
    max_weight: str | None
    openable: bool
    light: bool
    no_fixing: bool


class FixesOptions(TypedDict, total=False):
    """What may be said of a plan, each as on the command line; `chance` in percent."""

    target: str | None
    budget: float | None
    max_weight: str | None
    max_thickness: str | None
    max_space: str | None
    only_mine: bool
    prices: str | None
    labour: str | None
    chance: float | None
    max_gap: str | None
    may_close: bool
    as_played: bool


class InnerRoomOptions(TypedDict, total=False):
    """What may be said of an inner room, each as on the command line."""

    boards: str | None
    gap: str | None
    stands_on: str | None
    sole: str | None
    session: str | None
    ceiling_gap: str | None
    ceiling_on: str | None
    floor: str | None
    deflection: str | None
    rating: str | None
    mat: str | None
    pane: str | None
    pane_gap: str | None
    door: str | None


class MeasureOptions(TypedDict, total=False):
    """What may be said of recordings, each as on the command line; several files in a sequence."""

    loud_background: Sequence[Path | str]
    decay: Sequence[Path | str]
    loud_corner: Sequence[Path | str]
    quiet_corner: Sequence[Path | str]
    background_corner: Sequence[Path | str]
    volume: str | None
    loud_volume: str | None
    area: str | None
    time: str | None
    quiet_gain: str | None
    background_gain: str | None
    level: str | None
    facade: bool
    music: bool


def second_pane(
    described: Room | str | None = None,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    processes: int = 1,
    progress: Progress | None = None,
    **options: Unpack[SecondPaneOptions],
) -> SecondPane:
    """Answer: what would a second window behind this one bring, which, and how far away?

    Parameters
    ----------
    described : a room, its name or path; None: the window of the options alone, or the bundled room.
    draws, seed, processes, progress : for the chances, as for a room.
    options : `SecondPaneOptions`.

    Raises
    ------
    InputError
        A room, window, noise or limit that does not work.

    Examples
    --------
    >>> import isolate
    >>> found = isolate.second_pane(window="4 mm", size="1 m x 1.2 m", noise="bus", gaps=["100 mm"], draws=50)
    >>> found.verdict
    'worth it'
    >>> gains = found.to_frame().groupby("noise").gain_dba.max()
    >>> bool(gains["siren"] > gains["bus"])  # a bus is deep, and panes couple through the air between them
    True
    """
    from isolate.answers.second_pane.answer import second_pane as answer
    from isolate.remedies.second_window.asked import asked
    from isolate.room.chances import quiet

    question = asked(**options)
    return answer(
        described, question, draws=draws, seed=seed, processes=processes, progress=progress or quiet
    )


def fixes(
    described: Room | str | None = None,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    progress: Progress | None = None,
    **options: Unpack[FixesOptions],
) -> FixesAnswer:
    """Answer: what should be done first, and where to stop?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    draws, seed, progress : for the chances, as for a room.
    options : `FixesOptions`; without any what the room suffers from, whatever it costs.

    Raises
    ------
    InputError
        A room, target, list of prices or limit that does not work, or nothing to choose from.

    Examples
    --------
    >>> import isolate
    >>> table = isolate.fixes(budget=200, draws=50).to_frame()
    >>> plan = table[table.set == "plan"].iloc[-1]
    >>> len(plan.fixes) > 0, bool(plan.cost <= 200)
    (True, True)
    """
    from isolate.answers.fixes import fixes as answer
    from isolate.remedies.judgement.request import request
    from isolate.room.chances import quiet

    return answer(described, request(**options), draws=draws, seed=seed, progress=progress or quiet)


def room_in_room(
    described: Room | str | None = None,
    *,
    ties: Sequence[str] = (),
    people: float | None = None,
    prices: str | None = None,
    labour: str | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
    **options: Unpack[InnerRoomOptions],
) -> InnerRoomAnswer:
    """Answer: what would a room within this room buy, and what does it take?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    ties : what ties it, such as "pipe=walls". people : who breathe in it, instead of the room's.
    prices, labour : a list of prices, and who builds, "own" or "hired". draws, seed : for the chances.
    options : `InnerRoomOptions`; what is not said is as in the file, or usual.

    Raises
    ------
    InputError
        A room, or options that do not work.

    Examples
    --------
    >>> import isolate
    >>> shell = isolate.room_in_room("drum room", boards="3 x gypsum board 15 mm")
    >>> gains = {name: gain for name, what, gain in shell.quantities() if what == "gain_dba"}
    >>> gains["lawn mower outside"] > 10  # half as loud at least
    True
    >>> [state.name for state in shell.states][-1]
    'the whole, touching'
    """
    from isolate.answers.inner_room.answer import inner_room
    from isolate.answers.inner_room.request import asked
    from isolate.describe import rooms

    built = rooms.load(described) if described is None or isinstance(described, str) else described
    stated = {key: None if value is None else str(value) for key, value in options.items()}
    return inner_room(
        built, inner=asked(built, stated, ties), people=people, prices=prices, labour=labour, draws=draws,
        seed=seed,
    )  # fmt: skip


_UNSTATED: dict[str, Any] = {
    **dict.fromkeys(("volume", "loud_volume", "area", "time", "quiet_gain", "background_gain", "level")),
    "same_sound": None, "facade": False, "music": False,
}  # fmt: skip
_MORE_FILES = ("loud_background", "decay", "loud_corner", "quiet_corner", "background_corner")


def measure(
    loud: Sequence[Path | str],
    quiet: Sequence[Path | str],
    background: Sequence[Path | str] = (),
    *,
    room: str | None = None,
    through: str | None = None,
    **options: Unpack[MeasureOptions],
) -> Measurement:
    """Answer: how much does a wall, window or door keep out? From recordings with one microphone.

    Parameters
    ----------
    loud, quiet, background : WAV files, several for several places: noise on in the loud room, noise on heard
        in the quiet one, noise off in the quiet one.
    room, through : a room's name or path to compare with, and the sides of it that it went through.
    options : `MeasureOptions`.

    Raises
    ------
    InputError
        All faults of the request together, or those of the files.

    Examples
    --------
    Noise, and the same 40 dB weaker behind a wall, recorded at another time:

    >>> import tempfile
    >>> import numpy as np
    >>> import isolate
    >>> from isolate.describe import wav
    >>> rng = np.random.default_rng(1)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     files = [Path(folder) / f"{name}.wav" for name in ("loud", "quiet")]
    ...     for path, level in zip(files, (0.1, 0.001), strict=True):
    ...         _ = path.write_bytes(wav.encode(level * rng.standard_normal(20 * 16_000), rate=16_000))
    ...     found = isolate.measure(files[:1], files[1:])
    >>> bool(np.nanmax(np.abs(found.difference_db[6:20] - 40)) < 1)
    True
    """
    from isolate.measuring.request import answer

    files: dict[str, Any] = {"loud": loud, "quiet": quiet, "background": background}
    files |= {role: options.get(role, ()) for role in _MORE_FILES}
    paths = {role: [Path(one) for one in found] for role, found in files.items()}
    return answer(saved=None, against=None, room=room, through=through, **{**_UNSTATED, **options, **paths})


def page(
    described: Room | str | None = None,
    *,
    noise: str | None = None,
    count: int | None = None,
    how: How | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
    processes: int = 1,
    progress: Progress | None = None,
) -> bytes:
    """One HTML file with the story of a room, its sounds and what it does to a take, to hand on.

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    noise, count, draws, seed, processes, progress : as `isolate.explain` has them.
    how : recording and take to use instead of the room's.

    Raises
    ------
    InputError
        A room, noise, recording or take that does not work.
    IsolateError
        A room of so many words that the file would pass 3 MB.
    """
    from dataclasses import replace

    from isolate.answers.inner_room.answer import inner_room
    from isolate.answers.listen import answer as listen
    from isolate.answers.story import story
    from isolate.answers.take.answer import take
    from isolate.describe import rooms
    from isolate.errors import InputError
    from isolate.remedies.contrast import with_noise
    from isolate.show.page.html import render

    how = how or listen.How()
    built = rooms.load(described) if described is None or isinstance(described, str) else described
    built, chosen = listen.restated(*with_noise(built, noise), how)
    found = story(
        built, noise=chosen.name, count=count, draws=draws, seed=seed, processes=processes, progress=progress
    )
    heard = listen.of_contrast(found.contrast, how=how)
    taken = take(built, draws=draws, seed=seed, judged=found.judgement) if built.takes else None
    try:
        inner = inner_room(built, draws=0, now=found.now)
    except InputError:  # no space for one
        inner = None
    return render(found, replace(heard, seed=seed), taken, inner)


_TELLERS = {"page": "explain", "room-in-room": "inner_room"}


def text(answer: Answer, *, width: int = 80, full: bool = False) -> str:
    """An answer as its command prints it, `width` columns wide: the first screen, or all of it.

    >>> import isolate
    >>> print(isolate.text(isolate.predict("glass 4 mm")).splitlines()[0])
    Single glass, 4 mm
    """
    from isolate.show import tell
    from isolate.show.layout import Page

    question = answer.to_dict()["question"]
    teller = _TELLERS.get(question, question.replace("-", "_"))
    return tell.text(teller, answer, Page(width=width), full=full)
