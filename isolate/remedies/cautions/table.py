"""The cautions: each with what raises it, what it says and where that comes from. They are the only ones.

They are reminders, not advice on a building: local codes and licensed practice come first, and every one
says whom to ask. Sources marked "read" were seen; "memory" ones were not.
"""

from __future__ import annotations

from isolate.describe import words
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.remedies.cautions.facts import Caution, Change, Facts
from isolate.units import FOOT, POUND

LOAD_KG_M2 = 24.0  # 5 lb/ft2 added: where to stop and ask (a threshold of our own)
LB_FT2 = POUND / FOOT**2
FLOOR_LOAD_PA = 1900.0  # 40 lb/ft2, usual live load of rooms in dwellings
LIFT_KG = 25.0  # one pane above this is a lift for two
SAFETY_AREA_M2 = 0.84  # 9 ft2, above which low panes have to be safety glazing
LOUD_DBA = 85.0
CO2_M3_S = 5.2e-6  # carbon dioxide one seated person gives off
_GRAVITY = 9.81
_SHELL = ("wall", "ceiling", "floor", "roof")
_PLASTICS = ("open-cell foam", "polyester wool", "acrylic", "mass-loaded vinyl")


def _parts(change: Change) -> tuple[list[Leaf], list[Cavity]]:
    leaves = [part for part in change.new.layers if isinstance(part, Leaf)]
    return leaves, [part for part in change.new.layers if isinstance(part, Cavity)]


def _brought(change: Change) -> list[Leaf]:
    """The leaves that come: all of them, or those behind what stands already."""
    there = change.old.layers if change.old is not None else ()
    kept = len(there) if change.new.layers[: len(there)] == there else 0
    return [part for part in change.new.layers[kept:] if isinstance(part, Leaf)]


def _materials(facts: Facts) -> set[str]:
    names = set()
    for change in facts.changes:
        leaves, cavities = _parts(change)
        names |= {leaf.material.name for leaf in leaves}
        names |= {cavity.fill.name for cavity in cavities if cavity.fill}
    return names | {panel.material.name for panel in facts.hung}


def _rebuilt(facts: Facts, kinds: tuple[str, ...]) -> bool:
    return any(change.rebuilt and change.kind in kinds for change in facts.changes)


def _load(facts: Facts) -> str | None:
    def pressure(change: Change) -> float:
        return change.added_kg * _GRAVITY / facts.floor_area if facts.floor_area else 0.0

    heavy = [
        change
        for change in facts.changes
        if (change.added > LOAD_KG_M2 and change.kind not in ("window", "door"))
        or pressure(change) > LOAD_KG_M2 * _GRAVITY
    ]
    if not heavy:
        return None
    most = max(heavy, key=lambda change: (change.added_kg, change.added))
    text = f"{most.name} adds {most.added:.0f} kg/m2 ({most.added / LB_FT2:.0f} lb/ft2)"
    text += f", {most.added_kg:.0f} kg in all" if most.added_kg else ""
    if pressure(most):
        share = 100.0 * pressure(most) / FLOOR_LOAD_PA
        text += (
            f": over this floor {pressure(most) / 1000:.1f} kPa, {share:.0f} % of the 1.9 kPa (40 lb/ft2) "
            "usual for rooms with people and furniture in them"
        )
    others = words.listed([change.name for change in heavy if change is not most])
    text = text[0].upper() + text[1:] + (f". Heavy too: {others}" if others else "")
    return text + ". Ask a structural engineer before you order."


def _glazing(facts: Facts) -> str | None:
    panes = []
    for change in facts.changes:
        if change.rebuilt and change.kind in ("window", "door"):
            glass = [leaf for leaf in _brought(change) if "glass" in leaf.material.name]
            area = change.area or 0.0
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
        f"{weight}{lift}. Glass in doors, beside them and near the floor{low} usually has to be safety "
        "glazing; the local code decides."
    )


def _escape(facts: Facts) -> str | None:
    if not _rebuilt(facts, ("window",)):
        return None
    return (
        "A window one may have to escape by must open from inside without a tool; fixed panes and plugs "
        "prevent that. Usual least clear opening 0.53 m2 (5.7 ft2), 51 cm (20 in) wide, 61 cm (24 in) high; "
        "your code rules."
    )


def _air(facts: Facts) -> str | None:
    if not any(change.tighter for change in facts.changes):
        return None
    rise = ""
    if facts.volume:
        an_hour = float(f"{CO2_M3_S * 3600e6 / facts.volume:.2g}")
        rise = f" (about {an_hour:.0f} ppm an hour for each who sits still, more for who plays)"
    return (
        f"In a sealed room carbon dioxide climbs{rise}. Plan fresh air, some 7 to 10 L/s (15 to 20 cfm) a "
        "person, through a lined duct; a cooling unit brings none."
    )


def _combustion(facts: Facts) -> str | None:
    if not any(change.tighter for change in facts.changes):
        return None
    return (
        "A boiler, stove or open fire that draws air from here can blow its fumes back into a tighter room. "
        "Never close its vent, fit a carbon monoxide alarm, have a licensed installer test the draught."
    )


