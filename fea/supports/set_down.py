"""A free bar on supports that stand still: its displacements count from them.

Solid and beam are solved in a hold of their own, which bears no force; what is missing is a rigid
motion, on which loads in balance do no work.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fea.beam.chain import transport
from fea.beam.statics import BeamResult
from fea.solid.free_hold import rigid_motions
from fea.solid.model import Model
from fea.solid.statics import LoadPoint, StaticAnswer, band_modes
from fea.solid.surface import mean_displacement
from geometry.arrays import Floats
from geometry.bar import Bar
from geometry.centreline import locate
from loadcases.load import PlacedLoad


def solid_set_down(model: Model, answer: StaticAnswer, shift: Floats) -> StaticAnswer:
    """Return a solution moved by a rigid motion, `shift` (6,) about s = 0, mm and rad.

    Source: rigid-body kinematics.
    """
    if not shift.any():
        return answer
    moved = (rigid_motions(model.mesh.points_mm) @ shift).reshape(-1, 3)
    points = (_moved(model, one, moved, shift[3:]) for one in answer.load_points)
    there = answer.displacement_mm + moved
    return replace(answer, displacement_mm=there, load_points=tuple(points))


def beam_set_down(
    bar: Bar, loads: Sequence[PlacedLoad], result: BeamResult, shift: Floats
) -> BeamResult:
    """Return a beam's result under `loads`, moved by `shift` (6,) likewise, mm and rad.

    Source: rigid-body kinematics.
    """
    if not (shift.any() and loads):
        return result
    places = locate(bar.line, np.array([one.at_mm for one in loads])).position_mm
    moved = transport(places) @ shift
    return replace(
        result,
        displacement_mm=result.displacement_mm + moved[:, :3],
        rotation_rad=result.rotation_rad + moved[:, 3:],
    )


def _moved(model: Model, point: LoadPoint, moved: Floats, turned: Floats) -> LoadPoint:
    by = mean_displacement(band_modes(model, point.load), moved)
    return replace(
        point,
        displacement_mm=point.displacement_mm + by,
        rotation_rad=point.rotation_rad + turned,
    )
