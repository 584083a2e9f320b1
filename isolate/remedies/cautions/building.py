"""What building can do to people and to the house: the triggers and whole texts of these cautions."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.describe import words
from isolate.describe.layers import Cavity, Leaf
from isolate.physics import air_flow
from isolate.remedies.cautions.facts import ENGINEER_KG_M2, HOMES_PA, Change, Facts, Within
from isolate.remedies.inner.materials import SHEET
from isolate.units import FOOT, POUND

LB_FT2 = POUND / FOOT**2
LIFT_KG = 25.0  # one pane above this is a lift for two
SAFETY_AREA_M2 = 0.84  # 9 ft2, above which low panes have to be safety glazing
_GRAVITY = 9.81
_SHELL = ("wall", "ceiling", "floor", "roof")
_ABOVE = ("ceiling", "roof")
_PLASTICS = {"open-cell foam", "polyester wool", "acrylic", "mass-loaded vinyl"}


def _materials(facts: Facts) -> set[str]:
    """Names of what is carried in."""
    names = {panel.material.name for panel in facts.hung}
    for change in facts.changes:
        for part in change.brought:
            found = part.material if isinstance(part, Leaf) else part.fill
            names |= {found.name} if found else set()
    return names


def _leaves(change: Change) -> Iterator[Leaf]:
    return (part for part in change.brought if isinstance(part, Leaf))


def _cavities(change: Change) -> Iterator[Cavity]:
    return (part for part in change.brought if isinstance(part, Cavity))


def _rebuilt(facts: Facts, *kinds: str) -> list[Change]:
    return [change for change in facts.changes if change.rebuilt and change.kind in kinds]


def _pierced(facts: Facts) -> list[Change]:
    return [change for change in facts.changes if change.pierced]


def _tighter(facts: Facts) -> bool:
    return facts.within is not None or any(change.tighter for change in facts.changes)


# --- weight ---


def load(facts: Facts) -> str | None:
    """From `ENGINEER_KG_M2` on, where it bears: on the floor, along a wall's foot, from above."""
    if facts.within is not None:
        return _within(facts.within, facts.floor_area)

    def over_floor(change: Change) -> float:
        stands = change.kind not in _ABOVE and facts.floor_area
        return change.added_kg / facts.floor_area if stands and facts.floor_area else 0.0

    heavy = [
        change
        for change in facts.changes
        if change.kind not in ("window", "door") and max(change.added, over_floor(change)) > ENGINEER_KG_M2
    ]
    if not heavy:
        return None
    most = max(heavy, key=lambda change: (change.added_kg, change.added))
    does = "weighs" if most.old is None else "adds"
    text = f"{most.name} {does} {most.added:.0f} kg/m2 ({most.added / LB_FT2:.0f} lb/ft2)"
    text += f", {most.added_kg:.0f} kg in all" if most.added_kg else ""
    text += _bears(most, facts.height)
    others = words.listed([change.name for change in heavy if change is not most])
    text = text[0].upper() + text[1:] + (f". Heavy too: {others}" if others else "")
    return text + ". Ask a structural engineer before you order."


def _bears(change: Change, height: float | None) -> str:
    """Where the weight of a change goes."""
    if change.kind == "floor":
        return f": {_of_homes(change.added)}"
    if change.kind in _ABOVE:
        return (
            ". It hangs from what is above, not on this floor: joists or rafters that were built to carry a "
            "ceiling alone may not bear it"
        )
    metre = f" of {change.added * height:.0f} kg on each metre" if height else ""
    return f". It bears in a line{metre} along the foot of the wall, not spread over the floor"


def _of_homes(mass: float) -> str:
    """`mass` [kg/m2] over a floor against what floors are built for."""
    pressure = mass * _GRAVITY
    most, least = (100.0 * pressure / each for each in HOMES_PA)
    return (
        f"{pressure / 1000.0:.1f} kPa, {least:.0f} to {most:.0f} % of the 1.4 to 2 kPa (30 to 40 lb/ft2) "
        "that floors of homes are built for, depending on the code, with people and furniture in it"
    )


