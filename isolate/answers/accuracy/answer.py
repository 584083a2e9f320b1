"""How far predictions lie from published measurements, by specimen, kind and band."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice
from typing import Any, NamedTuple, TypeVar

import numpy as np

from isolate.answers.accuracy import specimens, statistics
from isolate.answers.accuracy.leave_one_out import LeftOut, Progress, leave_one_out, left, quiet
from isolate.answers.accuracy.specimens import Specimen
from isolate.answers.accuracy.statistics import Statistics
from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array
from isolate.describe import tested
from isolate.describe.constructions import KINDS, Construction
from isolate.describe.tested import Topic
from isolate.errors import InputError
from isolate.processes import mapped
from isolate.room import model_error, prediction
from isolate.room.families import FAMILIES, family

EXPECTED_COVERAGE = 0.9
T = TypeVar("T")


@dataclass(frozen=True)
class Group:
    """Some specimens under a name and what is true of them together."""

    name: str
    specimens: tuple[Specimen, ...]

    @property
    def with_bands(self) -> tuple[Specimen, ...]:
        """Those of which more than a single number is known."""
        return tuple(one for one in self.specimens if one.bands_hz.size)

    @cached_property
    def bands(self) -> Statistics:
        """Of all published bands together."""
        return statistics.of_errors(statistics.joined([one.error_db for one in self.specimens]))

    @cached_property
    def median_rms_db(self) -> float:
        """Of the specimens' own RMS [dB]."""
        return statistics.median([one.statistics.rms_db for one in self.with_bands])

    @cached_property
    def rated(self) -> Statistics:
        """Of the published Rw and STC."""
        return statistics.of_errors([rating.error for one in self.specimens for rating in one.rated])

    @cached_property
    def pink(self) -> Statistics:
        """Of the published Rw + C."""
        return statistics.of_errors([one.pink.error for one in self.specimens if one.pink])

    @cached_property
    def traffic(self) -> Statistics:
        """Of the published Rw + Ctr."""
        return statistics.of_errors([one.traffic.error for one in self.specimens if one.traffic])

    @cached_property
    def covered(self) -> float:
        """Share of the published bands between the limits; of Rw and STC where no band was published; nan of
        neither."""
        inside = statistics.joined([one.inside for one in self.specimens])
        if not inside.size:
            inside = statistics.joined([one.rated_inside for one in self.specimens])
        return float(inside.mean()) if inside.size else float("nan")

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "name": self.name, "specimens": len(self.specimens), "bands": self.bands.to_dict(),
            "median_specimen_rms_db": self.median_rms_db, "single_numbers": self.rated.to_dict(),
            "rw_plus_c": self.pink.to_dict(), "rw_plus_ctr": self.traffic.to_dict(), "coverage": self.covered,
        }  # fmt: skip


@dataclass(frozen=True)
class Apart:
    """A topic of `describe.tested`, whose rows took no part in any constant: as a whole, and its `groups`."""

    about: str
    whole: Group
    groups: tuple[Group, ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "name": self.whole.name, "about": self.about,
            "groups": [group.to_dict() for group in (self.whole, *self.groups)],
            "specimens": [_specimen(one) for one in self.whole.specimens],
        }  # fmt: skip


class Aim(NamedTuple):
    """A figure that was aimed at: what, the value found and the most it may be."""

    name: str
    value: float
    most: float

    @property
    def reached(self) -> bool:
        """Whether the value is within the aim; not so when there is none."""
        return abs(self.value) <= self.most

_GROUPS: tuple[tuple[str, Callable[[Specimen], bool]], ...] = (
    ("all", lambda one: True),
    ("without doubt", lambda one: not one.measured.doubt),
    ("with doubt", lambda one: bool(one.measured.doubt)),
    ("read", lambda one: one.measured.basis == "read"),
    ("memory", lambda one: one.measured.basis == "memory"),
    ("own", lambda one: one.measured.basis == "own"),
    ("thirds read, panes", lambda one: _thirds_read(one) and one.construction.kind == "window"),
    ("thirds read, walls", lambda one: _thirds_read(one) and one.construction.kind != "window"),
)


def _thirds_read(one: Specimen) -> bool:
    return one.measured.basis == "read" and one.bands_hz.size > 0 and not one.measured.octave


def grouped(found: Sequence[Specimen]) -> dict[str, Group]:
    """The groups of specimens that have any, by name."""
    groups = (Group(name, tuple(filter(belongs, found))) for name, belongs in _GROUPS)
    return {group.name: group for group in groups if group.specimens}


def families(found: Sequence[Specimen]) -> tuple[Group, ...]:
    """The specimens by family, in the order of `FAMILIES`."""
    groups = (Group(name, tuple(one for one in found if one.family == name)) for name in FAMILIES)
    return tuple(group for group in groups if group.specimens)


def by_band(pairs: Iterable[tuple[Array, Array]], bands_hz: Array) -> tuple[Statistics, ...]:
    """Statistics of each band from (bands [Hz], errors [dB]) of specimens."""
    listed = list(pairs)
    frequencies = statistics.joined([bands for bands, _ in listed])
    errors = statistics.joined([error for _, error in listed])
    return tuple(statistics.of_errors(errors[np.isclose(frequencies, band)]) for band in bands_hz)


