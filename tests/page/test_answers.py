"""The page alone answers ten written questions."""

import re
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from fea.solid.peak_error import PEAK_COVERAGE
from geometry.source import MARKS, Source
from loadcases.bolts import Bolts
from studies.assessment.run import StudyRun, run_study
from studies.page.answers import answers
from studies.page.inputs import inputs
from studies.page.inspection import PRACTICE, inspections
from studies.page.report import report_html
from studies.records.case import ResultsRecord
from studies.records.parts import governing_case
from studies.records.places import on_ruler
from studies.results.record import results_record
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study
from support.pages import RISER


def range_of(told: ResultsRecord) -> str:
    """Return the range of the governing factor, of both ends as results.json holds them."""
    ends = governing_case(told.cases).limits[0].factor_range
    assert ends is not None
    return f"{ends[0]:.2f} to {ends[2]:.2f} x load"


QUESTIONS: tuple[tuple[str, Callable[[ResultsRecord], list[str]]], ...] = (
    (
        "What fails first?",
        lambda told: [
            f"Fatigue under 'Fatigue, in phase': {range_of(told)}, not decided by this model; "
            f"nearest verified limit: first yield {told.cases[0].yield_factor:.2f} x load",
        ],
    ),
    (
        "At what load?",
        lambda told: [
            f"{range_of(told)} of 'Fatigue, in phase'",
            " N at right",
            "At the load of the case: not decided by this model.",
        ],
    ),
    ("Where?", lambda told: [governing_case(told.cases).limits[0].place[1:]]),
    ("How heavy is it?", lambda told: [f"{told.bar.mass_g:.0f} g"]),
    (
        "How stiff is it?",
        lambda told: [f"{case.stiffness_n_per_mm:.1f} N/mm" for case in told.cases],
    ),
    (
        "What was assumed?",
        lambda told: [*told.limitations, "elastic, stiffness estimated", "ovality 3 %"],
    ),
    (
        "Which inputs are weak?",
        lambda told: ["surface factor", MARKS["memory"][1:], "fatigue force F7"],
    ),
    (
        "How accurate are the figures?",
        lambda told: [
            "Error estimate of the mesh",
            PEAK_COVERAGE,
            "beam bounds",
            "clamp stiffness x 1/3",
        ],
    ),
    (
        "What does the standard require?",
        lambda told: ["1000 N", "at most 15 mm", "100 000 cycles", "accredited"],
    ),
    (
        "What should be inspected?",
        lambda told: ["look for a crack", governing_case(told.cases).limits[0].place[1:]],
    ),
)
"""The questions, and what the answer to each must hold."""


