"""Dials and strain gauges on a straight tube against beam formulas.

Source: e = M r/(E I) along the tube, -nu of it round it, g = T r/(G J) of which a gauge at 45 deg
reads half, either sign; Timoshenko's cantilever for the dial: textbook, derived. Half way along the
arm, three diameters from clamp and load, where Saint-Venant's principle lets them hold.
"""

from math import pi
from pathlib import Path

import pytest

from geometry.errors import InputError
from loadcases.gauges import Gauge, place_gauges
from studies.assessment.run import StudyRun, run_study
from studies.results.gauge_record import gauge_records
from studies.study_file.study import study_from_table

OD_MM, WALL_MM, END_MM, AT_MM = 25.4, 1.8, 320.0, 160.0
LOAD_AT_MM, FORCE_N, TORQUE_NMM = 300.0, 300.0, 20_000.0
CLOSE = 0.01
"""Recovered stress on the coarse mesh, and the shell's own thickness in the bending strain."""

GAUGES = {
    "top": {"kind": "strain"},
    "under": {"kind": "strain", "theta_deg": 180},
    "side": {"kind": "strain", "theta_deg": 90},
    "round": {"kind": "strain", "angle_deg": 90},
    "bore": {"kind": "strain", "surface": "inner"},
    "long": {"kind": "strain", "length_mm": 60},
    "plus": {"kind": "strain", "theta_deg": 90, "angle_deg": 45},
    "minus": {"kind": "strain", "theta_deg": 90, "angle_deg": -45},
    "dial": {"kind": "dial"},
    "up": {"kind": "dial", "direction": [0, 0, 2]},
    "fore": {"kind": "dial", "direction": [0, 1, 0]},
}


@pytest.fixture(scope="module")
def run() -> StudyRun:
    """Return a tube under an end force, and under a torque."""
    at = {"at_mm": LOAD_AT_MM}
    table = {
        "name": "gauged",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": OD_MM, "wall_mm": WALL_MM}],
            "right": {"points_mm": [[0, 0, 0], [END_MM, 0, 0]]},
        },
        "clamp": {"width_mm": 30, "model": "rigid"},
        "mesh": {"level": "coarse"},
        "gauges": [{"name": name, "at_mm": AT_MM, **each} for name, each in GAUGES.items()],
        "cases": [
            {"id": "bend", "loads": [{**at, "force_n": [0, 0, -FORCE_N]}]},
            {"id": "twist", "loads": [{**at, "moment_nmm": [TORQUE_NMM, 0, 0]}]},
        ],
    }
    return run_study(study_from_table(table, Path("gauged.toml"), ""))


@pytest.fixture(scope="module")
def read(run: StudyRun) -> dict[str, dict[str, float]]:
    """Return the readings by case and name."""
    return {
        case.placed.case.id: {one.name: one.reading for one in gauge_records(run, case)}
        for case in run.cases
    }


def second_moment_mm4() -> float:
    """Return I of the tube."""
    return pi * (OD_MM**4 - (OD_MM - 2 * WALL_MM) ** 4) / 64


def test_strain_in_bending(run: StudyRun, read: dict[str, dict[str, float]]) -> None:
    """Downward force: the top is stretched, the underside pressed, the side neither."""
    bend, metal = read["bend"], run.study.bar.spec.material
    moment = FORCE_N * (LOAD_AT_MM - AT_MM)
    strain = 1e6 * moment * OD_MM / 2 / (metal.youngs_modulus_mpa * second_moment_mm4())
    assert bend["top"] == pytest.approx(strain, rel=CLOSE)
    assert bend["under"] == pytest.approx(-strain, rel=CLOSE)
    assert bend["side"] == pytest.approx(0, abs=CLOSE * strain)
    assert bend["round"] == pytest.approx(-metal.poisson_ratio * strain, rel=3 * CLOSE)
    assert bend["bore"] == pytest.approx(strain * (1 - 2 * WALL_MM / OD_MM), rel=CLOSE)
    # the moment is linear along the tube, so the mean over a long grid is that of its middle
    assert bend["long"] == pytest.approx(bend["top"], rel=CLOSE)
    # 5 % more force is seen
    assert bend["top"] != pytest.approx(1.05 * strain, rel=CLOSE)


def test_strain_in_torsion(run: StudyRun, read: dict[str, dict[str, float]]) -> None:
    """At 45 deg half of the shear strain, with the sign of its diagonal."""
    twist, metal = read["twist"], run.study.bar.spec.material
    modulus = metal.youngs_modulus_mpa / (2 * (1 + metal.poisson_ratio))
    half = 1e6 * TORQUE_NMM * OD_MM / 2 / (modulus * 2 * second_moment_mm4()) / 2
    # theta grows from the top to the front, against a turn about x: its diagonal is pressed
    assert twist["plus"] == pytest.approx(-half, rel=CLOSE)
    assert twist["minus"] == pytest.approx(half, rel=CLOSE)
    assert twist["top"] == pytest.approx(0, abs=CLOSE * half)


def test_dials(run: StudyRun, read: dict[str, dict[str, float]]) -> None:
    """Along their own direction, whatever its length; forward nothing moves."""
    bend, metal = read["bend"], run.study.bar.spec.material
    arm, end = AT_MM - 15, LOAD_AT_MM - 15
    fall = FORCE_N * arm**2 * (3 * end - arm) / (6 * metal.youngs_modulus_mpa * second_moment_mm4())
    area = pi * (OD_MM - WALL_MM) * WALL_MM
    shear = FORCE_N * arm / (0.53 * metal.youngs_modulus_mpa / 2.66 * area)
    # a rigid clamp holds the outer surface alone, so the wall under it gives by 1e-4 rad
    assert bend["dial"] == pytest.approx(fall + shear + 0.9e-4 * arm, rel=CLOSE / 2)
    assert bend["up"] == pytest.approx(-bend["dial"], rel=1e-9)
    assert bend["fore"] == pytest.approx(0, abs=1e-3 * bend["dial"])


@pytest.mark.parametrize(
    ("gauge", "sentence"),
    [
        (Gauge("a", "dial", at_mm=400.0), "[0].at_mm: is 400 mm, off its half"),
        (Gauge("a", "dial", side="right", from_end_mm=400.0), "[0].from_end_mm: is 400 mm, off"),
        (Gauge("a", "dial"), "[0]: has no place"),
        (Gauge("a", "dial", at_mm=9.0, direction=(0.0, 0.0, 0.0)), "[0].direction: is [0"),
        (Gauge("a", "strain", at_mm=319.0, length_mm=9.0), "[0].length_mm: is 9 mm, so the grid"),
        (Gauge("a", "strain", at_mm=9.0, theta_deg=400.0), "[0].theta_deg: is 400"),
    ],
)
def test_bad_gauges(run: StudyRun, gauge: Gauge, sentence: str) -> None:
    """One sentence with field, value and remedy."""
    with pytest.raises(InputError) as refused:
        place_gauges([gauge], run.study.bar)
    assert sentence in str(refused.value)


def test_names_are_given_once(run: StudyRun) -> None:
    """Readings are told apart by them."""
    twice = [Gauge("a", "dial", at_mm=50.0), Gauge("a", "strain", at_mm=60.0)]
    with pytest.raises(InputError, match="'a' is given twice"):
        place_gauges(twice, run.study.bar)
