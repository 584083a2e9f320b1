"""A headless Chromium driven over a pipe, with nothing but the standard library.

The browser speaks its DevTools protocol on file descriptors 3 and 4: JSON, a zero byte after each message.
"""

from __future__ import annotations

import base64
import contextlib
import fcntl
import json
import os
import select
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

NAMES = ("chromium-headless-shell", "chromium", "chromium-browser")
PATIENCE = 30.0  # s for one answer


def program() -> str | None:
    """The browser's path, None where there is none."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


class Chromium:
    """One browser process; `pages` open in it."""

    def __init__(self) -> None:
        path = program()
        assert path is not None
        self._home = tempfile.mkdtemp(prefix="chromium-")
        to_read, self._write = os.pipe()
        self._read, to_write = os.pipe()
        # Away from 3 and 4, so that neither is written over before it is copied there.
        ends = [fcntl.fcntl(end, fcntl.F_DUPFD, 20) for end in (to_read, to_write)]

        def place() -> None:
            os.dup2(ends[0], 3)
            os.dup2(ends[1], 4)

        self._process = subprocess.Popen(
            [path, "--headless", "--remote-debugging-pipe", "--no-sandbox", "--disable-gpu",
             "--disable-dev-shm-usage", "--disable-background-networking", "--no-first-run", "--mute-audio",
             "--autoplay-policy=no-user-gesture-required", "--hide-scrollbars", "--force-color-profile=srgb",
             f"--user-data-dir={self._home}", "about:blank"],
            preexec_fn=place, pass_fds=(3, 4), stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        for end in (*ends, to_read, to_write):
            os.close(end)
        self._number, self._left = 0, b""
        self.events: list[dict[str, Any]] = []

    def close(self) -> None:
        """End the browser and take away what it wrote."""
        with contextlib.suppress(Exception):
            self.call("Browser.close")
        try:
            self._process.wait(10)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        os.close(self._write)
        os.close(self._read)
        shutil.rmtree(self._home, ignore_errors=True)

    def call(self, method: str, session: str | None = None, /, **parameters: Any) -> dict[str, Any]:
        """Ask for something and wait for the answer; what happens meanwhile goes to `events`."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if session:
            message["sessionId"] = session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            for answer in self._messages(end - time.monotonic()):
                if answer.get("id") == self._number:
                    if "error" in answer:
                        raise RuntimeError(f"{method}: {answer['error']}")
                    result: dict[str, Any] = answer["result"]
                    return result
                self.events.append(answer)
        raise TimeoutError(method)

    def _messages(self, patience: float) -> Iterator[dict[str, Any]]:
        if not select.select([self._read], [], [], max(patience, 0.0))[0]:
            return
        part = os.read(self._read, 1 << 20)
        if not part:
            raise RuntimeError("the browser is gone")
        *whole, self._left = (self._left + part).split(b"\0")
        # The answer may not be the last of them; none must get lost.
        answers = [json.loads(one) for one in whole]
        yield from sorted(answers, key=lambda one: "id" in one)

    def open(self, path: Path, *, width: int, height: int, phone: bool = False, dark: bool = False) -> Page:
        """A file from disk in a window of this size [CSS pixels]."""
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        page = Page(self, target, session)
        for domain in ("Page", "Runtime", "Network", "Log"):
            page.call(f"{domain}.enable")
        page.call(
            "Emulation.setDeviceMetricsOverride", width=width, height=height, mobile=phone,
            deviceScaleFactor=2 if phone else 1,
        )  # fmt: skip
        page.media(dark=dark)
        page.visit(path.as_uri())
        return page


class Page:
    """One open page."""

    def __init__(self, browser: Chromium, target: str, session: str) -> None:
        self.browser, self.target, self.session = browser, target, session

    def call(self, method: str, /, **parameters: Any) -> dict[str, Any]:
        """Ask the page for something."""
        return self.browser.call(method, self.session, **parameters)

    def visit(self, address: str) -> None:
        """Load and wait until it is there."""
        self.call("Page.navigate", url=address)
        self.wait("document.readyState === 'complete'")

    def run(self, script: str) -> Any:
        """The value of an expression in the page; a promise's once it is kept."""
        answer = self.call("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True,
                           userGesture=True)  # fmt: skip
        if "exceptionDetails" in answer:
            raise RuntimeError(answer["exceptionDetails"].get("exception", {}).get("description", script))
        return answer["result"].get("value")

    def wait(self, condition: str, patience: float = 10.0) -> None:
        """Until an expression is true; asked again where the page was just leaving for another."""
        end = time.monotonic() + patience
        while not self._holds(condition):
            if time.monotonic() > end:
                raise TimeoutError(condition)
            time.sleep(0.02)

    def _holds(self, condition: str) -> bool:
        try:
            return bool(self.run(condition))
        except RuntimeError as error:
            if "navigated" in str(error):
                return False
            raise

    def media(self, *, dark: bool = False, paper: bool = False) -> None:
        """What the page is shown on."""
        feature = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.call("Emulation.setEmulatedMedia", media="print" if paper else "", features=[feature])

    def key(self, name: str, code: int) -> None:
        """Press and let go a key."""
        for kind in ("rawKeyDown", "keyUp"):
            self.call("Input.dispatchKeyEvent", type=kind, key=name, code=name, windowsVirtualKeyCode=code)

    def picture(self, path: Path, *, whole: bool = True) -> None:
        """A picture of it."""
        shot = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        path.write_bytes(base64.b64decode(shot["data"]))

    def happened(self, *methods: str) -> list[dict[str, Any]]:
        """What it reported of these."""
        self.run("0")
        return [
            event["params"] for event in self.browser.events
            if event.get("method") in methods and event.get("sessionId") == self.session
        ]  # fmt: skip

    def close(self) -> None:
        """Shut it."""
        self.browser.call("Target.closeTarget", targetId=self.target)
