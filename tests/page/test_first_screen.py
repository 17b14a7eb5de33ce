"""What a run's page shows first: sentence, cases, ladder, figures, evidence, against the record."""

from dataclasses import replace
from itertools import pairwise
from math import log

import pytest

from geometry.source import MARKS
from studies.assessment.run import StudyRun, run_study
from studies.page.evidence import EVIDENCE, evidence_of, evidence_strip
from studies.page.first_screen import case_strip, headline, key_figures
from studies.page.inputs import InputRow, inputs
from studies.page.ladder import HIGH, LOW, ladder
from studies.records.case import ResultsRecord
from studies.results.record import results_record
from studies.study_file.study import read_study
from support.pages import RISER


@pytest.fixture(scope="module")
def run() -> StudyRun:
    """Return the riser example, coarsely."""
    return run_study(read_study(RISER), level="coarse")


@pytest.fixture(scope="module")
def record(run: StudyRun) -> ResultsRecord:
    """Return what results.json holds of it."""
    return results_record(run)


def scaled(record: ResultsRecord, times: float) -> ResultsRecord:
    """Return a record whose limits lie at other multiples of the load."""
    cases = [
        case.model_copy(
            update={
                "governing_factor": times * case.governing_factor,
                "yield_factor": times * case.yield_factor,
                "limits": [
                    one.model_copy(
                        update={
                            "load_factor": times * one.load_factor,
                            "factor_range": one.factor_range
                            and tuple(times * end for end in one.factor_range),
                        }
                    )
                    for one in case.limits
                ],
            }
        )
        for case in record.cases
    ]
    return record.model_copy(update={"cases": cases, "fatigue": None})


def test_the_sentence_says_what_where_how_near_and_how_sure(record: ResultsRecord) -> None:
    """A range is given with both ends, and its weakest input with what that does."""
    said = headline(record)
    assert said.before == "Fatigue governs at "
    low, _, high = record.cases[3].limits[0].factor_range or (0, 0, 0)
    assert said.factor == f"{low:.2f} to {high:.2f} × the load"
    assert "of Fatigue, in phase (450 N)" in said.after
    assert "142 mm, underside; not decided by this model." in said.after
    assert said.below
    assert said.weakest.startswith("surface factor, from memory; 0.7 to 1 gives ")
    assert said.verified.startswith("first yield 1.20 × the load of Bar and stem bending")


@pytest.mark.parametrize(("times", "words"), [(0.5, "; below the load."), (3.0, ", underside.")])
def test_words_on_the_load_itself(record: ResultsRecord, times: float, words: str) -> None:
    """Below it in all of the range, or above it."""
    said = headline(scaled(record, times))
    assert said.after.endswith(words)
    assert said.below is (times < 1)


def test_each_kind_of_limit_has_a_rung_on_one_axis(record: ResultsRecord) -> None:
    """Nearest first; the mark at the middle of a range, the other cases beside it."""
    found = ladder(record)
    kinds = {one.criterion for case in record.cases for one in case.limits}
    assert len(found.rungs) == len(kinds)
    assert [rung.tag for rung in found.rungs] == [f"{n + 1}" for n in range(len(kinds))]
    by_name = {rung.name: rung for rung in found.rungs}
    yields = sorted(
        one.load_factor for case in record.cases for one in case.limits if one.name == "first yield"
    )
    rung = by_name["first yield"]

    def place(factor: float) -> float:
        return 100 * log(factor / LOW) / log(max(HIGH, 1.1 * most) / LOW)

    most = max(one.load_factor for case in record.cases for one in case.limits)
    assert rung.at == pytest.approx(place(yields[0]))
    assert sorted(rung.others) == pytest.approx([place(one) for one in yields[1:]])
    assert found.load == pytest.approx(place(1.0))
    assert rung.whisker is None
    assert rung.fill == "half"
    fatigue = by_name["fatigue"]
    assert fatigue.fill == "open"
    assert fatigue.whisker
    assert fatigue.whisker[0] < fatigue.at < fatigue.whisker[1]
    assert (fatigue.below, rung.below) == (True, False)
    assert by_name["wrinkling"].beyond
    assert not rung.beyond
    assert rung.place == "R 142 mm, underside"
    assert by_name["elastic buckling"].place == "whole bar"


