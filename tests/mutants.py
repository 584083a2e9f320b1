"""Breaks thresholds and formulas one at a time and tells which breaks no test notices. Not part of the suite.

    python tests/mutants.py isolate/remedies/cautions/building.py     every one of a module
    python tests/mutants.py --sample 40 --seed 2                      some of all that are listed
    python tests/mutants.py --thresholds isolate/room/limits.py       constants and comparisons alone

A number of a module's own constants is taken times 1.3, a comparison is turned round or moved off its end, a
sum becomes a difference, a product a quotient. Each is tried in a copy of the package with the tests that
guard the module; one that they pass is a survivor: write a test that fails, or say why nothing can.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

import pytest
from alike import ALIKE

HOME = Path(__file__).parents[1]
GUARDS = {
    "isolate/remedies/cautions/facts.py": "test_cautions.py",
    "isolate/remedies/cautions/building.py": "test_cautions.py",
    "isolate/remedies/cautions/listening.py": "test_cautions.py",
    "isolate/physics/air_flow.py": "test_air_flow.py test_cautions.py",
    "isolate/physics/calibrated.py": "test_stand_ins.py test_constants.py test_masonry.py",
    "isolate/physics/cavity.py": "test_panes_of_numbers.py test_stand_ins.py test_published_layers.py "
    "test_constants.py",
    "isolate/physics/finite.py": "test_panes_of_numbers.py test_glazing.py test_closed_forms.py",
    "isolate/physics/joints.py": "test_panes_of_numbers.py test_stand_ins.py test_glazing.py "
    "test_constants.py",
    "isolate/physics/leaves.py": "test_leaves.py test_stand_ins.py test_bonded.py test_glazing.py "
    "test_closed_forms.py",
    "isolate/physics/links.py": "test_ties_of_numbers.py test_stand_ins.py test_lattice.py test_bridges.py "
    "test_constants.py",
    "isolate/physics/masonry.py": "test_stand_ins.py test_masonry.py test_constants.py",
    "isolate/physics/knots.py": "test_porous.py",
    "isolate/physics/layers.py": "test_porous.py test_closed_forms.py test_published_layers.py",
    "isolate/physics/opening_modes.py": "test_glazing.py",
    "isolate/physics/leakage.py": "test_leakage.py",
    "isolate/physics/bonded.py": "test_bonded.py",
    "isolate/physics/bridges.py": "test_transmission.py",
    "isolate/physics/buildings.py": "test_stand_ins.py test_buildings.py",
    "isolate/physics/floating.py": "test_floating.py",
    "isolate/physics/floors.py": "test_stand_ins.py test_impact.py",
    "isolate/physics/framed.py": "test_framed.py",
    "isolate/physics/framing.py": "test_bridges.py test_lattice.py test_transmission.py",
    "isolate/physics/glazing.py": "test_panes_of_numbers.py test_glazing.py",
    "isolate/physics/impact.py": "test_impact.py test_published_impact.py",
    "isolate/physics/interlayer.py": "test_panes_of_numbers.py test_bonded.py test_glazing.py",
    "isolate/physics/lattice.py": "test_lattice.py test_framed.py",
    "isolate/physics/nets.py": "test_means.py",
    "isolate/physics/cubature.py": "test_means.py",
    "isolate/physics/pane_edges.py": "test_panes_of_numbers.py test_stand_ins.py test_glazing.py",
    "isolate/physics/porous.py": "test_porous.py",
    "isolate/physics/ports.py": "test_ties_of_numbers.py test_stand_ins.py test_bridges.py test_lattice.py",
    "isolate/physics/resonances.py": "test_masonry.py",
    "isolate/physics/ribbed.py": "test_ties_of_numbers.py test_stand_ins.py test_ribbed.py",
    "isolate/physics/second_window.py": "test_panes_of_numbers.py test_second_window.py",
    "isolate/physics/studs.py": "test_panes_of_numbers.py test_ties_of_numbers.py test_stand_ins.py "
    "test_lattice.py test_framed.py",
    "isolate/physics/transmission.py": "test_stand_ins.py test_bridges.py test_masonry.py test_ribbed.py",
    "isolate/physics/absorbers.py": "test_absorption.py test_stand_ins.py",
    "isolate/physics/paths.py": "test_paths.py",
    "isolate/physics/rated.py": "test_datasheet.py",
    "isolate/physics/responses.py": "test_stack_of_numbers.py test_draws.py",
    "isolate/physics/spread.py": "test_stack_of_numbers.py",
    "isolate/physics/stack.py": "test_stack_of_numbers.py test_ribbed.py test_glazing.py",
    "isolate/physics/windows.py": "test_stand_ins.py test_glazing.py test_published_windows.py",
    "isolate/physics/openings.py": "test_openings.py",
    "isolate/physics/absorption.py": "test_absorption.py test_panels.py",
    "isolate/physics/air_noise.py": "test_air_noise.py",
    "isolate/physics/annex_b.py": "test_published_flanking.py test_flanking.py test_masonry.py",
    "isolate/physics/between.py": "test_between.py",
    "isolate/physics/coupled.py": "test_coupled.py",
    "isolate/physics/ducts.py": "test_ducts.py test_air_noise.py",
    "isolate/physics/facade.py": "test_facade.py test_between.py",
    "isolate/physics/facade_shape.py": "test_between.py",
    "isolate/physics/finite_sample.py": "test_finite_sample.py",
    "isolate/physics/fixings.py": "test_lattice.py",
    "isolate/physics/flanking.py": "test_flanking.py test_published_flanking.py",
    "isolate/physics/flanking_defaults.py": "test_flanking.py test_flanking_rooms.py",
    "isolate/physics/flanking_junctions.py": "test_flanking.py test_published_flanking.py",
    "isolate/physics/flanking_rooms.py": "test_flanking_rooms.py test_neighbours.py test_play.py",
    "isolate/physics/inner_shell.py": "test_inner_shell.py",
    "isolate/physics/microphone.py": "test_take.py",
    "isolate/physics/reverberation.py": "test_reverberation.py test_treatment.py",
    "isolate/physics/surfaces.py": "test_treatment.py",
    "isolate/physics/treatment.py": "test_treatment.py",
    "isolate/standards/hearing.py": "test_published_hearing.py",
    "isolate/standards/scales.py": "test_published_criteria.py test_sure.py",
    "isolate/standards/single_numbers.py": "test_ratings.py test_published_ratings.py",
    "isolate/standards/criteria.py": "test_published_criteria.py",
    "isolate/room/envelope.py": "test_envelope_of_numbers.py test_neighbours.py test_room_paths.py "
    "test_play.py",
    "isolate/room/elements.py": "test_elements_of_numbers.py test_neighbours.py test_datasheet.py "
    "test_room_paths.py",
    "isolate/room/impact.py": "test_struck_of_numbers.py test_neighbours.py test_play.py",
    "isolate/room/scenario.py": "test_envelope_of_numbers.py test_received_of_numbers.py "
    "test_neighbours.py test_room_answer.py test_play.py",
    "isolate/room/model_error.py": "test_statistics.py",
    "isolate/room/unknowns.py": "test_draws.py",
    "isolate/room/audibility.py": "test_judgement.py",
    "isolate/room/limits.py": "test_judgement.py",
    "isolate/room/when.py": "test_judgement.py",
    "isolate/room/first.py": "test_judgement.py",
    "isolate/room/takes.py": "test_judgement.py test_take.py",
    "isolate/room/chances.py": "test_judgement.py",
    "isolate/room/air.py": "test_fresh_air.py",
    "isolate/room/neighbours.py": "test_neighbours.py test_play.py",
    "isolate/room/draws.py": "test_draws.py",
    "isolate/room/prediction.py": "test_room_answer.py test_statistics.py test_received_of_numbers.py",
    "isolate/room/levels.py": "test_room_answer.py test_judgement.py",
    "isolate/room/often.py": "test_received_of_numbers.py test_sure.py",
    "isolate/room/received.py": "test_received_of_numbers.py test_judgement.py",
    "isolate/room/contributions.py": "test_draws.py",
    "isolate/room/cases.py": "test_received_of_numbers.py test_sure.py",
    "isolate/remedies/bill.py": "test_bill.py",
    "isolate/remedies/ducts.py": "test_air_answer.py",
    "isolate/remedies/playing.py": "test_ways.py test_judgement.py test_play.py",
    "isolate/remedies/making.py": "test_usual.py",
    "isolate/remedies/popular.py": "test_usual.py test_fixes.py",
    "isolate/remedies/remedy.py": "test_usual.py",
    "isolate/remedies/usual.py": "test_usual.py test_play.py",
    "isolate/remedies/second_window/asked.py": "test_second_words.py",
    "isolate/remedies/second_window/others.py": "test_second_words.py",
    "isolate/remedies/second_window/setting.py": "test_second_words.py test_second_pane.py",
    "isolate/remedies/second_window/sweep.py": "test_second_words.py test_second_pane.py",
    "isolate/remedies/second_window/panes.py": "test_second_words.py",
    "isolate/remedies/cautions/changes.py": "test_cautions.py",
    "isolate/remedies/combined.py": "test_judgement.py test_fixes_search.py",
    "isolate/remedies/inner/air.py": "test_inner_plan.py test_inner_room.py",
    "isolate/remedies/inner/building.py": "test_inner_plan.py",
    "isolate/remedies/inner/house.py": "test_inner_of_numbers.py test_inner_plan.py test_inner_room.py",
    "isolate/remedies/inner/shell.py": "test_inner_of_numbers.py test_inner_plan.py test_inner_room.py",
    "isolate/remedies/inner/shells.py": "test_inner_plan.py",
    "isolate/remedies/inner/ties.py": "test_inner_of_numbers.py test_inner_plan.py",
    "isolate/remedies/inner/load.py": "test_inner_plan.py",
    "isolate/remedies/inner/materials.py": "test_inner_plan.py",
    "isolate/remedies/inner/plan.py": "test_inner_plan.py",
    "isolate/remedies/checks.py": "test_fixes.py",
    "isolate/remedies/panels.py": "test_panels.py",
    "isolate/remedies/contrast.py": "test_panels.py",
    "isolate/measuring/checks.py": "test_checks_of_numbers.py",
    "isolate/measuring/fit.py": "test_fit.py",
    "isolate/measuring/model.py": "test_fit.py test_measured_model.py",
    "isolate/measuring/decay.py": "test_decay.py",
    "isolate/measuring/change.py": "test_measured.py",
    "isolate/measuring/events.py": "test_events.py test_survey.py",
    "isolate/measuring/measured.py": "test_measured.py",
    "isolate/measuring/recording.py": "test_recording_of_numbers.py test_checks_of_numbers.py",
    "isolate/measuring/shape.py": "test_measured.py",
    "isolate/measuring/survey.py": "test_survey_of_numbers.py test_survey.py",
    "isolate/measuring/isolation.py": "test_isolation_of_numbers.py test_measure.py "
    "test_measure_simulated.py",
    "isolate/measuring/request.py": "test_request_of_numbers.py test_measure_commands.py",
    "isolate/measuring/moved.py": "test_measured_model.py",
    "isolate/measuring/recorder.py": "test_recorder_of_numbers.py test_recorder.py",
    "isolate/measuring/check.py": "test_recorder_of_numbers.py",
    "isolate/measuring/test_signal.py": "test_test_signal.py",
    "isolate/measuring/bank.py": "test_published_third_octave.py",
    "isolate/remedies/effect.py": "test_judgement.py",
    "isolate/remedies/judgement/choice.py": "test_judgement.py",
    "isolate/remedies/judgement/judgement.py": "test_judgement.py",
    "isolate/remedies/judgement/otherwise.py": "test_judgement.py",
    "isolate/remedies/judgement/request.py": "test_judgement.py",
    "isolate/remedies/judgement/stage.py": "test_judgement.py",
    "isolate/remedies/judgement/target.py": "test_judgement.py",
    "isolate/remedies/second_window/choice.py": "test_judgement.py",
    "isolate/answers/requirement.py": "test_requirement.py",
    "isolate/show/files.py": "test_files.py",
}
FACTOR = 1.3
SECONDS = 600.0  # after which a test has failed
CHILDREN = get_context("forkserver")  # of a process that has loaded what they need not load anew
CHILDREN.set_forkserver_preload(["click.testing", "numpy", "pandas", "pytest", "scipy.special"])
_TURNED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.GtE, ast.LtE), ast.LtE: (ast.Gt, ast.Lt), ast.Gt: (ast.LtE, ast.GtE),
    ast.GtE: (ast.Lt, ast.Gt), ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,),
}  # fmt: skip
_OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """A module's `source` with one thing changed, and `what` that is."""

    module: str
    what: str
    source: str
    threshold: bool = False  # whether it is one of a constant or a comparison


