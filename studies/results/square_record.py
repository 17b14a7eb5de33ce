"""A bar out of square in results.json, with the square bar beside it."""

from studies.assessment.bounds import deflection_mm
from studies.assessment.limits import limits_of
from studies.assessment.run import CaseRun, StudyRun
from studies.records.square import BendTurnRecord, SquareCaseRecord, SquareRecord
from studies.study_file.bend_names import bend_names


def square_record(run: StudyRun) -> SquareRecord | None:
    """Return what was read and solved, None for a bar that is drawn square."""
    turned = run.study.bar_spec.turned
    if turned is None:
        return None
    read = turned.readings
    names = bend_names(run.study, read.side)
    turns = zip(names, turned.plane_deg, turned.angle_deg, strict=True)
    return SquareRecord(
        side=read.side,
        height_mm=read.height_mm,
        fore_aft_mm=read.fore_aft_mm,
        length_mm=read.length_mm,
        height_within_mm=read.height_within_mm,
        fore_aft_within_mm=read.fore_aft_within_mm,
        length_within_mm=read.length_within_mm,
        bends=[
            BendTurnRecord(bend=number, name=name, plane_deg=plane, angle_deg=angle)
            for number, (name, plane, angle) in enumerate(turns, start=1)
        ],
        tail_mm=turned.tail_mm,
        cases=_cases(run, run.square, read.side) if run.square else [],
    )


def _cases(run: StudyRun, square: StudyRun, side: str) -> list[SquareCaseRecord]:
    pairs = zip(run.cases, square.cases, strict=True)
    return [_case(_figures(run, one), _figures(square, other), other, side) for one, other in pairs]


def _case(
    own: tuple[float, ...], square: tuple[float, ...], case: CaseRun, side: str
) -> SquareCaseRecord:
    deflection, peak, factor = (100 * (a / b - 1) for a, b in zip(own, square, strict=True))
    return SquareCaseRecord(
        id=case.placed.case.id,
        loads_on_side=_is_on(case, side),
        deflection_mm=square[0],
        deflection_change_percent=deflection,
        peak_stress_mpa=square[1],
        peak_stress_change_percent=peak,
        governing_factor=square[2],
        governing_factor_change_percent=factor,
    )


def _is_on(case: CaseRun, side: str) -> bool:
    """Return whether a load or a support of the case is on a half."""
    loads, supports = case.placed.loads, case.placed.supports
    return side in {one.side for one in loads} | {one.side for one in supports}


def _figures(run: StudyRun, case: CaseRun) -> tuple[float, ...]:
    """Return deflection, peak stress and governing factor of a case."""
    factor = limits_of(run, case)[0].load_factor
    return deflection_mm(case.answer, case.supports), case.peak.stress_mpa, factor
