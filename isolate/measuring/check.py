"""Can this recorder be used? From the loud recording alone, before anything else is measured."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.measuring import checks, recorder
from isolate.measuring.checks import SPOILT, Finding
from isolate.measuring.recorder import Following
from isolate.measuring.recording import listen
from isolate.remedies.cautions.facts import Caution, Facts
from isolate.remedies.cautions.table import raised


@dataclass(frozen=True, repr=False)
class Check(Answer):
    """A recording of the test signal judged: `following`, what the gain does to the steps, None where they
    were not found or drown; `found`: whether they were; `peak_db` re full scale; `findings` on it."""

    name: str
    found: bool
    following: Following | None
    peak_db: float
    findings: tuple[Finding, ...]

    @property
    def usable(self) -> bool | None:
        """Whether the recorder can be used; None where the steps do not tell."""
        if any(finding.grave == SPOILT for finding in self.findings):
            return False
        return None if self.following is None else True

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Of playing the signal (again)."""
        return raised(Facts(test_noise=True))

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        one = self.following
        body = {
            "usable": self.usable, "steps_found": self.found, "peak_db": self.peak_db,
            "gain": None if one is None else {
                "strength": one.strength, "u": one.u, "attack_s": one.attack, "release_s": one.release,
                "follows": one.follows, "played_db": [played for played, _ in one.steps],
                "recorded_db": [heard for _, heard in one.steps],
            },
            "findings": [finding.to_dict() for finding in self.findings], "notes": [],
            "cautions": [caution.to_dict() for caution in self.cautions],
        }  # fmt: skip
        return headed("measure", {"check": self.name}, body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output, a row a step."""
        return ["played_db", "recorded_db"], [list(step) for step in (self.following or _NONE).steps]

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return [("recorder", "usable", float(self.usable is True))]


_NONE = Following(0.0, 0.0, 0.0, 0.0, ())


def check(path: Path | str) -> Check:
    """Answer: can the recorder that made this recording of the test signal be used?

    Raises
    ------
    InputError
        A file that cannot be used.
    """
    recording = listen(path)
    steps = recorder.find_steps(recording)
    following = None if steps is None else recorder.following(recording, steps)
    cut = recorder.steady(recording)
    found = checks.of_one(cut, "loud", steady=True, known=steps is not None)
    gain = None if following is None else recorder.told(cut, following)
    peak = float(20.0 * np.log10(max(recording.samples.peak, 1e-9)))
    return Check(recording.name, steps is not None, following, peak, (*([gain] if gain else []), *found))
