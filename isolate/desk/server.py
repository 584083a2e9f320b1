"""The desk's server: one page and an endpoint for each question, for this machine's browser and nobody else.

A request counts only with the secret in its address, this machine's name as its host and, where it changes
something, the page itself as its origin. The page may run and load nothing but its own script and style.
"""

from __future__ import annotations

import base64
import hashlib
import secrets
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http import HTTPStatus
from pathlib import Path
from typing import Any

from flask import Flask, Response, abort, jsonify, request

from isolate.describe import questions
from isolate.desk import cards, recordings, told
from isolate.desk.session import Session
from isolate.errors import InputError, IsolateError
from isolate.show import web

MOST_BYTES = 64_000  # of a request, but for recordings
_RECORDED = "measure"  # the one endpoint that takes files
AWAY = 4.0  # s from the last window's goodbye to the end
# s from a window's last sign of life: it crashed, or a browser keeps it from running while nobody looks; with
# something unsaved it is waited for, so that a window that wakes up finds it all
GONE, GONE_UNSAVED = 600.0, 12 * 3600.0
ASLEEP = 15.0  # s between two looks: the machine itself has slept, and its windows with it
_HERE = Path(__file__).parent


class Windows:
    """The windows that are open: the desk ends when the last has been closed."""

    def __init__(self) -> None:
        self._seen: dict[str, float] = {}
        self._left = self._looked = time.monotonic()
        self._lock = threading.Lock()
        self.any = False

    def alive(self, key: str) -> None:
        """A window has shown itself."""
        with self._lock:
            self.any = True
            self._seen[key[:40]] = time.monotonic()

    def closed(self, key: str) -> None:
        """A window says goodbye; it may only be loading again."""
        with self._lock:
            self._seen.pop(key[:40], None)
            self._left = time.monotonic()

    def over(self, *, unsaved: bool = False) -> bool:
        """Whether all have been closed, or have been silent for long; asked every second or so."""
        now = time.monotonic()
        with self._lock:
            if now - self._looked > ASLEEP:
                self._seen, self._left = dict.fromkeys(self._seen, now), now
            self._looked, patience = now, GONE_UNSAVED if unsaved else GONE
            self._seen = {key: seen for key, seen in self._seen.items() if now - seen < patience}
            return self.any and not self._seen and now - self._left > AWAY


