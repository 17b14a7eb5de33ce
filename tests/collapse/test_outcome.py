"""What is said of a path: set, offsets, limit, elongation, place and kind, by hand-made paths."""

import json
from dataclasses import replace
from math import log1p

import numpy as np
import pytest

from fea.stability.criteria import LOCAL_BUCKLING, YIELD
from loadcases.path_control import PathControl
from studies.assessment.run_cautions import case_remarks
from studies.collapse.agreement import agreement_of
from studies.collapse.outcome import outcome_of
from studies.collapse.record import collapse_record
from studies.collapse.requested_paths import knock_downs
from studies.collapse.text import agreement_in_words, sentences
from support.paths import (
    UNIT_N,
    UP,
    case_with,
    path_of,
    reading,
    record,
    short_run,
    usual,
)


def test_set_after_the_load_is_what_stays_at_no_load() -> None:
    """The step at the end of the fall, at the load's place along its force."""
    (level,) = record(usual()).unloadings
    assert (level.load_factor, level.load_n, level.reached) == (1.0, UNIT_N, True)
    assert level.deflection_mm == 0.26
    assert level.permanent_set_mm == pytest.approx(0.01)
    assert record(usual()).permanent_set_mm == pytest.approx(0.01)


def test_a_set_beyond_the_standards_limit_is_said() -> None:
    """Beside the load of the test, and nowhere else."""
    path = path_of(usual(), PathControl(2.0, (1.0, 1.6)))
    run, case = case_with(path)
    found = outcome_of(run.study.bar, case, path)
    assert found is not None
    for allowed, more in ((0.005, ": exceeded."), (0.02, ".")):
        own, other = list(sentences(path, found, None, allowed, None))[:2]
        assert own.endswith(f"permanent set 0.01 mm; the test allows {allowed:g} mm{more}")
        assert "allows" not in other


def test_a_bar_that_has_not_yielded_springs_back_whole() -> None:
    """Its fall is not walked, for it ends where it began."""
    found = record([reading(0.5, 0.13, part=UP), reading(1.0, 0.26, part=UP), reading(4.0, 1.04)])
    assert found.permanent_set_mm == 0.0
    assert any("elastic, no permanent set" in line for line in found.text)
    assert (found.place, found.kind, found.assessment) == (None, None, None)
    assert found.yield_load_n is None


def test_a_level_that_is_not_carried_has_no_set() -> None:
    """The load falls before it is reached."""
    found = record(usual(), PathControl(2.0, (1.0, 1.8)))
    missing = found.unloadings[1]
    assert (missing.reached, missing.permanent_set_mm, missing.deflection_mm) == (False, None, None)
    assert any("720 N: not reached" in line for line in found.text)


def test_a_path_that_broke_off_before_the_load_was_gone_knows_no_set() -> None:
    """It says so, keeps what it has, and is not complete."""
    found = record(usual()[:3], terminated="no step of 0.002 mm succeeds")
    assert found.permanent_set_mm is None
    assert not found.complete
    assert "Terminated at 0.3 mm after 3 steps: no step of 0.002 mm succeeds." in found.ended
    assert "terminated early" in found.cautions[0]


def test_first_yield_and_offsets_by_hand() -> None:
    """Between two steps of the envelope the load is straight here, and the strain a cubic."""
    found = record(usual())
    # 0.2 % between 0.1 % at 0.26 mm and 0.3 % at 0.35 mm, with weighted harmonic means as slopes
    assert found.yield_load_deflection_mm is not None
    assert found.yield_load_factor is not None
    share = (found.yield_load_deflection_mm - 0.26) / 0.09
    slopes = (
        0.45 / (0.24 / 0.1 * 0.06 + 0.21 / 0.2 * 0.09),
        1.32 / (0.79 / 0.2 * 0.09 + 0.53 / 1.7 * 0.35),
    )
    assert cubic(share, 0.09, (0.1, 0.3), slopes) == pytest.approx(0.2, rel=1e-3)
    assert found.yield_load_factor == pytest.approx(1 + 0.2 * share)
    assert found.yield_load_n == pytest.approx(400 * found.yield_load_factor)
    first, millimetre = found.offsets
    case = short_run().cases[0]
    modulus = short_run().study.bar.spec.material.youngs_modulus_mpa
    shift = 0.25 * 0.002 * modulus / case.beam.rigid_bends.peak_stress_mpa
    assert first.shift_mm == pytest.approx(shift)
    assert millimetre.shift_mm == 1.0
    # line of slope 4/mm from 1 mm: meets the curve between 1.3 mm (1.2 on the line) and 2.0
    share = (1.55 - 1.2) / ((1.55 - 1.2) + (4.0 - 1.2))
    assert millimetre.load_factor == pytest.approx(1.55 + share * (1.2 - 1.55))
    assert found.offset_n == first.load_n


