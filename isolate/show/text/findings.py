"""Findings on recordings as text, the gravest first."""

from __future__ import annotations

from collections.abc import Sequence

from isolate.measuring.checks import DOUBT, NOTE, SPOILT, Finding
from isolate.show.layout import Page

MARGIN = 14
_GRAVE = {SPOILT: ("Spoilt", "bad"), DOUBT: ("Doubt", "warn"), NOTE: ("Note", "quiet")}


def listed_findings(findings: Sequence[Finding], page: Page, heading: str) -> list[str]:
    """Heading and findings; nothing where there are none."""
    if not findings:
        return []
    lines = [page.heading(heading)]
    for one in sorted(findings, key=lambda finding: -finding.grave):
        word, ink = _GRAVE[one.grave]
        lines.append(page.wrapped(f"{one.file} {one.what}.", label=f"  {word}", ink=ink, margin=MARGIN))
        if one.again:
            lines.append(page.wrapped(f"Again: {one.again}.", margin=MARGIN))
    return lines
