"""The best sets of fixes: against every set put through the whole room, and what must hold of any choice."""

from __future__ import annotations

import itertools
import time
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from pace import in_time

from isolate.bands import THIRD_OCTAVES
from isolate.describe import noises, prices, rooms
from isolate.describe.constructions import Construction, Measured
from isolate.describe.rooms import Background, Gap, Level, Neighbour, Noise, Option, Own, Room, Side
from isolate.remedies.combined import PRESENT, Combined
from isolate.remedies.judgement import search
from isolate.remedies.judgement.choice import Chooser, left
from isolate.remedies.judgement.evaluator import Evaluator, rows
from isolate.remedies.judgement.front import Part, pareto, summed
from isolate.remedies.judgement.search import NO_LIMITS, searched, together
from isolate.remedies.judgement.target import Aim, aims, parse
from isolate.remedies.making import of_options
from isolate.remedies.remedy import Remedy
from isolate.remedies.usual import usual
from isolate.room import audibility, scenario
from isolate.room import envelope as envelopes

INF = float("inf")


def flat(tl_db: float) -> Construction:
    """A construction that stops the same in every band."""
    curve = Measured("made for the test", "own", THIRD_OCTAVES, np.full(27, tl_db))
    return Construction(f"flat {tl_db:g}", f"flat {tl_db:g} dB", "wall", (), None, curve)


def street_noise(name: str, faces: str, level: float) -> Noise:
    shape = replace(noises.load("pink noise"), level_db=np.full(27, 50.0), level=None, spread_db=3.0)
    return Noise(name, faces, shape, Level(level, "A"))


def random_room(rng: np.random.Generator, options: int, words: int = 2) -> Room:
    """Five sides that face `words` places, a noise from each, somebody behind one wall, options at random."""
    names = [f"side {i}" for i in range(5)]
    sides = tuple(
        Side(name, f"word {i % words}", flat(float(rng.uniform(20, 45))), float(rng.uniform(1, 9)), None,
             (Gap(1e-3, float(rng.uniform(0.5, 4)), 0.05),))
        for i, name in enumerate(names)
    )  # fmt: skip
    tried = []
    for i in range(options):
        gaps = () if rng.random() < 0.4 else None
        built = None if gaps is not None and rng.random() < 0.5 else flat(float(rng.uniform(30, 65)))
        cost = float(rng.integers(0, 40)) * 10.0
        tried.append(Option(f"option {i}", str(rng.choice(names)), built, gaps, cost))
    own = Own("drum", noises.load("pink noise"), Level(95.0, "A"))
    return Room(
        name="random", title="random", size=(5.0, 4.0, 2.5), furnishing="furnished",
        reverberation_time=np.full(27, 0.5), background=Background("A", 25.0), sides=sides,
        noises=tuple(
            street_noise(f"noise {i}", f"word {i}", float(rng.uniform(55, 80))) for i in range(words)
        ),
        own=(own,), neighbours=(Neighbour("behind", ("side 1",), Background("A", 25.0)),),
        options=tuple(tried),
    )  # fmt: skip


def choosing(room: Room, target: str = "inside: not audible, neighbours: not audible") -> Chooser:
    now = scenario.present(room)
    remedies = sorted(of_options(room, now.envelope, prices.bundled()), key=lambda one: one.order)
    evaluator = Evaluator(Combined(now, remedies), aims(parse(target), now))
    return Chooser(evaluator, searched(evaluator))


def by_hand(room: Room, fixes: Sequence[Remedy], wanted: Sequence[Aim], chosen: Sequence[int]) -> np.ndarray:
    """By how much each aim is missed, every change made on the room itself, everything computed anew."""
    sides = {side.name: side for side in room.sides}
    for i in chosen:
        option = fixes[i].option
        if option.replace in sides:
            sides[option.replace] = option.on(sides[option.replace])
    built = envelopes.of_room(replace(room, sides=tuple(sides.values())))
    for i in chosen:
        option = fixes[i].option
        if option.lining is not None:
            gain = built.finder.lining(option.lining)
            built = replace(built, linings={**built.linings, **dict.fromkeys(option.flanks, gain)})
    then = scenario.of(room, built)
    passed = [then.sound(aim.sound.name) for aim in wanted]
    return np.array([
        float(aim.excess(one.level_db, one.background_db)) for aim, one in zip(wanted, passed, strict=True)
    ])  # fmt: skip