def test_the_limit_counts_where_it_comes_before_the_elongation() -> None:
    """Top of the cubic by the slopes of the steps; place and kind of the highest step."""
    steps = usual()
    for number, slope in ((7, 0.5), (8, 0.1), (9, -0.4)):
        steps[number] = replace(steps[number], slope=slope)
    found = record(steps)
    assert found.limit_load_factor is not None
    share = np.linspace(0, 1, 1001)
    loads = [cubic(one, 0.3, (1.6, 1.55), (0.1, -0.4)) for one in share]
    assert found.limit_load_factor == pytest.approx(max(loads), rel=1e-4)
    assert found.limit_load_factor > 1.602
    assert found.limit_load_n == pytest.approx(UNIT_N * found.limit_load_factor)
    at = 1.0 + 0.3 * share[np.argmax(loads)]
    assert found.limit_load_deflection_mm == pytest.approx(at, abs=0.01)
    assert (found.max_load_n, found.max_load_deflection_mm) == (
        found.limit_load_n,
        found.limit_load_deflection_mm,
    )
    assert (found.reported_step, found.kind) == (8, "wrinkle")
    assert found.place is not None
    assert (found.place.s_mm, found.place.theta_deg, found.place.surface) == (24.0, 180.0, "inner")
    assert found.strain.averaged == 0.04
    assert found.strain.elongation == pytest.approx(log1p(0.10))
    (said,) = [line for line in found.text if line.startswith("Collapse")]
    assert said.startswith("Collapse: limit load 64")
    assert " N at 1.0 mm, then wrinkle (local fold of the wall): right 24 mm" in said


def cubic(
    share: float, length: float, ends: tuple[float, float], slopes: tuple[float, float]
) -> float:
    """Return the value at a share of a step, by values and slopes at its ends."""
    square, cube = share**2, share**3
    return (
        (2 * cube - 3 * square + 1) * ends[0]
        + (cube - 2 * square + share) * length * slopes[0]
        + (3 * square - 2 * cube) * ends[1]
        + (cube - square) * length * slopes[1]
    )


def test_a_limit_beyond_the_elongation_is_none() -> None:
    """Then load and deflection at which the elongation is used up are told instead."""
    steps = usual()
    steps[6:] = [reading(1.5, 0.7, 0.05), reading(1.6, 1.0, 0.15), reading(1.5, 1.3, 0.3)]
    found = record(steps)
    assert found.limit_load_n is None
    assert found.max_load_factor == 1.6
    assert found.strain_limit_load_deflection_mm is not None
    share = (found.strain_limit_load_deflection_mm - 0.7) / 0.3
    slopes = 1.95 / (0.95 / 0.047 * 0.35 + 1.0 / 0.10 * 0.3), 1.8 / (0.9 / 0.10 + 0.9 / 0.15) / 0.3
    assert cubic(share, 0.3, (0.05, 0.15), slopes) == pytest.approx(log1p(0.10), rel=1e-3)
    assert found.strain_limit_load_factor == pytest.approx(1.5 + share * 0.1)
    assert found.reported_step == 7
    assert any("Collapse: strain limit (elongation) at" in one for one in found.text)


def test_yield_past_the_largest_load_is_said_to_be() -> None:
    """As of a column that bows out before it yields."""
    steps = [replace(one, strain=replace(one.strain, value=0.0)) for one in usual()]
    steps[-1] = usual()[-1]
    found = record(steps)
    assert found.limit_load_n is not None
    assert any("reached only after the limit load" in line for line in found.text)


def test_a_path_that_still_rises_says_how_far_it_went() -> None:
    """Neither a limit nor the elongation."""
    found = record(usual()[:8])
    assert (found.limit_load_n, found.strain_limit_load_n) == (None, None)
    assert any("no limit load up to 1.0 mm, where the load is 640 N" in line for line in found.text)


def test_work_is_that_up_to_the_step_told() -> None:
    """Trapezia of the load over the deflection, unloading taken off."""
    found = record(usual())
    steps = [(0.0, 0.0), *((one.factor, one.deflection) for one in usual()[:8])]
    factor, moved = np.array(steps).T
    wanted = UNIT_N * float(np.sum((factor[1:] + factor[:-1]) / 2 * np.diff(moved)))
    assert found.absorbed_energy_nmm == pytest.approx(wanted)


