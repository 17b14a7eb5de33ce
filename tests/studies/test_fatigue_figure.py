"""The picture of fatigue utilisation: of repeated cases alone, edges as rings, clamps grey."""

from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread

from fea.fatigue.low_end_field import low_end_field
from studies.assessment.run import StudyRun, run_study
from studies.pictures import figures
from studies.pictures.drawing_plain import draw_plain
from studies.pictures.fatigue import draw_fatigue
from studies.pictures.figures import draw_governing
from studies.pictures.palette import GHOST, ramp, rgb
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study
from support.kept_sheets import keeping
from support.layouts import faults
from support.pages import RISER


@pytest.mark.parametrize("name", ["iso-4210-5.bar-bending", "iso-4210-5.fatigue-in-phase"])
def test_repeated_cases_get_a_picture_of_fatigue(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rings in their own colours, clamps and load bands grey; none for a case that comes once."""
    run = run_study(with_cases(read_study(RISER), [name]), level="coarse")
    (case,), path = run.cases, tmp_path / "fatigue.png"
    draw_fatigue(run, case, draw_plain, path)
    if case.life is None:
        assert (name, list(tmp_path.iterdir())) == ("iso-4210-5.bar-bending", [])
        _check_sheets(run, monkeypatch, "Stress")
        return
    field = low_end_field(run.model, case.life)
    assert field is not None
    # without the scale, whose colours are all of them
    dots = imread(path)[:-300, :, :3].reshape(-1, 3)
    for edge in field.edges:
        # the light takes at most a quarter off
        shade = ramp(np.array(edge.value))
        lit = [np.abs(dots - light * shade).max(axis=1) < 0.012 for light in (0.9, 0.95, 0.99)]
        assert np.any(lit, axis=0).sum() > 25, edge
    grey = np.abs(dots - 0.98 * rgb(GHOST)).max(axis=1) < 0.03
    assert grey.sum() > 1000
    _check_sheets(run, monkeypatch, "Fatigue utilisation")


def _check_sheets(run: StudyRun, monkeypatch: pytest.MonkeyPatch, governing: str) -> None:
    """Check that the picture of what governs is that, and that no words collide on it."""
    kept = keeping(monkeypatch)
    monkeypatch.setenv("BARWRIGHT_PICTURES", "plain")
    monkeypatch.setattr(figures, "draw_plain", kept.draw)
    assert draw_governing(run, run.cases[0], Path("governing.png")) == governing
    sheet = kept.sheets["governing"]
    assert sheet.title.lower().endswith(governing.lower())
    assert faults(sheet) == []
