"""The pictures of a path past yield: whole, true to scale, and of the numbers in results.json."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread

from geometry.bar import axes
from loadcases.clamp import FREE
from studies.assessment.run import StudyRun
from studies.collapse.record import collapse_record
from studies.pictures import (
    figures,
    path_bar,
    path_collapse,
    path_figures,
)
from studies.pictures.drawing_plain import draw_plain
from studies.pictures.figure_layout import CAUTION, WIDTH
from studies.pictures.figures import draw_figures
from studies.pictures.palette import PAPER, rgb
from studies.pictures.path_cut import collapse_ring, cut_at
from studies.pictures.path_figures import draw_path
from studies.pictures.path_steps import ShownPath
from studies.records.collapse import CollapseRecord
from support.drawn_paths import path_of, shift_mm, walked_run
from support.kept_sheets import Drawn, keeping, shown_of
from support.layouts import faults

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
        assert image.shape[1] == WIDTH
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
    shown = shown_of(run, replace(run.cases[0], path=replace(path, steps=tuple(steps))))
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
        f"shown here:\n{record.place.text}",
    ]
    assert [panel.caption for panel in sheet.panels[2:4]] == [
        f"section flattened {share:.1f} %" for share in _flattening(shown)
    ]


def _flattening(shown: ShownPath) -> list[float]:
    ring = collapse_ring(shown.bar, shown.path.mesh, shown.reported.step)
    return [cut_at(shown.path.mesh, ring, shown.path.steps[n]).oval_percent for n in (6, 8)]


def test_no_words_collide(run: StudyRun, shown: ShownPath, drawn: Drawn, tmp_path: Path) -> None:
    """On each other, on marks, arrows and the scale; none leave the sheet."""
    draw_path(run, shown.case, drawn.draw, tmp_path)
    assert len(drawn.sheets) == len(KINDS)
    assert {name: found for name, one in drawn.sheets.items() if (found := faults(one))} == {}


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
