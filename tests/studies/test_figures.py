"""The pictures: written whole and not blank, with and without OpenGL, in colours that read."""

import subprocess
from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread

from studies.pictures import drawing, figures
from studies.pictures.figures import NO_OPENGL, draw_figures, drawn_scale
from studies.pictures.palette import PAPER, ramp, rgb
from studies.pictures.scene import on_paper, view_from
from studies.runner import StudyRun, run_study
from studies.study import read_study, with_cases

EXAMPLES = Path(__file__).parents[2] / "studies" / "examples"


@pytest.fixture(scope="module")
def run() -> StudyRun:
    """Return one case of the drop example, whose peak is on the bore."""
    study = with_cases(read_study(EXAMPLES / "harbour-drop.toml"), ["rider.hard-braking"])
    return run_study(study, level="coarse")


def _check_pictures(folder: Path) -> None:
    names = {path.name for path in folder.iterdir()}
    assert names == {f"rider.hard-braking-{kind}.png" for kind in ("deformed", "stress", "peak")}
    for path in folder.iterdir():
        image = imread(path)[..., :3]
        assert image.shape == (900, 1600, 3)
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
    monkeypatch.setenv("BARWRIGHT_PICTURES", "plain")
    monkeypatch.setattr(figures, "usable_window", lambda: pytest.fail("probed"))
    assert draw_figures(run, tmp_path) == ()
    _check_pictures(tmp_path)


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
    """All points land inside the sheet, the tightest direction fills nine tenths of it."""
    points = np.random.default_rng(3).normal(size=(200, 3)) * [300, 60, 40]
    places = on_paper(view_from(np.array([-0.2, -1, 0.6]), points, 2.5), points, 2.5)
    assert places.min() >= 0
    assert places.max() <= 1
    assert np.ptp(places, axis=0).max() == pytest.approx(0.9)
