"""What the page says of a path past yield, against the record and the path made by hand."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fea.collapse.reading import YIELD_STRAIN
from studies.assessment.run import StudyRun, run_study
from studies.comparison.comparison_page import comparison_html
from studies.comparison.designs import design_in
from studies.page.answers import answers
from studies.page.graph import Graph
from studies.page.past_yield import past_yield, path_cautions
from studies.page.path_steps import MOST_SHOWN, deflections, loads, meanings, shown_steps
from studies.page.report import report_html
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.collapse import CollapseRecord
from studies.results.record import results_record
from studies.results.writing import write_results
from studies.study_file.study import read_study
from support.axes import read_off
from support.page_paths import with_made_paths
from support.pages import short_bar

POINTER = "`barwright collapse` computes both"


@pytest.fixture(scope="module")
def linear(tmp_path_factory: pytest.TempPathFactory) -> StudyRun:
    """Return two solved cases without a path."""
    return run_study(read_study(short_bar(tmp_path_factory.mktemp("pier"), "pier", 1.0)))


@pytest.fixture(scope="module")
def run(linear: StudyRun) -> StudyRun:
    """Return them with a path for the first."""
    return with_made_paths(linear, "push")


@pytest.fixture(scope="module")
def record(run: StudyRun) -> ResultsRecord:
    """Return what results.json holds."""
    return results_record(run)


@pytest.fixture(scope="module")
def case(record: ResultsRecord) -> CaseRecord:
    """Return the case with the path."""
    return record.cases[0]


@pytest.fixture(scope="module")
def collapse(case: CaseRecord) -> CollapseRecord:
    """Return its path."""
    assert case.collapse
    return case.collapse


@pytest.fixture(scope="module")
def graphs(case: CaseRecord) -> tuple[Graph, ...]:
    """Return its graphs."""
    past = past_yield(case)
    assert past
    return past.graphs


@pytest.fixture(scope="module")
def page(run: StudyRun, record: ResultsRecord) -> str:
    """Return the page."""
    return report_html(run, record)


def _text(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page)).replace("&#39;", "'")


def test_every_step_is_a_dot_where_it_belongs(
    collapse: CollapseRecord, graphs: tuple[Graph, ...]
) -> None:
    """Read off the axes, the dots are the record's loads, strains and deflections."""
    for graph, wanted in zip(
        graphs, (collapse.curve.load_n, collapse.curve.plastic_strain), strict=True
    ):
        up = np.array(wanted) * (1 if graph.name == "load" else 100)
        across = read_off(graph.x_ticks, [dot.x for dot in graph.dots])
        assert across == pytest.approx(collapse.curve.deflection_mm, rel=1e-6)
        assert read_off(graph.y_ticks, [dot.y for dot in graph.dots]) == pytest.approx(up, abs=1e-9)
    assert [dot.x for dot in graphs[0].dots] == [dot.x for dot in graphs[1].dots]


def test_marks_are_the_figures_of_the_record(
    collapse: CollapseRecord, graphs: tuple[Graph, ...]
) -> None:
    """First yield, both offsets, limit, elongation and set stand at their loads, on the curve."""
    up = graphs[0]
    found = {label.words.split(",")[0]: label for label in up.labels}
    offsets = [f"offset {one.shift_mm:.2f} mm" for one in collapse.offsets if one.load_n]
    assert list(found) == [
        "yield load", *offsets, "limit load", "strain limit (elongation)",
        "permanent set after 800 N",
    ]  # fmt: skip
    wanted = [collapse.yield_load_n, *(one.load_n for one in collapse.offsets if one.load_n)]
    wanted += [collapse.limit_load_n, collapse.strain_limit_load_n, 0.0]
    assert read_off(up.y_ticks, [label.y for label in up.labels]) == pytest.approx(wanted)
    at = dict(zip(found, read_off(up.x_ticks, [label.x for label in up.labels]), strict=True))
    assert at["limit load"] == pytest.approx(collapse.limit_load_deflection_mm)
    assert at["strain limit (elongation)"] == pytest.approx(
        collapse.strain_limit_load_deflection_mm
    )
    assert at["permanent set after 800 N"] == pytest.approx(collapse.unloadings[1].permanent_set_mm)
    kept = [k for k, phase in enumerate(collapse.curve.phase) if phase == "loading"]
    for name in ("yield load", *offsets):
        there = np.interp(at[name], deflections(collapse)[kept], loads(collapse)[kept])
        assert there == pytest.approx(wanted[list(found).index(name)], rel=1e-3)


