"""What is put straight into a floor: feet, pedals, loudspeakers; what stands under them and what lies on
floors; from constructions/impacts.toml."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from isolate.bands import N_BANDS, Array, index_of
from isolate.describe import catalogue, spectra
from isolate.describe.reading import (
    Faults,
    Table,
    label,
    nearest,
    number,
    one_of,
    quantity,
    read_toml,
    text,
    tidy,
    words,
)
from isolate.errors import shown

KINDS = ("feet", "instrument", "loudspeaker")
BASES = ("read", "memory", "estimate")
NOTHING_DB = -200.0
USUAL_LOSS = 0.1  # loss factor of springs, tubes and foam at the loads they are made for (from memory)
FOOTSTEPS = "footsteps"
# Words for footsteps from above, and what they mean where no kind is said.
STEPS = {
    "footsteps": "shoes", "footsteps above": "shoes", "steps": "shoes", "walking": "shoes",
    "kids running": "children", "children running": "children", "running": "children", "chairs": "chair",
    "people walking": "shoes", "walking around": "shoes", "stomping": "shoes", "heavy footsteps": "shoes",
    "high heels": "heels", "heels": "heels", "barefoot": "barefoot", "chairs scraping": "chair",
    "scraping chairs": "chair", "moving chairs": "chair", "kids jumping": "children",
    "children jumping": "children", "jumping": "children", "toddler running": "children", "stamping": "shoes",
    "kids stomping": "children", "running around": "children", "dancing": "children", "footfall": "shoes",
    "chair scraping": "chair", "moving furniture": "chair", "dragging furniture": "chair",
    "furniture": "chair", "dog running": "barefoot", "heels on floor": "heels",
    "heels on the floor": "heels", "heel clicks": "heels", "clicking heels": "heels",
    "someone walking": "shoes", "stomping neighbour": "shoes", "stomping neighbor": "shoes",
    "stomping neighbours": "shoes", "stomping neighbors": "shoes",
}  # fmt: skip
# Who walks, where: it says no more than footsteps from above do.
_ABOVE = re.compile(
    r"^(?:the |my |our )?(?:upstairs )?neighbou?r(?:s|s'|'s)? |^(?:the )?upstairs | "
    r"(?:above(?: me| us)?|upstairs|overhead|on the (?:floor|stairs) above|"
    r"from (?:above|upstairs)|of (?:the )?neighbou?rs)$"
)


@dataclass(frozen=True)
class Impact:
    """Something that is put into a floor: of each blow `force_db` (27,) [dB re 1 N2 s], `per_second` of them;
    or steady, `follows_db` (27,): the force [dB re 1 N] less the level of the sound in the room [dB]. What
    `strikes` in a blow [kg] is as hard as the floor up to `soft_hz`."""

    name: str
    title: str
    kind: str
    force_db: Array | None
    follows_db: Array | None
    per_second: float
    spread_db: float
    source: str
    basis: str
    strikes: float = 0.0
    soft_hz: float = 0.0


@dataclass(frozen=True)
class Mount:
    """What is put `under` impacts: its natural frequency [Hz] under a `load` [kg], its own `mass` [kg]
    included, and the `loss` factor of what it springs on."""

    name: str
    under: tuple[str, ...]
    resonance_hz: float
    load: float
    mass: float
    loss: float
    source: str
    basis: str

    def resonance_of(self, stands: float | None) -> float:
        """Its natural frequency [Hz] under what stands on it [kg]: a spring's, by the root of the load."""
        rests = self.load if stands is None else stands + self.mass
        return self.resonance_hz * math.sqrt(self.load / rests)


@dataclass(frozen=True)
class Covering:
    """What lies on a floor: its weighted improvement dLw [dB] on the heavy floor of ISO 717-2."""

    name: str
    improvement_db: float


class _All(NamedTuple):
    impacts: dict[str, Impact]
    mounts: tuple[Mount, ...]
    coverings: dict[str, Covering]


@lru_cache(maxsize=1)
def _all() -> _All:
    """All of the file; InputError with every fault of it."""
    path = catalogue.root() / "impacts.toml"
    faults = Faults(path)
    root = faults.root(read_toml(path))
    found = [_read(table) for table in root.tables("impact")]
    under = tuple(_mount(table) for table in root.tables("mount"))
    lie = [_covering(table) for table in root.tables("covering")]
    faults.stop()
    return _All({one.name: one for one in found}, under, {one.name: one for one in lie})


def impacts() -> dict[str, Impact]:
    """What is put into floors, by name."""
    return _all().impacts


def mounts() -> tuple[Mount, ...]:
    """What is put under them, in the file's order."""
    return _all().mounts


def coverings() -> dict[str, Covering]:
    """What is laid on floors, by name."""
    return _all().coverings


