"""Readings of a specimen: what they say, the bar as measured by them, and what is refused."""

import json
from math import cos, radians
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from geometry.bar import local_wall_mm, nominal_wall_mm
from geometry.centreline import arcs
from geometry.out_of_square import OutOfSquare
from geometry.properties import mass_g
from studies.commands.main import main
from studies.study_file.as_measured import bend_percent, measured_study
from studies.study_file.errors import StudyError
from studies.study_file.readings import readings_of
from studies.study_file.specimen_verdict import squareness, two_walls
from studies.study_file.study import Study, study_from_table
from studies.study_file.variants import variant_of, with_settings
from studies.study_file.wall_from_mass import wall_from_mass

OD, WALL = 22.2, 1.6
ROUND = (0, 90, 180, 270)
Rows = list[dict[str, Any]]


def study_of(**specimen: Any) -> Study:
    """Return a study of a bar with one bend and a specimen."""
    bend = {"straight_mm": 80, "rotation_deg": 0, "angle_deg": 30, "radius_mm": 70}
    table = {
        "name": "read",
        "bar": {
            "material": "al-6061-t6",
            "stations": [
                {"at_mm": 0, "od_mm": OD, "wall_mm": WALL, "name": "clamp"},
                {"at_mm": 200, "od_mm": OD, "wall_mm": WALL},
            ],
            "right": {"bends": [bend], "tail_mm": 220},
            "bend_effects": {"ovality_percent": 2.0},
        },
        "specimen": {"id": "A", "mass_g": 190.0, **specimen},
    }
    return study_from_table(table, Path("read.toml"), "")


def walls(
    at_mm: float, mean: float, off: float, thickest: float, **more: Any
) -> list[dict[str, Any]]:
    """Return four walls round the tube at a place of the right half."""
    given = {"side": "right", **more}
    return [
        {
            **given,
            "at_mm": at_mm,
            "theta_deg": theta,
            "wall_mm": mean + off * cos(radians(theta - thickest)),
        }
        for theta in ROUND
    ]


def diameters(
    at_mm: float, percent: float, largest: float, mean: float = OD
) -> list[dict[str, Any]]:
    """Return four diameters of an oval."""
    return [
        {
            "side": "right",
            "at_mm": at_mm,
            "theta_deg": theta,
            "od_mm": mean * (1 + percent / 200 * cos(2 * radians(theta - largest))),
        }
        for theta in (0, 45, 90, 135)
    ]


def found(study: Study) -> Any:
    """Return the readings of a study's specimen."""
    assert study.specimen
    return readings_of(study, study.specimen)


def test_places_are_fitted_each_by_itself() -> None:
    """Ovality with its direction, eccentricity with its, the right half first, outwards."""
    study = study_of(
        wall_readings=[*walls(300, 1.7, 0.1, 40), *walls(250, 1.6, 0.0, 0, side="left")],
        diameters=diameters(250, 1.2, 30),
    )
    right, left = found(study).walls
    assert (right.at_mm, left.s_mm) == (300, -250)
    assert right.fit.mean == pytest.approx(1.7)
    assert right.eccentricity_mm == pytest.approx(0.1)
    assert np.degrees(right.fit.phase_rad) == pytest.approx(40)
    assert right.thinnest_mm[0] == pytest.approx(1.6)
    # a wave of nothing is not told from none
    assert left.eccentricity_mm == 0
    (oval,) = found(study).ovals
    assert oval.percent[0] == pytest.approx(1.2)
    assert oval.bend_percent is None
    # what all walls err by together is in the mean, and not divided by their number
    within = np.hypot(0.05 / 2, 1.7 * 0.005)
    assert right.fit.mean_within == pytest.approx(within, rel=1e-5)


def test_what_bending_does_is_taken_out() -> None:
    """Walls read off the map of a bar with an even tube are an even tube."""
    study = study_of()
    (arc,) = (one for one in arcs(study.bar.line) if one.s_from_mm > 0)
    middle = (arc.s_from_mm + arc.s_to_mm) / 2
    read = local_wall_mm(study.bar, np.array(middle), np.radians(ROUND))
    # thin on the outside of the bend by a tenth
    assert np.ptp(read) > 0.15
    rows = [
        {"side": "right", "at_mm": middle, "theta_deg": theta, "wall_mm": float(wall)}
        for theta, wall in zip(ROUND, read, strict=True)
    ]
    (place,) = found(study_of(wall_readings=rows)).walls
    assert place.in_bend
    assert place.fit.mean == pytest.approx(WALL, rel=1e-9)
    assert place.fit.amplitude == pytest.approx(0, abs=1e-9)


