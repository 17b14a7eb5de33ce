"""Words on curves: none stands on another, on a mark, or beyond the sheet."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from calibration.press_study import reduced
from geometry.arrays import Floats
from studies.pictures import press_curve
from studies.pictures.figure_layout import Mark, Sheet
from studies.pictures.graphs import Graph, Line, at_dots, graphs_panel
from studies.pictures.path_curve import LOADS, PATH
from support.layouts import faults
from support.press_records import press_record
from support.random_bars import GEOMETRY

CURVES = settings(GEOMETRY, max_examples=10, phases=[Phase.explicit, Phase.generate])

NAMES = (
    "last before bifurcation: 1234 N",
    "limit load: 2250 N",
    "strain limit (elongation): 2250 N",
    "yield load (0.2 % plastic strain): 1523 N",
    "offset 1.0 mm: 1808 N",
    "offset 6.5 mm: 2088 N",
    "permanent set 0.1 mm after 400 N",
    "permanent set 3.5 mm after 1400 N",
)


@given(shares=st.lists(st.floats(0, 1), min_size=len(NAMES), max_size=len(NAMES)))
@CURVES
def test_no_words_collide_on_a_crowded_curve(shares: list[float]) -> None:
    """All eight points that a path may have, anywhere on it, several at one place."""
    x = np.linspace(0, 60, 100)
    line = Line(x, _load(x), PATH, 3.0)
    graph = Graph(LOADS, (63.0, 2700.0), ("", "load, N"), (line,))
    places = [at_dots(graph, 60 * share, float(_load(np.array(60 * share)))) for share in shares]
    marks = tuple(Mark(at, name, LOADS, ring=True) for at, name in zip(places, NAMES, strict=True))
    sheet = Sheet("A path", "load against deflection", (graphs_panel((graph,)),), marks, (), None)
    assert faults(sheet) == []


def _load(x: Floats) -> Floats:
    return np.asarray(2250 * np.tanh(x / 25))


@pytest.mark.parametrize("seed", range(8))
def test_no_words_collide_on_press_records(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Invented records, logged and by hand, with slips and several unloadings."""
    kept: list[Sheet] = []
    monkeypatch.setattr(press_curve, "write_sheet", lambda sheet, _: kept.append(sheet))
    press_curve.draw_press_curve(reduced(press_record(seed), tmp_path), tmp_path / "a.png")
    (sheet,) = kept
    assert len(sheet.marks) >= 3
    assert faults(sheet) == []
