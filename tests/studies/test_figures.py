"""The pictures: written whole and not blank, with and without OpenGL, in colours that read."""

import subprocess
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.image import imread

from fea.solid.element import quad8
from geometry.bar import end_to_end_mm
from geometry.properties import section_properties
from geometry.vectors import unit
from studies.assessment.run import StudyRun, run_study
from studies.pictures import drawing, figures
from studies.pictures.colour_scale import Legend
from studies.pictures.figure_layout import WIDTH, Panel, Sheet
from studies.pictures.figures import NO_OPENGL, draw_figures, drawn_scale
from studies.pictures.lettering import number_words
from studies.pictures.palette import INK, PAPER, ramp, rgb
from studies.pictures.scene import Pane, in_dots, surface_of, view_from, wall_of
from studies.pictures.sections import (
    cuts_of,
    draw_sections,
    section_outlines_mm,
    section_words,
    sections_sheet,
)
from studies.pictures.sheet_drawing import write_sheet
from studies.pictures.views import RIDER, second_direction
from studies.records.places import place_in_words
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study
from support.kept_sheets import keeping
from support.layouts import faults

EXAMPLES = Path(__file__).parents[2] / "studies" / "examples"


@pytest.fixture(scope="module")
def run() -> StudyRun:
    """Return one case of the drop example, whose peak is on the inner surface."""
    study = with_cases(read_study(EXAMPLES / "harbour-drop.toml"), ["rider.hard-braking"])
    return run_study(study, level="coarse")


def _check_pictures(folder: Path) -> None:
    names = {path.name for path in folder.iterdir()}
    kinds = {f"rider.hard-braking-{kind}.png" for kind in ("deformed", "stress", "peak", "zones")}
    assert names == {*kinds, "sections.png"}
    for path in map(folder.joinpath, kinds):
        image = imread(path)[..., :3]
        assert image.shape[1] == WIDTH
        drawn = np.abs(image - rgb(PAPER)).max(axis=-1) > 0.05
        # words alone are about 2 % of a sheet
        assert 0.03 < drawn.mean() < 0.9
        assert len(np.unique((image[150:700] * 31).astype(int).reshape(-1, 3), axis=0)) > 50


def test_pictures_without_opengl(
    run: StudyRun, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where no way to OpenGL works the same pictures appear, and a note says what to install."""
    monkeypatch.setattr(figures, "usable_window", lambda: None)
    assert draw_figures(run, tmp_path) == (NO_OPENGL,)
    _check_pictures(tmp_path)


def test_plain_pictures_can_be_asked_for(
    run: StudyRun, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The environment switch keeps OpenGL from even being probed, and needs no note."""
    drawn = []

    def draw(surfaces: object, view: object, size: tuple[int, int]) -> np.ndarray:
        drawn.append(size)
        return np.ones((*size[::-1], 3))

    monkeypatch.setenv("BARWRIGHT_PICTURES", "plain")
    monkeypatch.setattr(figures, "usable_window", lambda: pytest.fail("probed"))
    monkeypatch.setattr(figures, "draw_plain", draw)
    assert draw_figures(run, tmp_path) == ()
    assert len(list(tmp_path.iterdir())) == 5
    assert len(drawn) == 5  # stress is shown from two sides


def test_pictures_with_whatever_this_machine_has(run: StudyRun, tmp_path: Path) -> None:
    """With OpenGL or without, three good pictures."""
    draw_figures(run, tmp_path)
    _check_pictures(tmp_path)


@pytest.mark.parametrize(
    "text", ["import os; os.abort()", "raise SystemExit(1)", "import os; os.kill(os.getpid(), 11)"]
)
def test_a_dying_probe_is_survived(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The library ends its process without OpenGL: only the child's, and the answer is no."""
    monkeypatch.setattr(drawing, "PROBE", text)
    drawing.usable_window.cache_clear()
    assert drawing.usable_window() is None
    drawing.usable_window.cache_clear()


def test_a_hanging_probe_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    """A driver that waits for ever costs its patience and no more."""

    def hang(*_: object, **__: object) -> None:
        raise subprocess.TimeoutExpired("probe", 30)

    monkeypatch.setattr(drawing.subprocess, "run", hang)
    drawing.usable_window.cache_clear()
    assert drawing.usable_window() is None
    drawing.usable_window.cache_clear()


def test_the_ramp_is_even_and_dark_at_the_top() -> None:
    """Lightness falls in equal steps, colour differences vary by less than a factor of two.

    CIE L*a*b* from sRGB, computed here the other way round (IEC 61966-2-1).
    """
    colours = ramp(np.linspace(0, 1, 65))
    assert 0 < colours.min() < colours.max() < 1
    linear = np.where(colours <= 0.04045, colours / 12.92, ((colours + 0.055) / 1.055) ** 2.4)
    matrix = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    share = linear @ np.transpose(matrix) / [0.9505, 1.0, 1.089]
    f = np.where(share > (6 / 29) ** 3, np.cbrt(share), share / (3 * (6 / 29) ** 2) + 4 / 29)
    lab = np.stack(
        [116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])], axis=-1
    )
    steps = np.diff(lab, axis=0)
    assert steps[:, 0] == pytest.approx((22 - 92) / 64, abs=0.02)
    sizes = np.linalg.norm(steps, axis=1)
    assert sizes.max() / sizes.min() < 2