def every_set(chooser: Chooser) -> list[tuple[frozenset[int], np.ndarray, np.ndarray]]:
    """Every set that can be made: its fixes, what it takes, by how much it misses each aim."""
    room, fixes = chooser.evaluator.combined.room, chooser.remedies
    found = []
    for count in range(len(fixes) + 1):
        for chosen in itertools.combinations(range(len(fixes)), count):
            if not any(fixes[i].excludes(fixes[j]) for i, j in itertools.combinations(chosen, 2)):
                takes = chooser.takes[list(chosen)].sum(0) if chosen else np.zeros(3)
                missed = by_hand(room, fixes, chooser.evaluator.aims, chosen)
                found.append((frozenset(chosen), takes, missed))
    return found


def staircase(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Cost and what is left of the sets that leave less than any cheaper one; written anew, plainly."""
    best, kept = INF, []
    for cost, rest in sorted((round(cost, 2), round(rest, 6)) for cost, rest in points):
        if rest < best - 1e-9:
            kept.append((cost, rest))
            best = rest
    return kept


@pytest.mark.parametrize("seed", range(6))
def test_the_front_is_that_of_every_set_put_through_the_whole_room(seed: int) -> None:
    chooser = choosing(random_room(np.random.default_rng(seed), 7))
    expected = staircase([(takes[0], float(left(missed))) for _, takes, missed in every_set(chooser)])
    found = [(one.cost, one.left) for one in chooser.sets()]
    assert [cost for cost, _ in found] == [cost for cost, _ in expected]
    assert [rest for _, rest in found] == pytest.approx([rest for _, rest in expected], abs=1e-6)
    assert chooser.exact


@pytest.mark.parametrize("seed", range(4))
def test_limits_on_money_weight_and_space_together(seed: int) -> None:
    """The best set within three limits is the one found by trying all of them."""
    rng = np.random.default_rng(100 + seed)
    room = random_room(rng, 8)
    now = scenario.present(room)
    remedies = tuple(
        replace(one, mass=float(rng.integers(-5, 60)), space=float(rng.integers(0, 10)) / 10.0)
        for one in sorted(of_options(room, now.envelope, prices.bundled()), key=lambda one: one.order)
    )
    evaluator = Evaluator(Combined(now, remedies), aims(parse("not audible"), now))
    chooser = Chooser(evaluator, searched(evaluator))
    limits = (400.0, 60.0, 1.2)
    allowed = [
        (takes[0], float(left(missed)))
        for _, takes, missed in every_set(chooser)
        if (takes <= np.asarray(limits) + 1e-9).all()
    ]
    found = [(one.cost, one.left) for one in chooser.sets(limits)]
    assert found == [pytest.approx(pair, abs=1e-6) for pair in staircase(allowed)]
    assert all(one.mass <= 60.0 + 1e-9 and one.space <= 1.2 + 1e-9 for one in chooser.sets(limits))


@cache
def demo() -> Chooser:
    return choosing(rooms.load())


def test_stored_states_give_what_the_whole_room_gives() -> None:
    """The demo's options, flanking linings among them: sums of stored spectra against everything anew."""
    chooser = demo()
    count = len(chooser.remedies)
    rng = np.random.default_rng(5)
    tables = together(search.conflicts(chooser.remedies))
    assert tables is not None
    for bits in tables[rng.choice(len(tables), 12, replace=False)]:
        chosen = np.flatnonzero(bits).tolist()
        expected = by_hand(chooser.evaluator.combined.room, chooser.remedies, chooser.evaluator.aims, chosen)
        found = chooser.evaluator.excess(rows([frozenset(chosen)], count))[0]
        assert found == pytest.approx(expected, abs=1e-9)


def test_the_front_of_the_demo_is_that_of_all_its_combinations() -> None:
    chooser = demo()
    bits = together(search.conflicts(chooser.remedies))
    assert bits is not None
    rest = left(chooser.evaluator.excess(bits))
    expected = staircase(list(zip((bits @ chooser.takes)[:, 0].tolist(), rest.tolist(), strict=True)))
    assert [(one.cost, one.left) for one in chooser.sets()] == [pytest.approx(p, abs=1e-6) for p in expected]


@pytest.mark.parametrize("seed", range(5))
def test_one_more_option_never_makes_the_front_worse(seed: int) -> None:
    room = random_room(np.random.default_rng(200 + seed), 9)
    fewer = choosing(replace(room, options=room.options[:-1])).sets()
    more = choosing(room).sets()
    assert fewer
    for one in fewer:
        best = min(other.left for other in more if other.cost <= one.cost + 1e-9)
        assert best <= one.left + 1e-6


@pytest.mark.parametrize("seed", range(4))
def test_the_order_of_options_in_the_file_changes_nothing(seed: int) -> None:
    rng = np.random.default_rng(300 + seed)
    room = random_room(rng, 9)
    shuffled = replace(room, options=tuple(room.options[i] for i in rng.permutation(9)))
    first, second = choosing(room), choosing(shuffled)
    for limits in (NO_LIMITS, (300.0, INF, INF)):
        one, other = first.pick(limits), second.pick(limits)
        assert [one.order for one in first.remedies] == [one.order for one in second.remedies]
        assert one == other
        assert first.order(one.plan.chosen) == second.order(other.plan.chosen)


@pytest.mark.parametrize("seed", range(5))
def test_what_is_dearer_and_worse_is_never_chosen(seed: int) -> None:
    """For every option one more that costs 10 more and stops 3 dB less."""
    room = random_room(np.random.default_rng(400 + seed), 6)
    worse = []
    for option in room.options:
        built = option.construction
        if built is not None:
            weaker = flat(float(built.name.split()[1]) - 3.0)
            dearer = (option.cost or 0.0) + 10.0
            worse.append(replace(option, name=f"{option.name} worse", construction=weaker, cost=dearer))
    assert worse
    chooser = choosing(replace(room, options=(*room.options, *worse)))
    for limits in (NO_LIMITS, (250.0, INF, INF), (600.0, INF, INF)):
        for one in (*chooser.sets(limits), chooser.pick(limits).plan):
            assert not any("worse" in chooser.remedies[i].name for i in one.chosen)


def test_of_two_alike_the_cheaper_is_taken_and_what_is_idle_is_left() -> None:
    room = random_room(np.random.default_rng(7), 4)
    best = Option("good", "side 0", flat(60.0), (), 100.0)
    same = replace(best, name="good too", cost=101.0)
    idle = Option("idle", "side 0", None, room.sides[0].gaps, 0.0)
    chooser = choosing(replace(room, options=(*room.options, best, same, idle)))
    taken = {chooser.remedies[i].name for one in chooser.sets() for i in one.chosen}
    assert "good" in taken
    assert not taken & {"good too", "idle"}


def test_nothing_to_spend_leaves_the_room_as_it_is() -> None:
    picked = demo().pick((0.0, INF, INF))
    assert picked.plan.chosen == picked.best.chosen == PRESENT
    assert picked.plan.left == pytest.approx(float(left(demo().excess(PRESENT))))


def greedy(chooser: Chooser, budget: float) -> float:
    """What is left by always adding the fix that brings most for its price, as long as money lasts."""
    chosen: frozenset[int] = frozenset()
    while True:
        now = chooser.as_set(chosen)
        steps = []
        able = [
            i for i, fix in enumerate(chooser.remedies)
            if i not in chosen and not any(fix.excludes(chooser.remedies[j]) for j in chosen)
        ]  # fmt: skip
        chooser.find(chosen | {i} for i in able)
        for i in able:
            then = chooser.as_set(chosen | {i})
            if then.cost <= budget and then.left < now.left - 1e-9:
                steps.append(((now.left - then.left) / max(then.cost - now.cost, 1e-9), i))
        if not steps:
            return now.left
        chosen = chosen | {max(steps)[1]}


@pytest.mark.parametrize("seed", range(5))
def test_a_search_that_cannot_be_exact_is_no_worse_than_greedy(seed: int) -> None:
    """The same room with no more looked at than a quarter, against all of its sets and greedy choices."""
    room = random_room(np.random.default_rng(500 + seed), 11)
    exact = choosing(room)
    work = sum(len(one.bits) * search._work(exact.evaluator, one.remedies) for one in exact.tables)
    for budget in (150.0, 400.0, 900.0):
        limits = (budget, INF, INF)
        evaluator = exact.evaluator
        near = Chooser(evaluator, searched(evaluator, limits=limits, most=work // 4))
        assert not near.exact
        found, best = near.sets(limits)[-1].left, exact.sets(limits)[-1].left
        assert best - 1e-6 <= found <= greedy(exact, budget) + 1e-6
        assert found <= best + 1.0


def street(options: int, noises: int, sides: int) -> Room:
    """Options that may all be made, on sides that all face one street with many noises."""
    rng = np.random.default_rng(9)
    walls = tuple(
        Side(f"side {i}", "street", flat(float(rng.uniform(20, 40))), float(rng.uniform(1, 4)))
        for i in range(sides)
    )
    made = tuple(
        Option(f"better {i}", f"side {i % sides}", flat(60.0), None, float(rng.integers(5, 50)))
        for i in range(options)
    )
    heard = tuple(street_noise(f"noise {i}", "street", 75.0 - i) for i in range(noises))
    return replace(random_room(rng, 0), sides=walls, options=made, neighbours=(), own=(), noises=heard)


@pytest.mark.parametrize(
    ("options", "noises", "sides"),
    [(15, 3, 20), (20, 3, 20), (30, 1, 30), (60, 20, 50)],
)
def test_many_options_are_searched_within_seconds(options: int, noises: int, sides: int) -> None:
    """Up to over a million million million sets: counted out as far as that is quick, and said."""
    seen: list[tuple[int, int]] = []
    room = street(options, noises, sides)
    now = scenario.present(room)
    remedies = sorted(of_options(room, now.envelope, prices.bundled()), key=lambda one: one.order)
    evaluator = Evaluator(Combined(now, remedies), aims(parse("not audible"), now))
    began = time.process_time()
    limits = (300.0, INF, INF)
    tables = searched(evaluator, limits=limits, progress=lambda done, of: seen.append((done, of)))
    chooser = Chooser(evaluator, tables)
    picked = chooser.pick(limits)
    order = chooser.order(picked.best.chosen)
    rungs = chooser.rungs(chooser.sets())
    assert in_time(time.process_time() - began, 6.0)
    assert chooser.exact == (options == 15)
    assert len(seen) > 4 and all(0 < done <= of for done, of in seen)
    assert frozenset(order) == picked.best.chosen and len(rungs) > 1
    assert picked.best.cost <= 300.0
    assert picked.best.left <= greedy(chooser, 300.0) + 1e-6  # which is looked at in any case


def test_near_a_million_sets_the_search_finds_the_same_front() -> None:
    """Sixteen that may all be made: every set, and a twentieth of them."""
    room = street(16, 2, 16)
    exact = choosing(room, "not audible")
    assert exact.exact and exact.looked_at == 2**16
    near = Chooser(exact.evaluator, searched(exact.evaluator, most=search.MOST // 10))
    assert not near.exact and near.looked_at < exact.looked_at / 4
    for one in exact.sets():
        assert min(other.left for other in near.sets() if other.cost <= one.cost + 1e-9) <= one.left + 0.1


@pytest.mark.parametrize("seed", range(5))
def test_nobody_could_tell_the_plan_from_anything_the_limits_allow(seed: int) -> None:
    chooser = choosing(random_room(np.random.default_rng(600 + seed), 9))
    for budget in (200.0, 500.0, INF):
        picked = chooser.pick((budget, INF, INF))
        assert picked.plan.cost <= picked.best.cost
        assert picked.sets
        for one in picked.sets:
            drops = chooser.drops(picked.plan.chosen, one.chosen)
            close = one.left >= picked.plan.left - 1.0
            assert close or picked.plan.met or not audibility.noticed(drops.max())


def test_five_thousand_combinations_a_second_on_the_demo() -> None:
    """Its own options and the tool's, once the states of its parts are known; every one through all paths."""
    room = rooms.load()
    now = scenario.present(room)
    found = (*of_options(room, now.envelope, prices.bundled()), *usual(now, prices.bundled()))
    remedies = tuple(sorted(found, key=lambda one: one.order))
    evaluator = Evaluator(Combined(now, remedies), aims(parse("not audible"), now))
    tables = searched(evaluator)
    bits = np.zeros((20_000, len(remedies)), bool)
    rng = np.random.default_rng(1)
    for table in tables:
        bits[:, list(table.remedies)] = table.bits[rng.integers(0, len(table.bits), len(bits))]
    began = time.process_time()
    evaluator.excess(bits)
    assert in_time(time.process_time() - began, len(bits) / 5000.0)


def test_pareto_against_plain_comparison() -> None:
    rng = np.random.default_rng(3)
    for columns in (2, 3, 4):
        values = np.round(rng.random((400, columns)), 1)
        kept = set(pareto(values, np.zeros(len(values))).tolist())
        points = {tuple(values[i]) for i in kept}
        assert len(points) == len(kept)
        for point in {tuple(row_) for row_ in values}:
            beaten = any(
                all(a <= b for a, b in zip(other, point, strict=True)) and other != point for other in points
            )
            assert (point in points) != beaten


def test_fronts_of_parts_add_up() -> None:
    """Every pair of rows of two parts, against their summed front."""
    rng = np.random.default_rng(4)
    parts = [
        Part(np.round(rng.random((30, 2)) * 10, 1), rng.integers(0, 5, 30).astype(float)) for _ in range(2)
    ]
    pairs = [(float(a[1] + b[1]), float(a[0] + b[0])) for a in parts[0].values for b in parts[1].values]
    found = summed(parts, [INF])
    order = np.argsort(found.values[:, 1])
    assert [tuple(one) for one in found.values[order][:, ::-1]] == [
        pytest.approx(pair) for pair in staircase(pairs)
    ]
    limited = summed(parts, [6.0])
    assert limited.values[:, 1].max() <= 6.0
    assert limited.values[:, 0].min() == pytest.approx(min(rest for cost, rest in pairs if cost <= 6.0))