def _fire(facts: Facts) -> str | None:
    if not (_rebuilt(facts, (*_SHELL, "door")) or _materials(facts) & set(_PLASTICS)):
        return None
    return (
        "Walls, ceilings and doors towards flats or stairs may be fire-rated: keep the rating, close "
        "penetrations with listed fire-stopping, leave no bare foam facing the room. The authority says what "
        "applies."
    )


def _wiring(facts: Facts) -> str | None:
    lined = [c for c in facts.changes if c.rebuilt and c.kind in _SHELL and _parts(c)[1]]
    if not lined:
        return None
    return (
        "Boxes and recessed lights are holes in the new leaf and overheat under wool: surface fittings, "
        "putty pads, a licensed electrician."
    )


def _old_work(facts: Facts) -> str | None:
    if not any(change.old is not None and change.rebuilt for change in facts.changes):
        return None
    return (
        "Before opening, drilling or sanding, have it tested: asbestos hides in old ceilings, jointing, "
        "tiles and loose fill, lead in old paint and putty. Removal is for licensed firms."
    )


def _fibres(facts: Facts) -> str | None:
    fibrous = sorted(name for name in _materials(facts) if "wool" in name or "glass-fibre" in name)
    if not fibrous:
        return None
    return (
        f"Cutting {' and '.join(fibrous)}: gloves, long sleeves, goggles, a dust mask; vacuum, no "
        "compressed air; then close it in or cover it."
    )


def _linings(facts: Facts) -> str | None:
    if not facts.hung:
        return None
    return (
        "Foam, cloth and wool on walls only with the fire class the code asks of linings, with papers to "
        "show it, and well away from heaters, lamps, sockets and wiring. Never raw polyurethane: its smoke "
        "has killed within minutes."
    )


def _overhead(facts: Facts) -> str | None:
    if not facts.hung:
        return None
    heaviest = max(panel.mass for panel in facts.hung)
    return (
        f"A framed panel weighs about {heaviest:.0f} kg ({heaviest / POUND:.0f} lb). Screw it to studs, "
        "joists or masonry, not to board alone; over heads or a bed with a second, independent hold."
    )


def _inner_room(facts: Facts) -> str | None:
    if facts.inner_room is None:
        return None
    return (
        f"An inner room weighs about {facts.inner_room:.0f} kg here: a structural engineer first. It and a "
        "second pane seal the room and can close a way out: plan fresh air and escape, and read what "
        "isolate room-in-room and isolate room say of each."
    )


def _bracing(facts: Facts) -> str | None:
    if not facts.within:
        return None
    return (
        "Walls that touch nothing still must not fall over, nor a ceiling come down: bracing, anchors and "
        "joists by the code or an engineer (elastic ones are made), all the more where the earth quakes."
    )


def _alarm(facts: Facts) -> str | None:
    if not facts.within:
        return None
    return (
        "Nobody inside hears the bell, a smoke alarm or a shout: an alarm inside that the house's sets off, "
        "a light for the bell. Both doors must open from inside without a key; keep the way out clear."
    )


def _condensation(facts: Facts) -> str | None:
    paned = any(
        c.rebuilt and c.kind == "window" and any(g.framing != "glazing spacer" for g in _parts(c)[1])
        for c in facts.changes
    )
    lined = any(c.rebuilt and c.old is not None and c.kind in _SHELL and _parts(c)[1] for c in facts.changes)
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


def _falling(facts: Facts) -> str | None:
    if not _windows(facts):
        return None
    return (
        "Work from inside with the old window shut, nobody below, and never lean out with a pane. A pane "
        "that comes out is no guard: where the sill is low, the guard rail or fall-safe glass that the code "
        "asks for stays."
    )


def _listed(facts: Facts) -> str | None:
    if not _windows(facts):
        return None
    return (
        "Listed house or protected street: ask the authority before anything is fixed to an old window, "
        "inside too; what comes out without a trace is most easily allowed. Renting: the owner's consent in "
        "writing before you drill or glue."
    )


def _hearing(facts: Facts) -> str | None:
    if facts.loudest_dba < LOUD_DBA:
        return None
    hours = 8.0 / 2.0 ** ((facts.loudest_dba - LOUD_DBA) / 3.0)
    time = f"{hours:.1f} hours" if hours >= 1.5 else f"{60 * hours:.0f} minutes"
    return (
        f"At {facts.loudest_dba:.0f} dBA inside, {time} a day is what ears are said to bear. Protect them "
        "beyond that and whenever you measure with loud noise."
    )


def _test_noise(facts: Facts) -> str | None:
    if not facts.test_noise:
        return None
    hours = (
        "Test noise at 85 dBA may be heard for 8 hours a day, each 3 dB more halves that: 88 dBA 4 hours, "
        "94 dBA "
        "1 hour, 100 dBA 15 minutes. "
    )
    return ("" if facts.loudest_dba >= LOUD_DBA else hours) + (
        "Start low, leave the loud room while it plays, wear ear protection where you must raise your "
        "voice to be "
        "heard, and keep children and animals away."
    )


