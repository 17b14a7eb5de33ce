"""A specimen in what `barwright check --json` prints."""

from dataclasses import asdict
from math import degrees
from typing import Any

from geometry.round_fit import RoundFit
from geometry.specimen import Instrument, Specimen
from studies.study_file.readings import OvalPlace, Readings, WallPlace, readings_of
from studies.study_file.specimen_verdict import squareness, two_walls
from studies.study_file.study import Study
from studies.study_file.wall_from_mass import WallFromMass, wall_from_mass


def specimen_record(study: Study) -> dict[str, Any] | None:
    """Return the specimen of a study with what its readings say, None where there is none."""
    specimen = study.specimen
    if specimen is None:
        return None
    by_mass, found = wall_from_mass(study, specimen), readings_of(study, specimen)
    return {
        "id": specimen.id,
        "mass_g": specimen.mass_g,
        "operator": specimen.operator,
        "instruments": [_instrument(one) for one in specimen.instruments],
        "lengths_mm": {"right": specimen.right_length_mm, "left": specimen.left_length_mm},
        "wall_factor_of_mass": {"factor": by_mass.factor, "within": by_mass.within},
        "ovality": [_oval(one) for one in found.ovals],
        "walls": [_wall(one) for one in found.walls],
        "untold": list(found.untold),
        "mean_wall": _both(study, specimen, found, by_mass),
        "out_of_square": _square(study, specimen),
        "as_measured": list(study.measured),
    }


def _instrument(one: Instrument) -> dict[str, str | None]:
    day = one.calibrated.isoformat() if one.calibrated else None
    return {"id": one.id, "kind": one.kind, "calibrated": day}


def _oval(one: OvalPlace) -> dict[str, Any]:
    middle, low, high = one.percent
    return {
        "side": one.side,
        "at_mm": one.at_mm,
        **_mean(one.fit, "od_mm"),
        "ovality_percent": middle,
        "ovality_percent_range": [low, high],
        "largest_deg": degrees(one.fit.phase_rad),
        "bend_percent": one.bend_percent,
    }


def _wall(one: WallPlace) -> dict[str, Any]:
    thinnest, within = one.thinnest_mm
    return {
        "side": one.side,
        "at_mm": one.at_mm,
        **_mean(one.fit, "wall_mm"),
        "by_bore": one.by_bore,
        "bending_taken_out": one.in_bend,
        "nominal_mm": one.nominal_mm,
        "eccentricity_mm": None if one.by_bore else one.fit.amplitude,
        "eccentricity_mm_range": None if one.by_bore else [one.fit.low, one.fit.high],
        "thickest_deg": None if one.by_bore else degrees(one.fit.phase_rad),
        "thinnest_mm": None if one.by_bore else thinnest,
        "thinnest_within_mm": None if one.by_bore else within,
    }


def _mean(fit: RoundFit, name: str) -> dict[str, float]:
    within = f"{name.removesuffix('_mm')}_within_mm"
    return {"readings": fit.count, name: fit.mean, within: fit.mean_within}


def _both(
    study: Study, specimen: Specimen, found: Readings, by_mass: WallFromMass
) -> dict[str, float] | None:
    if not found.walls:
        return None
    both = two_walls(study, specimen, found.walls, by_mass)
    return {**asdict(both), "deviations": both.deviations}


def _square(study: Study, specimen: Specimen) -> dict[str, Any] | None:
    tolerance, turned = specimen.out_of_square_tolerance_mm, study.bar_spec.turned
    if tolerance is None or turned is None:
        return None
    return {"tolerance_mm": tolerance, "found": squareness(turned.readings, tolerance)}