def page() -> tuple[str, str]:
    """The page, and its policy: only the script and style in it."""
    style = (_HERE / "desk.css").read_text(encoding="utf-8") + web.STYLE.read_text(encoding="utf-8")
    script = "\n".join((_HERE / f"{name}.js").read_text(encoding="utf-8") for name in ("desk", "recordings"))
    text = (_HERE / "desk.html").read_text(encoding="utf-8")
    text = text.replace("/*style*/", style).replace("/*script*/", script)

    def known(part: str) -> str:
        return base64.b64encode(hashlib.sha256(part.encode()).digest()).decode()

    policy = (
        f"default-src 'none'; script-src 'sha256-{known(script)}'; style-src 'sha256-{known(style)}'; "
        "connect-src 'self'; media-src data:; img-src data:; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    )
    return text, policy


def app(session: Session, *, secret: str | None = None, hosts: tuple[str, ...] = ()) -> Flask:
    """The desk of a session; it answers to these `hosts` only, such as "127.0.0.1:8000"."""
    made = Flask("isolate desk", static_folder=None)
    made.config.update(MAX_CONTENT_LENGTH=MOST_BYTES, SECRET=secret or secrets.token_urlsafe(24), HOSTS=hosts)
    made.config["WINDOWS"] = Windows()
    text, policy = page()

    @made.before_request
    def guard() -> None:
        if request.host not in made.config["HOSTS"]:
            abort(HTTPStatus.FORBIDDEN)
        if request.method not in ("GET", "POST"):
            abort(HTTPStatus.METHOD_NOT_ALLOWED)
        if request.method == "POST" and request.headers.get("Origin") != f"http://{request.host}":
            abort(HTTPStatus.FORBIDDEN)
        recorded = request.path.endswith(f"/{_RECORDED}")
        request.max_content_length = recordings.MOST_BYTES if recorded else MOST_BYTES
        if (request.content_length or 0) > request.max_content_length:
            abort(HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
        wanted = "multipart/form-data" if recorded else "application/json"
        if request.method == "POST" and request.mimetype != wanted:
            abort(HTTPStatus.UNSUPPORTED_MEDIA_TYPE)

    @made.after_request
    def close(response: Response) -> Response:
        response.headers.update({
            "Content-Security-Policy": policy, "X-Content-Type-Options": "nosniff",
            "Referrer-Policy": "no-referrer", "Cache-Control": "no-store", "X-Frame-Options": "DENY",
            "Cross-Origin-Resource-Policy": "same-origin", "Cross-Origin-Opener-Policy": "same-origin",
        })  # fmt: skip
        return response

    @made.errorhandler(IsolateError)
    def fault(error: IsolateError) -> tuple[Response, int]:
        faults = error.faults if isinstance(error, InputError) else (str(error),)
        faults = tuple(one.removeprefix(f"{session.path}: ") for one in faults)
        return jsonify(faults=faults), HTTPStatus.UNPROCESSABLE_ENTITY

    @made.errorhandler(HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
    def large(_: object) -> tuple[Response, int]:
        most = f"{recordings.MOST_BYTES / 1e6:.0f} MB of recordings together"
        told = f"too large: at most {most}; cut out the part that counts, or export mono"
        return jsonify(faults=[told]), HTTPStatus.REQUEST_ENTITY_TOO_LARGE

    def route(path: str, ask: Callable[[], Any], method: str) -> None:
        made.add_url_rule(f"/{made.config['SECRET']}/{path}", path or "page", ask, methods=[method])

    route("", lambda: Response(text, mimetype="text/html"), "GET")
    for path, ask in _reading(session).items():
        route(path, ask, "GET")
    for path, ask in _writing(session).items():
        route(path, _first(session, ask), "POST")
    for path, ask in _windows(session, made.config["WINDOWS"]).items():
        route(path, ask, "POST")
    return made


def _first(session: Session, ask: Callable[[], Any]) -> Callable[[], Any]:
    """Answered before anything that is computed in the background."""

    def answer() -> Any:
        with session.first():
            return ask()

    return answer


def _asked(key: str, kind: type, usual: Any = None) -> Any:
    """A value of the request's JSON; InputError where it is of another kind."""
    body = request.get_json(silent=True)
    value = body.get(key, usual) if isinstance(body, dict) else None
    if not isinstance(value, kind):
        raise InputError(f"{key}: missing or of another kind; the desk's own page sends it")
    return value


def _where() -> tuple[str | int, ...]:
    """The part a request is about: "side/0" or "room"."""
    text = request.args.get("where", "") if request.method == "GET" else _asked("where", str)
    return tuple(int(one) if one.isdigit() else one for one in text.split("/"))


def _reading(session: Session) -> dict[str, Callable[[], Any]]:
    """What only asks."""
    return {
        "questions": lambda: jsonify(told.questions(session)),
        "room": lambda: jsonify(told.room(session)),
        "later": lambda: jsonify(told.later(session)),
        "card": lambda: jsonify(told.card(session, _where())),
        "panels": lambda: jsonify(told.panels(session)),
        "noise": lambda: Response(recordings.noise(), mimetype="audio/wav", headers={
            "Content-Disposition": 'attachment; filename="noise.wav"',
        }),
        "handed-on": lambda: Response(told.handed_on(session), mimetype="application/octet-stream", headers={
            "Content-Disposition": 'attachment; filename="room.html"',
        }),
    }  # fmt: skip


def _writing(session: Session) -> dict[str, Callable[[], Any]]:
    """What changes the room, or tries something with it."""

    @contextmanager
    def told_in_words(where: tuple[str | int, ...]) -> Iterator[None]:
        data = session.standing.data
        try:
            yield
        except InputError as fault:
            raise InputError(cards.in_words(data, where, fault.faults)) from None

    def begin() -> Any:
        said = _asked("answers", dict)
        asked = {one.key: one for one in questions.questions()}
        given = {key: told.answer(session, asked, key, value) for key, value in said.items()}
        session.put(questions.written(given))
        return jsonify(told.room(session))

    def change() -> Any:
        where = _where()
        data = session.standing.data
        new = cards.values(data, where, _asked("values", dict), feet=session.feet)
        if new:
            with told_in_words(where):
                session.change(where, new)
        return jsonify(told.room(session))

    def add() -> Any:
        data = session.standing.data
        kind, table = cards.new(data, session.standing.room, _asked("what", str))
        session.add(kind, table)
        return jsonify({**told.room(session), "added": f"{kind}/{len(data.get(kind, ()))}"})

    def remove() -> Any:
        where = _where()
        cards.at(session.standing.data, where)
        with told_in_words(where):
            session.remove(str(where[0]), int(where[-1]))
        return jsonify(told.room(session))

    def step(by: int) -> Callable[[], Any]:
        def ask() -> Any:
            session.step(by)
            return jsonify(told.room(session))

        return ask

    def save() -> Any:
        path = session.save(_asked("name", str, ""))
        return jsonify(saved=path.name, folder=str(path.parent))

    def tried() -> Any:
        return jsonify(told.tried(session, _asked("on", list, []), _pane()))

    def sure() -> Any:
        return jsonify(told.sure(session, _asked("on", list, []), _pane()))

    def sheet() -> Any:
        return jsonify(told.sheet(session, _asked("on", list, []), _pane()))

    def units() -> Any:
        session.feet = _asked("feet", bool)
        return jsonify(told.room(session))

    def measure() -> Any:
        given = {role: [(one.filename or "", one.stream) for one in request.files.getlist(role)]
                 for role in recordings.ROLES}  # fmt: skip
        through, facade = request.form.get("through", ""), request.form.get("facade") == "yes"
        against = request.form.get("against", "")
        told = recordings.measured(session, given, through=through, facade=facade, against=against)
        return jsonify(told)

    def keep() -> Any:
        return jsonify(name=recordings.keep(session), kept=recordings.kept(session))

    def fold() -> Any:
        recordings.fold(session)
        return jsonify(told.room(session))

    def hear() -> Any:
        return jsonify(told.heard(session, _asked("on", list, []), _pane(), _asked("noise", str, "")))

    return {
        "begin": begin, "change": change, "add": add, "remove": remove, "undo": step(-1), "redo": step(1),
        "save": save, "tried": tried, "sure": sure, "sheet": sheet, "hear": hear, "units": units,
        _RECORDED: measure, "keep": keep, "fold": fold,
    }  # fmt: skip


def _pane() -> dict[str, Any] | None:
    """The second pane a request asks for, None for none."""
    body = request.get_json(silent=True)
    if not isinstance(body, dict) or body.get("pane") is None:
        return None
    found: dict[str, Any] = _asked("pane", dict)
    if not isinstance(found.get("distance"), int | float):
        raise InputError("distance: missing; write how far away the pane is, in metres")
    return found


def _windows(session: Session, windows: Windows) -> dict[str, Callable[[], Any]]:
    """What a window says of itself; it is told which room stands, should another have changed it."""

    def alive() -> Any:
        windows.alive(_asked("window", str))
        return jsonify(version=session.version)

    def closed() -> Any:
        windows.closed(_asked("window", str))
        return jsonify(ok=True)

    return {"alive": alive, "closed": closed}
