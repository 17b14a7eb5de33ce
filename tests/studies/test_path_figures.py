"""The pictures of a path past yield: whole, true to scale, and of the numbers in results.json.

Over 300 lines, since the tests share one solved run: workers take whole files, and a second file
would solve a second one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread
from scipy.spatial.transform import Rotation

from fea.collapse.collapse_mode import rings_of
from geometry.bar import axes
from loadcases.clamp import FREE
from studies.assessment.run import CaseRun, StudyRun
from studies.collapse.record import collapse_record
from studies.pictures import (
    figures,
    path_bar,
    path_collapse,
    path_curve,
    path_figures,
    zones,
)
from studies.pictures.drawing_plain import draw_plain
from studies.pictures.figure_layout import CAUTION, Legend, Sheet
from studies.pictures.figures import draw_figures
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
from studies.pictures.path_steps import ShownPath, shown_path
from studies.pictures.scene import Surface, View
from studies.records.collapse import CollapseRecord
from support.drawn_paths import OVAL_SHARE, PLACE, path_of, shift_mm, turned, walked_run

KINDS = ("path", "yielded", "collapse")


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> StudyRun:
    """Return a run of two cases, of which the first has a path."""
    return walked_run(tmp_path_factory.mktemp("walked"))


@pytest.fixture(scope="module")
def shown(run: StudyRun) -> ShownPath:
    """Return what is drawn of the first case."""
    return _shown(run, run.cases[0])


@pytest.fixture(scope="module")
def record(run: StudyRun) -> CollapseRecord:
    """Return the first case's path as results.json has it."""
    found = collapse_record(run, run.cases[0])
    assert found is not None
    return found


@dataclass(frozen=True)
class Drawn:
    """What is handed on to be drawn and written, instead of it."""

    sheets: dict[str, Sheet] = field(default_factory=dict)
    pictures: list[tuple[list[Surface], View]] = field(default_factory=list)

    def write(self, sheet: Sheet, path: Path) -> None:
        """Keep a sheet."""
        self.sheets[path.stem] = sheet

    def draw(self, surfaces: Sequence[Surface], view: View, size: tuple[int, int]) -> np.ndarray:
        """Keep what a picture shows; return a blank one."""
        self.pictures.append((list(surfaces), view))
        return np.ones((*size[::-1], 3)) * rgb(PAPER)


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> Drawn:
    """Return what keeps the sheets of all pictures."""
    kept = Drawn()
    for module in (figures, zones, path_curve, path_bar, path_collapse):
        monkeypatch.setattr(module, "write_sheet", kept.write)
    return kept


def _shown(run: StudyRun, case: CaseRun) -> ShownPath:
    found = shown_path(run, case)
    assert found is not None
    return found


