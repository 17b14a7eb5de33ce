"""The band of a path: inputs at the ends of their intervals, and what these leave of figures."""

from dataclasses import replace
from math import hypot
from pathlib import Path

import numpy as np
import pytest

from fea.collapse.flow_curve import points
from fea.collapse.material_curve import flow_curve_of
from fea.collapse.path_run import PathRun
from geometry.grading import LEVELS
from loadcases.uncertainty import Uncertainty, Variation
from studies.collapse.band import band_of
from studies.collapse.outcome import outcome_of
from studies.collapse.path_analysis import TraceOptions, trace_paths
from studies.collapse.requested_paths import requested_path_controls
from studies.collapse.variations import stiffer, stronger, variations_of, varied_study
from studies.records.band import BandRecord
from studies.study_file.errors import StudyError
from studies.study_file.study import Study, read_study
from support.drawn_paths import path_of, walked_run
from support.pages import short_bar
from support.quick_commands import CRUDE

WALL = Variation("wall", 1.05, "a")
PROOF = Variation("proof stress", 1.1, "b")
SOFT, HARD = (Variation("clamp stiffness", one, "c") for one in (1 / 3, 3.0))


def scaled(path: PathRun, times: float) -> PathRun:
    """Return a path with all loads multiplied, its unloadings with them."""
    steps = (
        replace(one, reading=replace(one.reading, factor=times * one.reading.factor))
        for one in path.steps
    )
    return replace(path, steps=tuple(steps))


def banded(folder: Path, *varied: tuple[Variation, float]) -> BandRecord:
    """Return the band of the drawn path, with the loads of each variation multiplied."""
    run = walked_run(folder)
    case = run.cases[0]
    assert case.path
    path = replace(
        case.path, varied_paths=tuple((one, scaled(case.path, by)) for one, by in varied)
    )
    found = outcome_of(run.study.bar, case, path)
    assert found
    band = band_of(run.study.bar, case, path, found)
    assert band
    return band


def test_squares_add_up_and_a_clamp_has_two_sides(tmp_path: Path) -> None:
    """A tenth from the proof stress, 3 % from the wall; the clamp 8 % down, 2 % up."""
    band = banded(tmp_path, (WALL, 1.03), (PROOF, 1.1), (SOFT, 0.92), (HARD, 1.02))
    low, high = hypot(0.03, 0.1, 0.08), hypot(0.03, 0.1, 0.02)
    load = np.array(band.load_n)
    assert band.low_n == pytest.approx(load * (1 - low))
    assert band.high_n == pytest.approx(load * (1 + high))
    figures = {one.key: one for one in band.figures}
    assert {"stiffness", "limit_load", "max_load"} <= set(figures)
    for key in ("stiffness", "limit_load"):
        one = figures[key]
        assert one.low == pytest.approx(one.value * (1 - low))
        assert one.high == pytest.approx(one.value * (1 + high))
        assert one.terms["clamp stiffness"] == pytest.approx((0.08 * one.value, 0.02 * one.value))
    assert figures["limit_load"].value == pytest.approx(1.6 * 400)


def test_a_figure_that_one_path_lacks_has_no_band(tmp_path: Path) -> None:
    """And the curve ends where the shortest ends."""
    run = walked_run(tmp_path)
    case = run.cases[0]
    assert case.path
    short = path_of(run.study, 7)
    path = replace(case.path, varied_paths=((WALL, short),))
    found = outcome_of(run.study.bar, case, path)
    assert found
    band = band_of(run.study.bar, case, path, found)
    assert band
    assert "limit_load" not in {one.key for one in band.figures}
    assert "max_load" in {one.key for one in band.figures}
    assert 2.8 < band.deflection_mm[-1] <= 3.0


def given(folder: Path, more: str) -> Study:
    """Return the short bar with more in its file."""
    return read_study(short_bar(folder, "pier", 1.2, more))


def test_what_is_not_given_is_from_memory(tmp_path: Path) -> None:
    """A weighed bar's wall is known as its mass gives it; nothing is varied that is exact."""
    plain = given(tmp_path, "")
    assert [(one.input, one.evidence) for one in variations_of(plain)] == [
        ("wall", "from memory"),
        ("proof stress", "from memory"),
        ("modulus", "from memory"),
        ("clamp stiffness", "from memory"),
        ("clamp stiffness", "from memory"),
    ]
    weighed = given(tmp_path, '[specimen]\nid = "P-1"\nmass_g = 60.6\n')
    wall = variations_of(weighed)[0]
    assert wall.evidence == "mass of the specimen"
    own = given(tmp_path, "[uncertainty]\nwall_percent = 3\nmodulus_percent = 0\n")
    found = {one.input: (one.factor, one.evidence) for one in variations_of(own)}
    assert found["wall"] == (1.03, "given by the study")
    assert "modulus" not in found
    with pytest.raises(StudyError, match="wall_percent"):
        given(tmp_path, "[uncertainty]\nwall_percent = 50\n")


