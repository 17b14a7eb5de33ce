"""The curves, scales and cuts of a path past yield are those of results.json and of its nodes."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fea.collapse.collapse_mode import rings_of
from studies.assessment.run import StudyRun
from studies.collapse.record import collapse_record
from studies.pictures import (
    path_bar,
)
from studies.pictures.colour_scale import Legend
from studies.pictures.graphs import at_dots, graphs_panel
from studies.pictures.palette import PAPER, ramp, rgb
from studies.pictures.path_curve import (
    LINE,
    NAME_DOTS,
    PATH,
    load_graph,
    marked_points,
    strain_graph,
)
from studies.pictures.path_curve import draw_curve as draw_path_curve
from studies.pictures.path_cut import collapse_ring, cut_at
from studies.pictures.path_figures import draw_path
from studies.pictures.path_steps import ShownPath
from studies.records.collapse import CollapseRecord
from support.drawn_paths import OVAL_SHARE, PLACE, path_of, shift_mm, turned, walked_run
from support.kept_sheets import Drawn, keeping, shown_of

KINDS = ("path", "yielded", "collapse")


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> StudyRun:
    """Return a run of two cases, of which the first has a path."""
    return walked_run(tmp_path_factory.mktemp("walked"))


@pytest.fixture(scope="module")
def shown(run: StudyRun) -> ShownPath:
    """Return what is drawn of the first case."""
    return shown_of(run, run.cases[0])


@pytest.fixture(scope="module")
def record(run: StudyRun) -> CollapseRecord:
    """Return the first case's path as results.json has it."""
    found = collapse_record(run, run.cases[0])
    assert found is not None
    return found


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> Drawn:
    """Return what keeps the sheets of all pictures."""
    return keeping(monkeypatch)


def test_the_curve_is_that_of_the_record(shown: ShownPath, record: CollapseRecord) -> None:
    """Every step is on it, those that go back on thin lines, those beyond the elongation grey."""
    curve = record.curve
    assert curve.deflection_mm is not None
    assert curve.load_n is not None
    graph = load_graph(shown.path, shown.outcome)
    wide = {line.colour: line for line in graph.lines if line.width == 3}
    on = [i for i, phase in enumerate(curve.phase) if phase == "loading"]
    told = np.array([(curve.deflection_mm[i], curve.load_n[i]) for i in on])
    torn = np.array([record.strain_limit_load_deflection_mm, record.strain_limit_load_n])
    before = np.stack([wide[PATH].x, wide[PATH].y], axis=-1)
    for x, y in ([0, 0], *told[:-1], torn):
        assert np.interp(x, *before.T) == pytest.approx(y)
    assert before[[0, -1]] == pytest.approx(np.array([[0, 0], torn]))
    beyond = np.stack([wide[LINE].x, wide[LINE].y], axis=-1)
    assert beyond[[0, -1]] == pytest.approx(np.array([torn, told[-1]]))
    thin = [line for line in graph.lines if line.width < 3 and line.colour == PATH]
    back = [
        (curve.deflection_mm[i], curve.load_n[i])
        for i, phase in enumerate(curve.phase)
        if phase != "loading"
    ]
    assert np.array([(line.x[1], line.y[1]) for line in thin]) == pytest.approx(np.array(back))


def test_the_strain_is_that_of_the_record(shown: ShownPath, record: CollapseRecord) -> None:
    """In percent over the same deflection, with the strains that it is set beside."""
    graph = strain_graph(shown.path, shown.outcome)
    wide = {line.colour: line for line in graph.lines if line.width == 3}
    assert record.strain.elongation is not None
    assert wide[PATH].y[-1] == pytest.approx(100 * record.strain.elongation)
    assert wide[LINE].y[-1] == pytest.approx(100 * record.curve.plastic_strain[-1])
    assert wide[PATH].x[-1] == pytest.approx(record.strain_limit_load_deflection_mm)
    (level,) = {float(line.y[0]) for line in graph.lines if line.style == "--"}
    # 6061-T6 necks where its curve ends, so both have one line
    assert level == pytest.approx(100 * record.strain.elongation)
    assert record.strain.uniform == pytest.approx(record.strain.elongation, rel=0.02)