def test_a_case_with_a_path_has_three_more_pictures(
    run: StudyRun, drawn: Drawn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And one without has none of them, in the run's own folder."""
    monkeypatch.setenv("BARWRIGHT_PICTURES", "plain")
    monkeypatch.setattr(figures, "draw_plain", drawn.draw)
    draw_figures(run, tmp_path)
    first, second = (case.placed.case.id for case in run.cases)
    usual = {f"{name}-{kind}" for name in (first, second) for kind in ("deformed", "stress")}
    usual |= {f"{name}-{kind}" for name in (first, second) for kind in ("peak", "zones")}
    assert set(drawn.sheets) == {*usual, *(f"{first}-{kind}" for kind in KINDS)}


def test_they_are_drawn_without_opengl(run: StudyRun, tmp_path: Path) -> None:
    """Three sheets, none of them blank; here of a path that ends as it has yielded."""
    draw_path(run, replace(run.cases[0], path=path_of(run.study, 6)), draw_plain, tmp_path)
    draw_path(run, run.cases[1], draw_plain, tmp_path)
    name = run.cases[0].placed.case.id
    assert {path.name for path in tmp_path.iterdir()} == {f"{name}-{kind}.png" for kind in KINDS}
    for path in tmp_path.iterdir():
        image = imread(path)[..., :3]
        assert image.shape == (900, 1600, 3)
        assert 0.03 < (np.abs(image - rgb(PAPER)).max(axis=-1) > 0.05).mean() < 0.9


def test_a_bar_that_stays_elastic_has_no_place_where_it_gives(
    run: StudyRun, drawn: Drawn, tmp_path: Path
) -> None:
    """Its only step is drawn, and nothing is marked that did not happen."""
    case = replace(run.cases[0], path=path_of(run.study, 1))
    draw_path(run, case, drawn.draw, tmp_path)
    name = case.placed.case.id
    assert set(drawn.sheets) == {f"{name}-path", f"{name}-yielded"}
    assert [panel.caption for panel in drawn.sheets[f"{name}-yielded"].panels] == [
        "end of the path: 200 N at 0.5 mm"
    ]
    told = {mark.words.split(":")[0] for mark in drawn.sheets[f"{name}-path"].marks}
    absent = "yield load", "limit load", "offset", "permanent set"
    assert not any(words.startswith(absent) for words in told)


def test_a_bar_that_buckles_has_no_place_where_it_gives(
    run: StudyRun, drawn: Drawn, tmp_path: Path
) -> None:
    """The last step before is drawn and marked, and the largest load of the path is not."""
    path = path_of(run.study)
    # the seventh step began with a direction unstable, the fifth did not end so
    steps = [*path.steps]
    steps[6] = replace(steps[6], reading=replace(steps[6].reading, negative=1))
    case = replace(run.cases[0], path=replace(path, steps=tuple(steps)))
    draw_path(run, case, drawn.draw, tmp_path)
    name = case.placed.case.id
    assert set(drawn.sheets) == {f"{name}-path", f"{name}-yielded"}
    told = {mark.words for mark in drawn.sheets[f"{name}-path"].marks}
    assert "last before bifurcation: 380 N" in told
    assert not any(words.startswith(("limit load", "strain limit (elongation)")) for words in told)
    captions = [panel.caption for panel in drawn.sheets[f"{name}-yielded"].panels]
    assert "last step before bifurcation: 380 N at 1.0 mm" in captions
    assert any("leaves this path" in note for note in drawn.sheets[f"{name}-path"].notes)


def test_a_path_without_a_step_is_not_drawn(run: StudyRun, drawn: Drawn, tmp_path: Path) -> None:
    """It says nothing."""
    draw_path(run, replace(run.cases[0], path=path_of(run.study, 0)), drawn.draw, tmp_path)
    assert not drawn.sheets


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


def test_a_limit_load_is_that_of_the_text(run: StudyRun, drawn: Drawn, tmp_path: Path) -> None:
    """In captions and beside arrows too, where the highest step lies below the top of the curve."""
    path = path_of(run.study)
    slopes = dict(zip((5, 6, 7, 8), (0.4, 0.25, 0.15, -0.1), strict=True))
    steps = (
        replace(step, reading=replace(step.reading, slope=slopes.get(number)))
        for number, step in enumerate(path.steps)
    )
    case = replace(run.cases[0], path=replace(path, steps=tuple(steps)))
    found = collapse_record(run, case)
    assert found is not None
    assert found.limit_load_n is not None
    load = f"{found.limit_load_n:.0f} N"
    assert load != "640 N"
    assert any(f"limit load {load} at" in words for words in found.text)
    draw_path(run, case, drawn.draw, tmp_path)
    sheets = {name.rsplit("-", 1)[1]: sheet for name, sheet in drawn.sheets.items()}
    assert any(mark.words == f"limit load: {load}" for mark in sheets["path"].marks)
    assert any(mark.words == load for mark in sheets["yielded"].marks)
    for kind in ("yielded", "collapse"):
        (caption,) = {one.caption for one in sheets[kind].panels if "limit load" in one.caption}
        assert caption.startswith(f"limit load: {load} at ")


def test_moments_are_drawn_over_degrees(run: StudyRun, drawn: Drawn, tmp_path: Path) -> None:
    """In N·m, and no word speaks of mm along the curve."""
    case = replace(run.cases[0], path=turned(path_of(run.study)))
    shown = _shown(run, case)
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


def test_the_steps_that_tell_most_are_drawn_true_to_scale(
    run: StudyRun, shown: ShownPath, drawn: Drawn, tmp_path: Path
) -> None:
    """First yield, limit and end; every corner of an element is where its node went."""
    draw_path(run, shown.case, drawn.draw, tmp_path)
    name, mesh = shown.case.placed.case.id, shown.path.mesh
    sheet = drawn.sheets[f"{name}-yielded"]
    assert [panel.caption for panel in sheet.panels] == [
        "first step past yield: 560 N at 2.0 mm",
        "limit load: 640 N at 3.0 mm",
        "end of the path: 520 N at 6.0 mm",
    ]
    corners = mesh.outer[:, :4]
    for number, (surfaces, view) in zip((5, 6, 8), drawn.pictures[:3], strict=True):
        ghost, bar = (skin.points_mm.reshape(len(corners), 4, 4, 3) for skin in surfaces[:2])
        moved = mesh.points_mm + shift_mm(mesh, shown.path.readings[number].deflection)
        assert bar[:, [0, 0, 3, 3], [0, 3, 3, 0]] == pytest.approx(moved[corners], abs=1e-4)
        still = ghost + 6.0 * view.towards
        assert still[:, [0, 0, 3, 3], [0, 3, 3, 0]] == pytest.approx(mesh.points_mm[corners])
    assert "true to scale" in sheet.subtitle


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
    shown = _shown(run, replace(run.cases[0], path=path_of(run.study, 1)))
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


@pytest.mark.parametrize("theta_rad", [0.0, np.pi / 2, np.pi, -np.pi / 2])
@pytest.mark.parametrize("s_mm", [40.0, -40.0])
def test_the_close_look_sees_its_place(
    run: StudyRun, drawn: Drawn, s_mm: float, theta_rad: float
) -> None:
    """Whichever way the wall looks; up stays up, and outboard is to the right if it then can be."""
    path = path_of(run.study)
    steps = [
        replace(
            one,
            reading=replace(
                one.reading, strain=replace(one.reading.strain, s_mm=s_mm, theta_rad=theta_rad)
            ),
        )
        for one in path.steps
    ]
    shown = _shown(run, replace(run.cases[0], path=replace(path, steps=tuple(steps))))
    path_collapse.draw_collapse(shown, drawn.draw, Path("a"))
    view = drawn.pictures[0][1]
    outward = axes(run.study.bar, np.array(s_mm), np.array(theta_rad))[2]
    assert view.towards @ outward > 0.5
    assert view.up[2] > 0
    assert view.towards[2] > 0 or theta_rad == np.pi
    # behind the bar the rider's right is to the right, before it to the left, whatever the arm
    side = -np.sin(theta_rad) if abs(outward[1]) > 0.5 else np.sign(s_mm)
    assert view.right[0] * side > 0


def test_the_pictures_say_what_they_show(
    run: StudyRun, shown: ShownPath, record: CollapseRecord, drawn: Drawn, tmp_path: Path
) -> None:
    """Study, case, place, kind, strain; and that they are no proof, in words of their own."""
    path_figures.draw_path(run, shown.case, drawn.draw, tmp_path)
    for sheet in drawn.sheets.values():
        assert sheet.title.startswith(shown.case.placed.case.title)
        assert sheet.subtitle.startswith(run.study.bar.spec.name)
        assert "not a proof of strength" in sheet.caution
        assert sheet.caution != CAUTION
        assert "safe" not in str(sheet).lower()
    sheet = drawn.sheets[f"{shown.case.placed.case.id}-collapse"]
    assert record.place is not None
    assert record.place.text in sheet.subtitle
    assert "ovalisation (flattened section)" in sheet.subtitle
    assert [mark.words for mark in sheet.marks] == [
        "averaged plastic strain 5.0 %",
        "averaged plastic strain 20.0 %",
    ]
    assert [panel.caption for panel in sheet.panels[2:]] == [
        f"section flattened {share:.1f} %" for share in _flattening(shown)
    ]


def _flattening(shown: ShownPath) -> list[float]:
    ring = collapse_ring(shown.bar, shown.path.mesh, shown.reported.step)
    return [cut_at(shown.path.mesh, ring, shown.path.steps[n]).oval_percent for n in (6, 8)]


def test_a_bar_that_lies_free_has_no_clamp_edges(
    run: StudyRun, shown: ShownPath, drawn: Drawn, tmp_path: Path
) -> None:
    """No sheet of it names a clamp."""
    free = replace(shown.run, study=replace(shown.run.study, clamp=FREE))
    whole = replace(shown, legend=replace(shown.legend, open=False))
    for of in (whole, replace(whole, run=free)):
        path_bar.draw_bar(of, drawn.draw, tmp_path / "bar.png")
        path_collapse.draw_collapse(of, drawn.draw, tmp_path / "collapse.png")
        said = str([(one.subtitle, one.notes) for one in drawn.sheets.values()])
        assert said.count("clamp edge") == (3 if of is whole else 0)