def mutants(module: str, source: str) -> Iterator[Mutant]:
    """Every one of a module."""
    tree = ast.parse(source)
    constants = _constants(tree)
    for node in [*ast.walk(tree)]:
        for change in range(2):
            whole = {name: [*part] if isinstance(part, list) else part for name, part in vars(node).items()}
            told = _changed(node, change, constants)
            if told:
                what = f"line {getattr(node, 'lineno', 0)}: {told}"
                yield Mutant(module, what, _replaced(source, node), not isinstance(node, ast.BinOp))
            vars(node).update(whole)


def _replaced(source: str, node: ast.AST) -> str:
    """The source with a node as it now is, comments and all else kept: tests look at those too."""
    assert isinstance(node, ast.expr) and node.end_lineno and node.end_col_offset
    lines = source.encode().splitlines(keepends=True)
    before = b"".join(lines[: node.lineno - 1]) + lines[node.lineno - 1][: node.col_offset]
    after = lines[node.end_lineno - 1][node.end_col_offset :] + b"".join(lines[node.end_lineno :])
    return (before + ast.unparse(node).encode() + after).decode()


def of_module(module: str) -> list[Mutant]:
    """Every one of a module of the package."""
    return [*mutants(module, (HOME / module).read_text(encoding="utf-8"))]


