"""Plans of tests on rough meshes, with a path made by hand where one is asked for."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from studies.assessment.run import CaseRun, StudyRun, run_study
from studies.bench.gauge import gauge_of
from studies.bench.plan_record import PlanRecord
from studies.bench.rig import Rig
from studies.collapse.record import collapse_record
from studies.records.band import BandRecord
from studies.records.case import ResultsRecord
from studies.records.collapse import CollapseRecord
from studies.results.plan import Planned, foreseen_of, goal_of
from studies.results.plan_writing import write_plan
from studies.results.record import results_record
from studies.study_file.study import Study
from support.page_paths import with_made_paths

LESS, MORE = 0.9, 1.12
"""Of the loads of a path: its band."""


def planned_run(study: Study, case_id: str) -> tuple[StudyRun, CaseRun, ResultsRecord]:
    """Return a case's run on the study's mesh, the case, and what results.json would hold."""
    run = _solved(study)
    case = next(one for one in run.cases if one.placed.case.id == case_id)
    alone = replace(run, cases=(case,), life=None)
    return alone, case, results_record(alone)


@cache
def _solved(study: Study) -> StudyRun:
    return run_study(study)


def made_collapse(run: StudyRun, case: CaseRun) -> CollapseRecord:
    """Return the record of a path that is made by hand, with a band."""
    # its steps are read by no gauge and know no supports
    bare = replace(case, placed=replace(case.placed, supports=()), supports=None)
    plain = replace(run, study=replace(run.study, gauges=()), cases=(bare,))
    with_path = with_made_paths(plain, case.placed.case.id)
    made = collapse_record(with_path, with_path.cases[0])
    assert made is not None
    x, y = np.array([(0.0, 0.0), *_pushed(made)]).T
    band = BandRecord(
        deflection_mm=x.tolist(),
        load_n=y.tolist(),
        low_n=(LESS * y).tolist(),
        high_n=(MORE * y).tolist(),
        varied=[],
        figures=[],
    )
    return made.model_copy(update={"band": band})


def _pushed(made: CollapseRecord) -> list[tuple[float, float]]:
    curve, furthest, kept = made.curve, 0.0, []
    for way, load in zip(curve.deflection_mm or [], curve.load_n or [], strict=True):
        if way > furthest:
            kept.append((way, load))
            furthest = way
    return kept


def plan_in(
    folder: Path, study: Study, case_id: str, rig: Rig | None = None, *, path: bool = False
) -> PlanRecord:
    """Write a plan into a folder and return it."""
    run, case, record = planned_run(study, case_id)
    of_case = next(one for one in record.cases if one.id == case_id)
    collapse = made_collapse(run, case) if path else None
    goal = goal_of(case.placed.case, beyond=True)
    planned = Planned(
        run=run,
        case=case,
        record=record,
        foreseen=foreseen_of(of_case, collapse),
        from_where="A path made by hand." if path else "Straight line.",
        goal=goal,
        gauge=gauge_of(rig) if rig else None,
    )
    return write_plan(planned, folder)
