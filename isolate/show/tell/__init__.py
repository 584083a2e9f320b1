"""What each question's answer says: one module a question, with ``document(answer) -> Document``."""

from __future__ import annotations

import importlib
from typing import Any

from isolate.show import layout
from isolate.show.layout import Page


def text(question: str, answer: Any, page: Page, *, full: bool = False) -> str:
    """An answer as text: its first screen, or all of it."""
    teller = importlib.import_module(f"isolate.show.tell.{question}")
    return layout.tell(teller.document(answer), page, full=full)