def alike(mutant: Mutant) -> bool:
    """Whether nothing can tell it from the whole."""
    return any(part in mutant.what for part in ALIKE.get(mutant.module, ()))


def _constants(tree: ast.Module) -> set[int]:
    """The numbers that stand in a module's own constants and in comparisons."""
    own = [node.value for node in tree.body if isinstance(node, ast.Assign | ast.AnnAssign) and node.value]
    own += [node for node in ast.walk(tree) if isinstance(node, ast.Compare)]
    return {id(part) for node in own for part in ast.walk(node) if isinstance(part, ast.Constant)}


def _changed(node: ast.AST, change: int, constants: set[int]) -> str:
    """What was changed in a node; empty where there is nothing to."""
    if isinstance(node, ast.Constant) and id(node) in constants and change == 0:
        if isinstance(node.value, bool) or not isinstance(node.value, int | float) or not node.value:
            return ""
        before, node.value = node.value, type(node.value)(node.value * FACTOR) + (node.value == 1)
        return f"{before} becomes {node.value}" if node.value != before else ""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in _TURNED:
        turned = _TURNED[type(node.ops[0])]
        if change < len(turned):
            before, node.ops[0] = ast.unparse(node), turned[change]()
            return f"{before} becomes {ast.unparse(node)}"
    if isinstance(node, ast.BinOp) and type(node.op) in _OPERATORS and change == 0:
        before, node.op = ast.unparse(node), _OPERATORS[type(node.op)]()
        return f"{before} becomes {ast.unparse(node)}"
    return ""