def test_what_is_marked_stands_in_the_record(shown: ShownPath, record: CollapseRecord) -> None:
    """Limit, elongation, first yield, offset loads and set, with their loads in N."""
    found = marked_points(shown.path, shown.outcome)
    places = {words.split(":")[0]: (met.deflection, met.factor) for met, words in found}
    assert places["limit load"] == (record.limit_load_deflection_mm, record.limit_load_factor)
    assert places["strain limit (elongation)"] == (
        record.strain_limit_load_deflection_mm,
        record.strain_limit_load_factor,
    )
    yielded = record.yield_load_deflection_mm, record.yield_load_factor
    assert places["yield load (0.2 % plastic strain)"] == yielded
    fixed = record.offsets[1]
    assert places["offset 1.0 mm"][1] == fixed.load_factor
    # the first slope, shifted by it, is met there
    assert fixed.load_factor is not None
    assert places["offset 1.0 mm"][0] == pytest.approx(1.0 + fixed.load_factor * 0.5 / 0.5)
    stays = record.unloadings[0].permanent_set_mm
    assert places[f"permanent set {stays:.2g} mm after 400 N"] == (stays, 0.0)


def test_marks_stand_on_the_drawn_curve(shown: ShownPath) -> None:
    """The dot of every step has the curve's colour, and that beside it has not."""
    graph = load_graph(shown.path, shown.outcome)
    panel = graphs_panel([graph])
    for reading in shown.path.readings[5:8]:
        x, y = at_dots(graph, reading.deflection, reading.factor * shown.path.unit)
        row, column = round(panel.bottom + len(panel.picture) - y), round(x - panel.left)
        assert panel.picture[row, column] == pytest.approx(rgb(PATH), abs=0.1)
        assert panel.picture[row - 14, column] == pytest.approx(rgb(PAPER), abs=0.02)


def test_the_linear_answer_is_the_static_one(shown: ShownPath) -> None:
    """The load's place along its force, to what a band's mean and its rigid motion differ by."""
    point = shown.case.answer.load_points[0]
    force = np.array(point.load.force_n)
    along = point.displacement_mm @ force / np.linalg.norm(force)
    assert shown.outcome.linear_deflection == pytest.approx(along, rel=5e-3)
    graph = load_graph(shown.path, shown.outcome)
    thin = [line for line in graph.lines if line.y[-1] / max(line.x[-1], 1e-9) > 900]
    (line,) = [one for one in thin if one.style == "-" and one.width < 1.3]
    assert line.y[1] / line.x[1] == pytest.approx(shown.path.unit / along, rel=5e-3)


@pytest.mark.parametrize(("uniform", "upper"), [(0.065, True), (0.03, True), (0.068, False)])
def test_a_name_stands_on_its_own_lines_side(
    shown: ShownPath, drawn: Drawn, tmp_path: Path, uniform: float, *, upper: bool
) -> None:
    """Of two strain limits the upper one's is above both, the lower one's never above the other."""
    outcome = replace(shown.outcome, uniform=uniform, elongation=0.0665)
    draw_path_curve(replace(shown, outcome=outcome), tmp_path / "curve.png")
    graph = strain_graph(shown.path, outcome)
    marks = {one.words.rsplit(" ", 2)[0]: one for one in drawn.sheets["curve"].marks}
    names = ("uniform strain", "elongation") if upper else ("elongation", "uniform strain")
    low, high = (marks[name] for name in names)
    for mark, strain in ((low, min(uniform, 0.0665)), (high, max(uniform, 0.0665))):
        assert mark.at[1] == pytest.approx(at_dots(graph, 0.0, 100 * strain)[1])
    assert low.at[1] < high.at[1]
    assert high.bounds.bottom == high.at[1]
    assert low.bounds.top <= high.at[1]
    assert (low.bounds.top == low.at[1]) == (high.at[1] - low.at[1] < NAME_DOTS)


