"""From the results of a run to the content of results.json."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fea.beam.statics import BeamResult
from fea.solid.statics import LoadPoint
from geometry.arrays import Floats
from geometry.bar import end_to_end_mm
from geometry.material import material_sources
from geometry.properties import mass_g
from loadcases.clamp import CLAMP_STIFFNESS_SOURCE, Clamp
from studies.assessment.bounds import (
    deflection_mm,
    displacement_along_force_mm,
    stiffness_n_per_mm,
)
from studies.assessment.limits import Limit, life_limit, limits_of
from studies.assessment.run import CaseRun, StudyRun
from studies.assessment.run_cautions import Remarks, remarks_of
from studies.assessment.verdict import study_verdict, verdict
from studies.collapse.record import collapse_record
from studies.files.provenance import library_version, provenance
from studies.files.version import barwright_version
from studies.records.case import (
    FORMAT,
    FORMAT_VERSION,
    BarRecord,
    BeamBoundRecord,
    BeamRecord,
    CaseRecord,
    CheckRecord,
    ClampRecord,
    ClampStiffnessRecord,
    ErrorRecord,
    LoadPointRecord,
    MaterialRecord,
    MeshRecord,
    ResultsRecord,
    SpecimenRecord,
    StudyRecord,
    Vector,
)
from studies.records.clock import now_utc
from studies.records.parts import place_record, source_record
from studies.results.conventions import conventions_of
from studies.results.fatigue_record import fatigue_record
from studies.results.gauge_record import gauge_records
from studies.results.limit_record import (
    buckling_record,
    clamp_case_record,
    clamp_preload_records,
    limit_record,
)
from studies.results.square_record import square_record
from studies.results.support_record import supports_record

WRITERS = ("meshio", "pyvista")
"""Libraries that write what a run comes to; those that its numbers rest on stand before them."""


def results_record(run: StudyRun) -> ResultsRecord:
    """Return the content of results.json."""
    shared, own = remarks_of(run)
    return ResultsRecord(
        format=FORMAT,
        format_version=FORMAT_VERSION,
        study=_study(run),
        bar=_bar(run),
        material=_material(run),
        clamp=_clamp(run),
        specimen=_specimen(run),
        square=square_record(run),
        clamp_preload=clamp_preload_records(run),
        fatigue=fatigue_record(run, run.life),
        summary=study_verdict(
            [(case.placed.case.title, limits_of(run, case)) for case in run.cases],
            life_limit(run, run.life),
        ),
        cautions=list(shared.cautions),
        limitations=list(shared.limitations),
        warnings=list(shared.warnings),
        cases=[_case(run, case, found) for case, found in zip(run.cases, own, strict=True)],
    )


def _study(run: StudyRun) -> StudyRecord:
    mesh, made_by = run.model.mesh, provenance("results", run.solver)
    writers = {name: found for name in WRITERS if (found := library_version(name))}
    return StudyRecord(
        name=run.study.name,
        title=run.study.title,
        file=run.study.path.name,
        sha256=run.study.sha256,
        barwright_version=barwright_version(),
        sources_sha256=made_by.sources_sha256,
        libraries={**made_by.libraries, **writers},
        solver=run.solver,
        mesh=MeshRecord(
            level=run.level,
            nodes=len(mesh.points_mm),
            cells=len(mesh.cells),
            dofs=3 * len(mesh.points_mm),
        ),
        computed_at=now_utc(),
        seconds={stage.name.lower(): round(took, 3) for stage, took in run.seconds.items()},
    )


def _bar(run: StudyRun) -> BarRecord:
    bar, specimen = run.study.bar, run.study.specimen
    return BarRecord(
        name=bar.spec.name,
        material=bar.spec.material.id,
        mass_g=mass_g(bar),
        measured_mass_g=specimen.mass_g if specimen else bar.spec.measured_mass_g,
        centreline_length_mm=bar.line.right_end_mm - bar.line.left_end_mm,
        end_to_end_mm=end_to_end_mm(bar),
        roll_deg=bar.spec.roll_deg,
        conventions=[*conventions_of(bar), *run.study.measured],
    )


def _specimen(run: StudyRun) -> SpecimenRecord | None:
    specimen, measured = run.study.specimen, run.study.measured
    if specimen is None or not measured:
        return None
    return SpecimenRecord(id=specimen.id, as_measured=list(measured))


def _material(run: StudyRun) -> MaterialRecord:
    material = run.study.bar.spec.material
    return MaterialRecord(
        id=material.id,
        youngs_modulus_mpa=material.youngs_modulus_mpa,
        poisson_ratio=material.poisson_ratio,
        density_kg_m3=material.density_kg_m3,
        proof_stress_mpa=material.proof_stress_mpa,
        ultimate_stress_mpa=material.ultimate_stress_mpa,
        sources={block: source_record(source) for block, source in material_sources(material)},
    )


def _clamp(run: StudyRun) -> ClampRecord:
    clamp = run.study.clamp
    elastic = clamp.model == "elastic"
    default = replace(clamp, bolts=None) == Clamp(clamp.width_mm)
    return ClampRecord(
        width_mm=clamp.width_mm,
        model=clamp.model,
        normal_n_per_mm3=clamp.normal_n_per_mm3 if elastic else None,
        tangential_n_per_mm3=clamp.tangential_n_per_mm3 if elastic else None,
        source=source_record(CLAMP_STIFFNESS_SOURCE) if default else None,
    )


def _case(run: StudyRun, case: CaseRun, remarks: Remarks) -> CaseRecord:
    material, peak = run.study.bar.spec.material, case.peak.stress_mpa
    limits = limits_of(run, case)
    return CaseRecord(
        id=case.placed.case.id,
        title=case.placed.case.title,
        source=source_record(case.placed.case.source),
        remarks=list(case.placed.case.remarks),
        notes=list(case.placed.case.notes),
        load_points=[_load_point(point) for point in case.answer.load_points],
        deflection_mm=deflection_mm(case.answer, case.supports),
        stiffness_n_per_mm=stiffness_n_per_mm(case.answer, case.supports),
        peak_stress_mpa=peak,
        peak_stress_at=place_record(run.study.bar, case.peak),
        load_band_peak_mpa=case.band.stress_mpa,
        yield_factor=material.proof_stress_mpa / peak,
        ultimate_factor=material.ultimate_stress_mpa / peak,
        work_nmm=case.answer.work_nmm,
        beam=BeamRecord(
            rigid_bends=_bound(case.beam.rigid_bends, case.beam.deflections_mm[0]),
            flexible_bends=_bound(case.beam.flexible_bends, case.beam.deflections_mm[1]),
            peak_stress_mpa=case.beam.rigid_bends.peak_stress_mpa,
        ),
        clamp_stiffness_study=[
            ClampStiffnessRecord(
                stiffness_scale=one.scale,
                deflection_mm=one.deflection_mm,
                peak_stress_mpa=one.peak_stress_mpa,
            )
            for one in case.clamp_stiffness_study
        ],
        reaction_n=_vector(case.answer.reaction_n),
        reaction_moment_nmm=_vector(case.answer.reaction_moment_nmm),
        error_estimate=ErrorRecord(
            deflection_percent=case.error.deflection_percent,
            stress_percent=case.error.stress_percent,
        ),
        buckling=buckling_record(run, case),
        clamp=clamp_case_record(run, case),
        fatigue=fatigue_record(run, case.life),
        collapse=collapse_record(run, case),
        supports=supports_record(case),
        gauges=gauge_records(run, case),
        limits=[limit_record(limit) for limit in limits],
        governing_factor=limits[0].load_factor,
        governing_factor_mid=limits[0].middle_factor,
        governing_verified=_verified_factor(limits),
        checks=[CheckRecord(**vars(check)) for check in case.checks],
        summary=_summary(case, limits),
        cautions=list(remarks.cautions),
        limitations=list(remarks.limitations),
        warnings=list(remarks.warnings),
    )


def _summary(case: CaseRun, limits: Sequence[Limit]) -> str:
    unjudged = case.life is not None and case.life.result.factor is None
    return verdict(limits) + (" Fatigue is not judged." if unjudged else "")


def _verified_factor(limits: Sequence[Limit]) -> float | None:
    """Return the factor of the nearest limit whose inputs are all verified."""
    return next((one.load_factor for one in limits if one.is_verified), None)


def _load_point(point: LoadPoint) -> LoadPointRecord:
    return LoadPointRecord(
        side=point.load.side,
        at_mm=point.load.at_mm,
        band_mm=point.load.band_mm,
        force_n=point.load.force_n,
        moment_nmm=point.load.moment_nmm,
        displacement_mm=_vector(point.displacement_mm),
        displacement_along_force_mm=displacement_along_force_mm(point),
        rotation_deg=_vector(np.degrees(point.rotation_rad)),
    )


def _bound(beam: BeamResult, deflection_mm: float) -> BeamBoundRecord:
    return BeamBoundRecord(deflection_mm=deflection_mm, work_nmm=beam.work_nmm)


def _vector(values: Floats) -> Vector:
    x, y, z = (float(value) for value in values)
    return x, y, z