def aims(found: Sequence[Specimen]) -> tuple[Aim, ...]:
    """The figures aimed at, as far as these specimens have them."""
    groups = grouped(found)
    whole = groups["all"]
    wanted = [
        Aim("median specimen RMS", whole.median_rms_db, 3.0),
        Aim("all bands RMS", whole.bands.rms_db, 4.5),
        Aim("Rw/STC bias", whole.rated.bias_db, 1.0),
        Aim("Rw/STC standard deviation", whole.rated.sd_db, 2.5),
    ]
    if "thirds read, panes" in groups:
        wanted.append(Aim("panes in thirds, read, RMS", groups["thirds read, panes"].bands.rms_db, 2.0))
    if "thirds read, walls" in groups:
        wanted.append(Aim("walls in thirds, read, RMS", groups["thirds read, walls"].bands.rms_db, 3.0))
    return tuple(wanted)


@dataclass(frozen=True, repr=False)
class Accuracy(Answer):
    """Predicted against published: `specimens` as predicted, `left_out` the same with their own influence on
    the constants taken out (None if not asked for), `apart` those that never had any; all only of `kind` if
    one was named."""

    kind: str | None
    specimens: tuple[Specimen, ...]
    left_out: LeftOut | None = None
    apart: tuple[Apart, ...] = ()

    @cached_property
    def groups(self) -> dict[str, Group]:
        return grouped(self.specimens)

    @cached_property
    def families(self) -> tuple[Group, ...]:
        return families(self.specimens)

    @cached_property
    def aims(self) -> tuple[Aim, ...]:
        return aims(self.specimens)

    @cached_property
    def octaves(self) -> tuple[Statistics, ...]:
        """Of each octave, third-octave rows summed to octaves."""
        return by_band((one.octaves for one in self.specimens), OCTAVES)

    @cached_property
    def thirds(self) -> tuple[Statistics, ...]:
        """Of each third octave of the rows that have them."""
        rows = [one for one in self.specimens if one.bands_hz.size and not one.measured.octave]
        return by_band(((one.bands_hz, one.error_db) for one in rows), THIRD_OCTAVES)

    @cached_property
    def covered_left_out(self) -> float:
        """Share of the published bands between limits that owe nothing to their own specimen."""
        assert self.left_out is not None
        return covered_by_others(self.left_out.specimens)

    @property
    def rise_db(self) -> float:
        """How much the RMS of all bands rises when no specimen has a say in its own prediction."""
        assert self.left_out is not None
        return Group("", self.left_out.specimens).bands.rms_db - self.groups["all"].bands.rms_db

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "aims": [_aim(one) for one in self.aims],
            "groups": [group.to_dict() for group in self.groups.values()],
            "kinds": [group.to_dict() for group in self.families],
            "octaves": [{"band_hz": f} | s.to_dict() for f, s in zip(OCTAVES, self.octaves, strict=True)],
            "thirds": [{"band_hz": f} | s.to_dict() for f, s in zip(THIRD_OCTAVES, self.thirds, strict=True)],
            "coverage": {"expected": EXPECTED_COVERAGE, "found": self.groups["all"].covered},
            "leave_one_out": self._left_out(),
            "apart": [one.to_dict() for one in self.apart],
            "specimens": [_specimen(one) for one in self.specimens],
            "notes": NOTES,
        }
        return headed("accuracy", {"kind": self.kind, "leave_one_out": self.left_out is not None}, body)

    def _left_out(self) -> dict[str, Any] | None:
        if self.left_out is None:
            return None
        found = self.left_out.specimens
        return {
            "rms_rise_db": self.rise_db,
            "coverage": self.covered_left_out,
            "aims": [_aim(one) for one in aims(found)],
            "groups": [group.to_dict() for group in grouped(found).values()],
            "kinds": [group.to_dict() for group in families(found)],
            "constants": [one.to_dict() for one in self.left_out.constants],
            "specimens": [
                {"name": one.name, "predicted_db": one.predicted_db, "rms_db": one.statistics.rms_db}
                for one in found
            ],
        }

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: a row a specimen's band or single number."""
        header = ["construction", "kind", "basis", "doubt", "quantity", "band_hz", "published_db",
                  "predicted_db", "low_db", "high_db"]  # fmt: skip
        specimens = (*self.specimens, *(one for topic in self.apart for one in topic.whole.specimens))
        return header, [row for one in specimens for row in _rows(one)]


NOTES = (
    "errors are predicted less published: above zero, the prediction is too good",
    "a specimen's own measurement is taken away before it is predicted",
    "doubt marks rows that contradict others or state too little",
    prediction.LOW_NOTE,
)


def _aim(one: Aim) -> dict[str, Any]:
    return {"name": one.name, "value_db": one.value, "at_most_db": one.most, "reached": one.reached}