def test_the_linear_answer_has_the_linear_stiffness(
    case: CaseRecord, graphs: tuple[Graph, ...]
) -> None:
    """Its straight line begins at nought and rises as the single force's gauge says."""
    line = next(path for path in graphs[0].paths if path.name == "linear run")
    points = [part.split(" ") for part in line.d[1:].split("L")]
    x = read_off(graphs[0].x_ticks, [float(point[0]) for point in points])
    y = read_off(graphs[0].y_ticks, [float(point[1]) for point in points])
    assert x[0] == pytest.approx(0, abs=1e-3)
    assert y[1] / x[1] == pytest.approx(case.stiffness_n_per_mm, rel=5e-3)


def test_taking_a_load_away_is_a_branch_of_its_own(
    collapse: CollapseRecord, graphs: tuple[Graph, ...]
) -> None:
    """As many pieces as steps back and forth, and none of them on the rising curve."""
    pieces = {path.name: path.d.count("M") for path in graphs[0].paths}
    back = sum(phase != "loading" for phase in collapse.curve.phase)
    assert pieces["unloading and reloading"] == back > 0
    assert pieces["path past yield"] == len(collapse.curve.phase) - back


def test_labels_hide_neither_each_other_nor_leave_the_graph(graphs: tuple[Graph, ...]) -> None:
    """Words of marks close to each other are moved apart."""
    boxes = []
    for label in graphs[0].labels:
        wide = 6 * len(label.words)
        left = label.text_x if label.anchor == "start" else label.text_x - wide
        assert left >= 64
        assert left + wide <= 1000
        boxes.append((left, label.text_y, left + wide))
    for k, (left, y, right) in enumerate(boxes):
        for other in boxes[:k]:
            assert abs(y - other[1]) >= 10 or left >= other[2] or right <= other[0]


def test_words_of_two_close_levels_stand_apart(case: CaseRecord, collapse: CollapseRecord) -> None:
    """Uniform strain just below the elongation: each line keeps words of its own."""
    strain = collapse.strain.model_copy(update={"uniform": 0.9 * (collapse.strain.elongation or 0)})
    past = past_yield(
        case.model_copy(update={"collapse": collapse.model_copy(update={"strain": strain})})
    )
    assert past
    low, high = past.graphs[1].levels
    assert (low.words, high.words) == ("uniform strain", "elongation")
    assert low.text_y - high.text_y > 12
    wanted = [100 * strain.uniform, 100 * (strain.elongation or 0)]
    read = read_off(past.graphs[1].y_ticks, [low.at, high.at])
    assert read == pytest.approx(wanted)


def test_the_page_says_what_the_path_says(page: str, collapse: CollapseRecord) -> None:
    """Every sentence, the tables' loads, how it was walked, and the collapse under the verdict."""
    text = _text(page)
    for sentence in (*collapse.text, collapse.ended, collapse.flow_curve):
        assert sentence in text
    for load in (collapse.yield_load_n, collapse.limit_load_n, collapse.strain_limit_load_n):
        assert f"{load:.0f} N" in text
    assert f"{collapse.unloadings[1].permanent_set_mm:.2f} mm" in text
    assert f"{collapse.layers} layers through the wall" in text
    head = _text(page[: page.index("<nav")])
    assert (
        f"Collapse under 'Push on the right': limit load {collapse.limit_load_n:.0f} N at" in head
    )
    assert not re.search(r"\b(nan|None|inf|safe)\b", text)


def test_a_case_without_a_path_has_no_such_part(
    page: str, linear: StudyRun, record: ResultsRecord
) -> None:
    """Neither the other case, nor a page without any path."""
    assert page.count("<h4>Past yield</h4>") == 1
    assert past_yield(record.cases[1]) is None
    plain = report_html(linear, results_record(linear))
    for word in ("Past yield</h4>", "data-path=", '"steps":true', 'class="beyond"'):
        assert word not in plain
        assert word in page