@pytest.mark.parametrize(
    ("largest_mm", "length_mm", "scale"),
    [(20, 760, 2), (3, 700, 10), (0.01, 700, 5000), (200, 700, 0.2), (0, 700, 1)],
)
def test_the_scale_is_round(largest_mm: float, length_mm: float, scale: float) -> None:
    """1, 2 or 5 times a power of ten, at most 8 % of the length drawn."""
    assert drawn_scale(largest_mm, length_mm) == pytest.approx(scale)


def test_everything_asked_for_is_in_the_picture() -> None:
    """All points land inside the pane, the tightest direction fills it up to the room for words."""
    points = np.random.default_rng(3).normal(size=(200, 3)) * [300, 60, 40]
    size, room = (1000, 400), (100, 50)
    pane = Pane(view_from(np.array([-0.2, -1, 0.6]), points, size, room), 30, 70, size)
    places = in_dots(pane, points) - [30, 70]
    assert (places >= np.array(room) - 1e-6).all()
    assert (places <= np.array(size) - room + 1e-6).all()
    assert np.ptp(places[:, 0]) == pytest.approx(800) or np.ptp(places[:, 1]) == pytest.approx(300)


@given(st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1))
def test_one_of_the_two_looks_sees_the_peak(normal: tuple[float, float, float]) -> None:
    """Wherever the peak's face looks, one eye stands well in front of it."""
    outward = unit(np.array(normal))
    seen = [unit(eye) @ outward for eye in (RIDER, second_direction(outward))]
    assert max(seen) > 0.3


def test_a_quantity_is_interpolated_before_it_is_coloured(run: StudyRun) -> None:
    """Inside an element the colour is that of the value there, not a mixture of colours."""
    mesh = run.model.mesh
    shares = (mesh.sheet.nodes[:, 0] > mesh.sheet.nodes[:, 0].mean()).astype(float)
    quads = np.flatnonzero(np.ptp(shares[mesh.sheet.quads], axis=1) > 0)[:1]
    surface = surface_of(mesh, mesh.outer, mesh.points_mm, shares, quads, split=2)
    values = quad8(np.array([[0.5, 0.5]])).values @ shares[mesh.sheet.quads[quads[0]]]
    assert surface.colours[4] == pytest.approx(ramp(values)[0])


def test_the_metal_is_shown_where_the_bar_ends(run: StudyRun) -> None:
    """Over the whole mesh the rim is the two end rings, as wide as the wall there."""
    mesh = run.model.mesh
    shares = np.zeros(len(mesh.sheet.nodes))
    wall = wall_of(mesh, mesh.points_mm, (shares, shares), np.arange(len(mesh.outer)), split=4)
    a, b, c, d = np.moveaxis(wall.points_mm[wall.pieces], 1, 0)
    area = np.linalg.norm(np.cross(c - a, d - b), axis=1).sum() / 2
    properties = section_properties(run.study.bar, np.array([mesh.block[:, 0].max()]))
    assert area == pytest.approx(2 * float(properties.area_mm2[0]), rel=2e-3)  # chords for arcs


@pytest.fixture
def sheets(run: StudyRun, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, Sheet]:
    """Return what is written round each picture, by its kind."""
    kept = keeping(monkeypatch)
    monkeypatch.setattr(figures, "draw_plain", kept.draw)
    monkeypatch.setenv("BARWRIGHT_PICTURES", "plain")
    draw_figures(run, tmp_path)
    return {name.split("-")[-1]: sheet for name, sheet in kept.sheets.items()}


