"""From a path to its part of results.json."""

from collections.abc import Callable
from math import degrees

import numpy as np

from fea.collapse.indentation import dents_tube
from fea.collapse.material_curve import curve_statement
from fea.collapse.path_run import PathRun
from fea.collapse.reading import PathPoint
from fea.collapse.strain import StrainPeak
from loadcases.load import PlacedLoad
from loadcases.supports import PlacedSupport
from studies.assessment.run import CaseRun, StudyRun
from studies.collapse.agreement import Agreement, agreement_of
from studies.collapse.band import band_of
from studies.collapse.cautions import path_cautions
from studies.collapse.local_place import local_in_words
from studies.collapse.middle_bend import middle_record, middle_sentences
from studies.collapse.outcome import (
    OUTER_FIBRE_RULE,
    KnockDown,
    Offset,
    Outcome,
    Unloading,
    outcome_of,
)
from studies.collapse.path_gauges import path_gauge_records
from studies.collapse.ram_travel import own_deflections, stiffness_of, travel_sentences
from studies.collapse.requirements import allowed_set_mm, hold_min
from studies.collapse.text import (
    accuracy_in_words,
    agreement_in_words,
    ended_in_words,
    imperfection_in_words,
    sentences,
)
from studies.records.base import PlaceRecord
from studies.records.collapse import (
    AgreementRecord,
    CollapseRecord,
    CurveRecord,
    KnockDownRecord,
    OffsetRecord,
    PathPlaceRecord,
    PathSupportRecord,
    StrainRecord,
    UnloadingRecord,
)
from studies.records.parts import place_record

Conversion = Callable[[float | None], float | None]


def collapse_record(run: StudyRun, case: CaseRun) -> CollapseRecord | None:
    """Return the path of a case as results.json holds it; None where it has none, or no step."""
    path = case.path
    found = outcome_of(run.study.bar, case, path) if path else None
    if path is None or found is None:
        return None
    reported, place = path.readings[found.reported], _place(run, case, path, found)
    yield_place = _yield_place(run, case, path, found)
    agreement = agreement_of(run, case, found.kind, reported.strain) if found.kind else None
    allowed = allowed_set_mm(case.placed.case)
    newton, mm, deg = _units(path)
    own = next((level for level in found.unloadings if level.factor == 1), None)
    fibre = (one.point for one in found.offsets if one.rule == OUTER_FIBRE_RULE)
    yielded = next(fibre, None)
    return CollapseRecord(
        mesh_level=path.path_control.mesh,
        cells=len(path.mesh.cells),
        layers=path.mesh.layers,
        solver=path.solver,
        seconds=round(path.seconds, 3),
        displacement_mm=mm(path.path_control.displacement),
        rotation_deg=deg(path.path_control.displacement),
        complete=path.terminated is None,
        ended=ended_in_words(path),
        flow_curve=curve_statement(run.study.bar.spec.material),
        curve=_curve(path),
        places=[_path_place(path, number, load) for number, load in enumerate(path.loads)],
        gauges=path_gauge_records(run, path),
        by_ram=path.by_ram,
        supports=[
            _path_support(path, number, one) for number, one in enumerate(case.placed.supports)
        ],
        stiffness=stiffness_of(path),
        band=band_of(run.study.bar, case, path, found),
        middle=middle_record(run.study.bar, path),
        linear_deflection_mm=mm(found.linear_deflection),
        linear_rotation_deg=deg(found.linear_deflection),
        **_path_point(path, "yield_load", found.yield_load),
        yield_place=yield_place,
        offset_n=newton(yielded.factor if yielded else None),
        offsets=[_offset(path, offset) for offset in found.offsets],
        unloadings=[
            _unloading(path, level, allowed, hold_min(case.placed.case))
            for level in found.unloadings
        ],
        permanent_set_mm=own.permanent_set_mm if own else None,
        **_path_point(path, "bifurcation_from", found.bifurcation and found.bifurcation.start),
        **_path_point(path, "bifurcation_to", found.bifurcation and found.bifurcation.end),
        **_path_point(path, "limit_load", found.limit_load),
        **_path_point(path, "max_load", found.max_load),
        **_path_point(path, "strain_limit_load", found.strain_limit),
        reported_step=found.reported + 1,
        place=place,
        kind="buckling" if found.bifurcation else found.kind,
        strain=StrainRecord(
            averaged=reported.strain.value,
            averaging_length_mm=found.averaging_length_mm,
            local=reported.edge.value,
            uniform=found.uniform,
            elongation=found.elongation,
        ),
        negative_pivots=reported.negative,
        absorbed_energy_nmm=found.absorbed_energy_nmm,
        imperfection=imperfection_in_words(path.path_control)
        if path.path_control.imperfection_percent
        else None,
        knock_down=[_knock_down(path, found, one) for one in found.knock_downs],
        assessment=_agreement(path, found, agreement) if agreement else None,
        text=[
            *sentences(path, found, _words(place), allowed, agreement, _words(yield_place)),
            *travel_sentences(path, found.reported),
            *middle_sentences(run.study.bar, path),
            accuracy_in_words(run.study.bar.spec.material),
        ],
        cautions=list(path_cautions(run, case, path, found)),
    )


def _path_point(path: PathRun, name: str, point: PathPoint | None) -> dict[str, float | None]:
    """Return load and deflection of a point of the curve, under its name."""
    newton, mm, deg = _units(path)
    factor, deflection = point or (None, None)
    return {
        f"{name}_factor": factor,
        f"{name}_n": newton(factor),
        f"{name}_deflection_mm": mm(deflection),
        f"{name}_rotation_deg": deg(deflection),
    }


