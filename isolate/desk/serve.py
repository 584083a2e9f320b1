"""The desk on this machine: a free port, the browser opened, the end when the last window closes."""

from __future__ import annotations

import secrets
import sys
import threading
import webbrowser
from collections.abc import Callable
from typing import Any

from isolate.desk import server
from isolate.desk.recordings import MOST_BYTES
from isolate.desk.session import Session

HOST = "127.0.0.1"
_TURN = 0.001  # s that what is computed meanwhile keeps an answer waiting at a time, of Python's usual 5 ms
_LOOK = 1.0  # s between looks at whether all windows have been closed


def serve(session: Session, *, browser: bool = True, told: Callable[[str], Any] = print) -> None:
    """Answer until the last window has been closed.

    session : what stands on the desk. browser : open it in the browser. told : is given the address.
    """
    from waitress.server import create_server

    sys.setswitchinterval(_TURN)
    secret = secrets.token_urlsafe(24)
    app = server.app(session, secret=secret)
    listening: Any = create_server(
        app, host=HOST, port=0, threads=4, channel_timeout=60, ident="",
        max_request_body_size=MOST_BYTES,
    )  # fmt: skip
    port = listening.effective_port
    app.config["HOSTS"] = (f"{HOST}:{port}", f"localhost:{port}")
    threading.Thread(target=listening.run, daemon=True).start()
    address = f"http://{HOST}:{port}/{secret}/"
    told(address)
    if browser:
        webbrowser.open(address)
    ended = threading.Event()
    try:
        while not ended.wait(_LOOK):
            if app.config["WINDOWS"].over(unsaved=session.unsaved):
                ended.set()
    except KeyboardInterrupt:
        pass
    finally:
        session.later.left.set()
        listening.close()