def _within(inner: Within, floor_area: float | None) -> str:
    text = f"{inner.standing:.0f} kg stand on the floor"
    text += f", {_of_homes(inner.standing / floor_area)}" if floor_area else ""
    text += f"; under its walls {inner.per_metre:.0f} kg on each metre" if inner.per_metre else ""
    text += f"; {inner.hanging:.0f} kg hang from what is above" if inner.hanging else ""
    return text + ". A structural engineer decides before you order anything."


def inner_room(facts: Facts) -> str | None:
    """An inner room that something else is set against."""
    if facts.inner_room is None:
        return None
    return (
        f"An inner room weighs about {facts.inner_room:.0f} kg here: a structural engineer first. It and a "
        "second pane seal the room and can close a way out: plan fresh air and escape, and read what "
        "isolate room-in-room and isolate room say of each."
    )


def bracing(facts: Facts) -> str | None:
    """Walls that touch nothing."""
    if facts.within is None:
        return None
    return (
        "Walls that touch nothing still must not fall over, nor a ceiling come down: bracing, anchors and "
        "joists by the code or an engineer (elastic ones are made), all the more where the earth quakes."
    )


def lifting(facts: Facts) -> str | None:
    """Boards overhead."""
    boards = [leaf for change in _rebuilt(facts, *_ABOVE) for leaf in _leaves(change)]
    if not boards:
        return None
    heaviest = max(words.leaf_mass(leaf) / leaf.sheets for leaf in boards) * SHEET
    return (
        f"A board of 1.2 x 2.4 m (4 x 8 ft) weighs {heaviest:.0f} kg ({heaviest / POUND:.0f} lb) here. Over "
        "your heads: two people and a board lift, a platform rather than a ladder, goggles, and nobody under "
        "it before all its screws are in."
    )


def overhead(facts: Facts) -> str | None:
    """Frames hung up."""
    if not facts.hung:
        return None
    heaviest = max(panel.mass for panel in facts.hung)
    return (
        f"A framed panel weighs about {heaviest:.0f} kg ({heaviest / POUND:.0f} lb). Screw it to studs, "
        "joists or masonry, not to board alone; over heads or a bed with a second, independent hold. A "
        "ladder on firm ground, held by someone."
    )


# --- ways out, air and fire ---


def escape(facts: Facts) -> str | None:
    """Windows and doors one may have to leave by."""
    windows, doors = _rebuilt(facts, "window"), [c for c in _rebuilt(facts, "door") if c.old is None]
    if not windows and not doors:
        return None
    text = "A door on the way out must open from inside without a key. " if doors else ""
    if windows:
        text += (
            "A window one may have to escape by must open from inside without a tool; fixed panes and plugs "
            "prevent that, and a second sash must leave as much open as the first. One country's code asks "
            "for all of these at once: 0.53 m2 (5.7 ft2) clear, at least 51 cm (20 in) wide and 61 cm (24 "
            "in) high (more than these two alone), its sill at most 1.12 m (44 in) above the floor. "
        )
    return text + "Yours rules: ask the building authority."


def alarm(facts: Facts) -> str | None:
    """Nobody hears an alarm in an inner room."""
    if facts.within is None:
        return None
    return (
        "Nobody inside hears the bell, a smoke alarm or a shout: an alarm inside that the house's sets off, "
        "a light for the bell. Both doors must open from inside without a key; keep the way out clear."
    )


def air(facts: Facts) -> str | None:
    """Carbon dioxide where less air gets in."""
    if not _tighter(facts):
        return None
    rise = ", stale from 1500 ppm on; above 5000 ppm, as a mean of 8 hours, work places are forbidden."
    if facts.volume:
        sits, plays = (_rise(facts.volume, effort) for effort in (1.0, air_flow.PLAYING))
        stale, limit = (
            _hours((end - air_flow.CO2_OUTSIDE) * 1e6 / plays) for end in (air_flow.STALE, air_flow.FORBIDDEN)
        )
        rise = (
            f": about {sits:.0f} ppm an hour for each who sits still, {plays:.0f} for who plays or sings. "
            f"One player makes it stale (1500 ppm) in {stale} and passes 5000 ppm, which work places forbid "
            f"as a mean of 8 hours, in {limit}."
        )
    return (
        f"In a sealed room carbon dioxide climbs{rise} Plan fresh air, some "
        f"{1e3 * air_flow.PER_PERSON:.0f} L/s ({air_flow.PER_PERSON * 60 / FOOT**3:.0f} cfm) a person, "
        "through a lined duct; a cooling unit brings none."
    )


