"""Sensitivities, bands and fronts against what is known of simple functions."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from studies.sweeps.rows import DesignRow, Job
from studies.sweeps.statistics import bands, front, pareto_front, sensitivities
from studies.sweeps.summary import summary_of
from studies.sweeps.sweep import run_sweep, sweep_of
from studies.sweeps.sweep_results import SweepRun, columns, measures_of
from support.random_bars import GEOMETRY
from support.sweeps import WALL, WIDTH, at_once, axis, made_row, plan, short_study, wall_sweep


def swept(folder: Path, axes: list[dict[str, object]], **keys: object) -> SweepRun:
    """Return a sweep whose figures are formulas of the wall."""
    study = short_study(folder)
    sweep = sweep_of(study, [axis(**each) for each in axes], plan(**keys))
    return run_sweep(sweep, folder / "out", at_once(made_row))


def told(run: SweepRun, figure: str, kind: str) -> dict[str, float]:
    """Return the sensitivities of a figure by input."""
    found = sensitivities(run)
    return {s.input: s.value for s in found if s.figure == figure and s.kind == kind}


def test_derivatives_of_a_grid_are_the_exponents(tmp_path: Path) -> None:
    """Power laws have their exponent as normalised derivative, whatever else varies."""
    run = swept(
        tmp_path,
        [{"path": WALL, "values": [1.2, 1.5, 2.0]}, {"path": WIDTH, "values": [36, 40]}],
    )
    kind = "normalised derivative"
    assert told(run, "push/deflection_mm", kind) == pytest.approx({WALL: -1, WIDTH: 0}, abs=1e-9)
    assert told(run, "mass_g", kind)[WALL] == pytest.approx(1)


def test_ranks_see_what_rises_and_what_falls(tmp_path: Path) -> None:
    """A monotone figure has rank correlation of one, an input that does nothing near none."""
    axes: list[dict[str, object]] = [
        {"path": WALL, "uniform": {"from": 1.2, "to": 2}},
        {"path": WIDTH, "uniform": {"from": 36, "to": 40}},
    ]
    run = swept(tmp_path, axes, designs=128)
    found = [s for s in sensitivities(run) if s.kind == "rank correlation"]
    by = {(s.figure, s.input): s for s in found}
    assert by["mass_g", WALL].value == pytest.approx(1)
    assert by["push/deflection_mm", WALL].value == pytest.approx(-1)
    idle = by["mass_g", WIDTH]
    assert idle.low is not None
    assert idle.high is not None
    assert idle.low < 0 < idle.high


def test_sobol_indices_of_a_sum_are_its_shares_of_variance(tmp_path: Path) -> None:
    """Y = 3 a + b with equal variances: 0.9 and 0.1, first-order and total alike."""

    def row(job: Job) -> DesignRow:
        a, b = (float(change.partition("=")[2]) for change in job.changes)
        return made_row(job, deflection_mm=3 * a / 0.8 + b / 4)

    study = short_study(tmp_path)
    axes = [
        axis(WALL, uniform={"from": 1.2, "to": 2}),
        axis(WIDTH, uniform={"from": 36, "to": 40}),
    ]
    sweep = sweep_of(study, axes, plan(designs=256, sobol_indices=True))
    run = run_sweep(sweep, tmp_path / "out", at_once(row))
    for kind in ("first-order index", "total index"):
        assert told(run, "push/deflection_mm", kind) == pytest.approx(
            {WALL: 0.9, WIDTH: 0.1}, abs=0.02
        )
    for one in sensitivities(run):
        if "index" in one.kind:
            assert one.low is not None
            assert one.high is not None
            assert one.low <= one.value + 1e-9
            assert one.value <= one.high + 1e-9


def test_bands_are_quantiles_with_their_reach(tmp_path: Path) -> None:
    """Of a uniform wall the mass has known quantiles, inside the intervals told."""
    run = swept(tmp_path, [{"path": WALL, "uniform": {"from": 1.2, "to": 2}}], designs=200)
    band = next(band for band in bands(run) if band.figure == "mass_g")
    truth = [60 + share * 40 for share in (0.05, 0.5, 0.95)]
    assert band.quantiles == pytest.approx(truth, abs=0.5)
    for value, (low, high) in zip(truth, band.between, strict=True):
        assert low <= value <= high
    assert band.deviation == pytest.approx(40 / 12**0.5, rel=0.02)
    assert band.count == 200


def test_a_grid_has_no_bands(tmp_path: Path) -> None:
    """Values that somebody listed are no tolerances."""
    assert not bands(swept(tmp_path, [{"path": WALL, "values": [1.2, 1.5]}]))


@given(arrays(float, st.tuples(st.integers(1, 30), st.just(3)), elements=st.integers(0, 5)))
@GEOMETRY
def test_a_front_beats_all_others_and_nothing_beats_it(costs: np.ndarray) -> None:
    """By the definition, pair by pair."""
    best = set(front(costs))
    for number, row in enumerate(costs):
        beaten = [(other <= row).all() and (other < row).any() for other in costs]
        assert (number in best) == (not any(beaten))


def test_the_front_of_a_sweep_weighs_mass_stiffness_and_factor(tmp_path: Path) -> None:
    """A design that gains nothing for its mass is not on it; one without figures neither."""

    def row(job: Job) -> DesignRow:
        made = made_row(job)
        if made.bar["mass_g"] == 50 * 1.8:
            return made.model_copy(update={"status": "failed", "bar": {}, "cases": {}})
        if made.bar["mass_g"] == 50 * 2.0:
            return made_row(job, governing_factor=1.0, stiffness_n_per_mm=100.0)
        return made

    sweep = wall_sweep(short_study(tmp_path), 1.2, 1.6, 1.8, 2.0)
    run = run_sweep(sweep, tmp_path / "out", at_once(row))
    assert pareto_front(run) == (0, 1)
    said = summary_of(run)
    assert said.pareto_front == (1, 2)
    assert said.counts == {"computed": 3, "failed": 1}


def test_samples_of_tolerances_have_no_front(tmp_path: Path) -> None:
    """They are one bar as it may come out, and nothing to choose from."""
    axes = [axis(WALL, acts_as="factor", uniform={"from": 0.9, "to": 1.1})]
    sweep = sweep_of(short_study(tmp_path), axes, plan(designs=16))
    run = run_sweep(sweep, tmp_path / "out", at_once(made_row))
    assert pareto_front(run) == ()
    assert summary_of(run).bands


def test_kept_figures_become_columns(tmp_path: Path) -> None:
    """The usual ones and those asked for, each under its case; unknown ones are refused."""
    sweep = wall_sweep(short_study(tmp_path), 1.2, measures=["yield_factor"])
    run = run_sweep(sweep, tmp_path / "out", at_once(made_row))
    keys = [column.key for column in columns(run)]
    assert keys[:4] == ["design", "status", "reason", WALL]
    assert "push/yield_factor" in keys
    assert "push/deflection_mm" in keys
    with pytest.raises(ValueError, match="yield_factor"):
        measures_of(["yeld_factor"])
