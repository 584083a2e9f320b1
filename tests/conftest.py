"""Before numpy is loaded: for matrices of 27 by 27 more threads would only wait for each other. And what
constructions pass is found once for all processes of a run, which begins with nothing."""

import atexit
import os
import shutil
import tempfile
from collections.abc import Iterator

import pytest

for library in ("OPENBLAS", "MKL"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")

if "PYTEST_XDIST_WORKER" not in os.environ:
    os.environ["ISOLATE_STORE"] = tempfile.mkdtemp(prefix="isolate-")
    atexit.register(shutil.rmtree, os.environ["ISOLATE_STORE"], ignore_errors=True)


@pytest.fixture(autouse=True)
def _store_left_open(monkeypatch: pytest.MonkeyPatch) -> None:
    """A desk that a test opens closes the store of its process, not of all tests that come after."""
    monkeypatch.setenv("ISOLATE_STORE", os.environ["ISOLATE_STORE"])


@pytest.fixture
def solved_anew(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """For a test that changes the solver: nothing is known from before, and what it solves is not kept."""
    from isolate.physics import kept

    monkeypatch.setenv("ISOLATE_STORE", "")
    kept.forget()
    yield
    kept.forget()
