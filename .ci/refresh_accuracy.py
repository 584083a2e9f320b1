"""Write what follows from the predictions: the model's error, the README's figures and the answer it shows.

python .ci/refresh_accuracy.py            writes the model's error (room/) and README.md
python .ci/refresh_accuracy.py --check    writes nothing; fails if they are more than 0.2 dB off

Run it after any change of the physics, the calibrated constants or the measured constructions. It takes
about half a minute. The limits of every prediction follow from model_error.csv, so the predictions are first
compared, then the table is made, then the figures are taken with the limits it gives.
"""

from __future__ import annotations

import os
import re
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

from isolate.answers.accuracy import answer as accuracy
from isolate.answers.accuracy.answer import Accuracy
from isolate.answers.accuracy.leave_one_out import LeftOut
from isolate.answers.accuracy.specimens import Specimen
from isolate.room import model_error, prediction
from isolate.show import markdown_accuracy

README = Path(__file__).parents[1] / "README.md"
TOLERANCE_DB = 0.2


def progress(what: str, done: int, of: int) -> None:
    """A line at the end of each stage."""
    if done == of:
        print(f"{of} {what}", file=sys.stderr)


def with_limits(found: tuple[Specimen, ...], spread: dict[str, np.ndarray]) -> tuple[Specimen, ...]:
    """Specimens with the limits that this model error gives."""
    out = []
    for one in found:
        sigma = np.hypot(prediction.LABORATORY_DB, spread.get(one.family, spread[model_error.EVERYTHING]))
        low, high = prediction.limits(one.tl_db, sigma)
        out.append(replace(one, low_db=low, high_db=high))
    return tuple(out)


def compared() -> tuple[Accuracy, str]:
    """The answer with limits of its own table, and the table's text."""
    first = accuracy.accuracy(left_out=True, processes=os.cpu_count() or 1, progress=progress)
    assert first.left_out is not None
    text = model_error.to_csv(accuracy.error_table(first.left_out.specimens))
    spread = model_error.spread(model_error.read_rows(text))
    left = LeftOut(with_limits(first.left_out.specimens, spread), first.left_out.constants)
    return Accuracy(None, with_limits(first.specimens, spread), left), text


def with_answer(readme: str) -> str:
    """The README with what `isolate room` prints now."""
    from click.testing import CliRunner

    from isolate.cli import root

    told = CliRunner().invoke(root, ["room"], catch_exceptions=False).stdout.strip("\n")
    return re.sub(r"^```text\n.*?^```", lambda _: f"```text\n{told}\n```", readme, flags=re.M | re.S)


def far(old: str, new: str) -> bool:
    """Whether two tables of the model's error differ by more than the tolerance, or in their rows."""
    before, after = model_error.read_rows(old), model_error.read_rows(new)
    if [row[:3] for row in before] != [row[:3] for row in after]:
        return True
    return any(abs(a.model_db - b.model_db) > TOLERANCE_DB for a, b in zip(before, after, strict=True))


def numbers(cells: list[str]) -> list[float]:
    """Cells as numbers, nan for a dash; per cent count as tenths of a decibel."""
    found = (cell.replace("–", "nan") for cell in cells)
    return [float(cell[:-1]) / 10.0 if cell.endswith("%") else float(cell) for cell in found]


def stale(readme: str, block: str) -> list[str]:
    """The rows of the README's block that are off."""
    old, new = markdown_accuracy.cells(readme), markdown_accuracy.cells(block)
    if list(old) != list(new):
        return ["other rows"]
    return [
        name
        for name in new
        if not np.allclose(numbers(old[name]), numbers(new[name]), rtol=0, atol=TOLERANCE_DB, equal_nan=True)
    ]


def main() -> int:
    """Write or check; the exit status."""
    answer, table = compared()
    block = markdown_accuracy.block(answer)
    readme = README.read_text(encoding="utf-8")
    if "--check" not in sys.argv:
        model_error.FILE.write_text(table, encoding="utf-8")
        README.write_text(with_answer(markdown_accuracy.replaced(readme, block)), encoding="utf-8")
        return 0
    off = stale(readme, block)
    if far(model_error.FILE.read_text(encoding="utf-8"), table):
        off.append(model_error.FILE.name)
    print("\n".join(f"out of date: {name}" for name in off) or "up to date")
    return 1 if off else 0


if __name__ == "__main__":
    sys.exit(main())