def test_the_bar_as_measured_has_the_walls_read() -> None:
    """Mean and bore at the places read, linear between them; the other half alike."""
    study = measured_study(
        study_of(wall_readings=[*walls(210, 1.5, 0.1, 30), *walls(310, 1.8, 0.2, 30)])
    )
    theta = np.radians(ROUND)
    for sign in (1, -1):
        for at, mean, off in ((225, 1.545, 0.115), (260, 1.65, 0.15)):
            wall = local_wall_mm(study.bar, np.array(float(sign * at)), theta)
            wave = mean + off * np.cos(theta - np.radians(30))
            # a round bore differs from a wave by e^2 / (2 r), 0.001 mm
            assert wall == pytest.approx(wave, abs=0.002)
    # within the first place, and beyond the last, as at it
    assert nominal_wall_mm(study.bar, np.array(20.0)) == pytest.approx(1.5, abs=1e-6)
    assert study.measured == (
        "Walls: as read at 2 places, linear between",
        "Bore: off the middle by up to 0.20 mm, as read",
    )
    assert study.table["bar"]["stations"][0]["name"] == "clamp"


def test_halves_that_were_both_read_differ() -> None:
    """The left half gets stations of its own, and the clamp what lies between."""
    rows = [*walls(250, 1.5, 0.0, 0), *walls(250, 1.7, 0.0, 0, side="left")]
    study = measured_study(study_of(wall_readings=rows))
    at = (-300.0, 0.0, 300.0)
    assert nominal_wall_mm(study.bar, np.array(at)) == pytest.approx([1.7, 1.6, 1.5], abs=1e-6)


def test_without_walls_the_mass_gives_them() -> None:
    """As before there were readings; the ovality of the bends is that read in them."""
    study = study_of()
    (arc,) = (one for one in arcs(study.bar.line) if one.s_from_mm > 0)
    middle = (arc.s_from_mm + arc.s_to_mm) / 2
    across = np.degrees(arc.extrados_rad) + 90
    measured = measured_study(study_of(diameters=diameters(middle, 3.0, across)))
    assert measured.bar_spec.effects.ovality_percent == 3.0
    assert mass_g(measured.bar) == pytest.approx(190, abs=0.05)
    # flat the other way is no flattening of a bend
    wrong = study_of(diameters=diameters(middle, 3.0, across + 90))
    assert bend_percent(found(wrong).ovals) == 0


def test_diameter_and_bore_give_a_mean_wall() -> None:
    """Half of their difference, of the diameter read there; without one, of the file's."""
    bore = {"side": "right", "at_mm": 330, "bore_mm": 19.0}
    (place,) = found(study_of(bores=[bore])).walls
    assert place.by_bore
    assert place.fit.mean == pytest.approx((OD - 19) / 2)
    (place,) = found(study_of(bores=[bore], diameters=diameters(330, 0, 0, 22.4))).walls
    assert place.fit.mean == pytest.approx((22.4 - 19) / 2)
    # it says nothing of the middle, so a place with a gauge does
    rows = walls(250, 1.6, 0.1, 0)
    measured = measured_study(study_of(bores=[bore], wall_readings=rows))
    wall = local_wall_mm(measured.bar, np.array(330.0), np.radians([0.0, 180.0]))
    assert wall[0] - wall[1] == pytest.approx(0.2, abs=1e-3)


def test_two_mean_walls_are_set_beside_each_other() -> None:
    """Read and weighed alike they agree; 5 % apart they are many deviations apart."""
    plain = study_of()
    for mean, agrees in ((1.6, True), (1.68, False)):
        study = study_of(mass_g=mass_g(plain.bar), wall_readings=walls(260, mean, 0.0, 0))
        assert study.specimen
        by_mass = wall_from_mass(study, study.specimen)
        both = two_walls(study, study.specimen, found(study).walls, by_mass)
        assert both.read_mm == pytest.approx(mean, rel=1e-4)
        assert both.mass_mm == pytest.approx(1.6, rel=1e-4)
        assert (both.deviations < 0.1) == agrees
        assert (both.deviations > 2) != agrees