@pytest.mark.parametrize("factor", [0.9, 1.1])
@pytest.mark.parametrize("points_given", [(), ((0.004, 276.0), (0.02, 300.0), (0.08, 330.0))])
def test_plastic_strain_stays(
    tmp_path: Path, factor: float, points_given: tuple[tuple[float, float], ...]
) -> None:
    """At stresses that go with the proof stress, or under another modulus at the same ones."""
    metal = replace(given(tmp_path, "").bar.spec.material, stress_strain=points_given, curve="true")
    strain, stress = points(flow_curve_of(metal), 50)
    for other, times in ((stronger(metal, factor), factor), (stiffer(metal, factor), 1.0)):
        plastic, at = points(flow_curve_of(other), 400)
        inside = strain < 0.07
        found = np.interp(strain[inside], plastic, at)
        assert found == pytest.approx(times * stress[inside], rel=1e-3)


@pytest.mark.parametrize("factor", [0.9, 1.1])
def test_the_slope_of_a_bilinear_metal_goes_along(tmp_path: Path, factor: float) -> None:
    """Stress over plastic strain is multiplied with the proof stress, and kept with the modulus."""
    plain = given(tmp_path, "").bar.spec.material
    metal = replace(plain, tangent_modulus_mpa=2000.0)
    own = 1 / (1 / 2000.0 - 1 / metal.youngs_modulus_mpa)
    for other, wanted in ((stronger(metal, factor), factor * own), (stiffer(metal, factor), own)):
        assert other.tangent_modulus_mpa
        found = 1 / (1 / other.tangent_modulus_mpa - 1 / other.youngs_modulus_mpa)
        assert found == pytest.approx(wanted)
    assert stronger(plain, factor).tangent_modulus_mpa is None


@pytest.mark.slow
def test_loads_go_with_all_stiffnesses_and_strengths(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By dimensions: modulus, stresses and clamp 7 % higher, every load of the path 7 % higher.

    Within 0.1 %: steps end at other loads, between which a curve is interpolated.
    """
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)
    study = given(tmp_path, "")
    control = requested_path_controls(study, ["push"], 5.0)
    own = trace_paths(study, control, tmp_path / "a", TraceOptions())["push"]
    raised = study
    for name in ("modulus", "proof stress", "clamp stiffness"):
        raised = varied_study(raised, Variation(name, 1.07, ""))
    other = trace_paths(raised, control, tmp_path / "b", TraceOptions())["push"]
    loads, others = ([(one.deflection, one.factor) for one in run.readings] for run in (own, other))
    x, y = np.array(loads).T
    assert np.interp(x, *np.array(others).T) == pytest.approx(1.07 * y, rel=3e-3)


@pytest.mark.slow
def test_a_band_is_traced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a rigid clamp stiffness goes with modulus and wall, the largest load with the strength."""
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)
    study = given(tmp_path, "")
    rigid = replace(study, clamp=replace(study.clamp, model="rigid"), uncertainty=Uncertainty())
    control = requested_path_controls(rigid, ["push"], 5.0)
    path = trace_paths(rigid, control, tmp_path / "a", TraceOptions(band=True))["push"]
    assert [one.input for one, _ in path.varied_paths] == ["wall", "proof stress", "modulus"]
    (tmp_path / "b").mkdir()
    walked = walked_run(tmp_path / "b")
    case = replace(walked.cases[0], path=path)
    found = outcome_of(study.bar, case, path)
    assert found
    band = band_of(study.bar, case, path, found)
    assert band
    figures = {one.key: one for one in band.figures}
    stiffness = figures["stiffness"]
    assert stiffness.terms["modulus"] == pytest.approx((0.02 * stiffness.value,) * 2, rel=0.02)
    assert stiffness.terms["proof stress"][1] < 1e-3 * stiffness.value
    # between the first power of a tube that bends and the third of a wall that does
    assert 0.045 * stiffness.value < stiffness.terms["wall"][1] < 0.16 * stiffness.value
    largest = figures["max_load"]
    assert max(largest.terms, key=lambda name: largest.terms[name]) == "proof stress"