def _played_back(facts: Facts) -> str | None:
    if facts.played_back is None:
        return None
    loud, soft = facts.played_back
    return (
        "Set the volume once and do not turn it up for the quiet ones: they are meant to be quiet, and the "
        f"loudest comes {loud - soft:.0f} dB above the softest, {loud:.0f} dBA where all are lifelike. Start "
        "low, with headphones above all; ears bear 85 dBA for 8 hours, each 3 dB more for half as long."
    )


def _speakers(facts: Facts) -> str | None:
    if not facts.test_noise:
        return None
    return (
        "Steady noise heats loudspeakers, treble units first: stay well below full power and pause between "
        "takes. Tell the neighbours before you play, and do it by day."
    )


def _on_facade(facts: Facts) -> str | None:
    if not facts.on_facade:
        return None
    return "Tie microphone, boom and cable so that nothing can fall on people below; never lean out for it."


def _permits(facts: Facts) -> str | None:
    if not _rebuilt(facts, (*_SHELL, "window", "door")):
        return None
    return (
        "Walls, ducts, windows and anything on a shared wall often need a permit, notice or the owner's "
        "consent; leases may forbid fixings."
    )


TABLE: tuple[Caution, ...] = (
    Caution(
        "load", "Weight", "a leaf adds over 24 kg/m2 (5 lb/ft2), or a change that much over the floor in all",
        "live loads: model residential code (read); the threshold is a proposal of our own", _load,
    ),
    Caution(
        "escape", "Way out", "a window is changed",
        "model residential code, emergency escape openings (read)", _escape,
    ),
    Caution(
        "glazing", "Glass", "glass is put into a window or door",
        "model residential code, hazardous locations (read); 25 kg lift from memory", _glazing,
    ),
    Caution(
        "air", "Air", "gaps are closed, or a window or door is replaced",
        "0.3 L of CO2 a minute from a seated person, 7 to 10 L/s of air for each: from memory", _air,
    ),
    Caution("combustion", "Fumes", "as for air", "guidance on tightening houses (read)", _combustion),
    Caution(
        "fire", "Fire", "a wall, ceiling, floor or door is changed, or plastics face the room",
        "model building code on penetrations, and on linings (read)", _fire,
    ),
    Caution("wiring", "Wiring", "a wall, ceiling or floor gets a cavity", "common practice", _wiring),
    Caution(
        "old work", "Old work", "something that stands is replaced or opened",
        "public guidance on asbestos and lead paint (read)", _old_work,
    ),
    Caution(
        "inner room", "Building", "an inner room is set against panels",
        "live loads and escape openings: model residential code (read)", _inner_room,
    ),
    Caution("bracing", "Standing", "a room within a room is built", "common practice, no source", _bracing),
    Caution("alarm", "Alarm", "a room within a room is built", "common practice, no source", _alarm),
    Caution(
        "linings", "Linings", "something porous is hung on the walls",
        "model building code on linings, public reports of foam fires (read)", _linings,
    ),
    Caution("overhead", "Hanging", "frames are fixed to walls or ceiling", "common practice", _overhead),
    Caution("fibres", "Dust", "fibrous wool is handled", "public guidance on fibre dust (read)", _fibres),
    Caution(
        "condensation", "Damp", "a second pane with a cavity, or a lining on an existing wall",
        "handbook and trade guidance (read)", _condensation,
    ),
    Caution(
        "falling", "Falling", "a window gets more or other panes", "common practice, no source", _falling
    ),
    Caution(
        "listed", "Consent", "a window gets more or other panes", "guidance for old houses, leases (memory)",
        _listed,
    ),
    Caution("hearing", "Hearing", "85 dBA or more inside", "85 dBA for 8 h, 3 dB exchange (read)", _hearing),
    Caution(
        "test noise", "Hearing", "test noise is played",
        "NIOSH 98-126: 85 dBA for 8 hours, 3 dB exchange (read in guidance that quotes it)", _test_noise,
    ),
    Caution(
        "played back", "Volume", "sounds are played to listen to", "85 dBA for 8 h, 3 dB exchange (read)",
        _played_back,
    ),
    Caution("speakers", "Speakers", "test noise is played", "common practice, no source", _speakers),
    Caution("on facade", "Falling", "a microphone hangs outdoors", "common practice, no source", _on_facade),
    Caution(
        "permits", "Permission", "shell, window or door is changed",
        "one city's rules (read), and memory", _permits,
    ),
)  # fmt: skip


def raised(facts: Facts) -> tuple[Caution, ...]:
    """The cautions these facts raise, in the order of the table, their texts filled in."""
    found = []
    for caution in TABLE:
        text = caution.raised(facts)
        if text is not None:
            found.append(
                Caution(caution.key, caution.title, caution.trigger, caution.source, caution.raised, text)
            )
    return tuple(found)


def for_construction(construction: Construction, *, surface_mass: float) -> tuple[Caution, ...]:
    """The cautions of building this construction somewhere; `surface_mass` [kg/m2]."""
    area = construction.size[0] * construction.size[1] if construction.size else None
    return raised(Facts(changes=(Change("it", construction, added=surface_mass, area=area),)))
