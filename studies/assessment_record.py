"""The content of results.json on what could end each load case."""

import numpy as np

from fea.zones import Zone
from studies.limits import Limit, zone_in_words
from studies.records import BucklingRecord, LimitRecord, ZoneRecord
from studies.runner import CaseRun, StudyRun


def buckling_record(run: StudyRun, case: CaseRun) -> BucklingRecord:
    """Return the stability of a case as results.json holds it."""
    stable = case.stability
    factors = [float(factor) for factor in stable.elastic.factors]
    return BucklingRecord(
        elastic_factor=factors[0] if factors else None,
        elastic_factors=factors,
        reversed_factors=[float(factor) for factor in stable.elastic.reversed_factors],
        utilisation=float(stable.local.used["stability"].max()),
        wrinkling_factor=stable.wrinkling_factor,
        ovalisation_factor=stable.ovalisation_factor,
        worst=[_zone(run, zone) for zone in stable.worst],
        zones=[_zone(run, zone) for zone in stable.zones],
    )


def limit_record(limit: Limit) -> LimitRecord:
    """Return a limit as results.json holds it."""
    return LimitRecord(
        name=limit.name,
        event=limit.event,
        load_factor=limit.load_factor,
        place=limit.place,
        s_mm=limit.s_mm,
        theta_deg=None if limit.theta_rad is None else _degrees(limit.theta_rad),
        rests_on=list(limit.rests_on),
    )


def _zone(run: StudyRun, zone: Zone) -> ZoneRecord:
    return ZoneRecord(
        s_from_mm=zone.s_from_mm,
        s_to_mm=zone.s_to_mm,
        s_mm=zone.s_mm,
        theta_deg=_degrees(zone.theta_rad),
        utilisation=zone.utilisation,
        limit=zone.limit,
        driver=zone.driver,
        words=f"{zone_in_words(run, zone)}, {zone.driver}, {zone.utilisation:.2f}",
    )


def _degrees(theta_rad: float) -> float:
    return float(np.degrees(theta_rad)) % 360
