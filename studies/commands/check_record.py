"""What `barwright check --json` prints."""

from dataclasses import asdict
from typing import Any

import numpy as np

from geometry.bar import Bar
from geometry.centreline import locate
from geometry.tube_bending import SOURCES
from loadcases.case import PlacedCase
from loadcases.load import PlacedLoad, half_length_mm
from studies.commands.specimen_record import specimen_record
from studies.files.version import barwright_version
from studies.study_file.bend_names import bend_names
from studies.study_file.geometry_summary import GeometrySummary, is_mirrored
from studies.study_file.square import read_back_mm
from studies.study_file.study import Study
from studies.sweeps.plan import Plan


def check_record(
    study: Study, summary: GeometrySummary, plan: Plan | None = None
) -> dict[str, Any]:
    """Return the content of a check as JSON holds it."""
    return {
        "format": "barwright-check",
        "format_version": 2,
        "study": {
            "name": study.name,
            "title": study.title,
            "sha256": study.sha256,
            "barwright_version": barwright_version(),
            "mesh_level": study.mesh_level,
        },
        "bar": _bar(study.bar, summary),
        "clamp": asdict(study.clamp),
        "sections": [asdict(row) for row in summary.sections],
        "shapes": [asdict(row) for row in summary.shapes],
        "halves": [asdict(row) for row in summary.halves],
        "bend_names": {row.side: bend_names(study, row.side) for row in summary.halves},
        "out_of_square": _out_of_square(study.bar),
        "estimates": {name: asdict(source) for name, source in SOURCES.items()},
        "specimen": specimen_record(study),
        "cases": [_case(case, study.bar) for case in study.cases],
        "sweep": _sweep(plan) if plan else None,
        "warnings": list(study.warnings),
    }


def _sweep(plan: Plan) -> dict[str, Any]:
    axes = [axis.name for axis in plan.axes]
    return {"mode": plan.mode, "designs": len(plan.values), "axes": axes}


def _bar(bar: Bar, summary: GeometrySummary) -> dict[str, Any]:
    return {
        "name": bar.spec.name,
        "material": bar.spec.material.id,
        "mirrored": is_mirrored(bar),
        "roll_deg": bar.spec.roll_deg,
        "effects": asdict(bar.spec.effects),
        "mass_g": summary.mass_g,
        "measured_mass_g": bar.spec.measured_mass_g,
        "volume_mm3": summary.volume_mm3,
        "centreline_length_mm": summary.developed_length_mm,
        "end_to_end_mm": summary.end_to_end_mm,
    }


def _out_of_square(bar: Bar) -> dict[str, Any] | None:
    """Return what was read, which bends turn, and what the ends of the bar read back."""
    if bar.spec.turned is None:
        return None
    names = ("height_mm", "fore_aft_mm", "length_mm")
    back = zip(names, read_back_mm(bar.line, bar.spec.turned), strict=True)
    return {**asdict(bar.spec.turned), "read_back": dict(back)}


def _case(placed: PlacedCase, bar: Bar) -> dict[str, Any]:
    case = placed.case
    return {
        "id": case.id,
        "title": case.title,
        "source": asdict(case.source),
        "axes": case.axes,
        "parameters": dict(case.parameters),
        "cycle": asdict(case.cycle) if case.cycle else None,
        "loads": [load_record(load, bar) for load in placed.loads],
        "supports": [asdict(one) for one in placed.supports],
        "ram_force_n": case.ram_force_n,
        "notes": list(placed.notes),
    }


def load_record(load: PlacedLoad, bar: Bar) -> dict[str, Any]:
    """Return a load at its place, forces and position in bar axes."""
    position = locate(bar.line, np.array(load.at_mm)).position_mm
    return {
        "side": load.side,
        "at_mm": load.at_mm,
        "from_end_mm": half_length_mm(bar.line, load.side) - abs(load.at_mm),
        "position_mm": [round(float(value), 6) + 0.0 for value in position],
        "force_n": list(load.force_n),
        "moment_nmm": list(load.moment_nmm),
        "band_mm": load.band_mm,
    }