def test_an_axis_is_widened_and_holds_a_limit_without_load(record: ResultsRecord) -> None:
    """A limit at nothing stands on the left edge, one at 300 times the load within the right."""
    for times in (0.0, 0.01, 300.0):
        for rung in ladder(scaled(record, times)).rungs:
            assert 0 <= rung.at <= 100
    assert ladder(scaled(record, 0.0)).rungs[0].at == 0


def test_a_measured_bar_fills_its_marks(record: ResultsRecord) -> None:
    """Limits that rest on dimensions alone are full where these were measured."""
    measured = record.model_copy(update={"specimen": object()})
    fills = {rung.name: rung.fill for rung in ladder(measured).rungs}
    assert fills["first yield"] == "full"
    assert fills["fatigue"] == "open"


def test_stress_over_a_fatigue_limit_without_a_life_decides_nothing(record: ResultsRecord) -> None:
    """The sentence says why, as the case's own record does not decide either."""
    low = scaled(record, 0.5)
    assert low.cases[3].fatigue
    life = low.cases[3].fatigue.model_copy(update={"life_cycles": None})
    cases = [*low.cases[:3], low.cases[3].model_copy(update={"fatigue": life})]
    said = headline(low.model_copy(update={"cases": cases}))
    assert said.after.endswith("; not decided by this model, no life curve.")


def test_kinds_of_one_criterion_have_rungs_of_their_own(record: ResultsRecord) -> None:
    """Where the wall wrinkles in one case and shears in another, both stand on the ladder."""
    case = record.cases[1]
    names = {"wrinkling": "shear"}
    limits = [one.model_copy(update={"name": names.get(one.name, one.name)}) for one in case.limits]
    cases = [record.cases[0], case.model_copy(update={"limits": limits}), *record.cases[2:]]
    found = {rung.name: rung for rung in ladder(record.model_copy(update={"cases": cases})).rungs}
    assert found["shear"].case == (2, case.id)
    assert found["wrinkling"].case[0] != 2


def test_words_on_the_axis_do_not_touch(record: ResultsRecord) -> None:
    """Also on a wide axis: 1 stays, what is too near to another word goes."""
    for times in (1.0, 0.02, 40.0):
        ticks = ladder(scaled(record, times)).ticks
        places = [at for _, at in ticks]
        assert "1" in [words for words, _ in ticks]
        assert min(b - a for a, b in pairwise(places)) >= 10


def test_cases_and_four_figures(record: ResultsRecord) -> None:
    """In the study's order; the same four of every study."""
    strip = case_strip(record)
    assert [one.number for one in strip] == [1, 2, 3, 4]
    assert [one.governs for one in strip] == [False, False, False, True]
    assert strip[3].field == "utilisation_fatigue"
    assert strip[3].surface == "outer"
    assert strip[3].load.endswith("100 000 cycles")
    governing, yielding, stiffness, mass = key_figures(record)
    assert governing.value == headline(record).factor.removesuffix(" × the load")
    assert yielding.value == f"{record.cases[0].limits[0].load_factor:.2f}"
    assert stiffness.value == f"{record.cases[0].stiffness_n_per_mm:.3g}"
    assert (mass.value, mass.source) == (f"{record.bar.mass_g:.0f}", "computed; not weighed")
    bar = record.bar.model_copy(update={"measured_mass_g": 301.0})
    weighed = key_figures(record.model_copy(update={"bar": bar}))[-1]
    assert (weighed.value, weighed.source.split(";")[0]) == ("301", "weighed")


def test_the_strip_counts_every_input_once(run: StudyRun, record: ResultsRecord) -> None:
    """By its evidence; what to measure first begins with the weakest input of the nearest limit."""
    groups = inputs(run)
    strip = evidence_strip(groups, record)
    assert strip.total == sum(len(group.rows) for group in groups)
    assert sum(part.count for part in strip.parts) == strip.total
    assert sum(part.percent for part in strip.parts) == pytest.approx(100)
    assert [part.evidence for part in strip.parts] == list(EVIDENCE)
    assert strip.first[0] == "surface factor"
    assert len(strip.first) == len(set(strip.first)) == 3
    assert not any("perfect" in one for one in strip.first)
    row = InputRow("wall", "1.6 mm", "a", MARKS["memory"])
    assert evidence_of(row) == "remembered"
    assert evidence_of(replace(row, mark=MARKS["handbook"])) == "sourced"
    assert evidence_of(replace(row, mark="given in the study file")) == "nominal"
    assert evidence_of(replace(row, name="mass, measured")) == "measured"
