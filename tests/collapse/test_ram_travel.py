"""A ram's travel in its parts, and places under supports, in records, sentences and tables."""

import csv
from dataclasses import replace
from math import pi
from pathlib import Path

import numpy as np
import pytest

from fea.collapse.middle_bend import MiddleBend
from fea.collapse.path_run import PathRun
from fea.collapse.reading import Reading
from fea.collapse.strain import StrainPeak
from loadcases.clamp import Clamp
from loadcases.supports import Support, place_support
from studies.collapse.local_place import local_in_words
from studies.collapse.middle_bend import middle_record, middle_sentences
from studies.collapse.ram_travel import stiffness_of, travel_sentences
from studies.files.step_series import write_lists
from studies.page.middle_graphs import middle_graphs
from studies.page.path_graphs import path_graphs
from support.paths import path_of, record_of, short_run, usual

SHARE = 0.2
"""Of the travel that is indentation."""


def dented(one: Reading) -> Reading:
    """Return a step under a ram that dents the tube."""
    return replace(one, indentation_mm=SHARE * one.deflection)


@pytest.fixture
def pressed() -> PathRun:
    """Return a path by a ram."""
    return replace(path_of([dented(one) for one in usual()]), by_ram=True)


def test_stiffness_is_of_the_last_elastic_step(pressed: PathRun) -> None:
    """The second step, 0.8 x 400 N at 0.2 mm, before metal yields in the third."""
    found = stiffness_of(pressed)
    assert found is not None
    assert found.up_to_n == pytest.approx(320)
    assert found.ram_n_per_mm == pytest.approx(320 / 0.2)
    assert found.bar_n_per_mm == pytest.approx(320 / (0.8 * 0.2))
    assert stiffness_of(path_of(usual())) is None


def test_sentences_part_the_travel(pressed: PathRun) -> None:
    """At the reported step, the limit at 1.0 mm."""
    stiffness, travel = travel_sentences(pressed, 7)
    assert stiffness == "Stiffness up to 320 N: 1600 N/mm at the ram, 2000 N/mm of the bar."
    assert travel == (
        "Ram travel 1.00 mm at 640 N: bar's own deflection 0.80 mm, indentation 0.20 mm."
    )
    assert {stiffness, travel} < set(record_of(pressed).text)


def test_travel_onto_feet_alone_is_not_parted() -> None:
    """What gives at their edges is not told apart: one stiffness, no own deflection."""
    path = replace(path_of(usual()), by_ram=True)
    assert list(travel_sentences(path, 7)) == ["Stiffness up to 320 N: 1600 N/mm at the ram."]
    assert record_of(path).curve.bar_deflection_mm is None


def test_record_graph_and_table_have_both(pressed: PathRun, tmp_path: Path) -> None:
    """Each step's parts add up to its travel; the graph's thin curve lies left of the path."""
    found = record_of(pressed)
    own, dents, travel = (
        np.array(column)
        for column in (
            found.curve.bar_deflection_mm,
            found.curve.indentation_mm,
            found.curve.deflection_mm,
        )
    )
    assert own + dents == pytest.approx(travel)
    assert dents == pytest.approx(SHARE * travel)
    names = [one.name for one in path_graphs(found)[0].paths]
    assert "bar's own deflection, travel less indentation" in names
    write_lists(tmp_path, pressed.steps, 400.0, by_moments=False)
    rows = list(csv.DictReader((tmp_path / "curve.csv").open(encoding="utf-8")))
    assert [float(row["bar_deflection_mm"]) for row in rows] == pytest.approx(own)
    assert [float(row["indentation_mm"]) for row in rows] == pytest.approx(dents)


def test_first_yield_is_placed() -> None:
    """Beneath the right arm, 24 mm from the clamp centre; nothing supports the bar there."""
    found = record_of(path_of(usual()))
    assert found.yield_place is not None
    assert found.yield_place.text == "right 24 mm, underside, inner surface"
    assert "First yield: right 24 mm, underside, inner surface." in found.text
    assert found.curve.indentation_mm is None


