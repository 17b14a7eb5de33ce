"""What stands below the first screen: each remark once, checks, weak inputs, values of curves."""

import re
from dataclasses import replace

import numpy as np
import pytest

from geometry.source import MARKS
from studies.assessment.run import StudyRun
from studies.page.check_table import check_table
from studies.page.curve_table import curve_table
from studies.page.curves import Numbers, wall_numbers
from studies.page.each_once import fatigue_notes, remarks_once
from studies.page.inputs import InputGroup, InputRow, inputs
from studies.page.report import report_html
from studies.page.sheet import sheet
from studies.page.weak_inputs import weak_inputs
from studies.records.case import CaseRecord, ResultsRecord


@pytest.fixture(scope="module")
def run(riser: StudyRun) -> StudyRun:
    """Return two cases of the riser example, solved coarsely."""
    return riser


@pytest.fixture(scope="module")
def record(riser_record: ResultsRecord) -> ResultsRecord:
    """Return what results.json holds of them."""
    return riser_record


def with_first(record: ResultsRecord, **changes: object) -> ResultsRecord:
    """Return a record whose first case is another."""
    first: CaseRecord = record.cases[0].model_copy(update=changes)
    return record.model_copy(update={"cases": [first, *record.cases[1:]]})


def with_failed_check(record: ResultsRecord) -> ResultsRecord:
    """Return a record in which the first case's first check failed."""
    check, *others = record.cases[0].checks
    failed = check.model_copy(update={"passed": False, "value": 0.37})
    return with_first(record, checks=[failed, *others])


def within(page: str, part: str) -> str:
    """Return a section of a page."""
    found = re.search(rf'<section id="{part}">.*?</section>', page, re.DOTALL)
    assert found, part
    return found[0]


def folded(part: str) -> str:
    """Return what of a part is folded."""
    return "".join(re.findall(r"<details.*?</details>", part, re.DOTALL))


def test_checks_that_all_passed_are_folded_and_counted(
    run: StudyRun, record: ResultsRecord
) -> None:
    """The count stands outside, also in the navigation; all values inside."""
    total = sum(len(case.checks) for case in record.cases)
    page = report_html(run, record)
    part = within(page, "checks")
    assert f"<summary>{total} of {total} passed</summary>" in part
    assert f">Checks {total}/{total}</a>" in page
    for check in record.cases[0].checks:
        assert check.name in folded(part)


def test_a_failed_check_is_never_folded(run: StudyRun, record: ResultsRecord) -> None:
    """Its sentence and the table stand open, the navigation counts it out."""
    broken = with_failed_check(record)
    name, total = broken.cases[0].checks[0].name, check_table(broken).total
    page = report_html(run, broken)
    part = within(page, "checks")
    assert not folded(part)
    assert f"{name[0].upper()}{name[1:]}" in part
    assert "0.37<small>failed</small>" in part
    assert f">Checks {total - 1}/{total}</a>" in page
    failed = sheet(broken, ["look"], check_table(broken)).model[-1]
    assert failed.startswith(f"{total - 1} of {total} checks passed.")
    assert "0.37" in failed


def test_a_check_of_another_limit_has_a_row_of_its_own(record: ResultsRecord) -> None:
    """With a dash where a case has none such."""
    check, *others = record.cases[0].checks
    other = with_first(record, checks=[check.model_copy(update={"limit": 0.5}), *others])
    rows = [row for row in check_table(other).rows if row.name == check.name]
    assert {row.limit for row in rows} == {"0.5", f"{check.limit:.3g}"}
    assert [row.values.index("\u2013") for row in rows] == [1, 0]


def test_a_remark_stands_once_with_the_cases_that_it_is_of(record: ResultsRecord) -> None:
    """One that all share has no number."""
    cases = [
        one.model_copy(update={"cautions": ["both", *more]})
        for one, more in zip(record.cases, ([], ["last"]), strict=True)
    ]
    found = remarks_once(record.model_copy(update={"cases": cases, "cautions": ["shared"]}))
    assert found.cautions == ("Shared", "Cases 1, 2: both", "Case 2: last")


