"""Cases, cycles and the spectrum of a study file."""

import re
from pathlib import Path

import numpy as np
import pytest

from loadcases.fatigue_inputs import FatigueInputs, SpectrumEntry
from loadcases.levels import Levels
from studies.study_file.chosen_cases import SPECTRUM_LEFT_OUT, with_cases
from studies.study_file.errors import StudyError
from support.study_texts import SMALL, read


def test_cycle_of_the_study_wins_and_keeps_what_it_leaves_out(tmp_path: Path) -> None:
    """A cycle's other end comes from the study, its number of cycles from the catalogue."""
    cases = """
[[cases]]
use = "iso-4210-5.fatigue-in-phase"
bicycle = "racing"
[cases.cycle]
other = "rest"
[[cases]]
id = "rest"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
[[cases]]
id = "weight"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
[cases.cycle]
cycles = 1e5
preload = true
"""
    first, _, second = read(SMALL + cases, tmp_path).cases
    assert first.case.cycle
    assert (first.case.cycle.other, first.case.cycle.cycles) == ("rest", 100_000)
    assert second.case.cycle
    assert (second.case.cycle.cycles, second.case.cycle.preload) == (100_000, True)
    assert second.loads[0].at_mm == 200


def test_a_chosen_case_keeps_what_its_life_needs(tmp_path: Path) -> None:
    """The other end of its cycle and the steady loads stay; what has no part in it goes."""
    cases = """
[[cases]]
id = "swing"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
cycle = { other = "back", cycles = 1e5 }
[[cases]]
id = "back"
loads = [ { at_mm = 200, force_n = [0, 0, 1] } ]
[[cases]]
id = "weight"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
cycle = { preload = true }
[[cases]]
id = "alone"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
"""
    study = read(SMALL + cases, tmp_path)
    kept = [placed.case.id for placed in with_cases(study, ["swing"]).cases]
    assert kept == ["swing", "back", "weight"]
    assert [placed.case.id for placed in with_cases(study, ["alone"]).cases] == ["alone"]


@pytest.mark.parametrize(
    ("cycle", "field"),
    [
        ('{ other = "weight" }', "cases[0].cycle.other"),
        ('{ other = "back", preload = true }', "cycle.preload"),
    ],
)
def test_a_steady_load_is_no_end_of_a_cycle(cycle: str, field: str, tmp_path: Path) -> None:
    """Named as another end, or given one, it would count twice or not at all."""
    cases = f"""
[[cases]]
id = "swing"
loads = [ {{ at_mm = 200, force_n = [0, 0, -1] }} ]
cycle = {cycle}
[[cases]]
id = "back"
loads = [ {{ at_mm = 200, force_n = [0, 0, -1] }} ]
[[cases]]
id = "weight"
loads = [ {{ at_mm = 200, force_n = [0, 0, -1] }} ]
cycle = {{ preload = true }}
"""
    with pytest.raises(StudyError, match=re.escape(field)):
        read(SMALL + cases, tmp_path)


SPECTRUM = """
[[cases]]
id = "push"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
[[cases]]
id = "pull"
loads = [ { at_mm = 200, force_n = [0, 0, 1] } ]
[[spectrum]]
case = "push"
cycles = 1e5
[[spectrum]]
case = "pull"
cycles = 300
scale = 2.5
"""


def test_fatigue_defaults_say_where_they_come_from(tmp_path: Path) -> None:
    """What a study leaves out is the record's own default, and its source says so."""
    found = read(SMALL, tmp_path).fatigue
    assert found == FatigueInputs()
    assert (found.clamp_factor, found.reliability_factor) == (None, 1.0)
    assert found.surface_factor == (0.70, 0.85, 1.00)
    assert {found.clamp_source.kind, found.surface_source.kind} == {"memory"}


def test_fatigue_of_the_study_and_its_spectrum_arrive(tmp_path: Path) -> None:
    """Factors and stages reach the record; a given factor no longer counts as remembered."""
    text = SMALL + SPECTRUM + "[fatigue]\nclamp_factor = [1.3, 1.6, 2.0]\n"
    found = read(text, tmp_path).fatigue
    assert found.spectrum == (SpectrumEntry("push", 1e5), SpectrumEntry("pull", 300, 2.5))
    assert (found.clamp_factor, found.clamp_source.kind) == (Levels(1.3, 1.6, 2.0), "practice")
    assert found.surface_source == FatigueInputs().surface_source
    assert found.reliability_source == FatigueInputs().reliability_source


def test_a_spectrum_goes_with_one_of_its_cases(tmp_path: Path) -> None:
    """A part of a spectrum would look like the whole: it is dropped, and a warning says so."""
    study = read(SMALL + SPECTRUM, tmp_path)
    fewer, same = with_cases(study, ["push"]), with_cases(study, ["pull", "push"])
    assert fewer.fatigue.spectrum == ()
    assert SPECTRUM_LEFT_OUT in fewer.warnings
    assert same.fatigue == study.fatigue
    assert SPECTRUM_LEFT_OUT not in same.warnings


def test_a_misspelt_case_of_the_catalogue_is_told_once(tmp_path: Path) -> None:
    """The spectrum that names it rightly is not blamed as well."""
    cases = '[[cases]]\nuse = "rider.drop-landin"\n[[spectrum]]\ncase = "rider.drop-landing"\n'
    with pytest.raises(StudyError) as caught:
        read(f"{SMALL}{cases}cycles = 10\n", tmp_path)
    assert [p.field for p in caught.value.problems] == ["cases[0].use"]


def test_a_spectrum_without_cases_is_refused(tmp_path: Path) -> None:
    """A stage has nothing to repeat."""
    with pytest.raises(StudyError, match=r"no case; add \[\[cases\]\]"):
        read(SMALL + '[[spectrum]]\ncase = "push"\ncycles = 10\n', tmp_path)


def test_own_id_and_title_of_a_catalogue_case(tmp_path: Path) -> None:
    """The same catalogue case may stand twice under ids of its own."""
    case = '[[cases]]\nuse = "rider.drop-landing"\n'
    study = read(f'{SMALL}{case}{case}id = "heavy"\ntitle = "Heavy"\nrider_kg = 110\n', tmp_path)
    light, heavy = study.cases
    assert (light.case.id, heavy.case.id, heavy.case.title) == (
        "rider.drop-landing",
        "heavy",
        "Heavy",
    )
    force = [np.linalg.norm(case.loads[0].force_n) for case in (light, heavy)]
    assert force[1] / force[0] == pytest.approx(110 / 80)
