"""The drawing of a set-up: to scale, its parts where they belong, on the sheet and on the page."""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from geometry.grading import LEVELS
from studies.assessment.run import CaseRun, StudyRun, run_study
from studies.page.scene import scene
from studies.page.set_up import set_up
from studies.pictures import marks
from studies.pictures.line_drawing import Area, LineDrawing, Words, dimension
from studies.pictures.set_up import set_up_drawing, set_up_words
from studies.pictures.set_up_sheet import draw_set_up
from studies.pictures.set_up_symbols import reach_mm
from studies.pictures.set_up_view import SetUpView, on_sheet, view_of
from studies.pictures.views import whole_pane
from studies.results.record import results_record
from studies.study_file.study import study_from_table
from support.preview_bars import CRUDE

OD_MM, HALF_MM, LEAN_MM, DEEP_MM = 22.2, 210.0, 20.0, 120.0

STUDY = f"""name = "portal"
[bar]
material = "al-6061-t6"
stations = [{{at_mm = 0, od_mm = {OD_MM}, wall_mm = 1.8}}]
[bar.right]
points_mm = [[0, 0, 0], [{HALF_MM}, 0, 0], [{HALF_MM + LEAN_MM}, 0, -{DEEP_MM}]]
bend_radii_mm = [50]
[clamp]
width_mm = 40
[mesh]
level = "coarse"
[[cases]]
use = "press.stood-on-both-ends"
[[cases]]
use = "press.three-point"
span_mm = 300
[[cases]]
use = "press.three-point"
id = "over"
span_mm = 280
direction_deg = 180
[[cases]]
id = "prop"
loads = [{{at_mm = 150, force_n = [0, 0, -600]}}, {{at_mm = -150, force_n = [0, 80, 0]}}]
supports = [
  {{kind = "roller", at_mm = 100, direction = [0, 0, -1]}},
  {{kind = "pin", at_mm = -100}},
  {{kind = "slider", at_mm = 180}},
]
[[cases]]
id = "bare"
loads = [{{at_mm = 150, force_n = [0, 0, -60]}}]
"""
STOOD, THREE, OVER, PROP, BARE = range(5)


@dataclass(frozen=True, eq=False)
class Drawn:
    """A case with its drawing."""

    run: StudyRun
    case: CaseRun
    view: SetUpView
    drawing: LineDrawing

    @property
    def words(self) -> list[str]:
        """Return the words on it."""
        return [part.text for part in self.drawing.parts if isinstance(part, Words)]

    def areas(self, style: str) -> list[Any]:
        """Return the outlines of a style, those of each area as one array."""
        found = [one for one in self.drawing.parts if isinstance(one, Area) and one.style == style]
        return [np.concatenate(one.outlines) for one in found]


