"""What stands on the desk: a room's text with its past, the answer to it, and what is tried with it.

Nothing is computed here: the text is read by `describe`, the room answered by the library, and what only
takes longer (the judgement, the draws) is found in the background and left as soon as the room changes.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from isolate.answers import room as answered
from isolate.answers.room import RoomAnswer
from isolate.describe import catalogue, editing, prices, reading, rooms
from isolate.describe.constructions import Construction
from isolate.describe.editing import Editable
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.rooms import Room
from isolate.errors import InputError, shown
from isolate.measuring.isolation import Measurement
from isolate.physics.responses import Response
from isolate.physics.transmission import Transmission
from isolate.remedies import making
from isolate.remedies.combined import Combined
from isolate.remedies.effect import Effect
from isolate.remedies.remedy import OURS, Remedy
from isolate.remedies.second_window import choice, setting
from isolate.remedies.second_window.choice import USUAL_DEPTH
from isolate.remedies.second_window.panes import is_window, second_window
from isolate.room import DRAWS, scenario
from isolate.room.elements import Finder
from isolate.room.scenario import Sampled, Scenario
from isolate.show import files

Tables = Mapping[str, Any]  # of a room's file, to be read only
Edit = Callable[[Tables], Tables]
NEAREST, FARTHEST, STEP, AT_FIRST = 0.02, 0.4, 0.01, 0.1  # m between the panes, on the page's slider
USUAL_NAME = "my-room.toml"
_NAME = re.compile(r"[\w][\w ,+-]{0,60}\.toml")
_MOST_PAST = 500  # texts kept
_REMEMBERED = 1500  # constructions and sides: more than any room and what is tried with it needs
_PAUSE = 0.01  # s between looks whether anybody still waits


class Superseded(Exception):
    """The room has changed: what was being computed of it is wanted no more."""


@dataclass(frozen=True)
class Standing:
    """The room of one text and its tables, answered with typical values; the file's own changes and how they
    exclude."""

    text: str
    data: Tables
    room: Room
    now: Scenario
    yours: tuple[Remedy, ...]


@dataclass
class Later:
    """What comes after the first figure: the room drawn (`now`), the answer judged, then drawn too; `fault`:
    why there is none; `sampled`: the draws of all that."""

    begun: bool = False
    now: Scenario | None = None
    answer: RoomAnswer | None = None
    drawn: bool = False
    fault: str = ""
    sampled: Sampled | None = None
    left: threading.Event = field(default_factory=threading.Event)

    @property
    def waiting(self) -> bool:
        return not (self.drawn or self.fault)


class _Finder(Finder):
    """Finds sides; asks before it computes whether that may be now."""

    def __init__(self, before: Callable[[], None]) -> None:
        super().__init__(most=_REMEMBERED)
        self._before = before

    def through(
        self, construction: Construction, size: tuple[float, float], *, flanked: bool = False
    ) -> Transmission:
        self._before()
        return super().through(construction, size, flanked=flanked)

    def responses(self, construction: Construction, size: tuple[float, float]) -> tuple[Response, ...]:
        self._before()
        return super().responses(construction, size)


class Session:
    """A room at the desk, its file in `folder` and nowhere else."""

    def __init__(
        self, folder: Path, *, name: str = "", suggested: str = USUAL_NAME, text: str = "", draws: int = DRAWS
    ) -> None:
        self.folder, self.name, self.suggested, self.draws = folder, name, suggested, draws
        self.lock, self._drawing = threading.RLock(), threading.Lock()
        self._counting = threading.Lock()
        self._card: object | None = None  # what is foreseen of it goes first
        self.finder = _Finder(self._between)
        self._asking = 0
        self._behind = threading.local()  # of a thread in the background: what stops it
        self.saved = text if name else ""
        self._past: list[str] = []
        self._at = -1
        self._standing: Standing | None = None
        self._editable: Editable | None = None  # the text that stands, where it has been edited already
        self.version = 0
        self.later = Later()
        self.measured: tuple[Measurement, str] | None = None  # and what it went through
        self._feet: bool | None = None
        if text:
            self.put(text)

    @property
    def path(self) -> Path:
        """Where it is saved, or would be."""
        return self.folder / (self.name or self.suggested)

    @property
    def standing(self) -> Standing:
        """The room as it is now; InputError before there is one."""
        if self._standing is None:
            raise InputError("there is no room yet: answer the questions first")
        return self._standing

    @property
    def begun(self) -> bool:
        return self._standing is not None

    @property
    def unsaved(self) -> bool:
        return self.begun and self.standing.text != self.saved

    @property
    def feet(self) -> bool:
        """Whether sizes are told in feet and inches: as chosen, else as the room's own size is written."""
        if self._feet is not None or not self.begun:
            return bool(self._feet)
        return self.standing.room.in_feet

    @feet.setter
    def feet(self, chosen: bool) -> None:
        self._feet = chosen

    # --- text ---

    def put(self, text: str) -> None:
        """A new text, read and answered before it counts; what was undone is gone."""
        with self.lock:
            if self.begun and text == self.standing.text:
                return
            self._stand(text)
            self._past = [*self._past[: self._at + 1], text][-_MOST_PAST:]
            self._at = len(self._past) - 1

    def change(self, where: Sequence[str | int], values: Mapping[str, Any]) -> None:
        """Several values of one table, or from a part's card of the room's ("room.floor"), as one step; None
        takes one away."""
        with self._edited() as text:
            for way, value in values.items():
                inner = way.partition(".")[2] if way.startswith("room.") else ""
                text.change(("room",) if inner else where, {inner or way: value})
            if len(where) == 2 and where[0] == "side" and "name" in values:
                data, new = self.standing.data, values["name"]
                for there, named in _named_after(data, data["side"][where[1]]["name"], new):
                    text.change(there, named)

    def add(self, kind: str, data: Mapping[str, Any]) -> None:
        """One more table of a kind."""
        _known(kind)
        with self._edited() as text:
            text.add(kind, data)

    def remove(self, kind: str, number: int) -> None:
        """One table less."""
        _known(kind)
        with self._edited() as text:
            text.remove(kind, number)

    @contextmanager
    def _edited(self) -> Iterator[Editable]:
        """The text, to be changed as one step; parsed once for as long as every step makes a room."""
        with self.lock:
            text = self._editable or Editable(self.standing.text)
            self._editable = None
            yield text
            self.put(text.text)
            self._editable = text

    def step(self, by: int) -> None:
        """Back by -1, forth by 1; nothing where there is no such step."""
        with self.lock:
            if 0 <= self._at + by < len(self._past):
                self._stand(self._past[self._at + by])
                self._at += by

    @property
    def can(self) -> dict[str, bool]:
        """Whether there is a step back, and forth."""
        return {"undo": self._at > 0, "redo": self._at + 1 < len(self._past)}

    def save(self, name: str = "") -> Path:
        """Write the text into its file; under a `name` of its own the first time.

        Raises
        ------
        InputError
            A name that is none, a file that is another's or was changed by hand meanwhile.
        """
        with self.lock:
            text = self.standing.text
            wanted = name.strip() or self.path.name
            if not _NAME.fullmatch(wanted):
                raise InputError(f'name: no name for the file (got {shown(wanted)}); write "my-room.toml"')
            path, mine = self.folder / wanted, wanted == self.name
            if mine and path.exists() and editing.opened(path) not in (self.saved, text):
                raise InputError(f"{wanted}: was changed elsewhere meanwhile; save under another name")
            if not mine:
                files.check([path], force=False)
            files.write({path: text.encode()}, force=mine)
            self.name, self.saved = wanted, text
            return path

    def _stand(self, text: str) -> None:
        self.later.left.set()
        data = reading.toml(text, self.path)
        room = rooms.read(self.path, name=self.path.stem, written=data)
        now = scenario.present(room, self.finder)
        yours = tuple(making.of_options(room, now.envelope, prices.bundled()))
        self._standing, self._editable = Standing(text, data, room, now, yours), None
        self.version += 1
        self.later = Later()

    # --- what takes longer ---

    @contextmanager
    def first(self) -> Iterator[None]:
        """While somebody waits for an answer the background stands still."""
        with self._counting:
            self._asking += 1
        try:
            yield
        finally:
            with self._counting:
                self._asking -= 1

    @contextmanager
    def _background(self, left: threading.Event) -> Iterator[None]:
        """What this thread computes now gives way to others, and ends where the room is `left`."""
        self._behind.left = left
        try:
            yield
        except Superseded:
            pass
        finally:
            self._behind.left = None

    def _between(self, *_: int) -> None:
        """Between two steps of what runs in the background: stop where the room has changed, let others go
        first."""
        left: threading.Event | None = getattr(self._behind, "left", None)
        while left is not None:
            if left.is_set():
                raise Superseded
            if not self._asking:
                return
            left.wait(_PAUSE)

    def foresee(self, edits: Iterable[Edit], *, card: bool = False) -> None:
        """Find in the background what the sides would be that these edits of the tables would make, so that
        what is chosen next is there at once; what the `card` opened last offers first."""
        with self.lock:
            standing, left = self.standing, self.later.left
            mine = object() if card else None
            self._card = mine or self._card
        there = {(side.name, side.construction.name, side.area) for side in standing.room.sides}
        try:
            with self._background(left):
                for edit in edits:
                    if not self._turn(mine, left):
                        return
                    with suppress(InputError):
                        room = rooms.read(self.path, name=self.path.stem, written=edit(standing.data))
                        for side in room.sides:
                            if (side.name, side.construction.name, side.area) not in there:
                                standing.now.envelope.find(side)
        finally:
            if self._card is mine:
                self._card = None

    def foresee_panes(self) -> None:
        """The same of a second pane behind each window, from where the slider stands at first on."""
        with self.lock:
            left = self.later.left
        with self._background(left):
            for name in self.windows:
                steps = range(round(NEAREST / STEP), round(FARTHEST / STEP) + 1)
                for step in sorted(steps, key=lambda step: abs(step - AT_FIRST / STEP)):
                    self._turn(None, left)
                    with suppress(InputError):
                        self.tried((), {"side": name, "distance": round(step * STEP, 3)})

    def _turn(self, card: object | None, left: threading.Event) -> bool:
        """Whether what is foreseen may go on: an opened card goes before the rest, the newest card first."""
        self._between()
        while card is None and self._card is not None:
            if left.wait(_PAUSE):
                raise Superseded
        return self._card is card

    def look_further(self) -> None:
        """Draw the room as it stands, judge it, draw what was judged, unless it changes before."""
        with self.lock:
            standing, later = self.standing, self.later

        def ask(draws: int) -> RoomAnswer:
            self._between()
            tick = self._between
            found = answered.room(standing.room, draws=draws, finder=self.finder, progress=tick, judging=tick)
            if found.judgement is not None:  # what takes long of it
                _ = found.best, found.options, found.judgement.cures, found.judgement.beyond
            return found

        try:
            if self.draws:
                with self._drawing, self.first():  # soon there; whoever may wait waits for it
                    if later.left.is_set():
                        return
                    later.now = self._sampled(later).scenario(standing.now)
            with self._background(later.left):
                later.answer = ask(0)
                later.answer = ask(self.draws) if self.draws else later.answer
                later.drawn = True
        except Exception as fault:
            later.fault = str(fault) or type(fault).__name__
            raise

    # --- what is tried ---

    @property
    def remedies(self) -> tuple[Remedy, ...]:
        """The changes there are switches for: those of the file, then the best of our own once they are
        found."""
        answer = self.later.answer
        ours = [one.remedy for one in answer.best if one.remedy.origin == OURS] if answer else []
        return (*self.standing.yours, *ours)

    def tried(self, names: Sequence[str], pane: Mapping[str, Any] | None = None) -> Effect:
        """What these remedies do together, typical values; with a second pane at a distance.

        Raises
        ------
        InputError
            A remedy that is not there, or two of which only one can be made.
        """
        with self.lock:
            standing, known = self.standing, {one.name: one for one in self.remedies}
        missing = [name for name in names if name not in known]
        if missing:
            raise InputError(f"change: none of this name (got {shown(missing[0])}); it may come in a moment")
        made = [known[name] for name in names]
        if pane is not None:
            made.append(self.second_pane(str(pane.get("side", "")), float(pane.get("distance", 0.0))))
        for i, one in enumerate(made):
            other = next((other for other in made[:i] if one.excludes(other)), None)
            if other is not None:
                raise InputError(f"{one.name}: cannot be made together with {other.name}; choose one of them")
        combined = Combined(standing.now, made)
        return Effect(tuple(made), standing.now, combined.scenario(frozenset(range(len(made)))))

    def sure(self, effect: Effect) -> Effect:
        """An effect with draws on it, the same as those of the answer.

        Raises
        ------
        Superseded
            The effect is one of a room that has changed since.
        """
        with self.lock:
            later = self.later
            if effect.before is not self.standing.now:
                raise Superseded
        with self._drawing:
            return effect.drawn(self._sampled(later))

    def _sampled(self, later: Later) -> Sampled:
        with self.lock:
            if later.sampled is None:
                later.sampled = Sampled(self.standing.room, count=self.draws)
            return later.sampled

    def second_pane(self, name: str, distance: float) -> Remedy:
        """A second pane behind a window, so far away [m]."""
        envelope = self.standing.now.envelope
        side = next((one for one in self.windows if one == name), None)
        if side is None:
            raise InputError(f"side: no window with layers of this name (got {shown(name)})")
        if not NEAREST <= distance <= FARTHEST:
            raise InputError(f"distance: from 20 to 400 mm (got {1e3 * distance:.0f} mm); write one between")
        built = next(one.side for one in envelope.sides if one.side.name == name)
        pane, edges = self._pane(name)
        option = second_window(built, pane, depth=distance, edges=edges)
        return making.made(envelope, option, "second window", prices.bundled())

    def _pane(self, name: str) -> tuple[Leaf, str]:
        """The glass behind a window and how its reveal is lined: of the pane there is a switch for, once that
        is found, else of the one proposed for the window alone."""
        judged = self.later.answer.judgement if self.later.answer else None
        told = judged.second_window(name) if judged else None
        if told is not None and told.origin == OURS and told.option.construction is not None:
            gap, pane = told.option.construction.layers[-2:]
            if isinstance(gap, Cavity) and isinstance(pane, Leaf):
                return pane, gap.edges
        swept, spot = choice.proposed(setting.of(self.standing.now, name), USUAL_DEPTH)
        return swept.panes[spot.pane], swept.linings[spot.lining]

    @property
    def windows(self) -> tuple[str, ...]:
        """The windows a second pane can be put behind."""
        return tuple(one.side.name for one in self.standing.now.envelope.sides if is_window(one.side))


