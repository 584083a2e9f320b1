"""Measurements that belong to a construction: published ones and the user's own."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from isolate.bands import Array
from isolate.describe import spectra
from isolate.describe.reading import Table, number, one_of, text

BASES = ("read", "memory", "own")


@dataclass(frozen=True, eq=False)
class Measured:
    """A published or own measurement; arrays as given, not yet spread to the 27 bands, and empty when
    only single numbers are known: `rw_c` and `rw_ctr` are Rw + C and Rw + Ctr; `lnw`, `ci`, `iic` of steps on
    a floor. `doubt`: why it is not to be trusted; `remark`: what speaks against it, though not enough."""

    source: str
    basis: str  # read | memory | own
    bands_hz: Array = field(default_factory=lambda: np.empty(0))
    tl_db: Array = field(default_factory=lambda: np.empty(0))
    stc: float | None = None
    rw: float | None = None
    c: float | None = None
    ctr: float | None = None
    doubt: str = ""
    remark: str = ""
    rw_c: float | None = None
    rw_ctr: float | None = None
    oitc: float | None = None
    lnw: float | None = None
    ci: float | None = None
    iic: float | None = None

    @property
    def in_air(self) -> bool:
        """Whether anything is stated of sound in the air."""
        stated = (self.stc, self.rw, self.rw_c, self.rw_ctr, self.oitc)
        return self.bands_hz.size > 0 or any(one is not None for one in stated)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Measured):
            return NotImplemented
        pairs = zip(vars(self).values(), vars(other).values(), strict=True)
        return all(np.array_equal(one, another) for one, another in pairs)

    def __hash__(self) -> int:
        return hash((self.source, self.basis, self.tl_db.tobytes()))

    @property
    def ratings(self) -> dict[str, float]:
        """Single numbers of sound in the air that are known, Rw + C and Rw + Ctr as they add up."""
        terms = {"rw_c": self.c, "rw_ctr": self.ctr}
        summed = {
            key: self.rw + term for key, term in terms.items() if term is not None and self.rw is not None
        }
        stated = {key: getattr(self, key) for key in ("rw", "rw_c", "rw_ctr", "stc", "oitc")}
        return {key: value for key, value in (stated | summed).items() if value is not None}

    @property
    def octave(self) -> bool:
        """Whether the bands are octaves; else they are third octaves."""
        return spectra.is_octaves(self.bands_hz)


def read(table: Table) -> Measured:
    """The table ``[measured]``; faults go to the table."""
    source = table.need("source", text, "", "say where the measurement comes from")
    basis = table.need("basis", one_of(BASES), "", 'write "read", "memory" or "own"')
    curve = spectra.pair(table, "tl_db", spectra.values(-10.0, 150.0))
    if not any(key in table for key in ("bands_hz", "tl_db", "stc", "rw")):
        table.fault("tl_db", "missing; write bands_hz and tl_db, or at least stc or rw")
    bands_hz, tl_db = curve or (np.empty(0), np.empty(0))
    return Measured(
        source, basis, bands_hz, tl_db,
        stc=table.get("stc", number(0.0, 120.0)), rw=table.get("rw", number(0.0, 120.0)),
        c=table.get("c", number(-40.0, 10.0)), ctr=table.get("ctr", number(-60.0, 10.0)),
        doubt=table.get("doubt", text) or "", remark=table.get("remark", text) or "",
    )  # fmt: skip