def killed(mutant: Mutant, copy: Path) -> bool:
    """Whether a test that guards the module fails on it, in a process of its own."""
    path = copy / mutant.module
    whole = path.read_text(encoding="utf-8")
    path.write_text(mutant.source, encoding="utf-8")
    tests = [f"tests/{name}" for name in GUARDS[mutant.module].split()]
    try:
        child = CHILDREN.Process(target=_tested, args=(copy, tests))
        child.start()
        child.join(SECONDS)
        if child.is_alive():
            child.kill()
            child.join()
    finally:
        path.write_text(whole, encoding="utf-8")
    return child.exitcode != 0


def _tested(copy: Path, tests: Sequence[str]) -> None:
    """Run tests of the copy, all of it imported anew, and leave with their status."""
    os.chdir(copy)
    sys.path.insert(0, str(copy))
    sys.dont_write_bytecode = True
    with open(os.devnull, "w") as nowhere:
        os.dup2(nowhere.fileno(), 1)
        os.dup2(nowhere.fileno(), 2)
        os._exit(int(pytest.main(["-q", "-x", "-p", "no:cacheprovider", *tests])))


def copied(folder: str) -> Path:
    """The package, its descriptions and its tests, to break things in."""
    for name in ("isolate", "constructions", "tests"):
        shutil.copytree(HOME / name, Path(folder) / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
        shutil.copy(HOME / name, folder)
    return Path(folder)


def main() -> None:
    """Try them and print the survivors."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("modules", nargs="*", default=sorted(GUARDS))
    parser.add_argument("--sample", type=int, help="how many, taken at random; all without it")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--thresholds", action="store_true", help="constants and comparisons alone")
    asked = parser.parse_args()
    every = [one for name in asked.modules for one in of_module(name) if not alike(one)]
    if asked.thresholds:
        every = [one for one in every if one.threshold]
    if asked.sample:
        every = random.Random(asked.seed).sample(every, min(asked.sample, len(every)))
    with tempfile.TemporaryDirectory() as folder:
        copy = copied(folder)
        for name in asked.modules:
            whole = Mutant(name, "nothing changed", (HOME / name).read_text(encoding="utf-8"))
            assert not killed(whole, copy), f"{name}: its tests fail as it is"
        alive = [one for one in every if not _told(one, killed(one, copy))]
    print(f"{len(alive)} of {len(every)} survive")
    sys.exit(bool(alive))


def _told(one: Mutant, gone: bool) -> bool:
    if not gone:
        print(f"survives: {one.module}: {one.what}", flush=True)
    return gone


if __name__ == "__main__":
    main()