def test_answers_say_what_the_path_says_or_where_to_ask(
    run: StudyRun, record: ResultsRecord, linear: StudyRun, collapse: CollapseRecord
) -> None:
    """With a path its loads and place; without one the command that walks it."""
    found = {one.question: " ".join(one.sentences) for one in answers(run, record)}
    without = {
        one.question: " ".join(one.sentences) for one in answers(linear, results_record(linear))
    }
    assert f"limit load {collapse.limit_load_n:.0f} N" in found["At what load?"]
    assert f"{collapse.yield_load_n:.0f} N" in found["At what load?"]
    assert "Collapse under 'Push on the right'" in found["What fails first?"]
    assert collapse.place
    assert collapse.place.text in found["Where?"]
    assert "elastic-plastic" in found["What was assumed?"]
    assert POINTER in without["At what load?"]
    assert POINTER not in " ".join(found.values())
    assert len(found) == len(without) == 10


def test_a_bar_that_buckles_says_so(run: StudyRun) -> None:
    """In the answers, among the loads read off, on the graph and beside the slider."""
    path = run.cases[0].path
    assert path
    steps = list(path.steps)
    last = next(i for i, one in enumerate(steps) if one.reading.factor >= 2.4)
    steps[last + 1] = replace(steps[last + 1], reading=replace(steps[last + 1].reading, negative=1))
    bent = replace(run.cases[0], path=replace(path, steps=tuple(steps)))
    buckled = replace(run, cases=(bent, *run.cases[1:]))
    record = results_record(buckled)
    collapse, past = record.cases[0].collapse, past_yield(record.cases[0])
    assert collapse
    assert past
    after, before = (
        f"{one:.0f} N" for one in (collapse.bifurcation_from_n, collapse.bifurcation_to_n)
    )
    said = " ".join(line for one in answers(buckled, record) for line in one.sentences)
    assert f"bifurcation between {after} and {before}" in said
    read = {one.name: one.load for one in past.read_off}
    assert read["last before bifurcation"] == after
    assert (
        read["limit load: the load falls beyond"] == read["strain limit (elongation)"] == "\u2013"
    )
    assert f"last before bifurcation, {after}" in [one.words for one in past.graphs[0].labels]
    assert meanings(collapse)[collapse.reported_step - 1] == "the last before bifurcation"


def test_cautions_stand_once_and_name_a_case_that_is_alone(linear: StudyRun) -> None:
    """What all paths share is said once; a path that broke off is named."""
    both = with_made_paths(linear, "push", "pull")
    cut = with_made_paths(linear, "pull", terminated="the wall folded onto itself")
    mixed = (both.cases[0], cut.cases[1])
    cautions = path_cautions(results_record(replace(both, cases=mixed)).cases)
    assert len(set(cautions)) == len(cautions)
    named = [line for line in cautions if "Pull on both" in line or "Push on" in line]
    assert named == [
        "'Pull on both': Path terminated early: the wall folded onto itself. The steps before it "
        "are valid."
    ]


def test_shown_steps_hold_all_that_stand_for_something(collapse: CollapseRecord) -> None:
    """At most so many, ascending, evenly spread, and each with a meaning among them."""
    shown = shown_steps(collapse)
    assert len(collapse.curve.phase) > MOST_SHOWN == len(shown)
    assert sorted(set(shown)) == list(shown)
    assert set(meanings(collapse)) <= set(shown)
    strain = np.array(collapse.curve.plastic_strain)
    named = {words: step for step, words in meanings(collapse).items()}
    assert (
        named["the limit load"]
        == collapse.reported_step - 1
        == int(np.argmax(collapse.curve.load_factor))
    )
    assert named["the last step"] == len(strain) - 1
    first = named["the first past 0.2 % plastic strain"]
    assert strain[first - 1] < YIELD_STRAIN <= strain[first]
    assert collapse.curve.load_factor[named["unloaded from 800 N"]] == 0
    few = shown_steps(collapse, 11)
    assert len(few) == 11
    # no step lies further from those shown than one that was added for that lies from the others
    way = np.cumsum(np.abs(np.diff(collapse.curve.deflection_mm, prepend=0)))
    furthest = np.abs(way[:, None] - way[list(few)]).min(axis=1).max()
    for step in set(few) - set(meanings(collapse)):
        others = [other for other in few if other != step]
        assert np.abs(way[step] - way[others]).min() >= furthest


def test_comparisons_leave_paths_aside(run: StudyRun, tmp_path: Path) -> None:
    """A page with a path serves a comparison, which carries none of it."""
    write_results(run, tmp_path / "out")
    found = design_in(tmp_path / "out", run.study, run.level)
    assert found
    assert found.scene["cases"][0]["path"]["steps"]
    made = comparison_html([found, found])
    assert '"steps":true' not in made
    assert '"factor":' not in made
    assert found.scene["cases"][0]["path"]
