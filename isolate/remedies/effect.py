"""What a change does: the room with it against the room without, sound by sound, the air, the money."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from isolate.remedies.remedy import Cost, Remedy, total
from isolate.room import air, audibility
from isolate.room.air import Air
from isolate.room.received import Received, gains, together
from isolate.room.scenario import Sampled, Scenario, gain_limits


@dataclass(frozen=True, eq=False)
class Effect:
    """A room `before` and `after` some remedies; none: the room as it is."""

    remedies: tuple[Remedy, ...]
    before: Scenario
    after: Scenario

    @property
    def name(self) -> str:
        """The remedies in words."""
        return " + ".join(one.name for one in self.remedies) or "as it is"

    @property
    def remedy(self) -> Remedy:
        """The one it is about."""
        return self.remedies[0]

    def drawn(self, sampled: Sampled) -> Effect:
        """With draws on both scenarios."""
        before, after = sampled.scenarios([self.before, self.after])
        return replace(self, before=before, after=after)

    # --- what it takes ---

    @property
    def cost(self) -> Cost | None:
        """What it costs; None where nothing says so."""
        if any(one.cost is None for one in self.remedies):
            return None
        return total(self.remedies)

    @property
    def mass(self) -> float:
        """What it weighs more than what stands [kg]."""
        return sum(one.mass for one in self.remedies)

    # --- what it brings ---

    @cached_property
    def gains(self) -> Mapping[str, float]:
        """How much softer each sound gets [dBA], by its name."""
        return gains(self.before.sounds, self.after.sounds)

    @cached_property
    def gain_db(self) -> float:
        """How much softer all noises inside together get [dBA]; 0 where there are none."""
        if not self.before.heard:
            return 0.0
        return together(self.before.heard) - together(self.after.heard)

    @property
    def gain_limits(self) -> tuple[float, float]:
        """5 % and 95 % of that, each draw against the same one without the change."""
        return gain_limits(self.before.heard, self.after.heard)

    def limits_of(self, name: str) -> tuple[float, float]:
        """5 % and 95 % of the gain of one sound."""
        return gain_limits([self.before.sound(name)], [self.after.sound(name)])

    @cached_property
    def changed(self) -> tuple[tuple[Received, Received], ...]:
        """Sounds that are heard before or after and change noticeably or get another verdict, what drops most
        first."""
        pairs = zip(self.before.sounds, self.after.sounds, strict=True)
        found = [
            (old, new)
            for old, new in pairs
            if (old.is_heard or new.is_heard)
            and (audibility.noticed(abs(old.dba - new.dba)) or old.verdict != new.verdict)
        ]
        return tuple(sorted(found, key=lambda pair: pair[1].dba - pair[0].dba))

    @cached_property
    def helped(self) -> tuple[Received, ...]:
        """The sounds heard before that drop by what one notices, as they are then; what drops most first."""
        return tuple(
            new for old, new in self.changed if old.is_heard and audibility.noticed(old.dba - new.dba)
        )

    @cached_property
    def eased(self) -> Mapping[str, float]:
        """By how much louder limits let each sound be that is played at other hours [dB], by its name;
        inf where none holds then."""
        pairs = zip(self.before.sounds, self.after.sounds, strict=True)
        found = {}
        for old, new in pairs:
            if old.limits and old.source.hours != new.source.hours:
                then = max((one.excess_db for one in new.limits), default=float("-inf"))
                least = new.dba - old.dba
                found[new.name] = max(one.excess_db for one in old.limits) - then + least
        return {name: much for name, much in found.items() if audibility.noticed(much)}

    @cached_property
    def less_clear(self) -> tuple[tuple[Received, Received], ...]:
        """Sounds that are heard, hardly softer in dBA, and all the same stand out noticeably less, since they
        drop where they are heard best; what drops most first."""
        pairs = zip(self.before.sounds, self.after.sounds, strict=True)
        found = [
            (old, new)
            for old, new in pairs
            if old.is_heard and audibility.noticed(old.margin - new.margin) and (old, new) not in self.changed
        ]
        return tuple(sorted(found, key=lambda pair: pair[1].margin - pair[0].margin))

    @property
    def noticed(self) -> bool:
        """Whether anyone notices it for the better."""
        return bool(self.helped)

    @property
    def worsened(self) -> tuple[Received, ...]:
        """The sounds that get noticeably louder."""
        return tuple(new for old, new in self.changed if audibility.noticed(new.dba - old.dba))

    @property
    def reached(self) -> bool:
        """Whether any noise inside changes at all, or comes by the side that is changed."""
        side = {one.side for one in self.remedies}
        faces = {one.side.faces for one in self.before.envelope.sides if one.side.name in side}
        comes = any(faces & set(noise.reaches) for noise in self.before.room.noises)
        return comes or any(abs(self.gains[one.name]) > 1e-9 for one in self.before.heard)

    # --- air ---

    @property
    def air(self) -> Air:
        """What the openings let in then."""
        after = self.after
        return air.of([one.side for one in after.envelope.sides], after.room.people)

    @property
    def air_lost(self) -> float:
        """For how many people air is taken away."""
        before = self.before
        now = air.of([one.side for one in before.envelope.sides], before.room.people)
        return max(now.served - self.air.served, 0.0)

    # --- as data ---

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        noises = [one.to_dict() | {"gain_dba": self.gains[one.name]} for one in self.after.heard]
        neighbours = []
        for found in self.after.neighbours:
            data = found.to_dict()
            for one, heard in zip(data["sounds"], found.heard, strict=True):
                one["gain_dba"] = self.gains[heard.name]
            neighbours.append(data)
        return {
            "name": self.name,
            "replaces": self.remedies[0].side if self.remedies else "",
            "from": self.remedies[0].origin if self.remedies else None,
            "kind": self.remedies[0].key if self.remedies else None,
            "noises": noises,
            "gain_dba": self.gain_db,
            "gain_low_dba": self.gain_limits[0],
            "gain_high_dba": self.gain_limits[1],
            "noticed": self.noticed,
            "helps": [one.name for one in self.helped],
            "cost": self.cost.counts.typical if self.cost else None,
            "costs": self.cost.to_dict() if self.cost else None,
            "mass_kg": self.mass,
            "neighbours": neighbours,
            "air": self.air.to_dict() | {"people_lost": self.air_lost},
        }