def test_moments_are_drawn_over_degrees(run: StudyRun, drawn: Drawn, tmp_path: Path) -> None:
    """In N·m, and no word speaks of mm along the curve."""
    case = replace(run.cases[0], path=turned(path_of(run.study)))
    shown = shown_of(run, case)
    graph = load_graph(shown.path, shown.outcome)
    assert graph.titles[1] == "moment, N·m"
    assert strain_graph(shown.path, shown.outcome).titles[0] == "rotation along the moments, deg"
    wide = next(line for line in graph.lines if line.width == 3 and line.colour == LINE)
    assert wide.x[-1] == pytest.approx(6.0)
    assert wide.y[-1] == pytest.approx(1.3 * 400)
    draw_path(run, case, drawn.draw, tmp_path)
    sheet = drawn.sheets[f"{case.placed.case.id}-path"]
    assert not any("mm" in mark.words for mark in sheet.marks)
    assert any(mark.words == "permanent set 0.1 deg after 400 N·m" for mark in sheet.marks)


def test_one_scale_of_strain_ends_at_the_elongation(shown: ShownPath, drawn: Drawn) -> None:
    """By its root, so that first yield is seen; beyond the elongation all is the darkest."""
    path_bar.draw_bar(shown, drawn.draw, Path("a"))
    assert shown.legend.end == pytest.approx(100 * np.log(1.1))
    assert shown.legend.open
    mesh = shown.path.mesh
    strains = [shown.path.steps[number].snapshot.outer for number in (5, 6, 8)]
    for strain, (surfaces, _) in zip(strains, drawn.pictures, strict=True):
        colours = surfaces[1].colours.reshape(len(mesh.outer), 16, 3)[:, 0]
        share = np.sqrt(np.minimum(strain[mesh.sheet.quads[:, 0]] / np.log(1.1), 1.0))
        assert colours == pytest.approx(ramp(share), abs=1e-6)


def test_a_scale_is_not_blown_up_to_rounding(run: StudyRun) -> None:
    """An elastic bar is not coloured by strains of nought."""
    shown = shown_of(run, replace(run.cases[0], path=path_of(run.study, 1)))
    assert shown.legend.end == pytest.approx(0.2)
    assert Legend("", 8.0, by_root=True).share(np.array([0.0, 2.0, 9.0])) == pytest.approx(
        [0.0, 0.5, 1.0]
    )


def test_a_cut_shows_the_flattening_alone(shown: ShownPath) -> None:
    """However the bar has turned: what is left is the harmonic that was put in."""
    mesh, step = shown.path.mesh, shown.path.steps[-1]
    turn = Rotation.from_rotvec([0.3, -0.8, 0.5])
    carried = turn.apply(mesh.points_mm + shift_mm(mesh, 6.0)) + np.array([5.0, -90.0, 30.0])
    snapshot = replace(step.snapshot, displacement_mm=(carried - mesh.points_mm).astype(np.float32))
    cut = cut_at(mesh, 7, replace(step, snapshot=snapshot))
    nodes = rings_of(mesh).outer[7]
    assert sorted(map(tuple, cut.before_mm[1])) == sorted(map(tuple, mesh.points_mm[nodes]))
    out = np.linalg.norm(cut.after_mm[..., 1:], axis=-1) - np.linalg.norm(
        cut.before_mm[..., 1:], axis=-1
    )
    theta = mesh.sheet.nodes[cut.sheet, 1]
    expected = np.tile(OVAL_SHARE * 6.0 * np.cos(2 * theta), (2, 1))
    assert out == pytest.approx(expected, abs=1e-4)
    assert cut.oval_percent == pytest.approx(100 * 4 * OVAL_SHARE * 6.0 / 25.4, rel=0.02)


def test_the_cut_is_where_the_wall_has_moved_most(run: StudyRun, shown: ShownPath) -> None:
    """Within half a diameter of the place, not at a larger dent elsewhere."""
    mesh, step = shown.path.mesh, shown.path.steps[-1]
    s, theta = mesh.block[:, 0], mesh.block[:, 1]
    radial = np.column_stack([0 * s, np.sin(theta), np.cos(theta)])
    out = 0.2 * np.exp(-(((s - 46) / 4) ** 2)) + 0.9 * np.exp(-(((s + 60) / 4) ** 2))
    dent = (out * np.cos(2 * theta))[:, None] * radial
    snapshot = replace(step.snapshot, displacement_mm=dent.astype(np.float32))
    ring = collapse_ring(run.study.bar, mesh, replace(step, snapshot=snapshot))
    at = rings_of(mesh).s_mm
    near = at[np.abs(at - PLACE.s_mm) <= 12.7]
    assert at[ring] == pytest.approx(near[np.argmin(np.abs(near - 46))])