def _rise(volume: float, effort: float) -> float:
    """Carbon dioxide one person adds [ppm an hour], to two digits."""
    return float(f"{air_flow.CO2_PER_PERSON * effort * 3600e6 / volume:.2g}")


def _hours(hours: float) -> str:
    return f"{60.0 * hours:.0f} minutes" if hours < 1.5 else f"{hours:.2g} hours"


def combustion(facts: Facts) -> str | None:
    """Fumes drawn back, by a tighter room or by a fan."""
    if not (_tighter(facts) or facts.fan):
        return None
    return (
        "A boiler, stove or open fire that draws air from here can blow its fumes back into a tighter room, "
        "and any fan that takes air out can draw them back from anywhere in the home. Never close its vent, "
        "fit a carbon monoxide alarm, have a licensed installer test the draught with all fans on."
    )


def fire(facts: Facts) -> str | None:
    """Fire-rated parts, holes through them, plastics."""
    through = _pierced(facts)
    if not (_rebuilt(facts, *_SHELL, "door") or through or _materials(facts) & _PLASTICS):
        return None
    duct = "A duct through such a part needs a listed damper or collar. " if through else ""
    return (
        "Walls, ceilings and doors towards flats or stairs may be fire-rated: keep the rating, close "
        f"penetrations with listed fire-stopping, leave no bare foam facing the room. {duct}The authority "
        "says what applies."
    )


def linings(facts: Facts) -> str | None:
    """Porous linings."""
    if not facts.hung:
        return None
    return (
        "Foam, cloth and wool on walls only with the fire class the code asks of linings, with papers to "
        "show it, and well away from heaters, lamps, sockets and wiring. Never raw polyurethane: its smoke "
        "has killed within minutes."
    )


# --- what is cut, drilled and opened ---


def wiring(facts: Facts) -> str | None:
    """Boxes and lights in a new leaf."""
    if not any(True for change in _rebuilt(facts, *_SHELL) for _ in _cavities(change)):
        return None
    return (
        "Boxes and recessed lights are holes in the new leaf and overheat under wool: surface fittings, "
        "putty pads, a licensed electrician."
    )


def _works_on(change: Change) -> bool:
    """Whether what stands is screwed to, opened or cut."""
    return change.old is not None and (change.rebuilt or change.pierced)


def drilling(facts: Facts) -> str | None:
    """Cables and pipes behind what is drilled."""
    if not (facts.hung or any(map(_works_on, facts.changes))):
        return None
    return (
        "Cables, gas, water and heating run in walls, floors and ceilings, often straight up, down or "
        "across from a socket, switch or radiator: look with a detector, switch the circuit off, and ask a "
        "licensed electrician or plumber where you cannot tell."
    )


def hole(facts: Facts) -> str | None:
    """A hole cut for air."""
    through = _pierced(facts)
    if not through:
        return None
    shared = (
        " What stands between you and others is not yours alone: the neighbour's and the owner's consent "
        "first."
        if any(change.shared for change in through)
        else ""
    )
    return (
        "Never cut a joist, beam, lintel or stud that carries, nor a slab with tendons in it: masonry over a "
        "hole needs a lintel, a structural engineer says where and how large. Take air in well away from "
        f"flues and exhausts, and slope a duct to outside so that water runs out.{shared}"
    )


def old_work(facts: Facts) -> str | None:
    """Asbestos and lead in what stands."""
    if not any(map(_works_on, facts.changes)):
        return None
    return (
        "Before opening, drilling or sanding, have it tested: asbestos hides in old ceilings, jointing, "
        "tiles and loose fill, lead in old paint and putty. Removal is for licensed firms."
    )


