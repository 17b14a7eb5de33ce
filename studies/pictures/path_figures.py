"""The pictures of a case's path past yield."""

from pathlib import Path

from studies.assessment.run import CaseRun, StudyRun
from studies.pictures.path_bar import draw_bar
from studies.pictures.path_collapse import draw_collapse
from studies.pictures.path_curve import draw_curve
from studies.pictures.path_steps import shown_path
from studies.pictures.scene import Draw


def draw_path(run: StudyRun, case: CaseRun, draw: Draw, folder: Path) -> None:
    """Draw `<case>-path.png`, `-yielded.png` and `-collapse.png` into `folder`.

    The curve; the bar true to scale at up to three steps; the place of the collapse mode with a
    cut, left out while the bar is elastic. Nothing is drawn for a case without a path.
    """
    shown = shown_path(run, case)
    if shown is None:
        return
    name = case.placed.case.id
    draw_curve(shown, folder / f"{name}-path.png")
    draw_bar(shown, draw, folder / f"{name}-yielded.png")
    draw_collapse(shown, draw, folder / f"{name}-collapse.png")
