"""Sheets of pictures that are kept instead of written, of a path past yield that nobody walked."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from studies.assessment.run import CaseRun, StudyRun
from studies.pictures import (
    close_up,
    fatigue,
    figures,
    path_bar,
    path_collapse,
    path_curve,
    stress,
    zones,
)
from studies.pictures.figure_layout import Sheet
from studies.pictures.palette import PAPER, rgb
from studies.pictures.path_steps import ShownPath, shown_path
from studies.pictures.scene import Surface, View

WRITING = (figures, stress, close_up, zones, fatigue, path_curve, path_bar, path_collapse)


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


def keeping(monkeypatch: pytest.MonkeyPatch) -> Drawn:
    """Return what keeps the sheets of all pictures of a run."""
    kept = Drawn()
    for module in WRITING:
        monkeypatch.setattr(module, "write_sheet", kept.write)
    return kept


def shown_of(run: StudyRun, case: CaseRun) -> ShownPath:
    """Return what is drawn of a case's path."""
    found = shown_path(run, case)
    assert found is not None
    return found
