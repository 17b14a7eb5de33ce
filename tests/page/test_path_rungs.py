"""Loads of a traced path on the ladder, and the ladder's odd states."""

import pytest

from studies.assessment.run import run_study
from studies.page.ladder import ladder
from studies.page.path_rungs import PATH_FIELD, whole_ladder
from studies.page.path_steps import read_off
from studies.records.case import ResultsRecord
from studies.results.record import results_record
from studies.study_file.study import read_study
from support.page_paths import with_made_paths
from support.pages import short_bar


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> ResultsRecord:
    """Return two cases, the first with a path."""
    linear = run_study(read_study(short_bar(tmp_path_factory.mktemp("pier"), "pier", 1.0)))
    return results_record(with_made_paths(linear, "push"))


def test_a_path_has_lettered_rungs_among_the_others(record: ResultsRecord) -> None:
    """All that is read off the curve, in the order of the factors, in the path's own field."""
    collapse = record.cases[0].collapse
    assert collapse
    read = {one.name: one.factor for one in read_off(collapse) if one.factor is not None}
    assert len(read) >= 2
    found = whole_ladder(record)
    paths = [one for one in found.rungs if one.field == PATH_FIELD]
    assert [one.tag for one in paths] == list("abcdefgh"[: len(read)])
    assert {one.name: float(one.factor) for one in paths} == pytest.approx(read, abs=0.05)
    assert {one.case for one in paths} == {(1, record.cases[0].id)}
    least = [one.least for one in found.rungs]
    assert least == sorted(least)
    numbers = [int(one.tag) for one in found.rungs if one.tag.isdigit()]
    assert numbers == sorted(numbers)
    assert len(found.rungs) == len(paths) + len(ladder(record).rungs)


def test_estimates_turn_grey_where_their_case_has_a_path(record: ResultsRecord) -> None:
    """Beyond first yield of the case with the path, and nowhere else."""
    traced = record.cases[0].id
    for one in whole_ladder(record).rungs:
        assert one.replaced == (one.beyond and one.case[1] == traced)
    assert any(one.replaced for one in whole_ladder(record).rungs)
    assert not any(one.replaced for one in whole_ladder(_bare(record)).rungs)


def _bare(record: ResultsRecord) -> ResultsRecord:
    cases = [case.model_copy(update={"collapse": None}) for case in record.cases]
    return record.model_copy(update={"cases": cases})


def test_a_limit_at_zero_stands_on_the_left_edge(record: ResultsRecord) -> None:
    """It says 0, and the axis is no wider for it."""
    case = record.cases[0]
    none = case.limits[0].model_copy(update={"load_factor": 0.0, "factor_range": None})
    limits = [none, *case.limits[1:]]
    cases = [case.model_copy(update={"limits": limits}), *record.cases[1:]]
    preload = record.model_copy(update={"cases": cases})
    first = whole_ladder(preload).rungs[0]
    assert (first.factor, first.at, first.below) == ("0", 0.0, True)
    assert whole_ladder(preload).load == pytest.approx(whole_ladder(record).load)
