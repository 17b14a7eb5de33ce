"""What the page's 3D view draws: the sheet, both surfaces, and the fields of every case."""

from collections.abc import Iterator, Mapping, Sequence
from math import radians
from typing import Any

import numpy as np

from geometry.arrays import Ints
from geometry.bar import nominal_od_mm
from geometry.centreline import arcs, locate
from loadcases.load import PlacedLoad
from studies.assessment.acting import own_count, ram_load
from studies.assessment.run import CaseRun, StudyRun
from studies.page.faces import both_moved, face_nodes, sheet_at_rest
from studies.page.limit_order import factor_in_words, field_of, limit_numbers, surface_of
from studies.page.packing import packed_reals
from studies.page.path_scene import path_scene
from studies.page.view_fields import LEAST_SCALE, view_fields
from studies.pictures.scale import drawn_scale
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.limit import LimitRecord

SCENE_VERSION = 7


def scene(run: StudyRun, record: ResultsRecord) -> dict[str, Any]:
    """Return everything that the view of a run needs, as JSON can hold it."""
    faces = face_nodes(run.model.mesh)
    cases, numbers = zip(run.cases, record.cases, strict=True), limit_numbers(record)
    return {
        "version": SCENE_VERSION,
        "name": run.study.bar.spec.name,
        **sheet_at_rest(run.model.mesh),
        "clamp_mm": [run.study.clamp.from_mm, run.study.clamp.to_mm],
        "ends_mm": [run.study.bar.line.left_end_mm, run.study.bar.line.right_end_mm],
        "bends_mm": [[arc.s_from_mm, arc.s_to_mm] for arc in arcs(run.study.bar.line)],
        "cases": [
            {**_case(run, case, one, faces), "marks": _marks(one, numbers)} for case, one in cases
        ],
    }


def _case(
    run: StudyRun, case: CaseRun, record: CaseRecord, faces: tuple[Ints, Ints]
) -> dict[str, Any]:
    moved = case.answer.displacement_mm
    length_mm = run.study.bar.line.right_end_mm - run.study.bar.line.left_end_mm
    path = path_scene(case.path, record.collapse) if case.path and record.collapse else None
    return {
        "id": case.placed.case.id,
        "title": case.placed.case.title,
        "drawn_scale": drawn_scale(float(np.linalg.norm(moved, axis=1).max()), length_mm),
        "moved_mm": packed_reals(both_moved(moved, *faces)),
        "fields": _with_limits(view_fields(run, case, faces, path), record.limits),
        "loads": list(_loads(run, case)),
        "path": path,
    }


def _with_limits(
    fields: Sequence[dict[str, Any]], limits: Sequence[LimitRecord]
) -> list[dict[str, Any]]:
    """Return fields, those of a limit with its place and one over its factor to be marked.

    Their colours reach 1.2 at least, so that the load itself is seen on the scale.
    """
    places = {
        field_of(one): {"value": 1 / one.load_factor, **place}
        for one in limits
        if (place := _place(one)) and one.load_factor > 0
    }
    return [_marked(one, places[one["id"]]) if one["id"] in places else one for one in fields]


def _marked(field: dict[str, Any], place: dict[str, Any]) -> dict[str, Any]:
    return {**field, "peak": place, "range": (0.0, max(LEAST_SCALE, place["value"]))}


def _place(limit: LimitRecord) -> dict[str, Any] | None:
    """Return where a limit is reached; None for one of the whole bar or its clamp."""
    if limit.s_mm is None or limit.theta_deg is None:
        return None
    turn = radians(limit.theta_deg)
    return {"s_mm": limit.s_mm, "theta_rad": turn, "surface": surface_of(limit)}


def _marks(case: CaseRecord, numbers: Mapping[str, int]) -> list[dict[str, Any]]:
    """Return the places of a case's limits with their numbers on the ladder, the nearest first."""
    return [
        {
            **place,
            "number": numbers[limit.name],
            "field": field_of(limit),
            "reached": f"{factor_in_words(limit)} × load",
            "words": f"{limit.name}, {limit.place}, {factor_in_words(limit)} × load",
            "below": limit.load_factor < 1,
        }
        for limit in case.limits
        if (place := _place(limit))
    ]


def _loads(run: StudyRun, case: CaseRun) -> Iterator[dict[str, Any]]:
    """Yield a case's own loads, the reactions of its supports, and the force of its ram."""
    own = own_count(case.placed, case.supports)
    for number, point in enumerate(case.answer.load_points):
        yield _load(run, point.load, "" if number < own else "reaction")
    if ram := ram_load(case.placed):
        yield _load(run, ram, "ram")


def _load(run: StudyRun, load: PlacedLoad, name: str) -> dict[str, Any]:
    at = np.array(load.at_mm)
    return {
        "name": name,
        "s_mm": load.at_mm,
        "from_mm": load.from_mm,
        "to_mm": load.to_mm,
        "at_mm": locate(run.study.bar.line, at).position_mm.tolist(),
        "radius_mm": float(nominal_od_mm(run.study.bar, at)) / 2,
        "force_n": list(load.force_n),
        "moment_nmm": list(load.moment_nmm),
    }