@pytest.mark.parametrize(
    ("height", "within", "word"),
    [(1.0, 0.3, "inside"), (1.8, 0.3, "undecided"), (-2.5, 0.3, "outside"), (1.9, None, "inside")],
)
def test_a_tolerance_of_squareness(height: float, within: float | None, word: str) -> None:
    """Inside and outside whatever the interval, undecided between."""
    read = OutOfSquare(height_mm=height, height_within_mm=within)
    assert squareness(read, 2.0) == word


FULL: dict[str, Any] = {
    "operator": "K2",
    "right_length_mm": 336,
    "out_of_square_tolerance_mm": 2,
    "instruments": [{"id": "UT-1", "kind": "wall gauge", "calibrated": "2026-03-01"}],
    "wall_readings": walls(250, 1.55, 0.12, 30),
    "diameters": [*diameters(250, 1.0, 0), {"side": "left", "at_mm": 250, "od_mm": 22.0}],
    "bores": [{"side": "right", "at_mm": 330, "bore_mm": 19.0}],
}


def _written(folder: Path, study: Study) -> str:
    path = folder / "read.toml"
    path.write_text(variant_of(study, []).text, encoding="utf-8")
    return str(path)


def test_check_prints_what_was_measured(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each fact in words, and as JSON; a day may be written without quotes."""
    path = _written(tmp_path, study_of(**FULL))
    text = Path(path).read_text("utf-8").replace('"2026-03-01"', "2026-03-01")
    Path(path).write_text(text, encoding="utf-8")
    assert main(["check", path, "--set", "bar.out_of_square.height_mm=1"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    for words in (
        "instrument UT-1: wall gauge, calibrated 2026-03-01",
        "operator K2",
        "right half 336 ± 1.5 mm long",
        "right 250 mm: bore off the middle by 0.120 mm",
        "thickest at 30 deg",
        "right 250 mm: thinnest wall 1.430",
        "ovality 1.00 %",
        "left 250 mm: diameters that do not tell the ovality; read two across each other",
        "right 330 mm: mean wall 1.600",
        "standard deviations apart",
        "out of square: tolerance 2 mm, inside; intervals that are not given count as none",
        "--as-measured computes with the walls read",
    ):
        assert words in out
    assert main(["check", path, "--as-measured", "--json"]) == 0
    record = json.loads(capsys.readouterr().out)["specimen"]
    assert record["instruments"] == [
        {"id": "UT-1", "kind": "wall gauge", "calibrated": "2026-03-01"}
    ]
    assert record["walls"][0]["eccentricity_mm"] == pytest.approx(0.12)
    assert record["as_measured"][0] == "Walls: as read at 2 places, linear between"


def test_a_setting_after_it_keeps_what_was_measured() -> None:
    """`run --as-measured --set ...` still says so."""
    study = with_settings(measured_study(study_of(**FULL)), ["bar.roll_deg=1"])
    assert study.measured


@pytest.mark.parametrize(
    ("specimen", "sentence"),
    [
        (
            {"wall_readings": walls(900, 1.6, 0, 0)[:1]},
            "specimen.wall_readings[0].at_mm: is 900 mm, beyond the end of the right half at",
        ),
        (
            {"diameters": [{"at_mm": 1, "od_mm": 22}]},
            "diameters[0].side: is missing; give",
        ),
        (
            {"diameters": [{"side": "right", "at_mm": 1, "od_mm": 0.5}]},
            "specimen.diameters[0].od_mm: is 0.5 mm but must be at least 5 mm",
        ),
        (
            {"instruments": [{"id": "a", "kind": "b", "calibrated": "last week"}]},
            'calibrated: is the text "last week"; give a day such as 2026-03-01',
        ),
        ({"out_of_square_tolerance_mm": 0}, "tolerance_mm: is 0 mm but must be above 0 mm"),
        ({"wall_readings": [{"od_mm": 1}]}, "specimen.wall_readings[0]"),
    ],
)
def test_it_is_refused_in_words(specimen: dict[str, Any], sentence: str) -> None:
    """Field, value, limit and remedy."""
    with pytest.raises(StudyError) as refused:
        study_of(**specimen)
    assert sentence in str(refused.value)


def test_walls_that_cannot_be_are_refused_when_they_are_used() -> None:
    """A bore so far off the middle that no wall is left on one side."""
    study = study_of(wall_readings=walls(250, 1.6, 1.3, 0))
    with pytest.raises(StudyError, match="eccentricity_mm: is"):
        measured_study(study)
