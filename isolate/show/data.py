"""Answers for machines: JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

from isolate.answers.base import Answer
from isolate.answers.plain import plain


def to_json(answer: Answer) -> str:
    """The answer as JSON, numbers as null where there is none."""
    return dumped(answer.to_dict())


def dumped(data: dict[str, Any]) -> str:
    """Plain data as JSON."""
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def escaped(text: str, encoding: str) -> str:
    r"""JSON in the characters an output's encoding has, the others escaped, which loses nothing.

    >>> print(escaped('"Ü“"', "latin-1"))
    "\u00dc\u201c"
    """
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return "".join(one if one.isascii() else json.dumps(one)[1:-1] for one in text)
    return text


def to_csv(answer: Answer) -> str:
    """The answer's rows as CSV with a header; a cell is empty where there is no number."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    header, rows = answer.to_rows()
    named = ([plain({name: cell})[name] for name, cell in zip(header, row, strict=True)] for row in rows)
    writer.writerows([header, *named])
    return text.getvalue()
