"""The picture of a case's stress, from two sides."""

from pathlib import Path

import numpy as np

from fea.solid.recovery import von_mises_mpa
from fea.stability.criteria import FATIGUE
from geometry.arrays import Floats
from studies.assessment.acting import own_count
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures import marks
from studies.pictures.colour_scale import Legend
from studies.pictures.fatigue import has_fatigue
from studies.pictures.figure_layout import Panel, Sheet
from studies.pictures.lettering import number_words
from studies.pictures.palette import LOAD, REACTION, SLEEVE
from studies.pictures.pieces import BROKEN, DOTTED, peak_outward, ring
from studies.pictures.scene import SPLIT, Draw, Surface, surface_of, wall_of
from studies.pictures.sheet_drawing import write_sheet
from studies.pictures.views import best_of, two_panes

ROUNDING = 1e-6
"""A stress that is above the scale's end by a smaller share is the end."""

ABOVE_THE_END = "Load bands and clamp edges are excluded from the peak; stress there may be higher."


def draw_stress_sheet(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    """Write the stress of a case as a PNG."""
    panes = two_panes(run, case, run.model.mesh.points_mm)
    surfaces = _surfaces(run, case)
    words = [marks.placed_words(point) for point in case.answer.load_points]
    study, shown = run.study, [pane for pane, _ in panes]
    named, arrows = marks.in_two_panes(study.bar, study.clamp, case, words, shown)
    spot = marks.peak(study.bar, case.peak, best_of(panes, peak_outward(run, case)))
    title = "von Mises stress, outer surface, MPa"
    legend, notes = stress_legend(run, case, title, stress_shares(case)[1])
    sheet = Sheet(
        f"{case.placed.case.title}: stress",
        f"{run.study.bar.spec.name}: von Mises stress on the outer surface of the undeformed bar; "
        f"{_edges(run)}, broken rings: load bands{_supports(case)}",
        tuple(
            Panel(draw(surfaces, each.view, each.size), each.left, each.bottom, caption)
            for each, caption in panes
        ),
        (spot, *named),
        tuple(arrows),
        legend,
        (*_fatigue_first(case), *notes),
    )
    write_sheet(sheet, path)


def stress_legend(
    run: StudyRun, case: CaseRun, title: str, shares: Floats
) -> tuple[Legend, tuple[str, ...]]:
    """Return the scale up to the peak, and notes on the proof stress and on what lies above.

    Args:
        run: The run.
        case: Its case.
        title: Of the scale.
        shares: (n,) stress over the peak, where it is drawn.
    """
    top, proof = case.peak.stress_mpa, run.study.bar.spec.material.proof_stress_mpa
    beyond = float(shares.max()) > 1 + ROUNDING
    above = (ABOVE_THE_END,) * beyond
    if top < proof:
        words = f"Proof stress {number_words(proof)} MPa."
        return Legend(title, top, open=beyond), (words, *above)
    note = (
        f"Mark on the scale: proof stress {number_words(proof)} MPa. The linear stress above is "
        "not valid."
    )
    return Legend(title, top, (proof,), open=beyond), (note, *above)


def stress_shares(case: CaseRun) -> tuple[Floats, Floats]:
    """Return von Mises stress over the peak on inner and outer surface, (P,) each."""
    top = case.peak.stress_mpa
    return von_mises_mpa(case.stress.inner) / top, von_mises_mpa(case.stress.outer) / top


def _fatigue_first(case: CaseRun) -> tuple[str, ...]:
    """Return a note that a repeated case is judged by another picture."""
    name = f"{case.placed.case.id}-{FATIGUE.id}.png"
    return (f"Repeated load: {name} shows fatigue.",) if has_fatigue(case) else ()


def _edges(run: StudyRun) -> str:
    return "rings: clamp edges" if run.study.clamp.holds else "ring: the middle"


def _supports(case: CaseRun) -> str:
    return ", dotted rings: supports" if case.supports else ""


def _surfaces(run: StudyRun, case: CaseRun) -> list[Surface]:
    mesh, held = run.model.mesh, run.study.clamp
    inner, outer = stress_shares(case)
    every = np.arange(len(mesh.outer))
    own = own_count(case.placed, case.supports)
    loads, reactions = case.placed.loads[:own], case.placed.loads[own:]
    bands = [(at, LOAD, BROKEN) for one in loads for at in (one.from_mm, one.to_mm)]
    bands += [(at, REACTION, DOTTED) for one in reactions for at in (one.from_mm, one.to_mm)]
    return [
        surface_of(mesh, mesh.outer, mesh.points_mm, outer),
        wall_of(mesh, mesh.points_mm, (inner, outer), every, SPLIT),
        *(ring(run, at, SLEEVE) for at in (held.from_mm, held.to_mm)),
        *(ring(run, at, colour, 0.6, dash) for at, colour, dash in bands),
    ]