def _mount(table: Table) -> Mount:
    mass = table.get("mass", quantity("mass")) or 0.0
    return Mount(
        table.need("name", label, "", "name it"),
        table.need("under", _names, (), "name the impacts it is put under"),
        table.need("resonance", quantity("frequency", 1.0, 500.0), 10.0, "say its natural frequency"),
        table.need("load", quantity("mass", 1.0, 2000.0), 100.0, "say under which load"),
        mass,
        table.get("loss", number(0.01, 1.0)) or USUAL_LOSS,
        table.need("source", text, "", "say where it comes from"),
        table.need("basis", one_of(BASES), "estimate", f"write one of {', '.join(BASES)}"),
    )


def _covering(table: Table) -> Covering:
    table.need("source", text, "", "say where it comes from")
    table.need("basis", one_of(BASES), "estimate", f"write one of {', '.join(BASES)}")
    return Covering(
        table.need("name", label, "", "name it"),
        table.need("improvement", quantity("decibel", 1.0, 45.0), 20.0, "say its improvement dLw"),
    )


def covering(value: object) -> Covering:
    """Converter: a covering by name, or the improvement dLw of a data sheet, such as "24 dB"."""
    wording = label(value)
    known = coverings()
    if wording.casefold() in known:
        return known[wording.casefold()]
    try:
        return Covering(wording, quantity("decibel", 1.0, 45.0)(wording))
    except ValueError:
        raise ValueError(
            f"nothing known that lies on floors (got {shown(value)}); {nearest(wording, list(known))}, or "
            'its improvement dLw, such as "24 dB"'
        ) from None


def _read(table: Table) -> Impact:
    blow = spectra.pair(table, "force_db", spectra.values(-100.0, 100.0)) if "force_db" in table else None
    steady = spectra.pair(table, "follows_db", spectra.values(-200.0, 0.0)) if "follows_db" in table else None
    if (blow is None) == (steady is None):
        table.fault("force_db", "missing, or given beside follows_db; write one of them with bands_hz")
    return Impact(
        table.need("name", label, "", "name it"),
        table.need("title", label, "", "say what it is"),
        table.need("kind", one_of(KINDS), "feet", f"write one of {', '.join(KINDS)}"),
        None if blow is None else _spread(*blow),
        None if steady is None else _held(*steady),
        table.get("per_second", number(0.01, 20.0)) or 1.0,
        table.need("spread", quantity("decibel", 0.0, 20.0), 8.0, "say how much one differs from the next"),
        table.need("source", text, "", "say where it comes from"),
        table.need("basis", one_of(BASES), "estimate", f"write one of {', '.join(BASES)}"),
        *_hardness(table, blow is not None),
    )


def _hardness(table: Table, blow: bool) -> tuple[float, float]:
    """What strikes [kg], and up to where it is hard [Hz]; of blows only."""
    if not blow:
        return 0.0, 0.0
    return (
        table.need("strikes", quantity("mass", 0.01, 100.0), 1.0, "say what mass falls"),
        table.need("soft", quantity("frequency", 1.0, 5000.0), 100.0, "say up to where it is hard"),
    )


def _spread(bands_hz: Array, octave_db: Array) -> Array:
    """Octaves as three thirds of the same sum, nothing beyond them."""
    full = np.full(N_BANDS, NOTHING_DB)
    for frequency, level in zip(bands_hz, octave_db, strict=True):
        i = index_of(frequency)
        full[i - 1 : i + 2] = level - 10 * np.log10(3)
    return full


def _held(bands_hz: Array, offset_db: Array) -> Array:
    """An offset straight over lg f between the stated bands, held below, 12 dB an octave less above."""
    full = spectra.held(bands_hz, offset_db)
    last = index_of(bands_hz[-1])
    full[last:] -= 4.0 * np.arange(N_BANDS - last)
    return full


def find(name: str) -> Impact:
    """One by its name; ValueError that lists the known."""
    known = impacts()
    if name.casefold() not in known:
        raise ValueError(f"nothing that goes into a floor (got {shown(name)}); {nearest(name, list(known))}")
    return known[name.casefold()]


def _names(value: object) -> tuple[str, ...]:
    return tuple(words(value))


def listed(value: object) -> tuple[Impact, ...]:
    """Converter: one or several by name."""
    names = value if isinstance(value, list) else [value]
    return tuple(find(label(one)) for one in names)


def steps(value: object) -> str | None:
    """The kind of footsteps a source means, None where it means something else."""
    if not isinstance(value, str):
        return None
    word = tidy(value)
    return STEPS.get(word) or STEPS.get(_ABOVE.sub("", word))


def of_kind(value: object) -> Impact:
    """Converter: a kind of footsteps."""
    found = find(label(value))
    if found.kind != "feet":
        kinds = [one.name for one in impacts().values() if one.kind == "feet"]
        raise ValueError(f"no kind of footsteps (got {shown(value)}); write one of {', '.join(kinds)}")
    return found