@pytest.mark.parametrize(
    ("s_mm", "theta_deg", "words"),
    [
        (60, 180, ", local, under the roller at right 60 mm"),
        (60 + 0.88 * 22.2, 170, ", local, under the roller at right 60 mm"),
        (60, 0, ""),
        (60 - 0.92 * 22.2, 180, ""),
    ],
)
def test_what_yields_by_a_roller_is_local(s_mm: float, theta_deg: float, words: str) -> None:
    """Within nine tenths of a diameter of the contact, so not on the tube's opposite side."""
    study = short_run().study
    od_mm = study.bar.spec.stations[0].od_mm
    away = 60 + (s_mm - 60) * od_mm / 22.2
    roller = place_support(Support("roller", at_mm=60.0), study.bar, study.clamp, np.eye(3))
    peak = StrainPeak(0.003, away, np.radians(theta_deg), 1.0, (0, 0, 0))
    assert local_in_words(study.bar, [roller], peak) == words


def test_the_nearest_roller_is_named() -> None:
    """Of two that are within reach, whichever comes first."""
    bar, clamp = short_run().study.bar, short_run().study.clamp
    rollers = [
        place_support(Support("roller", at_mm=at), bar, clamp, np.eye(3)) for at in (60.0, 70.0)
    ]
    for away, named in ((63, 60), (67, 70)):
        peak = StrainPeak(0.003, away, pi, 1.0, (0, 0, 0))
        words = local_in_words(bar, rollers, peak)
        assert words == f", local, under the roller at right {named} mm"


def test_what_yields_at_a_foot_is_local() -> None:
    """Within half a diameter of the edge; a slider, which holds a whole ring, makes no place so."""
    bar, clamp = short_run().study.bar, Clamp(40.0)
    end = bar.line.right_end_mm
    down = Support("foot", side="right")
    foot = place_support(down, bar, clamp, np.eye(3))
    slider = place_support(Support("slider", at_mm=end - 10), bar, clamp, np.eye(3))
    peak = StrainPeak(0.003, end - 2, pi, 1.0, (0, 0, 0))
    assert local_in_words(bar, [slider, foot], peak) == ", local, at the edge of the right foot"
    assert local_in_words(bar, [slider], peak) == ""
    assert local_in_words(bar, [foot], replace(peak, s_mm=end - 40)) == ""


def bent(ripple_mm: float | None) -> PathRun:
    """Return a path of a tube whose middle bends as far as its deflection goes."""
    return path_of(
        [
            replace(
                one,
                bend=MiddleBend(
                    1e5 * one.factor, 80.0, 1e-3 * one.deflection, 2.0, ripple_mm, None
                ),
            )
            for one in usual()
        ]
    )


def test_the_middle_of_a_bent_tube_is_told() -> None:
    """Largest moment at 1.6 x 100 N m, curvature 1e-3 x 1.0 a mm; ripples over the wall of 0.6."""
    bar = short_run().study.bar
    found = middle_record(bar, bent(0.012))
    assert found is not None
    od_mm = bar.spec.stations[0].od_mm
    assert found.curvature_per_m[7] == pytest.approx(1.0)
    assert found.fibre_strain_percent[7] == pytest.approx(100 * od_mm * 1e-3 / 2)
    wall_mm = bar.spec.stations[0].wall_mm
    assert found.ripple_percent_of_wall == pytest.approx([1.2 / wall_mm] * 10)
    first, second = middle_sentences(bar, bent(0.012))
    assert first == ("Middle 80 mm: largest moment 160 N·m at curvature 1 1/m, ovalisation 2 %.")
    assert second == f"Ripples of the compressed side there: {1.2 / wall_mm:.2g} % of the wall."
    _, coarse = middle_sentences(bar, bent(None))
    assert coarse.endswith("short elements: set imperfection_percent, 0.01 for a perfect wall.")
    assert middle_record(bar, path_of(usual())) is None


def test_graphs_of_the_middle_are_over_its_curvature() -> None:
    """Moment, ovalisation, and ripples where all steps have them."""
    names = [one.name for one in middle_graphs(record_of(bent(0.012)))]
    assert names == ["middle-moment", "middle-oval", "middle-ripple"]
    assert [one.name for one in middle_graphs(record_of(bent(None)))] == names[:2]
    assert middle_graphs(record_of(path_of(usual()))) == ()