@pytest.fixture(scope="module")
def run() -> Iterator[StudyRun]:
    """Return a portal on feet, on rollers, upside down, propped, and without supports."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(LEVELS, "coarse", CRUDE)
        yield run_study(study_from_table(tomllib.loads(STUDY), Path("portal.toml"), ""))


def drawn(run: StudyRun, number: int) -> Drawn:
    """Return a case with its drawing."""
    case = run.cases[number]
    drawing = set_up_drawing(run, case)
    assert drawing is not None
    bar = run.study.bar
    view = view_of(bar, case.placed, reach_mm(bar, case.placed.supports))
    return Drawn(run, case, view, drawing)


def test_the_bar_is_to_scale(run: StudyRun) -> None:
    """As wide and as high as it is: from edge to edge of its leaning ends, down to their corner."""
    found = drawn(run, STOOD)
    (tube,) = found.areas("tube")
    lean = np.arctan2(LEAN_MM, DEEP_MM)
    wide_mm = 2 * (HALF_MM + LEAN_MM + OD_MM / 2 * np.cos(lean))
    high_mm = OD_MM / 2 + DEEP_MM + OD_MM / 2 * np.sin(lean)
    # the shortest line between two of the 24 places of an edge stands for its arc: 1 %
    assert np.ptp(tube, axis=0) / found.view.scale == pytest.approx((wide_mm, high_mm), rel=0.005)
    (clamp, *_) = found.areas("clamp")
    assert np.ptp(clamp[:, 0]) / found.view.scale == pytest.approx(40)
    # all of it on the drawing
    every = np.concatenate([one for kind in ("tube", "clamp", "part") for one in found.areas(kind)])
    assert every.min() > 0
    assert (every.max(axis=0) < (found.drawing.width, found.drawing.height)).all()


def test_feet_stand_on_the_bed_and_the_ram_above(run: StudyRun) -> None:
    """The lowest place of the tube is the bed; the ram and where it is read are named."""
    found = drawn(run, STOOD)
    (tube,) = found.areas("tube")
    bed = min(float(one.places[:, 1].max()) for one in found.drawing.parts if _is_ground(one))
    assert float(tube[:, 1].min()) == pytest.approx(bed, abs=0.01 * OD_MM * found.view.scale)
    assert "ram 1000 N" in found.words
    assert "travel is read here, against the bed" in found.words
    assert {"foot, left end", "foot, right end"} <= set(found.words)
    assert "reaction 500 N, friction 100 N" in found.words
    lean = np.arctan2(LEAN_MM, DEEP_MM)
    apart = 2 * (HALF_MM + LEAN_MM - OD_MM / 2 * np.cos(lean))
    (span,) = (float(text.removesuffix(" mm")) for text in found.words if text[0] == "4")
    assert span == pytest.approx(apart, abs=0.5)


def _is_ground(part: Any) -> bool:
    return (
        getattr(part, "style", "") == "ground"
        and hasattr(part, "places")
        and len(part.places) == 2
        and np.ptp(part.places[:, 0]) > 400
    )


@pytest.mark.parametrize(("number", "span"), [(THREE, 300.0), (OVER, 280.0)])
def test_rollers_lie_under_the_tube_at_their_span(run: StudyRun, number: int, span: float) -> None:
    """Circles that touch it, as far apart as is written, whichever way up the bar is."""
    found = drawn(run, number)
    rollers = [one for one in found.areas("part") if len(one) == 48 and _round(one) > 8]
    centres = np.array(sorted((one.mean(axis=0) for one in rollers[:2]), key=lambda at: at[0]))
    assert np.diff(centres[:, 0]) / found.view.scale == pytest.approx([span])
    middle = on_sheet(found.view, np.zeros(3))
    assert middle[1] - centres[:, 1] == pytest.approx(2 * [OD_MM * found.view.scale], rel=1e-6)
    assert f"{span:.1f} mm" in found.words
    seen = set_up_words(run, found.case)
    assert seen.startswith("side view from " + ("the front" if number == OVER else "behind"))


def _round(outline: Any) -> float:
    return float(np.ptp(outline[:, 0])) / 2


def test_supports_that_stand_still_have_loads_instead_of_a_ram(run: StudyRun) -> None:
    """One that lets go says so; a force towards the eye or away has words as well."""
    words = drawn(run, PROP).words
    assert {"600 N at right 150 mm", "80.0 N at left 150 mm"} <= set(words)
    assert {"roller, right 100 mm", "pin, left 100 mm", "slider, right 180 mm"} <= set(words)
    assert "does not touch" in words
    assert not [text for text in words if "ram" in text or "travel" in text]


def test_a_case_without_supports_has_none(run: StudyRun, tmp_path: Path) -> None:
    """Neither drawing nor file."""
    case = run.cases[BARE]
    assert set_up_drawing(run, case) is None
    assert set_up(run, case) is None
    draw_set_up(run, case, _no_drawing, tmp_path / "bare.png")
    assert not list(tmp_path.iterdir())


def _no_drawing(*given: object) -> Any:
    raise AssertionError(given)


def test_it_is_a_file_and_a_part_of_the_page(run: StudyRun, tmp_path: Path) -> None:
    """The page has the same words, all of them inside of its frame."""
    draw_set_up(run, run.cases[STOOD], _no_drawing, tmp_path / "stood.png")
    assert (tmp_path / "stood.png").stat().st_size > 10_000
    shown = set_up(run, run.cases[STOOD])
    assert shown is not None
    assert [one.text for one in shown.texts] == drawn(run, STOOD).words
    assert all(0 < one.y < shown.height for one in shown.texts)
    assert len(shown.paths) > 30


def test_reactions_are_told_from_loads(run: StudyRun) -> None:
    """In the view's scene, and beside the arrows of pictures."""
    cases = scene(run, results_record(run))["cases"]
    names = [[load["name"] for load in case["loads"]] for case in cases]
    assert names[STOOD] == ["reaction", "reaction", "ram"]
    assert names[PROP] == ["", "", "reaction", "reaction"]
    assert names[BARE] == [""]
    ram = cases[STOOD]["loads"][-1]
    assert ram["force_n"] == pytest.approx([0, 0, -1000])
    case = run.cases[STOOD]
    pane = whole_pane(run.model.mesh.points_mm)
    said, arrows = marks.loads(run.study.bar, case, pane, ["a", "b"], np.zeros((2, 3)))
    assert [mark.words for mark in said] == ["reaction a", "reaction b", "ram 1000 N"]
    assert len({one.colour for one in said}) == 2
    assert len(arrows) >= 3


def test_a_short_dimension_has_its_words_beside_it() -> None:
    """Between its lines there would be no room; a long one has them in its middle."""
    for right, anchor in ((50.0, "start"), (300.0, "middle")):
        (words,) = (
            one for one in dimension(0.0, right, 0.0, 9.0, "46.0 mm") if isinstance(one, Words)
        )
        assert words.anchor == anchor
        assert words.x > right if anchor == "start" else words.x == right / 2