def test_the_pictures_say_what_they_show(run: StudyRun, sheets: dict[str, Sheet]) -> None:
    """Scale, largest displacement, loads, clamp, peak with its place, unit and material."""
    case = run.cases[0]
    largest = np.linalg.norm(case.answer.displacement_mm, axis=1).max()
    scale = drawn_scale(largest, end_to_end_mm(run.study.bar))
    assert f"deformation x {scale:g}" in sheets["deformed"].subtitle
    assert f"Largest displacement {largest:.2f} mm" in sheets["deformed"].notes[0]
    said = {kind: " ".join(mark.words for mark in sheet.marks) for kind, sheet in sheets.items()}
    assert said["deformed"].count("displacement") == 2
    assert "clamp 42 mm" in said["stress"]
    assert f"peak {case.peak.stress_mpa:.0f} MPa" in said["stress"]
    assert "inner surface" in said["stress"]
    assert "the near half is cut away" in sheets["peak"].subtitle
    of_unit = [sheet for kind, sheet in sheets.items() if kind != "zones"]
    assert all(sheet.legend.title.endswith(("MPa", "mm")) for sheet in of_unit)
    assert "Proof stress 724 MPa." in sheets["peak"].notes
    assert not any("safe" in str(sheet).lower() for sheet in sheets.values())


def test_no_words_collide_in_any_picture_of_a_run(sheets: dict[str, Sheet]) -> None:
    """On each other, on marks, arrows and the scale; none leave the sheet."""
    assert set(sheets) == {"deformed", "stress", "peak", "zones"}
    assert {kind: found for kind, sheet in sheets.items() if (found := faults(sheet))} == {}


def test_a_close_view_says_where_it_is(run: StudyRun, sheets: dict[str, Sheet]) -> None:
    """Above it is the whole bar, small, with a ring at the peak's place and that in words."""
    sheet, peak = sheets["peak"], run.cases[0].peak
    view, inset = sheet.panels
    assert inset.bottom == view.picture.shape[0]
    named = sheet.marks[1]
    place = place_in_words(run.study.bar, peak.s_mm, peak.theta_rad, peak.surface)
    assert named.words == f"shown here:\n{place}"
    column, row = named.at[0] - inset.left, inset.picture.shape[0] - (named.at[1] - inset.bottom)
    dark = np.abs(inset.picture - rgb(INK)).max(axis=-1) < 0.01
    assert dark[round(row), round(column)]
    # three diameters of a bar of 24 mm, of its 1082 mm
    assert 0.03 < dark.sum() / (np.abs(inset.picture - rgb(PAPER)).max(axis=-1) > 0.1).sum() < 0.12


def test_each_force_has_an_arrow_that_ends_at_the_bar(
    run: StudyRun, sheets: dict[str, Sheet]
) -> None:
    """Two arrows, and each points the way that its force is seen to point."""
    arrows = sheets["stress"].arrows
    assert len(arrows) == len(run.cases[0].placed.loads)
    for arrow in arrows:
        assert arrow.path[-1, 1] < arrow.path[0, 1]  # hands push down when braking


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0, "0"),
        (0.0181, "0.0181"),
        (7.656, "7.66"),
        (18.44, "18.4"),
        (99.97, "100"),
        (984.3, "984"),
    ],
)
def test_numbers_have_three_digits(value: float, words: str) -> None:
    """Three significant digits, whole numbers from 100 on."""
    assert number_words(value) == words


def test_a_long_title_and_signs_are_written_as_they_are(tmp_path: Path) -> None:
    """Neither a title of 300 letters nor a dollar sign nor markup stops a picture."""
    panel = Panel(np.ones((600, WIDTH, 3)), 0, 0)
    title = "$a_ <b>& \\x " * 25
    sheet = Sheet(title, title, (panel,), (), (), Legend("mm", 3.0, (2.0,)), (title,))
    write_sheet(sheet, tmp_path / "a.png")
    assert imread(tmp_path / "a.png").shape[1] == WIDTH
    assert faults(sheet) == []


def test_sections_are_drawn_with_their_own_area(run: StudyRun, tmp_path: Path) -> None:
    """Outline less hole is the metal's area, in the bends too, and the words give the wall."""
    bar = run.study.bar
    for cut in cuts_of(bar):
        outer, inner = (_area(line) for line in section_outlines_mm(bar, cut.at_mm))
        area = float(section_properties(bar, np.array([cut.at_mm])).area_mm2[0])
        assert outer - inner == pytest.approx(area, rel=2e-3)  # chords for arcs
    assert [cut.name for cut in cuts_of(bar)].count("middle of a bend") == 2
    assert "wall 1.10 mm" in section_words(bar, cuts_of(bar)[0])
    draw_sections(bar, tmp_path / "a.png")
    assert imread(tmp_path / "a.png").shape[1] == WIDTH
    assert faults(sections_sheet(bar)) == []


def _area(line: np.ndarray) -> float:
    (x, y), (u, v) = line[:-1].T, line[1:].T
    return abs(float(x @ v - y @ u)) / 2
