"""The weight of a room within a room: on the house's floor, through each mount; and how the floor floats."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from isolate.describe.inner_parts import Mat, Mounts
from isolate.physics import floating
from isolate.physics.air import DENSITY, PRESSURE, SPEED
from isolate.physics.coupled import Member
from isolate.physics.floating import GRAVITY
from isolate.remedies.inner import materials
from isolate.remedies.inner.house import base_plates
from isolate.remedies.inner.plan import Plan
from isolate.remedies.remedy import Need

PERSON, THINGS = 80.0, 25.0  # kg each; kg/m2 of floor of furniture and gear (common practice, no source)


@dataclass(frozen=True)
class Load:
    """What the planned room weighs, with `people` in it."""

    plan: Plan
    people: float = 1.0

    @cached_property
    def weighed(self) -> tuple[Need, ...]:
        """The bill, mounts left out."""
        return materials.needs(self.plan)

    @property
    def bill(self) -> tuple[Need, ...]:
        """The whole bill, net of waste."""
        if not isinstance(self.on, Mounts):
            return self.weighed
        return (*self.weighed, materials.mounts(self.mounts, self.on.rating))

    @property
    def on(self) -> Mounts | Mat:
        """What the floor lies on."""
        return self.plan.inner.floor.on

    def of(self, *parts: str) -> float:
        """Mass [kg] of some parts: "walls", "ceiling", "floor", "windows", "doors"."""
        return sum(need.mass for need in self.weighed if need.part in parts)

    @property
    def mass(self) -> float:
        """Mass of all of it [kg]."""
        return sum(need.mass for need in self.weighed)

    @property
    def carried(self) -> bool:
        """Whether the inner walls carry the ceiling."""
        return self.plan.inner.carried == "inner walls"

    @property
    def on_floor(self) -> float:
        """What of it the house's floor carries [kg]; a hung ceiling hangs from the house."""
        return self.mass - (0.0 if self.carried else self.of("ceiling"))

    @property
    def surface_mass(self) -> float:
        """That over the room's floor [kg/m2]."""
        return self.on_floor / self.plan.outer_area

    @property
    def pressure(self) -> float:
        """That over the room's floor [Pa]."""
        return self.surface_mass * GRAVITY

    @property
    def per_metre(self) -> float:
        """What the inner walls bring on a metre of their line, with the ceiling they carry [kg/m]."""
        parts = ("walls", "windows", "doors", *(("ceiling",) if self.carried else ()))
        return self.of(*parts) / self.plan.inner_perimeter

    @property
    def floated(self) -> float:
        """What stands on mounts or mat, empty [kg]."""
        if not self.plan.floats:
            return self.of("floor")
        return self.of("floor", "walls", "windows", "doors", *(("ceiling",) if self.carried else ()))

    @property
    def in_use(self) -> float:
        """People, furniture and gear [kg]."""
        return self.people * PERSON + THINGS * self.plan.floor_area

    @property
    def mounts(self) -> int:
        """How many mounts: as stated, or as many as the load in use asks for; 0 on a mat."""
        if not isinstance(self.on, Mounts):
            return 0
        return self.on.count or max(math.ceil((self.floated + self.in_use) / self.on.rating), 4)

    @property
    def static_stiffness(self) -> float:
        """Of one mount [N/m]."""
        assert isinstance(self.on, Mounts)
        return self.on.rating * GRAVITY / self.on.deflection

    @property
    def mount_stiffness(self) -> float:
        """Dynamic stiffness of one mount [N/m]."""
        assert isinstance(self.on, Mounts)
        return self.static_stiffness * self.on.stiffening

    def on_mount(self, *, used: bool) -> float:
        """Mean load of a mount [kg], empty or in use."""
        return (self.floated + (self.in_use if used else 0.0)) / self.mounts

    def deflection(self, *, used: bool) -> float:
        """How far it sinks under that [m]."""
        return self.on_mount(used=used) * GRAVITY / self.static_stiffness

    @property
    def mat_stiffness(self) -> float:
        """Dynamic stiffness per area s' of the mat as it lies [N/m3]."""
        assert isinstance(self.on, Mat)
        gap = self.plan.inner.floor.lining.gap
        return floating.dynamic_stiffness(
            self.on.stiffness, flow_resistivity=self.on.flow_resistivity, depth=gap
        )

    @property
    def air_stiffness(self) -> float:
        """Stiffness per area of the air under the floor [N/m3]: isothermal in wool, else adiabatic."""
        lining = self.plan.inner.floor.lining
        bare = (lining.gap - lining.fill_depth) / (DENSITY * SPEED**2)
        return 1.0 / (bare + lining.fill_depth / PRESSURE)

    @property
    def stiffness(self) -> float:
        """Stiffness per area of all that is under the floor [N/m3]."""
        if isinstance(self.on, Mat):
            return max(self.mat_stiffness, self.air_stiffness)
        return self.mounts * self.mount_stiffness / self.plan.floor_area + self.air_stiffness

    @cached_property
    def base(self) -> Member:
        """The house's floor under it."""
        return base_plates(self.plan.room)["floor"]

    @property
    def floated_surface_mass(self) -> float:
        """The floor's own [kg/m2]: boards bend within a metre and swing without the walls at their edges."""
        return self.of("floor") / self.plan.floor_area

    @property
    def resonance(self) -> float:
        """Resonance of the floated floor with its air, on a base that stands still [Hz]."""
        return math.sqrt(self.stiffness / self.floated_surface_mass) / (2 * math.pi)

    @property
    def swing(self) -> float:
        """The same with a light base swinging against it [Hz] (ISO 12354-1, annex D); a heavy one stands
        still (ISO 12354-2, annex C)."""
        return self.resonance * (1.0 + self.over_base) ** 0.5

    @property
    def over_base(self) -> float:
        """Mass that floats over that of a light base; 0 on a heavy one."""
        return self.floated_surface_mass / self.base.whole if self.base.light else 0.0

    @property
    def mount_resonance(self) -> float | None:
        """Natural frequency of the load on its mounts alone, the air let out [Hz]; None on a mat."""
        if not isinstance(self.on, Mounts):
            return None
        sunk = self.deflection(used=False)
        return float(floating.resonance_of_deflection(sunk, stiffening=self.on.stiffening))
