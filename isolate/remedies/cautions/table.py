"""The cautions: each with what raises it, what it says and where that comes from. They are the only ones.

They are reminders, not advice on a building: local codes and licensed practice come first, and every one
says whom to ask or what to do. Sources marked "read" were seen; "memory" ones were not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from isolate.describe.constructions import Construction
from isolate.remedies.cautions import building, listening
from isolate.remedies.cautions.facts import Caution, Change, Facts

TABLE: tuple[Caution, ...] = (
    Caution(
        "load", "Weight", "a part adds over 24 kg/m2 (5 lb/ft2), or as much over the floor; an inner room",
        "live loads: model residential code (read), EN 1991-1-1 (memory); the threshold is our own",
        "Heavy: a structural engineer says before you order whether it holds.", building.load, grave=True,
        ask="ask a structural engineer",
    ),
    Caution(
        "escape", "Way out", "a window is changed, or a door comes",
        "model residential code, emergency escape openings (read)",
        "A way out must open wide, without tool or key: your code says how wide.", building.escape,
        grave=True,
        ask="your code says how wide",
    ),
    Caution(
        "combustion", "Fumes", "as for air; or a fan is offered", "guidance on tightening houses (read)",
        "Tight rooms and fans draw fumes from boiler or stove: an installer tests it.", building.combustion,
        grave=True,
        ask="have an installer test it",
    ),
    Caution(
        "fire", "Fire", "wall, ceiling, floor or door is changed or cut through, or plastics come",
        "model building code on penetrations, and on linings (read)",
        "Walls, ceilings, doors may be fire-rated: the authority says what to keep.", building.fire,
        grave=True,
        ask="ask the authority",
    ),
    Caution(
        "wiring", "Wiring", "a wall, ceiling or floor gets a cavity", "common practice",
        "Lamps and boxes overheat in wool behind new boards: a licensed electrician.", building.wiring,
        grave=True,
        ask="ask an electrician",
    ),
    Caution(
        "drilling", "Drilling", "something is fixed to or cut into what stands", "common practice, no source",
        "Find cables, gas and water before you drill; ask an electrician or plumber.", building.drilling,
        grave=True,
        ask="find cables, pipes first",
    ),
    Caution(
        "old work", "Old work", "something that stands is replaced, opened or cut",
        "public guidance on asbestos and lead paint (read)",
        "Old boards, fill and paint may hold asbestos or lead: have them tested.", building.old_work,
        grave=True,
        ask="test for asbestos, lead",
    ),
    Caution(
        "hole", "Hole", "a hole is cut for a vent or duct", "common practice, no source",
        "A hole may cut what carries: ask a structural engineer, and the neighbours.", building.hole,
        grave=True,
        ask="ask a structural engineer",
    ),
    Caution(
        "glazing", "Glass", "glass is put into a window or door",
        "model residential code, hazardous locations (read); 25 kg lift from memory",
        "Panes are heavy; low ones and those in doors safety glazing: ask the code.", building.glazing,
        ask="safety glass by code",
    ),
    Caution(
        "air", "Air", "gaps are closed, a window or door is replaced, or an inner room is built",
        "0.0052 L/s of CO2 from a seated person (ASTM D6245), 5000 ppm over 8 hours at work, 10 L/s of air "
        "for each (EN 16798-1): from memory",
        "A sealed room grows stale within hours: plan fresh air before you close it.", building.air,
        ask="plan fresh air",
    ),
    Caution(
        "inner room", "Building", "an inner room is set against panels",
        "live loads and escape openings: model residential code (read)",
        "An inner room weighs tonnes and shuts out air: a structural engineer first.", building.inner_room,
        ask="ask a structural engineer",
    ),
    Caution(
        "bracing", "Standing", "a room within a room is built", "common practice, no source",
        "Walls that touch nothing can fall over: bracing by the code or an engineer.", building.bracing,
        ask="brace it by code",
    ),
    Caution(
        "alarm", "Alarm", "a room within a room is built", "common practice, no source",
        "Nobody hears a smoke alarm in there: one inside that the house's sets off.", building.alarm,
        ask="one that is heard inside",
    ),
    Caution(
        "lifting", "Lifting", "boards go on a ceiling or roof", "common practice, no source",
        "Boards overhead are heavy: two people, a board lift, a platform, no ladder.", building.lifting,
        ask="two people, a lift",
    ),
    Caution(
        "linings", "Linings", "something porous is hung on the walls",
        "model building code on linings, public reports of foam fires (read)",
        "Foam and cloth on walls burn: only with the fire class the code asks for.", building.linings,
        ask="only fire-rated",
    ),
    Caution(
        "overhead", "Hanging", "frames are fixed to walls or ceiling", "common practice",
        "Panels fall: screw them to studs or masonry, twice over heads and beds.", building.overhead,
        ask="screw them well",
    ),
    Caution(
        "lead", "Lead", "lead sheet is put in", "public guidance on lead (memory)",
        "Lead sheet poisons, children first: gloves, no dust, wash; ask a doctor.", building.lead,
        ask="gloves, no dust",
    ),
    Caution(
        "fibres", "Dust", "fibrous wool is handled", "public guidance on fibre dust (read)",
        "Wool dust stings skin, eyes and lungs: gloves, goggles, mask; then cover it.", building.fibres,
        ask="mask and gloves",
    ),
    Caution(
        "condensation", "Damp", "a second pane with a cavity, or a lining on what stands",
        "handbook and trade guidance (read)",
        "What lies behind gets colder and may grow damp: in doubt have it calculated.", building.condensation,
        ask="have it calculated",
    ),
    Caution(
        "falling", "Falling", "a window gets more or other panes", "common practice, no source",
        "Work from inside, old window shut, nobody below; keep the guard rail.", building.falling,
        ask="work from inside",
    ),
    Caution(
        "listed", "Consent", "a window gets more or other panes", "guidance for old houses, leases (memory)",
        "Listed or rented: ask the authority or owner before you fix anything to it.", building.listed,
        ask="owner, authority first",
    ),
    Caution(
        "permits", "Permission", "shell, window or door is changed or cut through",
        "one city's rules (read), and memory",
        "It may need a permit, or the owner's and the neighbour's consent: ask first.", building.permits,
        ask="owner, neighbours first",
    ),
    Caution(
        "hearing", "Hearing", "85 dBA or more inside",
        "85 dBA for 8 h, 3 dB exchange (read); children: less by a world health guideline (memory)",
        "It is loud in there: limit the hours, protect ears, children's above all.", listening.hearing,
        ask="limit hours, plugs",
    ),
    Caution(
        "test noise", "Hearing", "test noise is played",
        "NIOSH 98-126: 85 dBA for 8 hours, 3 dB exchange (read in guidance that quotes it)",
        "Test noise hurts ears: start low, leave the room, keep children away.", listening.test_noise,
        ask="start low",
    ),
    Caution(
        "burst", "Burst", "a balloon may be burst", "140 dB peak at work, balloons above it: from memory",
        "A balloon burst near an ear can hurt it for good: plugs, arm's length.", listening.burst,
        ask="plugs",
    ),
    Caution(
        "played back", "Volume", "sounds are played to listen to", "85 dBA for 8 h, 3 dB exchange (read)",
        "Set the volume once, start low, lower for children; do not turn it up.", listening.played_back,
        ask="start low",
    ),
    Caution(
        "speakers", "Speakers", "test noise is played", "common practice, no source",
        "Steady noise burns loudspeakers out: low power, pauses; tell the neighbours.", listening.speakers,
        ask="low power, pauses",
    ),
    Caution(
        "on facade", "Falling", "a microphone hangs outdoors", "common practice, no source",
        "Tie the microphone so that it falls on nobody; never lean out for it.", listening.on_facade,
        ask="tie the microphone",
    ),
    Caution(
        "recorder", "Consent", "a recorder runs by itself", "law of many countries on recording (memory)",
        "A recorder hears people talk: the neighbours' and housemates' consent first.", listening.recorder,
        ask="ask for consent",
    ),
)  # fmt: skip


def raised(facts: Facts) -> tuple[Caution, ...]:
    """The cautions these facts raise, in the order of the table, their texts filled in."""
    told = ((caution, caution.raised(facts)) for caution in TABLE)
    return tuple(replace(caution, text=text) for caution, text in told if text is not None)


def for_constructions(built: Sequence[tuple[str, Construction, float]]) -> tuple[Caution, ...]:
    """The cautions of building one of these somewhere: a name, the construction, its mass [kg/m2]."""
    changes = [
        Change(name, one, added=mass, area=one.size[0] * one.size[1] if one.size else None)
        for name, one, mass in built
    ]
    return raised(Facts(changes=tuple(changes)))