def lead(facts: Facts) -> str | None:
    """Lead sheet."""
    if "lead" not in _materials(facts):
        return None
    return (
        "Lead poisons by dust, fumes and unwashed hands, children and pregnant women first: gloves, cut with "
        "shears, never saw, sand, heat or leave it bare; wash before you eat, keep children away, and take "
        "scraps to the waste station. Ask a doctor or the health authority in doubt."
    )


def fibres(facts: Facts) -> str | None:
    """Fibrous wool."""
    fibrous = sorted(name for name in _materials(facts) if "wool" in name or "glass-fibre" in name)
    if not fibrous:
        return None
    return (
        f"Cutting {' and '.join(fibrous)}: gloves, long sleeves, goggles, a dust mask; vacuum, no "
        "compressed air; then close it in or cover it."
    )


# --- windows, damp and consent ---


def glazing(facts: Facts) -> str | None:
    """Panes that come."""
    panes = []
    for change in _rebuilt(facts, "window", "door"):
        area = change.area or 0.0
        glass = [leaf for leaf in _leaves(change) if "glass" in leaf.material.name]
        panes += [(words.leaf_mass(leaf), words.leaf_mass(leaf) * area, area) for leaf in glass]
    if not panes:
        return None
    each, kilograms, area = max(panes)
    weight = f"The heaviest pane weighs {each:.0f} kg/m2" + (
        f", {kilograms:.0f} kg here" if kilograms else ""
    )
    lift = ": a lift for two with suction cups" if kilograms > LIFT_KG else ""
    low = (
        f" ({area:.1f} m2 like this one, its lower edge under 46 cm, 18 in)" if area > SAFETY_AREA_M2 else ""
    )
    return (
        f"{weight}{lift}. Glass that is put in doors, beside them and near the floor{low} usually has to be "
        "safety glazing; the local code decides."
    )


def condensation(facts: Facts) -> str | None:
    """Damp between panes and behind linings."""
    paned = any(
        cavity.framing != "glazing spacer"
        for change in _rebuilt(facts, "window")
        for cavity in _cavities(change)
    )
    lined = any(
        change.old is not None and any(True for _ in _cavities(change))
        for change in _rebuilt(facts, "wall", "ceiling", "roof", "floor")
    )
    if not (paned or lined):
        return None
    pane = (
        "Behind a second pane the old one gets colder. Seal the one on the room side tightest and let the "
        "outer one breathe to outside (no strip at top and bottom), or mist forms between; be able to open "
        "and wipe it. "
    )
    lining = "A lining leaves the old wall colder: airtight on the warm side, cure damp first. "
    return (pane if paned else "") + (lining if lined else "") + "If in doubt have it calculated."


def _windows(facts: Facts) -> list[Change]:
    """Windows that stand and get more or other panes."""
    return [c for c in facts.changes if c.rebuilt and c.old is not None and c.old.kind == "window"]


def falling(facts: Facts) -> str | None:
    """Falls from a window that is worked on."""
    if not _windows(facts):
        return None
    return (
        "Work from inside with the old window shut, nobody below, and never lean out with a pane. A pane "
        "that comes out is no guard: where the sill is low, the guard rail or fall-safe glass that the code "
        "asks for stays."
    )


def listed(facts: Facts) -> str | None:
    """Old windows under protection, and rented ones."""
    if not _windows(facts):
        return None
    return (
        "Listed house or protected street: ask the authority before anything is fixed to an old window, "
        "inside too; what comes out without a trace is most easily allowed. Renting: the owner's consent in "
        "writing before you drill or glue."
    )


def permits(facts: Facts) -> str | None:
    """Permission and leases."""
    if not (_rebuilt(facts, *_SHELL, "window", "door") or _pierced(facts)):
        return None
    return (
        "Walls, ducts, windows and anything on a shared wall often need a permit, notice or the owner's "
        "consent; leases may forbid fixings."
    )