def _specimen(one: Specimen) -> dict[str, Any]:
    low, high = one.limits_db
    singles = [*one.rated, *(rating for rating in (one.pink, one.traffic) if rating)]
    return {
        "name": one.name, "title": one.construction.title, "kind": one.construction.kind,
        "family": one.family, "basis": one.measured.basis, "doubt": one.measured.doubt or None,
        "remark": one.measured.remark or None, "far_off": one.far_off,
        "source": one.measured.source, "bands_hz": one.bands_hz, "published_db": one.measured.tl_db,
        "predicted_db": one.predicted_db, "low_db": low, "high_db": high, "error_db": one.error_db,
        **one.statistics.to_dict(),
        "inside": int(one.inside.sum()),
        "single_numbers": [rating._asdict() for rating in singles],
    }  # fmt: skip


def _rows(one: Specimen) -> list[list[Any]]:
    head = [one.name, one.family, one.measured.basis, one.measured.doubt]
    bands = zip(one.bands_hz, one.measured.tl_db, one.predicted_db, *one.limits_db, strict=True)
    singles = [[*head, r.name, None, r.published, r.predicted, None, None] for r in one.rated]
    return [[*head, "tl_db", *values] for values in bands] + singles


def accuracy(
    kind: str | None = None, *, left_out: bool = False, processes: int = 1, progress: Progress = quiet
) -> Accuracy:
    """Answer: how far may one trust these predictions?

    Parameters
    ----------
    kind : a kind of construction ("wall", "window", ...) or a family (`families.FAMILIES`); all if None.
    left_out : also predict each specimen with its own influence on the calibrated constants taken out.
    processes : how many share what takes longer than a moment; the answer does not depend on it.
    progress : told what is done, how many, of how many.

    Raises
    ------
    InputError
        No kind of this name, or none with a measurement.

    Examples
    --------
    >>> import isolate
    >>> panes = isolate.accuracy("insulating glass")
    >>> panes.groups["all"].bands.rms_db < 4.5  # what is aimed at for all bands
    True
    """
    if kind is not None and kind not in (*KINDS, *FAMILIES):
        raise InputError(f"kind: no kind of this name (got {kind!r}); write one of {', '.join(_kinds())}")
    built = specimens.measured_constructions()
    chosen = [_asked_for(kind, one) for one in built]
    if not any(chosen):
        raise InputError(f"kind: no measured construction of this kind (got {kind!r}); leave it out")
    mine = built if left_out else _only(built, chosen)  # the constants were set on all of them
    topics = [(one, [_asked_for(kind, row) for row in one.rows]) for one in tested.topics()]
    rows = [row for topic, asked in topics for row in _only(topic.rows, asked)]
    found = iter(_predicted([*mine, *rows], processes, progress))
    own = tuple(islice(found, len(mine)))
    apart = tuple(
        _apart(topic, asked, tuple(islice(found, sum(asked)))) for topic, asked in topics if any(asked)
    )
    if not left_out:
        return Accuracy(kind, own, apart=apart)
    out = leave_one_out(own, progress, processes)
    left = LeftOut(_only(out.specimens, chosen), out.constants)
    return Accuracy(kind, _only(own, chosen), left, apart)


def _asked_for(kind: str | None, one: Construction) -> bool:
    return kind is None or kind in (one.kind, family(one))


def _apart(topic: Topic, asked: Sequence[bool], rows: tuple[Specimen, ...]) -> Apart:
    """A topic apart, by the rows of it that were asked for."""
    names = _only(topic.groups, asked)
    several = dict.fromkeys(names) if len(set(names)) > 1 else ()
    groups = (Group(name, _only(rows, [its == name for its in names])) for name in several)
    return Apart(topic.about, Group(topic.title, rows), tuple(groups))


def _predicted(built: Sequence[Construction], processes: int, progress: Progress) -> list[Specimen]:
    """All of them predicted."""
    found = []
    for one in mapped(specimens.predict, built, processes):
        found.append(one)
        progress("specimens predicted", len(found), len(built))
    return found


def _kinds() -> tuple[str, ...]:
    return tuple(dict.fromkeys((*KINDS, *FAMILIES)))


def _only(found: Sequence[T], chosen: Sequence[bool]) -> tuple[T, ...]:
    return tuple(one for one, keep in zip(found, chosen, strict=True) if keep)


def error_table(found: Sequence[Specimen]) -> tuple[model_error.Row, ...]:
    """The table of the model's error that specimens, left out one by one, give."""
    return model_error.table([left(one) for one in found if not one.measured.doubt])


def covered_by_others(found: Sequence[Specimen]) -> float:
    """Share of the published bands inside limits whose model error is told from the other specimens only."""
    lefts = [left(one) for one in found]
    trusted = [not one.measured.doubt for one in found]
    inside = []
    for i, one in enumerate(found):
        others = [other for j, other in enumerate(lefts) if trusted[j] and j != i]
        sigma = np.hypot(prediction.LABORATORY_DB, model_error.of_others(one.family, others))
        low, high = prediction.limits(one.tl_db, sigma)
        inside.append(replace(one, low_db=low, high_db=high).inside)
    return float(statistics.joined(inside).mean())
