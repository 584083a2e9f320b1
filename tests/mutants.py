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

HOME = Path(__file__).parents[1]
GUARDS = {
    "isolate/remedies/cautions/facts.py": "test_cautions.py",
    "isolate/remedies/cautions/building.py": "test_cautions.py",
    "isolate/remedies/cautions/listening.py": "test_cautions.py",
    "isolate/physics/air_flow.py": "test_air_flow.py test_cautions.py",
    "isolate/physics/calibrated.py": "test_stand_ins.py test_constants.py test_masonry.py",
    "isolate/physics/cavity.py": "test_stand_ins.py test_published_layers.py test_constants.py",
    "isolate/physics/finite.py": "test_glazing.py test_closed_forms.py",
    "isolate/physics/joints.py": "test_stand_ins.py test_glazing.py test_constants.py",
    "isolate/physics/leaves.py": "test_leaves.py test_stand_ins.py test_bonded.py test_glazing.py "
    "test_closed_forms.py",
    "isolate/physics/links.py": "test_stand_ins.py test_lattice.py test_bridges.py test_constants.py",
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
    "isolate/physics/glazing.py": "test_glazing.py",
    "isolate/physics/impact.py": "test_impact.py test_published_impact.py",
    "isolate/physics/interlayer.py": "test_bonded.py test_glazing.py",
    "isolate/physics/lattice.py": "test_lattice.py test_framed.py",
    "isolate/physics/nets.py": "test_means.py",
    "isolate/physics/pane_edges.py": "test_stand_ins.py test_glazing.py",
    "isolate/physics/porous.py": "test_porous.py",
    "isolate/physics/ports.py": "test_stand_ins.py test_bridges.py test_lattice.py",
    "isolate/physics/resonances.py": "test_masonry.py",
    "isolate/physics/ribbed.py": "test_stand_ins.py test_ribbed.py",
    "isolate/physics/second_window.py": "test_second_window.py",
    "isolate/physics/studs.py": "test_stand_ins.py test_lattice.py test_framed.py",
    "isolate/physics/transmission.py": "test_stand_ins.py test_bridges.py test_masonry.py test_ribbed.py",
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
    "isolate/remedies/inner/house.py": "test_inner_plan.py test_inner_room.py",
    "isolate/remedies/inner/shell.py": "test_inner_plan.py test_inner_room.py",
    "isolate/remedies/inner/shells.py": "test_inner_plan.py",
    "isolate/remedies/inner/ties.py": "test_inner_plan.py",
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
# What no answer can be told by, by module: parts of `Mutant.what`. Ends that only a number just on them
# could be told by, guards against rounding (some 1e-6 dB), how many at once, and of which order a search is;
# points of grids, which tests of finer ones hold, and where one sum gives way to another that it meets; and
# what stands by common practice alone (mean absorption of furnishings, of gaps, a filter's pressure), and
# what moves no curve by 0.15 dB: the rubbery modulus of an interlayer (0.14), by how much a foil more has to
# fit better (none in tenths of a millimetre), the stiffness of a limp leaf that slips past its ties (none).
ALIKE: dict[str, tuple[str, ...]] = {
    "isolate/room/limits.py": (" > 0.98 *", " < 1.02 *", "excess_db >= 0.0", "excess_db <= KEPT_DB"),
    "isolate/room/first.py": ("doubt <= 0.0", "doubt < 0.0", "whole < 0.0", "<= p <", "> LEAST", "> 0.1 *"),
    "isolate/room/takes.py": ("soft_db >= 0.0", "pause_db >= ", "bare_db >= 0.0"),
    "isolate/room/when.py": ("1.3e-06", "1.3e-09", ">= 1e-06", "< 1e-09", "<= most - LESS_DB",
                             "<= LESS_DB", "margin < margin.min()", "HOURS / 1.0"),
    "isolate/room/chances.py": ("10 becomes 13", "line 204", "< KEPT", "i < keep", "<= 1e-12",
                                "e-12 becomes 1.3"),
    "isolate/room/contributions.py": ("200 becomes", "changes_db) + 1"),  # how many draws; one of just 1
    "isolate/room/often.py": (">= 0.0",),
    "isolate/room/air.py": ("1.0 becomes", "rest >= 0.0"),  # who is there where nobody says
    "isolate/room/draws.py": ("!= _MOST",),  # how much is kept
    "isolate/room/neighbours.py": ("outdoors - np.zeros",),
    # how sure a level, its pitch and a room are, by common practice
    "isolate/room/cases.py": (
        "2.0 becomes", "1.0 becomes", "1.5 becomes", "3.0 becomes", "0.7 becomes", "- 0.0 *", "0.0 / p",
    ),
    "isolate/remedies/bill.py": ("gap.width <= 0.001", "more >= 0", "1e-09"),
    "isolate/remedies/ducts.py": (
        "99.0 becomes", "over_db < 0.0", "1e-09", "1.5 becomes", "2.0 becomes 2.6",
        "3.5 becomes", "0.3 becomes", "0.8 becomes", "4 becomes 5", "more_db < MORE_DB",
        "< MOST_PRESSURE", "< self.fastest", "(background_db) < nc",
    ),
    "isolate/remedies/inner/materials.py": ("0.4 becomes",),  # kg of a socket
    # stiffness, loss and spread by judgement; how fine a layer of springs is
    "isolate/remedies/inner/ties.py": (
        "0.06 becomes", "0.08 becomes", "1000000000.0 becomes", "120000.0 becomes", "100000000.0 becomes",
        "30000000.0 becomes", "0.05 becomes", "3.0 becomes",
    ),
    "isolate/remedies/inner/plan.py": ("first - 1", "first - 2"),  # which way round walls are told
    "isolate/remedies/inner/shell.py": ("4.0 becomes", "5.0 becomes", "1e-15 becomes"),
    "isolate/remedies/inner/house.py": ("3.3 becomes",),
    "isolate/remedies/inner/shells.py": ("gain >= 0.0", "4 becomes 5", "<= LEAST_WIDTH", "<= LEAST_HEIGHT"),
    "isolate/remedies/second_window/asked.py": (" < pane.", "0.15 < edge", "SHALLOWEST < ", "2e-05 < width"),
    # a usual room and street, by common practice
    "isolate/remedies/second_window/setting.py": (
        "90.0 becomes", "10.0 becomes", "60.0 becomes", "6.0 becomes", "1.2 becomes", "1.4 becomes",
        "4.0 becomes", "3.2 becomes", "2.5 becomes",
    ),
    # points of a grid
    "isolate/remedies/second_window/sweep.py": ("line 27: ", ">= 0.03"),
    "isolate/measuring/events.py": ("100 becomes 130", "<= edge", "over >= rise_db / 2.0"),
    "isolate/remedies/second_window/others.py": ("leaks()) < leaking", "0.1 becomes"),
    "isolate/remedies/usual.py": ("typical > gap.width", "<= LIGHT_DOOR"),
    # how many pieces are looked at; how a band that is missing is drawn; ends
    "isolate/measuring/recording.py": (
        "400 becomes", "100.0 becomes", "<= SHORTEST_FILE", ">= longest", "<= long_enough",
        "course >= bottom", "course <= top", "b - a > 3", "one[0] > 3", "<= lowest + 6.0", "<= nothing",
        "peak >= 0.9998", "signed > 0.9998",
        ">= 200.0", ">= total.max()", ">= _CLIFF_DB", "<= below - _CLIFF",
        "<= SILENT_POWER", ">= UPPER", "<= 4.0", ">= _GRADUAL", "course >= max", "lowest >= loud",
        "cell + edges", "len(level) + 4", "np.ones(FRAMES_A_SECOND) *", "line 238: ",
    ),
    # what filters ring before a bang tells no time, nor two steps of it more
    "isolate/measuring/decay.py": ("_LEAD / wav", "step + 2"),
    # of names the leak is the first
    "isolate/measuring/fit.py": ("<= best.chi2", "1 - names.index('leak')"),
    "isolate/measuring/model.py": ("len(_TIMES) + 2", "x) + 1"),  # one cell on in a smooth table
    # what bands do not share moves no rating of 16; chance is as likely up as down
    "isolate/measuring/measured.py": ("1.0 + COMMON", "common - own", "curve_db - result.u_db *"),
    "isolate/measuring/shape.py": ("frequency < _END", "> start / 4.0"),  # one band of many
    # noise 280 dB down, of either sign; when a silence has died away
    "isolate/measuring/bank.py": ("1024 becomes", "1e-10 becomes", "_whisper()", "default_rng(0)"),
    # noise is noise, and one of its lines is one of thousands; a sweep may begin in any phase
    "isolate/measuring/test_signal.py": (
        "61260 becomes", "_SEED - ", "1 - number", "f < HIGHEST", "f > LOWEST", "shape / np.exp",
        "SWEEP) + 1.0",
    ),
    # when a room has filled; what changes within a step has no mean; which memories are tried;
    # how soft pauses are heard moves no strength by a tenth of it
    "isolate/measuring/recorder.py": (
        "6 becomes 7", "windows + windows.mean", "- 1e-09", "<= _HARDLY_DB", "strength <= 0.0",
        ">= _CLEAR", ">= max(STRENGTH", "alike > ALIKE", "<= 5.0", "5.0 becomes",
        "steps.start + 1", "end > 2", "sum()) + decibels", "line 33: ", "line 34: ",
    ),
    # ends; the liveliest of one channel is that one
    "isolate/measuring/survey.py": (
        "<= SILENT_POWER", "channels >= 1", "<= _BREATHES_DB", "<= 0.8", "<= _LOUD_EVENT_DB",
        "<= 8 * second", "<= 3 * second", ">= usual / 2.0",
    ),
    # a usual budget; how far a curtain hangs and how open it is, by common practice
    "isolate/remedies/popular.py": (
        "GAP + CLOTH", "600.0 becomes", "0.1 becomes", "0.05 becomes", "> HEAVY", "<= -0.5", "1300.0 becomes",
        "1390.0 becomes",
    ),
    "isolate/measuring/checks.py": (
        "still <= 0.02", ">= NEIGHBOURS_DB", ">= _RULED_DB", "- _HOLE_DB becomes level <= ", "<= 10.0",
        "<= 0.002", "<= _RAGGED",
    ),
    "isolate/remedies/inner/building.py": tuple(f"line {i}: " for i in range(29, 36)),  # hours of work
    "isolate/remedies/effect.py": ("1.3e-09", ">= 1e-09"),
    "isolate/standards/criteria.py": ("1000.0 becomes",),
    "isolate/standards/hearing.py": (
        "13 becomes 16", "300.0 becomes", "line 58: ", "1e-60 becomes", "THIRD_OCTAVES <= 500.0",
        "500.0 becomes 650.0", "_SHARES <= 0.0", "_SHARES >= 0.0",
    ),
    "isolate/physics/absorption.py": ("5 becomes 6", "48 becomes", "across.imag > 0", "< 0.5 becomes"),
    "isolate/physics/air_noise.py": ("50.0 becomes", "25 becomes", "15.0 becomes"),
    "isolate/physics/annex_b.py": (
        "f11 < fc", "<= fc", "> fc * HALF", "f <= f11", "large >= corner", "line 32: ",
    ),
    "isolate/physics/finite_sample.py": ("16 becomes", ">= a", ">= b", "<= np.hypot", "doubled < long"),
    "isolate/physics/flanking_defaults.py": ("10.0 becomes 13", "12.0 becomes 15"),
    "isolate/physics/inner_shell.py": (
        "1000000.0 becomes", "2000.0 becomes", "0.5 becomes", "0.1 becomes", "<= HEAVY_DENSITY",
    ),
    "isolate/physics/reverberation.py": ("line 23: ", "line 24: ", "line 25: ", "mean >= 0"),
    "isolate/physics/bonded.py": ("i < last becomes i <= last", "<= skins"),
    "isolate/physics/cavity.py": ("1.3e-06",),
    "isolate/physics/floating.py": ("law >= 0",),
    "isolate/physics/floors.py": ("0.01 becomes 0.013", "<= CARRIED", "> SHALLOWEST", "< near.min()"),
    "isolate/physics/buildings.py": (">= most_db()",),
    "isolate/physics/ducts.py": ("0.004936 becomes",),  # 0.04 dB of a lining of 75 mm, a foot long
    "isolate/physics/openings.py": ("kc.imag >= 0.0",),
    "isolate/physics/framed.py": (
        "0.015 becomes", "0.2 becomes", "12 becomes 15", "48 becomes 62", "1.3e-06",
    ),
    "isolate/physics/bridges.py": ("start > even", "1.0 becomes 2.3", "finer >= 1", "1 becomes 2"),
    "isolate/physics/framing.py": (
        "1.3e-06", "24 becomes", "80 becomes", "160 becomes", "0.03 becomes", "6 becomes 7", "4 becomes 5",
        "f <= min", "width >= WIDE",
    ),
    "isolate/physics/glazing.py": (
        "16 becomes 20", "20.0 becomes 26", "1.5 becomes", "6 becomes 7", "500 becomes",
        "line 215: 1 becomes 2",
    ),
    "isolate/physics/interlayer.py": ("300000.0 becomes", "0.015 becomes", "off(foils) < ROUNDED"),
    "isolate/physics/lattice.py": (
        "8 becomes 10", "5 becomes 6", "1000 becomes", "100000.0 becomes", "1.5 becomes", "NODES becomes",
        "low == high becomes", "leaf2 != leaf1", "m2 is not m1", "f[-1] / SPEED becomes", "slow * f[-1]",
        "2 / np.pi",
        "n * span", "m * cell", "kx - waves.n", "ky - waves.m", "None] - ky", "leaving >= 0.0", "trace <= k",
        "1 becomes 2",
    ),
    "isolate/physics/knots.py": ("f.size < 2", "high * low"),
    "isolate/physics/layers.py": ("1.3e-20", "GRAZING", "x > 0"),
    "isolate/physics/leaves.py": ("1.0 becomes 2.3",),
    "isolate/physics/links.py": ("0.02 becomes 0.026", "line 43: 0.01 becomes"),
    "isolate/physics/masonry.py": ("1e-30 becomes",),
    "isolate/physics/nets.py": (
        "30 becomes 39", "0.0001 becomes", "430429003 becomes", "13 becomes 16", " / 10.0 ** ",
        "] * mean becomes",
        "1 + GRAZING", "size <= MOST", "PARTS + 1", "1 becomes 2",
    ),
    "isolate/physics/porous.py": ("k.imag >= 0",),
    "isolate/physics/second_window.py": ("16 becomes 20",),
    "isolate/physics/transmission.py": (
        "12 becomes 15", "8 becomes 10", "7 becomes 9", "6 becomes 7", "1e-30 becomes",
    ),
    "isolate/physics/windows.py": ("12 becomes 15", "1.0 becomes 2.3", "share <= 1.0", "runs) >= 1"),
    "isolate/remedies/second_window/choice.py": (
        "1.3e-06", "< deepest(asked) + 1e-06", "<= max(NEARLY_DB", "< max_gap + 1e-06", "<= HELD_MM",
        "<= least - STEP_DB", "at >= len(rows)", "< score.min() + STEP_DB",
    ),
    "isolate/remedies/judgement/target.py": ("100.0 becomes 130", "spoils.missed >= 0.0"),
    "isolate/remedies/judgement/otherwise.py": ("much >= 0.0",),
    "isolate/remedies/judgement/stage.py": ("] < 0.0", "max(-1) < 0.0"),
    "isolate/remedies/combined.py": ("/ np.ones",),
    "isolate/remedies/playing.py": ("/ WITHIN",),  # the same on both sides of its middle
    "isolate/remedies/judgement/choice.py": (
        "1.3e-06", "1.3e-09", "4096 becomes 5324", "12 becomes 15", "left < MET", "> found[-1].left - MET",
        "(before) >= 0.0", "(after) >= 0.0", "<= UNNOTICED_DB", ">= MOST_ORDERED", "< column.min() + 0.1",
        "< least + 0.1", "] < 0.0", ".sum(0) < most",
    ),
    "isolate/remedies/judgement/judgement.py": (
        ": plan.left - 1e-06 becomes",
        "0.5 becomes 0.65", "20.0 becomes 26", "STRUCTURE becomes", "best[1] > wanted", "likely >= best[1]",
        ">= asked.max_thickness + 1e-09", "1.3e-09", "1.3e-06", "> wanted", "< most + 1e-09",
        "one.cost <= cost", "<= plan.left - 1e-06", "<= self.plan.left - 1e-06",
        "much >= 0.0", "(PRESENT) >= 0.0", "<= NEVER", "-drop > enough",
    ),
}  # fmt: skip
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
