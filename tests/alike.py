"""What breaks of `mutants` nothing can notice, and why. Not part of the suite."""

from __future__ import annotations

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
    "isolate/room/prediction.py": ("line 34: ",),  # of a background, by common practice
    "isolate/room/model_error.py": ("bands_hz > low_hz", "bands_hz <= high_hz"),
    # how much is remembered; 120 dB down; common practice: how sure gaps and vents are, what lobbies absorb
    "isolate/room/elements.py": (
        "most / PANES", "40 becomes", "1e-12 becomes", "line 34: ", "line 41: ", "<= SPEED",
    ),
    "isolate/room/impact.py": ("<= SMALL_ROOM", "THIRD_OCTAVES <= ", "line 27: "),  # ends; feet on joists
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
    "isolate/remedies/inner/shell.py": ("4.0 becomes", "5.0 becomes", "1e-15 becomes", "LEAST / side.area"),
    "isolate/remedies/inner/house.py": ("3.3 becomes", ">= heaviest.area"),
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
    "isolate/measuring/model.py": (  # one cell on in a smooth table; ends; grids; a share by judgement
        "len(_TIMES) + 2", "x) + 1", "slope <= 0", "<= max(SLOPE_DB", "> SHIFT_DB", "<= SHIFT_DB",
        "<= 1.645 *", ">= max(DIP_DB", "<= 0.75", "<= SHORTEST", "fit.shift_db >= 0", ">= _COUNTS",
        "0.25 becomes", "line 40: ", "line 29: ",
    ),
    # what bands do not share moves no rating of 16; chance is as likely up as down
    "isolate/measuring/measured.py": ("1.0 + COMMON", "common - own", "curve_db - result.u_db *"),
    "isolate/measuring/shape.py": ("frequency < _END", "> start / 4.0"),  # one band of many
    # noise 280 dB down, of either sign; when a silence has died away; a rate nobody records at; more samples
    # than were said, frames shorter than a step
    "isolate/measuring/bank.py": (
        "1024 becomes", "1e-10 becomes", "_whisper()", "default_rng(0)", "<= _DOUBLE_BELOW",
        "<= self.energy.shape", "np.diff(starts) >= 0",
    ),
    "isolate/measuring/request.py": ("WIDTH >= 20.0", "np.ptp(difference) >= 6.0"),
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
    # a usual budget; how far a curtain hangs and how open it is, by common practice; an area that cancels
    "isolate/remedies/popular.py": (
        "GAP + CLOTH", "600.0 becomes", "0.1 becomes", "0.05 becomes", "> HEAVY", "<= -0.5", "1300.0 becomes",
        "1390.0 becomes", "> 1.0 becomes words.leaf_mass(layer) >=", "own * found.side.area",
        "< 1.0 becomes words.leaf_mass(layer) <=",
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
    # cloth, felt and sizes of boards as sold, by common practice
    "isolate/physics/absorbers.py": tuple(f"line {i}: " for i in range(13, 18)),
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
    "isolate/physics/cavity.py": ("1.3e-06", ">= 1e-06"),
    "isolate/physics/finite.py": ("cosine > limit",),
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
        "<= border", "/ np.ones(f.size)", "line 247: ", "off <= 0", "[:, None] - 0.5",
        "100000 becomes",
    ),
    "isolate/physics/interlayer.py": (
        "300000.0 becomes", "0.015 becomes", "off(foils) < ROUNDED", "glass > 2.0",
    ),
    "isolate/physics/lattice.py": (
        "8 becomes 10", "5 becomes 6", "1000 becomes", "100000.0 becomes", "1.5 becomes", "NODES becomes",
        "low == high becomes", "leaf2 != leaf1", "m2 is not m1", "f[-1] / SPEED becomes", "slow * f[-1]",
        "2 / np.pi",
        "n * span", "m * cell", "kx - waves.n", "ky - waves.m", "None] - ky", "leaving >= 0.0", "trace <= k",
        "1 becomes 2",
    ),
    # where points of a box lie in no order, how sure and how many at once, by finer grids; ends
    "isolate/physics/cubature.py": (
        "27 becomes", "0.04 becomes", "0.05 becomes", "250 becomes", "1.3e-60", "line 34: ", "line 42: ",
        "+ MIDDLE becomes", "- MIDDLE becomes", "POINTS ** 2 - 1 becomes", "line 32: 1 becomes", "- ROW *",
        "+ first //", "THIRDS - ", "4 becomes 5", ">= 1", "<= MOST", ">= least", "x * wide", "y * high",
        "/ SHIFTS", "f.size + 1e-09", "1 + 0.0001",
    ),
    "isolate/physics/knots.py": ("f.size < 2", "high * low"),
    "isolate/physics/layers.py": ("1.3e-20", "GRAZING", "x > 0"),
    "isolate/physics/leaves.py": ("1.0 becomes 2.3",),
    "isolate/physics/links.py": ("0.02 becomes 0.026", "line 43: 0.01 becomes", "one <= other"),
    "isolate/physics/masonry.py": ("1e-30 becomes",),
    "isolate/physics/nets.py": (
        "30 becomes 39", "0.0001 becomes", "430429003 becomes", "13 becomes 16", " / 10.0 ** ",
        "] * mean becomes",
        "1 + GRAZING", "size <= MOST", "PARTS + 1", "1 becomes 2",
    ),
    "isolate/physics/pane_edges.py": ("/ np.ones_like",),
    "isolate/physics/paths.py": ("weighted + weighted.max",),  # what keeps powers in their range
    "isolate/physics/porous.py": ("k.imag >= 0",),
    # ends; how long is looked, from where, how near; over how many bands neighbours go together
    "isolate/physics/rated.py": (
        "<= cost", "<= _NEAR", "single_limit <= shift", "cost + tried", "- 1e-06 *", "80 becomes",
        "0.0001 becomes",
        "0.02 becomes", "0.2 becomes", "0.8 becomes", "0.3 becomes", "2.0 becomes",
    ),
    # a range of no width; what weighs too little, by judgement
    "isolate/physics/responses.py": ("stated.low <= stated.high", "mass > LIGHT", "0.1 becomes"),
    "isolate/physics/spread.py": (">= 1.7",),
    "isolate/physics/ribbed.py": ("across - shift *",),  # both ways from the wave
    "isolate/physics/second_window.py": ("16 becomes 20",),
    # an end, a grid; joists and doors as usual
    "isolate/physics/stack.py": (
        "depth > SHALLOWEST", "8 becomes 10", "line 38: ", "0.9 becomes", "2.1 becomes",
    ),
    "isolate/physics/studs.py": ("x > 0", "along - 2 * np.pi / apart"),  # ends; waves both ways
    "isolate/physics/transmission.py": (
        "12 becomes 15", "8 becomes 10", "7 becomes 9", "6 becomes 7", "1e-30 becomes",
    ),
    "isolate/physics/windows.py": ("12 becomes 15", "1.0 becomes 2.3", "share <= 1.0", "runs) >= 1"),
    "isolate/remedies/second_window/choice.py": (
        "1.3e-06", "< deepest(asked) + 1e-06", "<= max(NEARLY_DB", "< max_gap + 1e-06", "<= HELD_MM",
        "<= least - STEP_DB", "at >= len(rows)", "len(rows) + 1", "< score.min() + STEP_DB",
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
