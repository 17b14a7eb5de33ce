"""The content of results.json on the limits of each load case."""

from dataclasses import asdict

from fea.clamp.clamping import PreloadedClamp
from fea.clamp.contact_loss import ContactLossZone
from fea.stability.criteria import HOOP_YIELD, LOCAL_BUCKLING
from fea.stability.plastic_hinge import expected_failure
from fea.stability.stability import linear_factor
from fea.stability.zones import Zone
from studies.assessment.limits import Limit, zone_in_words
from studies.assessment.run import CaseRun, StudyRun
from studies.records.limit import (
    BucklingRecord,
    ClampCaseRecord,
    ClampPreloadRecord,
    ContactLossRecord,
    LimitRecord,
    WeakInputRecord,
    ZoneRecord,
)
from studies.records.parts import degrees_round, ends_of, middle_of, place_record
from studies.records.places import facing_in_words, reach_in_words, utilisation_in_words


def buckling_record(run: StudyRun, case: CaseRun) -> BucklingRecord:
    """Return the stability of a case as results.json holds it."""
    stable = case.stability
    factors = [float(factor) for factor in stable.elastic.factors]
    return BucklingRecord(
        elastic_factor=factors[0] if factors else None,
        elastic_factors=factors,
        reversed_factors=[float(factor) for factor in stable.elastic.reversed_factors],
        utilisation=float(stable.local.used[LOCAL_BUCKLING.id].max()),
        wrinkling_factor=stable.wrinkling_factor,
        hoop_yield_factor=linear_factor(stable, HOOP_YIELD),
        worst=[_zone(run, zone) for zone in stable.worst],
        zones=[_zone(run, zone) for zone in stable.zones],
    )


def limit_record(limit: Limit) -> LimitRecord:
    """Return a limit as results.json holds it."""
    ratio = limit.moment_ratio
    return LimitRecord(
        criterion=limit.criterion.id,
        name=limit.name,
        load_factor=limit.load_factor,
        place=limit.place,
        s_mm=limit.s_mm,
        theta_deg=None if limit.theta_rad is None else degrees_round(limit.theta_rad),
        weak_inputs=[
            WeakInputRecord(
                input=one.input,
                evidence=one.evidence,
                range=one.range,
                factor_range=one.factor_range,
            )
            for one in limit.weak_inputs
        ],
        factor_range=limit.factor_range,
        verified=limit.is_verified,
        expected_failure=None if ratio is None else expected_failure(ratio),
        moment_ratio=ratio,
    )


def _zone(run: StudyRun, zone: Zone) -> ZoneRecord:
    return ZoneRecord(
        s_from_mm=zone.s_from_mm,
        s_to_mm=zone.s_to_mm,
        s_mm=zone.s_mm,
        theta_deg=degrees_round(zone.theta_rad),
        utilisation=zone.utilisation,
        limit=zone.criterion.id,
        driver=zone.mode.label,
        text=f"{zone_in_words(run, zone)}, {zone.mode.label}, "
        f"{utilisation_in_words(zone.utilisation)}",
    )


def clamp_preload_records(run: StudyRun) -> list[ClampPreloadRecord]:
    """Return the preloaded clamps as results.json has them."""
    return [_clamp_preload(clamp) for clamp in run.clamping.clamps] if run.clamping else []


def clamp_case_record(run: StudyRun, case: CaseRun) -> ClampCaseRecord | None:
    """Return slip, contact and yield of a case with the clamps as results.json has them."""
    clamp = case.clamp
    if clamp is None:
        return None
    return ClampCaseRecord(
        yield_factor=clamp.yield_factor,
        yield_at=place_record(run.study.bar, clamp),
        slip_factor=middle_of(clamp.slip),
        slip_factor_range=ends_of(clamp.slip),
        contact_loss_percent=100 * clamp.contact_loss_share,
        contact_loss=[_contact_loss(run, zone) for zone in clamp.open_zones],
        contact_only_peak_mpa=clamp.contact_only_peak.stress_mpa
        if clamp.contact_only_peak
        else None,
        contact_only_deflection_mm=clamp.contact_only_deflection_mm,
    )


def _contact_loss(run: StudyRun, zone: ContactLossZone) -> ContactLossRecord:
    facing = facing_in_words(run.study.bar, zone.s_mm, zone.theta_rad)
    return ContactLossRecord(
        s_from_mm=zone.s_from_mm,
        s_to_mm=zone.s_to_mm,
        theta_deg=degrees_round(zone.theta_rad),
        percent=100 * zone.share,
        text=f"{reach_in_words(zone.s_from_mm, zone.s_to_mm)}, {facing}",
    )


def _clamp_preload(clamp: PreloadedClamp) -> ClampPreloadRecord:
    force = clamp.force
    return ClampPreloadRecord(
        name=clamp.name,
        at_mm=clamp.at_mm,
        width_mm=clamp.width_mm,
        bolts=asdict(clamp.bolts),
        preload_n=(force.low_n, force.nominal_n, force.high_n),
        pressure_mpa=clamp.pressure_mpa,
        ring_buckling_pressure_mpa=clamp.ring_buckling_mpa,
        slip_torque_nmm=clamp.slip.middle,
        slip_torque_range_nmm=(clamp.slip.low, clamp.slip.high),
        peak_stress_mpa=clamp.peak_mpa,
    )