def _units(path: PathRun) -> tuple[Conversion, Conversion, Conversion]:
    """Return the conversions of a factor to N, and of a deflection to mm or degrees; else null."""

    def nothing(value: float | None) -> float | None:
        return None

    def newton(factor: float | None) -> float | None:
        return None if factor is None else factor * path.load

    def mm(deflection: float | None) -> float | None:
        return deflection

    def deg(rotation: float | None) -> float | None:
        return None if rotation is None else degrees(rotation)

    return (nothing, nothing, deg) if path.by_moments else (newton, mm, nothing)


def _curve(path: PathRun) -> CurveRecord:
    readings, by_moments = path.readings, path.by_moments
    loads = [one.factor * path.load for one in readings]
    deflections = [one.deflection for one in readings]
    own = own_deflections(path)
    return CurveRecord(
        phase=[one.phase for one in readings],
        cycle=[one.cycle for one in readings],
        load_factor=[one.factor for one in readings],
        load_n=None if by_moments else loads,
        moment_nmm=loads if by_moments else None,
        deflection_mm=None if by_moments else deflections,
        rotation_deg=[degrees(deflection) for deflection in deflections] if by_moments else None,
        plastic_strain=[one.strain.value for one in readings],
        indentation_mm=own and [a - b for a, b in zip(deflections, own, strict=True)],
        bar_deflection_mm=own,
        edge_strain=[one.edge.value for one in readings],
        ovalisation_percent=[one.oval_percent for one in readings],
        negative_pivots=[one.negative for one in readings],
    )


def _path_place(path: PathRun, number: int, load: PlacedLoad) -> PathPlaceRecord:
    displacement = np.array([one.moved_mm[number] for one in path.readings])
    force_n = np.array(load.force_n)
    along = displacement @ force_n / np.linalg.norm(force_n) if force_n.any() else None
    return PathPlaceRecord(
        side=load.side,
        at_mm=load.at_mm,
        displacement_mm=[(float(x), float(y), float(z)) for x, y, z in displacement],
        displacement_along_force_mm=None if along is None else [float(one) for one in along],
    )


def _path_support(path: PathRun, number: int, support: PlacedSupport) -> PathSupportRecord:
    forces = np.array([one.reactions_n[number] for one in path.readings])
    return PathSupportRecord(
        kind=support.kind,
        side=support.side,
        at_mm=support.at_mm,
        force_n=[(float(x), float(y), float(z)) for x, y, z in forces],
        indentation_mm=[float(one.dents_mm[number]) for one in path.readings]
        if path.by_ram and dents_tube(support)
        else None,
    )


def _offset(path: PathRun, offset: Offset) -> OffsetRecord:
    newton, mm, deg = _units(path)
    factor, deflection = offset.point or (None, None)
    return OffsetRecord(
        rule=offset.rule,
        shift_mm=mm(offset.shift),
        shift_deg=deg(offset.shift),
        load_factor=factor,
        load_n=newton(factor),
        deflection_mm=mm(deflection),
        rotation_deg=deg(deflection),
    )


def _unloading(
    path: PathRun, level: Unloading, allowed: float | None, hold: float | None
) -> UnloadingRecord:
    newton, mm, deg = _units(path)
    return UnloadingRecord(
        load_factor=level.factor,
        load_n=newton(level.factor),
        reached=level.reached,
        deflection_mm=mm(level.deflection),
        rotation_deg=deg(level.deflection),
        permanent_set_mm=level.permanent_set_mm,
        permanent_set_deg=deg(level.permanent_set),
        limit_mm=allowed if level.factor == 1 else None,
        hold_min=hold if level.factor == 1 else None,
    )


def _place(run: StudyRun, case: CaseRun, path: PathRun, found: Outcome) -> PlaceRecord | None:
    """Return where the wall collapses, on the nearer surface; None while it does not."""
    if found.kind is None:
        return None
    return _strained_place(run, case, path.readings[found.reported].strain)


def _yield_place(run: StudyRun, case: CaseRun, path: PathRun, found: Outcome) -> PlaceRecord | None:
    """Return where strain is largest at the first step past the yield load, None before."""
    if found.yield_load is None:
        return None
    end = found.yield_load.deflection
    first = next(one for one in path.readings if one.deflection >= end)
    return _strained_place(run, case, first.strain)


def _words(place: PlaceRecord | None) -> str | None:
    return place.text if place else None


def _strained_place(run: StudyRun, case: CaseRun, peak: StrainPeak) -> PlaceRecord:
    """Return a place, and in its words the support beside which it is local."""
    place = place_record(run.study.bar, peak, "averaged plastic strain")
    local = local_in_words(run.study.bar, case.placed.supports, peak)
    return place.model_copy(update={"text": place.text + local})


def _knock_down(path: PathRun, found: Outcome, one: KnockDown) -> KnockDownRecord:
    newton, _, _ = _units(path)
    perfect = next((each.limit_load for each in found.knock_downs if each.percent == 0), None)
    return KnockDownRecord(
        percent=one.percent,
        limit_load_factor=one.limit_load,
        limit_load_n=newton(one.limit_load),
        bifurcation_from_factor=one.bifurcation,
        bifurcation_from_n=newton(one.bifurcation),
        max_load_factor=one.max_load,
        of_perfect=one.limit_load / perfect if one.limit_load and perfect else None,
        kind=one.kind if one.bifurcation is None else "buckling",
    )


def _agreement(path: PathRun, found: Outcome, agreement: Agreement) -> AgreementRecord:
    return AgreementRecord(
        limit=agreement.limit.id,
        share=agreement.share,
        named=agreement.named,
        load_factor=agreement.factor,
        text=agreement_in_words(path, found, agreement),
    )