def test_warnings_and_cautions_are_never_folded(run: StudyRun, record: ResultsRecord) -> None:
    """Those of a case too."""
    page = report_html(run, with_first(record, warnings=["thin there"], cautions=["sharp there"]))
    for part, said in (("inputs", "Case 1: thin there"), ("cautions", "Case 1: sharp there")):
        section = within(page, part)
        assert said in section
        assert said not in folded(section)
        assert page.count(said) <= 2, "once on the screen, once on the sheet"


def test_notes_on_fatigue_stand_once(record: ResultsRecord) -> None:
    """The curve with its source and evidence, and each note."""
    life = record.cases[1].fatigue
    assert life
    assert life.curve
    found = fatigue_notes(record)
    assert len(set(found)) == len(found)
    assert any(life.curve.reference in line for line in found)
    for note in life.notes:
        assert sum(note in line for line in found) == 1


def test_weak_inputs_come_once_and_those_from_memory_first(run: StudyRun) -> None:
    """Every weak row of the full tables is among them, no sure one is."""
    groups = inputs(run)
    found = weak_inputs(groups)
    rows = {(row.name, row.value) for group in groups for row in group.rows if row.unsure}
    assert {(one.name, one.value) for one in found} == rows
    assert len(found) == len(rows)
    remembered = [one.mark == MARKS["memory"] for one in found]
    assert remembered == sorted(remembered, reverse=True)
    assert any(remembered)


def test_a_weak_input_of_two_groups_names_both() -> None:
    """And has one row."""
    row = InputRow("friction", "0.2", "a guess", MARKS["memory"], unsure=True)
    groups = [InputGroup("Stem clamp", (row,)), InputGroup("Load case: push", (row,), "push")]
    (one,) = weak_inputs(groups)
    assert one.groups == ("Stem clamp", "push")


def test_the_table_of_curves_reads_them_at_round_places() -> None:
    """Interpolated, from left to right; a straight line keeps its values."""
    s = np.array([-120.0, -30.0, 70.0, 110.0])
    table = curve_table(Numbers(s, (("twice, mm", 2 * s), ("same", s))))
    assert table.heads == ("twice, mm", "same")
    assert [row[0] for row in table.rows] == ["L 100 mm", "L 50 mm", "0 mm", "R 50 mm", "R 100 mm"]
    assert [row[1] for row in table.rows] == ["\u2212200", "\u2212100", "0", "100", "200"]


def test_every_chart_has_its_values_as_a_table(run: StudyRun, record: ResultsRecord) -> None:
    """Of each case, and of the tube."""
    page = report_html(run, record)
    assert page.count('<table class="values">') == len(record.cases) + 1
    for name, _ in wall_numbers(run).columns:
        assert f"{name[0].upper()}{name[1:]}" in within(page, "sections")


def test_the_sheet_names_mesh_errors_and_limitations(record: ResultsRecord) -> None:
    """Of the governing case, with its number."""
    found = sheet(record, ["first", "second", "third", "fourth"], check_table(record))
    assert found.inspect == ("first", "second", "third")
    assert "case 2" in found.model[1]
    assert set(record.limitations) <= set(found.absent)


def test_zones_beyond_four_are_folded(run: StudyRun, record: ResultsRecord) -> None:
    """And none is lost of the nine that are listed."""
    zones = record.cases[0].buckling.zones
    assert len(zones) > 4
    page = report_html(run, record)
    article = re.search(r'<article class="case".*?</article>', page, re.DOTALL)
    assert article
    for number, zone in enumerate(zones[:9]):
        line = f"<li>{zone.text}</li>"
        assert article[0].count(line) == 1
        assert (line in folded(article[0])) == (number >= 4)


def test_fatigue_has_a_part_only_where_a_case_is_repeated(
    run: StudyRun, record: ResultsRecord
) -> None:
    """And the navigation leads to none that is not there."""
    one = replace(run, cases=run.cases[:1])
    alone = record.model_copy(update={"cases": record.cases[:1], "fatigue": None})
    assert 'href="#lives"' not in report_html(one, alone)
    assert 'href="#lives"' in report_html(run, record)
