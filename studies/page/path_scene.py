"""A case's path in the page's 3D view: its own sheet, and some of its steps in their true shape.

It is drawn to a few dots and read to four digits: what is finer than a thousandth of a millimetre
or of a percent is not stored, so most columns take far fewer than 16 bits.
"""

from math import inf
from typing import Any

import numpy as np

from fea.collapse.path_run import PathRun
from fea.collapse.strain import StrainPeak
from studies.page.faces import both_moved, face_nodes, sheet_at_rest
from studies.page.packing import packed_reals
from studies.page.path_steps import shown_steps, step_words
from studies.page.view_fields import marked_place
from studies.records.collapse import CollapseRecord

FINEST_MM, FINEST_PERCENT = 1e-3, 1e-3
"""Steps of what is stored, unless 16 bits make larger ones."""


def path_scene(path: PathRun, collapse: CollapseRecord) -> dict[str, Any]:
    """Return what the view needs to draw a path, as JSON can hold it."""
    shown = shown_steps(collapse)
    largest = 100 * max(float(face.max()) for face in _strained(path, shown))
    # colours end at the strain limit
    strain_limit = 100 * (collapse.strain.elongation or inf)
    return {
        **sheet_at_rest(path.mesh),
        "reported": shown.index(collapse.reported_step - 1),
        "most_percent": min(largest, strain_limit),
        "beyond": largest > strain_limit,
        "steps": [_step(path, collapse, number) for number in shown],
    }


def _strained(path: PathRun, shown: tuple[int, ...]) -> list[Any]:
    snapshots = [path.steps[number].snapshot for number in shown]
    return [face for one in snapshots for face in (one.outer, one.inner)]


def _step(path: PathRun, collapse: CollapseRecord, number: int) -> dict[str, Any]:
    snapshot = path.steps[number].snapshot
    moved = both_moved(snapshot.displacement_mm.astype(float), *face_nodes(path.mesh))
    strain = np.stack([snapshot.outer, snapshot.inner], axis=-1).astype(float)
    return {
        "number": number + 1,
        "words": step_words(collapse, number),
        "factor": collapse.curve.load_factor[number],
        "peak": _peak(path.steps[number].reading.strain),
        "moved_mm": packed_reals(moved, FINEST_MM),
        "data": packed_reals(100 * strain, FINEST_PERCENT),
    }


def _peak(strain: StrainPeak) -> dict[str, Any] | None:
    """Return where the averaged strain is largest; None while the bar is elastic."""
    if not strain.value:
        return None
    return marked_place(100 * strain.value, strain)
