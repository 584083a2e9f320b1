"""What touches in a room within a room: mounts, soles, hangers, and the ties that remain or slip in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from isolate.bands import THIRD_OCTAVES
from isolate.describe.inner_parts import SLIPS, InnerTie, Mat, Mounts
from isolate.physics import coupled, floating, inner_shell
from isolate.physics.inner_shell import Contact
from isolate.physics.links import Link, Tie, spring
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.materials import HANGER_AREA
from isolate.remedies.inner.plan import roles

F = THIRD_OCTAVES
BOARD_LOSS, DECK_LOSS = 0.06, 0.08  # of screwed boards, of a deck with what stands on it (our judgement)
STIFFNESS = {  # N/m, dynamic; steel and rigid plastic: our judgement, resilient hangers: from memory
    "hangers": 1e9, "resilient hangers": 1.2e5, "pipe": 1e8, "bolt": 1e8, "conduit": 3e7,
}  # fmt: skip
TOUCHES = 3.0  # points a metre at which the edge of a board bears (our judgement)
STRIP_HZ = 125.0  # from which a strip of rubber parts two plates (EN 12354-1, annex E)
LAYER = 0.05  # m, spacing of springs that stand for a mat: a layer at all frequencies


@dataclass(frozen=True)
class Touching:
    """What touches in the planned room; `parts` of a state: "walls", "ceiling", "floor", "ties"."""

    load: Load

    @property
    def listed(self) -> tuple[InnerTie, ...]:
        """The ties of the file, or usual slips."""
        return self.load.plan.inner.ties or SLIPS

    def floats(self, parts: Sequence[str]) -> bool:
        """Whether the inner walls stand on a floor that floats."""
        return "floor" in parts and self.load.plan.floats

    def across(self, role: str, parts: Sequence[str], name: str = "") -> tuple[Tie, ...]:
        """What crosses the gap of an inner leaf, of a whole role or of the side of this name."""
        plan = self.load.plan
        found: list[Tie] = [self._springs()] if role == "floor" else []
        if role == "ceiling" and not self.load.carried:
            found.append(Tie("points", _link(plan.inner.carried), 1.0 / HANGER_AREA))
        for tie in self.listed if "ties" in parts else ():
            if tie.at not in (role, name):
                continue
            area = plan.face_area(role) if tie.at == role else plan.side(name).area
            many = tie.count * (TOUCHES * tie.length if tie.what == "board" else 1.0)
            link = spring(1e9) if tie.what == "board" else _link(tie.what)
            found.append(Tie("points", link, many / area))
        return tuple(found)

    def _springs(self) -> Tie:
        """Mounts or mat under the floor as springs spread over it."""
        load, on = self.load, self.load.on
        if isinstance(on, Mounts):
            per_area = load.mounts / load.plan.floor_area
            link = spring(load.mount_stiffness * (1 + 1j * on.loss))
            return Tie("springs", link, per_area, spacing=per_area**-0.5)
        own = max(load.mat_stiffness - load.air_stiffness, 1e3)
        return Tie("springs", spring(own * LAYER**2 * (1 + 1j * on.loss)), LAYER**-2, spacing=LAYER)

    def contacts(self, parts: Sequence[str]) -> tuple[Contact, ...]:
        """Where the inner room touches the house, then its parts each other."""
        plan = self.load.plan
        around = plan.inner_perimeter
        strip = 10 * np.log10(np.maximum(F / STRIP_HZ, 1.0)) if plan.inner.sole == "strip" else 0.0
        first: list[Contact] = [self._under_floor()] if "floor" in parts else []
        then: list[Contact] = []
        if self.floats(parts):
            then.append(Contact("walls on the floor", "inner floor", "inner walls", around, strip))
        else:
            first.append(Contact("soles of the inner walls", "floor", "inner walls", around, strip))
        if "ceiling" not in parts:
            first.append(Contact("heads of the inner walls", "ceiling", "inner walls", around))
        elif self.load.carried:
            then.append(Contact("ceiling on the walls", "inner walls", "inner ceiling", around))
        else:
            count, link = plan.floor_area / HANGER_AREA, _link(plan.inner.carried)
            name = "hangers of the ceiling"
            first.append(Contact(name, "ceiling", "inner ceiling", count=count, link=link))
        first += [self._touch(tie) for tie in self.listed if "ties" in parts]
        return (*first, *then)

    def _under_floor(self) -> Contact:
        load, on = self.load, self.load.on
        if isinstance(on, Mat):
            law = floating.improvement(F, resonance_hz=load.resonance, loss=on.loss)
            return Contact("mat under the floor", "floor", "inner floor", factor=10 ** (-law / 10))
        link = spring(load.mount_stiffness * (1 + 1j * on.loss))
        return Contact("mounts of the floor", "floor", "inner floor", count=load.mounts, link=link)

    def _touch(self, tie: InnerTie) -> Contact:
        """A tie; a board bears with the edge of the inner walls."""
        place = {side.name: roles(side) for side in self.load.plan.room.sides}.get(tie.at, tie.at)
        place = place if place in ("ceiling", "floor") else "walls"
        name = f"tie ({tie.name})"
        if tie.what == "board":
            return Contact(name, place, "inner walls", tie.length * tie.count)
        return Contact(name, place, f"inner {place}", count=tie.count, link=_link(tie.what))

    def plates(self, parts: Sequence[str]) -> dict[str, coupled.Member]:
        """Walls, ceiling and floor of the inner room as members."""
        inner = self.load.plan.inner
        length, width, height = self.load.plan.size(parts)
        made = {
            "inner walls": (inner.walls, (2.0 * (length + width), height), BOARD_LOSS),
            "inner ceiling": (inner.ceiling, (length, width), BOARD_LOSS),
            "inner floor": (inner.floor.lining, (length, width), DECK_LOSS),
        }
        return {
            name: inner_shell.leaf_member(lining.leaves, size=size, loss=loss)
            for name, (lining, size, loss) in made.items()
        }


def _link(what: str) -> Link:
    loss = 0.1 if "hanger" in what else 0.05
    return spring(STIFFNESS[what] * (1 + 1j * loss))