def open_session(name: str | None, *, draws: int = DRAWS) -> Session:
    """A session for a room's path, a bundled room or nothing.

    A file that is not there yet is made when the room is saved; a bundled room is saved as a file of the
    user's own.

    Raises
    ------
    InputError
        No room of this name, or one with faults.
    """
    here = Path.cwd()
    path = Path(name or USUAL_NAME)
    if not path.exists() and (name is None or path.suffix == ".toml"):
        return Session(path.absolute().parent, suggested=path.name, draws=draws)
    if path.is_file():
        text = editing.opened(path)
        return Session(path.absolute().parent, name=path.name, text=text, draws=draws)
    found = catalogue.find(str(name), rooms.FOLDERS)
    if found is None:
        raise InputError(catalogue.unknown(str(name), rooms.FOLDERS, "room"))
    return Session(here, suggested=f"my {found.stem}.toml", text=editing.opened(found), draws=draws)


def _known(kind: str) -> None:
    if kind not in editing.LISTS:
        raise InputError(f"kind: no such part (got {shown(kind)}); write one of {', '.join(editing.LISTS)}")


def _named_after(data: Tables, old: str, new: str) -> Iterator[tuple[tuple[str, int], dict[str, Any]]]:
    """What speaks of a side by its name, with the new one in place of the old."""
    for kind, key in (("option", "replace"), ("vent", "side")):
        for i, table in enumerate(data.get(kind, ())):
            if table.get(key) == old:
                yield (kind, i), {key: new}
    for i, table in enumerate(data.get("neighbour", ())):
        if old in table.get("through", ()):
            yield ("neighbour", i), {"through": [new if one == old else one for one in table["through"]]}