class Answers(HTMLParser):
    """Reads the ten answers out of a page."""

    def __init__(self) -> None:
        """Begin outside the list."""
        super().__init__(convert_charrefs=True)
        self.found: dict[str, str] = {}
        self.inside = self.question = False
        self.last = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Enter the list, and notice a question."""
        self.inside = self.inside or dict(attrs).get("class") == "answers"
        self.question = tag == "dt"

    def handle_endtag(self, tag: str) -> None:
        """Leave the list."""
        self.inside = self.inside and tag != "dl"

    def handle_data(self, data: str) -> None:
        """Note what stands in the list."""
        text = data.strip()
        if not self.inside or not text:
            return
        if self.question:
            self.last, self.found[text] = text, ""
        else:
            self.found[self.last] += f" {text}"


@pytest.fixture(scope="module")
def run(riser: StudyRun) -> StudyRun:
    """Return two cases of the riser example, solved coarsely."""
    return riser


@pytest.fixture(scope="module")
def record(riser_record: ResultsRecord) -> ResultsRecord:
    """Return what results.json holds of them."""
    return riser_record


@pytest.fixture(scope="module")
def found(run: StudyRun, record: ResultsRecord) -> dict[str, str]:
    """Return questions and answers as they stand in the page."""
    reader = Answers()
    reader.feed(report_html(run, record))
    return reader.found


def test_the_page_asks_the_ten_questions(found: dict[str, str]) -> None:
    """These, and in this order."""
    assert list(found) == [question for question, _ in QUESTIONS]


@pytest.mark.parametrize(("question", "wanted"), QUESTIONS, ids=[text for text, _ in QUESTIONS])
def test_each_answer_stands_in_the_page(
    found: dict[str, str],
    record: ResultsRecord,
    question: str,
    wanted: Callable[[ResultsRecord], list[str]],
) -> None:
    """As text, with the figures of the results."""
    for part in wanted(record):
        assert part in found[question]


def test_every_unsure_input_is_named_as_remembered(run: StudyRun, found: dict[str, str]) -> None:
    """What nobody has looked up stands in the answer, and the sure ones do not."""
    rows = [row for group in inputs(run) for row in group.rows]
    unsure = [row for row in rows if row.unsure]
    assert len(unsure) > 8
    for row in unsure:
        assert row.name.partition("; ")[0] in found["Which inputs are weak?"]
    assert "Poisson" not in found["Which inputs are weak?"]


def test_a_remembered_strength_is_told(run: StudyRun, record: ResultsRecord) -> None:
    """A material whose strength is from memory says so among the answers."""
    spec = run.study.bar.spec
    guessed = replace(spec.material, source=Source("memory", "a guess"))
    bar = replace(run.study.bar, spec=replace(spec, material=guessed))
    told = answers(replace(run, study=replace(run.study, bar=bar)), record)
    remembered = next(a for a in told if a.question == "Which inputs are weak?")
    assert any("0.2 % proof stress" in sentence for sentence in remembered.sentences)


def test_inputs_hold_every_station_load_and_clamp(run: StudyRun) -> None:
    """Nothing that entered the answer is left out."""
    text = "\n".join(
        f"{group.title} {row.name} {row.value}" for group in inputs(run) for row in group.rows
    )
    spec = run.study.bar.spec
    for station in spec.stations:
        assert f"outer diameter {station.od_mm:g} mm, wall {station.wall_mm:g} mm" in text
    for point in spec.right.points_mm:
        assert f"({point[0]:g}, {point[1]:g}, {point[2]:g})" in text
    for placed in run.study.cases:
        for load in placed.loads:
            assert f"load at {on_ruler(load.at_mm, 1)}" in text
    assert "Lever clamp, right 236.9 mm" in text
    for name in ("Young's modulus", "density", "nut factor", "friction", "roll", "cycles"):
        assert name in text


def test_a_value_of_the_users_own_is_not_called_a_default(run: StudyRun) -> None:
    """Friction measured by the user carries no remembered source."""
    bolts = Bolts(4, 5.0, 5.0, friction=0.31)
    study = replace(run.study, clamp=replace(run.study.clamp, bolts=bolts), levers=())
    rows = [row for group in inputs(replace(run, study=study)) for row in group.rows]
    friction = next(row for row in rows if row.name == "friction of clamp on tube")
    assert (friction.value, friction.unsure) == ("0.31", False)


def test_inspection_begins_with_the_governing_place(run: StudyRun, record: ResultsRecord) -> None:
    """The first look is where the nearest limit is; the last sentence is the caution."""
    looks = inspections(run, record)
    assert governing_case(record.cases).limits[0].place[1:] in looks[0]
    assert looks[-1] == PRACTICE
    assert len(set(looks)) == len(looks)


def test_a_clamp_edge_is_inspected_on_both_sides_of_the_edge(
    run: StudyRun, record: ResultsRecord
) -> None:
    """The worst clamp edge and the worst other place, whichever of them governs."""
    life = record.cases[1].fatigue
    assert life is not None
    assert life.clamp_edge is not None
    assert life.elsewhere is not None
    looks = inspections(run, record)
    (edge,) = [look for look in looks if "from 3 mm inside to 1 mm outside of the edge" in look]
    assert life.clamp_edge.at.text in edge
    assert "on both sides of the bending axis: look for a crack" in edge
    assert life.elsewhere.at.text[1:] in looks[0]
    assert "3 mm inside" not in looks[0]
    swapped = record.cases[1].model_copy(
        update={"fatigue": life.model_copy(update={"at": life.clamp_edge.at})}
    )
    first = inspections(run, record.model_copy(update={"cases": [record.cases[0], swapped]}))[0]
    assert first == edge


def test_tables_show_both_ends_of_a_range(run: StudyRun, record: ResultsRecord) -> None:
    """Of the governing factor of each case, and of each limit."""
    page = report_html(run, record)
    low, middle, high = record.cases[1].limits[0].factor_range or (0, 0, 0)
    ends = f"<b>{low:.2f} to {high:.2f}</b>"
    assert f'<td class="governs">{ends} fatigue<small>verified:' in page
    assert f'<td class="n">{ends}<small>middle {middle:.2f}</small><small>' in page


@pytest.mark.parametrize(
    "name", ["harbour-flat", pytest.param("harbour-drop", marks=pytest.mark.slow)]
)
def test_answers_of_the_other_examples_are_whole(name: str) -> None:
    """No answer is empty or holds what a program would write."""
    study = read_study(Path(RISER).with_name(f"{name}.toml"))
    kept = with_cases(study, [study.cases[0].case.id])
    run = run_study(kept, level="coarse")
    record = results_record(run)
    for answer in answers(run, record):
        assert answer.sentences
        for sentence in (*answer.sentences, *inspections(run, record)):
            assert not re.search(r"\b(nan|None|inf|safe)\b", sentence), sentence
            assert sentence.endswith((".", "?"))
