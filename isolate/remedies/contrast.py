"""Absorbing inside a room against keeping sound out of it: one noise, panels, and what helps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from isolate.bands import THIRD_OCTAVES, Array, index_of
from isolate.describe import noises
from isolate.describe.rooms import Noise, Room
from isolate.errors import InputError, shown
from isolate.physics import reverberation, treatment
from isolate.remedies import panels
from isolate.remedies.effect import Effect
from isolate.remedies.judgement.judgement import Judgement
from isolate.remedies.panels import Plan
from isolate.remedies.remedy import Remedy
from isolate.room.elements import BuiltSide
from isolate.room.received import Received
from isolate.room.scenario import Scenario

SPEECH_BAND = index_of(1000)


@dataclass(frozen=True, eq=False)
class Contrast:
    """For one noise: what panels do, and what keeps it out.

    `panels` hung on the walls; `covers` of the window or door it comes by; `cure` of the strongest element,
    `second` layer where it comes in, the `inner` room: None where there is none. `before`, `sabine` and
    `eyring`: reverberation times [s] (27,) without and with the panels.
    """

    judgement: Judgement
    noise: Noise
    plan: Plan
    weak: BuiltSide
    panels: Effect
    covers: tuple[Effect, ...]
    cure: Effect | None
    second: Effect | None
    inner: Effect | None
    before: Array
    sabine: Array
    eyring: Array

    @property
    def room(self) -> Room:
        return self.judgement.now.room

    @property
    def scenario(self) -> Scenario:
        """The room as it is."""
        return self.panels.before

    @property
    def now(self) -> Received:
        """The noise as the room is."""
        return self.scenario.sound(self.noise.name)

    @property
    def effects(self) -> tuple[tuple[str, Effect], ...]:
        """Everything that is set side by side, by a key: panels first, the inner room last."""
        found = [("panels", self.panels), *zip(("cover", "tight cover"), self.covers, strict=False)]
        alike = self.cure is not None and self.second is not None and self.cure.name == self.second.name
        found += [("cure", self.cure)] if self.cure and not alike else []
        found += [("second", self.second)] if self.second else []
        found += [("inner", self.inner)] if self.inner else []
        return tuple(found)

    def effect(self, key: str) -> Effect | None:
        """The effect of this key, None where it does not apply here."""
        return dict(self.effects).get(key)

    def gain(self, effect: Effect) -> float:
        """How much softer the noise gets [dBA]."""
        return effect.gains[self.noise.name]

    def then(self, effect: Effect) -> Received:
        """The noise with it."""
        return effect.after.sound(self.noise.name)

    @property
    def drop_db(self) -> Array:
        """What all levels in the room fall by with the panels [dB] (27,)."""
        before, after = (one.envelope.absorption for one in (self.panels.before, self.panels.after))
        return treatment.level_drop(before, after)

    @property
    def at_speech(self) -> dict[str, float]:
        """Before and after at 1 kHz: reverberation [s], distance [m] where direct sound leads, C50 [dB]."""
        band = SPEECH_BAND
        areas = [one.envelope.absorption for one in (self.panels.before, self.panels.after)]
        far = [float(treatment.reverberation_distance(area[band])) for area in areas]
        clear = [float(treatment.clearness(time[band])) for time in (self.before, self.eyring)]
        return {
            "reverberation_before_s": float(self.before[band]),
            "reverberation_after_s": float(self.eyring[band]),
            "direct_within_before_m": far[0],
            "direct_within_after_m": far[1],
            "clearness_before_db": clear[0],
            "clearness_after_db": clear[1],
        }


def with_noise(room: Room, name: str | None) -> tuple[Room, Noise]:
    """The room with the noise that is asked for, else its siren, else its first; a siren of the catalogue
    where it has none."""
    if name is not None:
        for noise in room.noises:
            if noise.name.casefold() == name.strip().casefold():
                return room, noise
        known = ", ".join(noise.name for noise in room.noises) or "none"
        raise InputError(f"noise: the room has no noise of this name (got {shown(name)}); it has: {known}")
    sirens = [noise for noise in room.noises if "siren" in noise.name or "siren" in noise.spectrum.name]
    if sirens or room.noises:
        return room, (sirens or list(room.noises))[0]
    window = next((side for side in room.sides if side.construction.kind == "window"), room.sides[0])
    siren = Noise("siren", window.faces, noises.load("siren"))
    return replace(room, noises=(siren,)), siren


def weak_side(now: Scenario, heard: Received) -> BuiltSide:
    """The window or door by which most of the noise comes in, or the weakest side if it has neither."""
    facing = now.envelope.facing(heard.noise.faces)
    openings = [found for found in facing if found.side.construction.kind in ("window", "door")]
    by_side = heard.by_side
    return max(openings or facing, key=lambda found: by_side[found.side.name])


def contrast(judged: Judgement, noise: Noise, plan: Plan) -> Contrast:
    """The contrast of a judgement of the room, a noise in it and panels."""
    first = judged.first.scenario
    heard = first.sound(noise.name)
    weak = weak_side(first, heard)
    room, added = first.room, plan.added
    before = room.reverberation_time
    if before is None:
        before = reverberation.of_furnishing(room.furnishing, size=room.size)
    hung, *covers = judged.also([plan.remedy, *_covers(plan, weak)])
    return Contrast(
        judgement=judged,
        noise=noise,
        plan=plan,
        weak=weak,
        panels=hung,
        covers=tuple(covers),
        cure=judged.cure(heard),
        second=judged.second_layer(weak.side.name, heard),
        inner=judged.inner_room(),
        before=before,
        sabine=treatment.sabine_after(before, added, volume=room.volume),
        eyring=treatment.eyring_after(
            before, added, volume=room.volume, surface=panels.boundary(room),
            air=reverberation.air_attenuation(THIRD_OCTAVES),
        ),
    )  # fmt: skip


def _covers(plan: Plan, weak: BuiltSide) -> Iterator[Remedy]:
    """A panel over the weak side, hung or sealed, where its layers are known."""
    if weak.side.construction.layers:
        yield plan.covers(weak, sealed=False)
        yield plan.covers(weak, sealed=True)