def test_the_assessment_is_set_beside_the_place_and_the_load() -> None:
    """It names the pressed side at the clamp's edge, not the middle of the arm, nor its top."""
    run, case = case_with(path_of(usual()))
    told = usual()[7].strain
    near = agreement_of(run, case, "wrinkle", told)
    assert near.named
    assert near.limit == LOCAL_BUCKLING
    assert near.factor == case.stability.wrinkling_factor
    far = agreement_of(run, case, "wrinkle", replace(told, s_mm=80.0))
    assert not far.named
    assert not agreement_of(run, case, "wrinkle", replace(told, theta_rad=0.0)).named
    assert agreement_of(run, case, "neck", told).limit == YIELD
    hinge = agreement_of(run, case, "plastic hinge", told)
    # a hinge speaks of bending, which is yield: its load is set beside the path's first yield
    outcome = outcome_of(run.study.bar, case, path_of(usual()))
    assert outcome is not None
    assert outcome.yield_load
    assert outcome.yield_load.factor == pytest.approx(1.1109, abs=1e-4)
    yields = (hinge.factor or 0.0) / outcome.yield_load.factor - 1
    said = agreement_in_words(path_of(usual()), outcome, hinge)
    assert f"unconservative by {100 * yields:.0f} %" in said
    found = record(usual())
    assert found.assessment is not None
    assert "at this place" in found.assessment.text
    ratio = (near.factor or 0.0) / (found.limit_load_factor or 1.0)
    assert f"conservative by {100 * abs(ratio - 1):.0f} %" in found.assessment.text


def test_a_case_without_a_path_or_without_a_step_has_no_record() -> None:
    """Null in results.json."""
    run = short_run()
    assert collapse_record(run, run.cases[0]) is None
    assert collapse_record(*case_with(path_of([], terminated="nothing holds it"))) is None


def test_moments_are_told_in_newton_metres_and_degrees() -> None:
    """Their newtons and millimetres are null."""
    path = replace(path_of(usual()), by_moments=True, unit=40_000.0)
    found = collapse_record(*case_with(path))
    assert found is not None
    assert (found.limit_load_n, found.yield_load_n, found.curve.load_n, found.displacement_mm) == (
        None,
    ) * 4
    assert found.curve.moment_nmm == [40_000.0 * one.factor for one in usual()]
    assert found.limit_load_rotation_deg == pytest.approx(np.degrees(1.0))
    assert found.unloadings[0].permanent_set_deg == pytest.approx(np.degrees(0.01))
    assert any("limit load 64 N·m at" in line for line in found.text)
    told = outcome_of(short_run().study.bar, short_run().cases[0], path)
    assert told is not None
    assert told.offsets[1:] == ()


def test_every_effect_that_is_left_out_is_named() -> None:
    """With each path, and never a promise."""
    found = record(usual())
    told = " ".join(found.cautions)
    assert found.text[-1].startswith("Accuracy: ")
    assert "Flow curve (computed from sourced values)" in found.text[-1]
    for effect in (
        "residual stress",
        "welds",
        "knurling",
        "cable holes",
        "strain rate",
        "fracture",
    ):
        assert effect in told
    assert "safe" not in json.dumps(found.model_dump())


def test_the_linear_caution_says_whether_a_path_stands_beside() -> None:
    """With one it points to it; without one to the command."""
    run, case = case_with(path_of(usual()))
    assert any("reported separately" in line for _, line in case_remarks(run, case))
    without = case_remarks(run, run.cases[1])
    assert any("see `barwright collapse`" in line for _, line in without)


def test_a_knock_down_is_measured_on_one_mesh() -> None:
    """Against the perfect wall there, not the reported path, which has another mesh."""
    push = PathControl(2.0, knock_down_percent=(20.0, -5.0))
    lesser = knock_downs(push)
    assert [one.imperfection_percent for one in lesser] == [-5.0, 0.0, 20.0]
    assert all(one.rippled and one.unload_at == () for one in lesser)
    assert knock_downs(PathControl(2.0)) == ()
    lower = [
        path_of(
            [reading(scale * one.factor, one.deflection, one.strain.value) for one in usual()],
            given,
        )
        for scale, given in zip((0.81, 0.9, 0.5), lesser, strict=True)
    ]
    path = replace(path_of(usual(), push), knock_down_paths=tuple(lower))
    found = collapse_record(*case_with(path))
    assert found is not None
    assert [one.of_perfect for one in found.knock_down] == pytest.approx([0.9, 1.0, 5 / 9])
    (line,) = [line for line in found.text if line.startswith("Limit load by amplitude")]
    assert "; 0 %: 57" in line
    assert "ripples" in line
