"""What the page's 3D view draws: the sheet, both faces, and the fields of every case."""

from typing import Any

import numpy as np

from fea.solid.hot_spot import Peak
from fea.solid.recovery import AXIAL, HOOP, SurfaceStress, von_mises_mpa
from fea.stability.local_buckling import LIMITS
from geometry.arrays import Ints
from geometry.bar import nominal_od_mm, position_mm
from geometry.centreline import locate
from loadcases.load import PlacedLoad
from studies.assessment.run import CaseRun, StudyRun
from studies.page.faces import both_moved, face_nodes, sheet_at_rest
from studies.page.packing import packed_reals
from studies.page.path_scene import path_scene
from studies.pictures.scale import drawn_scale
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.places import place_in_words

SCENE_VERSION = 2
MOST_MODES = 2
"""Buckling modes of a case that the page shows: those of a round tube come in pairs."""


def scene(run: StudyRun, record: ResultsRecord) -> dict[str, Any]:
    """Return everything that the view of a run needs, as JSON can hold it."""
    faces = face_nodes(run.model.mesh)
    cases = zip(run.cases, record.cases, strict=True)
    return {
        "version": SCENE_VERSION,
        "name": run.study.bar.spec.name,
        **sheet_at_rest(run.model.mesh),
        "clamp_mm": [run.study.clamp.from_mm, run.study.clamp.to_mm],
        "ends_mm": [run.study.bar.line.left_end_mm, run.study.bar.line.right_end_mm],
        "cases": [_case(run, case, told, faces) for case, told in cases],
    }


def _case(
    run: StudyRun, case: CaseRun, told: CaseRecord, faces: tuple[Ints, Ints]
) -> dict[str, Any]:
    moved, modes = case.answer.displacement_mm, case.stability.elastic.modes_mm[:MOST_MODES]
    used = case.stability.local.used
    length_mm = run.study.bar.line.right_end_mm - run.study.bar.line.left_end_mm
    largest_mm = float(np.linalg.norm(moved, axis=1).max())
    factors = case.stability.elastic.factors
    return {
        "id": case.placed.case.id,
        "title": case.placed.case.title,
        "drawn_scale": drawn_scale(largest_mm, length_mm),
        "largest_mm": largest_mm,
        "moved_mm": packed_reals(both_moved(moved, *faces)),
        **_stresses(case.stress),
        "used": packed_reals(np.stack([used[limit] for limit in LIMITS], axis=-1)),
        "modes": [
            {"factor": float(factor), "moved_mm": packed_reals(both_moved(mode, *faces))}
            for factor, mode in zip(factors, modes, strict=False)
        ],
        "peak": _peak(run, case.peak),
        "loads": [_load(run, point.load) for point in case.answer.load_points],
        "path": path_scene(case.path, told.collapse) if case.path and told.collapse else None,
    }


def _stresses(stress: SurfaceStress) -> dict[str, Any]:
    """Return von Mises, axial and hoop stress, each on outer and inner surface."""
    faces = (stress.outer, stress.inner)
    return {
        "von_mises_mpa": packed_reals(np.stack([von_mises_mpa(face) for face in faces], axis=-1)),
        "axial_mpa": packed_reals(np.stack([face[:, AXIAL] for face in faces], axis=-1)),
        "hoop_mpa": packed_reals(np.stack([face[:, HOOP] for face in faces], axis=-1)),
    }


def _peak(run: StudyRun, peak: Peak) -> dict[str, Any]:
    bar, depth = run.study.bar, 1.0 if peak.surface == "outer" else 0.0
    at = position_mm(bar, np.array(peak.s_mm), np.array(peak.theta_rad), np.array(depth))
    return {
        "stress_mpa": peak.stress_mpa,
        "s_mm": peak.s_mm,
        "theta_rad": peak.theta_rad,
        "surface": peak.surface,
        "at_mm": at.tolist(),
        "words": place_in_words(bar, peak.s_mm, peak.theta_rad, peak.surface),
    }


def _load(run: StudyRun, load: PlacedLoad) -> dict[str, Any]:
    at = np.array(load.at_mm)
    return {
        "s_mm": load.at_mm,
        "from_mm": load.from_mm,
        "to_mm": load.to_mm,
        "at_mm": locate(run.study.bar.line, at).position_mm.tolist(),
        "radius_mm": float(nominal_od_mm(run.study.bar, at)) / 2,
        "force_n": list(load.force_n),
        "moment_nmm": list(load.moment_nmm),
    }
