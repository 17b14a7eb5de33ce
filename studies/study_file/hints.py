"""Hints on inputs that are possible and seldom meant; `barwright check` says them before a run."""

from collections.abc import Iterator
from math import degrees, pi

import numpy as np

from geometry.bar import end_to_end_mm, nominal_od_mm, nominal_wall_mm
from geometry.centreline import arcs
from loadcases.bolts import Bolts, mean_pressure_mpa, preload, ring_buckling_pressure_mpa
from studies.study_file.study import Study

MIN_SPAN_MM, MIN_MASS_G = 150.0, 20.0
"""Of a bar from end to end and on the scale: below, another unit is likely."""

BOLT_PROOF_MPA = 970.0
"""Proof stress of the strongest common bolts, class 12.9; from memory."""

STRESS_AREA_SHARE = 0.72
"""Stress area of a common metric thread over that of a rod of its diameter; from memory."""

DROP_TURN_DEG = 120.0
"""Sum of the bends of a half from which on a bar is a drop bar."""

BENDING = "iso-4210-5.bar-bending"


def hints(study: Study) -> tuple[str, ...]:
    """Return what should be looked at before a run, one sentence each."""
    made = (_units, _stations, _bolts, _clamp_on_bend, _drop_bar, _pressures)
    return tuple(sentence for make in made for sentence in make(study))


def _units(study: Study) -> Iterator[str]:
    span_mm, mass_g = end_to_end_mm(study.bar), study.bar.spec.measured_mass_g
    if span_mm < MIN_SPAN_MM:
        yield (
            f"bar: {span_mm:.4g} mm from end to end, under {MIN_SPAN_MM:g} mm; lengths are in mm, "
            "so write ten times the number for each that was measured in cm"
        )
    if mass_g is not None and mass_g < MIN_MASS_G:
        yield (
            f"bar.mass_g: {mass_g:g} g, under {MIN_MASS_G:g} g; the unit is g, so write "
            f"{1000 * mass_g:g} if {mass_g:g} kg is meant"
        )


def _stations(study: Study) -> Iterator[str]:
    spec, line = study.bar.spec, study.bar.line
    halves = [("bar", spec.stations, line.right_end_mm)]
    if spec.left_stations:
        halves.append(("bar.left", spec.left_stations, -line.left_end_mm))
    for where, stations, end_mm in halves:
        for number, station in enumerate(stations):
            if station.at_mm > end_mm:
                yield (
                    f"{where}.stations[{number}].at_mm: {station.at_mm:g} mm, beyond the end of "
                    f"the half at {end_mm:.5g} mm; correct it, or leave the station out"
                )


def _bolts(study: Study) -> Iterator[str]:
    for where, _, _, bolts in _clamps(study):
        area_mm2 = STRESS_AREA_SHARE * pi / 4 * bolts.diameter_mm**2
        stress_mpa = 1000 * bolts.torque_nm / (bolts.nut_factor * bolts.diameter_mm) / area_mm2
        if stress_mpa > BOLT_PROOF_MPA:
            yield (
                f"{where}.bolts.torque_nm: {bolts.torque_nm:g} N·m puts {stress_mpa:.0f} MPa on a "
                f"thread of {bolts.diameter_mm:g} mm, above {BOLT_PROOF_MPA:g} MPa, the proof "
                "stress of class 12.9 (from memory); check torque and thread"
            )


def _clamp_on_bend(study: Study) -> Iterator[str]:
    bends = arcs(study.bar.line)
    clamp = study.clamp
    spans = {"clamp": (clamp.from_mm, clamp.to_mm)} if clamp.holds else {}
    spans |= {f"levers[{n}]": (one.from_mm, one.to_mm) for n, one in enumerate(study.levers)}
    for where, (low, high) in spans.items():
        if any(bend.s_from_mm < high - 1e-6 and bend.s_to_mm > low + 1e-6 for bend in bends):
            yield (
                f"{where}: stands on a bend from {low:.4g} to {high:.4g} mm; its slip, pressure "
                "and foundation are those of a straight round tube, so move it or check the bends"
            )


def _drop_bar(study: Study) -> Iterator[str]:
    turns = [
        sum(
            degrees((bend.s_to_mm - bend.s_from_mm) / bend.radius_mm)
            for bend in arcs(study.bar.line)
            if sign * bend.s_from_mm >= 0 and sign * bend.s_to_mm >= 0
        )
        for sign in (1, -1)
    ]
    if max(turns) < DROP_TURN_DEG:
        return
    for number, case in enumerate(study.table.get("cases", [])):
        if case.get("use") == BENDING:
            yield (
                f"cases[{number}].use: {BENDING} on a drop bar, whose bends turn a half by "
                f"{max(turns):.0f} deg; check in the standard where such a bar is loaded"
            )


def _pressures(study: Study) -> Iterator[str]:
    material = study.bar.spec.material
    for where, at_mm, width_mm, bolts in _clamps(study):
        od_mm, wall_mm = _section(study, at_mm)
        pressed_mpa = mean_pressure_mpa(preload(bolts).high_n, od_mm, width_mm)
        limit_mpa = ring_buckling_pressure_mpa(
            material.youngs_modulus_mpa, material.poisson_ratio, (od_mm - wall_mm) / 2, wall_mm
        )
        if pressed_mpa > limit_mpa:
            yield (
                f"{where}.bolts: press with up to {pressed_mpa:.1f} MPa, above the ring buckling "
                f"pressure of {limit_mpa:.1f} MPa; lower the torque, or use a clamp that keeps "
                "the tube round"
            )


def _section(study: Study, at_mm: float) -> tuple[float, float]:
    s = np.array([at_mm])
    return float(nominal_od_mm(study.bar, s)[0]), float(nominal_wall_mm(study.bar, s)[0])


def _clamps(study: Study) -> list[tuple[str, float, float, Bolts]]:
    """Return key, middle, width and bolts of the clamps with bolts, the stem's first."""
    stem = study.clamp
    found = [("clamp", 0.0, stem.width_mm, stem.bolts)] if stem.bolts else []
    return found + [
        (f"levers[{number}]", one.at_mm, one.width_mm, one.bolts)
        for number, one in enumerate(study.levers)
    ]
