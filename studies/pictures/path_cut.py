"""Cuts across a bar past yield: a ring of nodes laid back onto its first place, and its picture."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial.transform import Rotation

from fea.collapse.collapse_mode import Rings, rings_of, shape_of
from fea.collapse.path_run import Step
from geometry.arrays import Floats, Ints
from geometry.bar import Bar, axes, nominal_od_mm
from geometry.mesh import TubeMesh
from studies.pictures.palette import GHOST, rgb
from studies.pictures.scene import Surface, View, moved, painted, wall_between

SPLIT = 6
GHOST_BEHIND_MM = 1.0


@dataclass(frozen=True, eq=False)
class Cut:
    """A ring of nodes, from a corner of an element on round the tube.

    Attributes:
        s_mm: Its place along the bar.
        before_mm: (2, T, 3) of inner and outer surface at rest.
        after_mm: (2, T, 3) at a step, less the rigid motion of the ring.
        sheet: (T,) numbers of the sheet's nodes.
        oval_percent: Largest less smallest diameter over the nominal one that the step adds.
    """

    s_mm: float
    before_mm: Floats
    after_mm: Floats
    sheet: Ints
    oval_percent: float


def collapse_ring(bar: Bar, mesh: TubeMesh, step: Step) -> int:
    """Return the ring, within half a diameter of a step's place, whose wall is deformed most.

    It is the number of the ring in `rings_of`.
    """
    s_mm, rings = step.reading.strain.s_mm, rings_of(mesh)
    shape = shape_of(rings, mesh.points_mm, step.snapshot.displacement_mm)
    away = np.abs(rings.s_mm - s_mm)
    near = away <= max(float(nominal_od_mm(bar, np.array(s_mm))) / 2, float(away.min()))
    return int(np.argmax(np.where(near, shape.oval_mm + shape.local_mm, -1.0)))


def cut_at(mesh: TubeMesh, ring: int, step: Step) -> Cut:
    """Return a ring at a step, laid back by the rigid motion that fits its middle line best.

    Source of the fit: W. Kabsch, Acta Cryst. A 32 (1976) 922, as scipy has it.
    """
    rings, moved_mm = rings_of(mesh), step.snapshot.displacement_mm.astype(float)
    nodes, sheet = _from_a_corner(mesh, rings, ring)
    before, after = mesh.points_mm[nodes], mesh.points_mm[nodes] + moved_mm[nodes]
    first, second = (at.mean(axis=(0, 1)) for at in (before, after))
    turn, _ = Rotation.align_vectors(before.mean(axis=0) - first, after.mean(axis=0) - second)
    laid = first + turn.apply((after - second).reshape(-1, 3)).reshape(after.shape)
    oval = shape_of(rings, mesh.points_mm, moved_mm).oval_percent[ring]
    return Cut(float(rings.s_mm[ring]), before, laid, sheet, float(oval))


def view_of(bar: Bar, cut: Cut) -> View:
    """Return the view along the bar from its right end, front to the right and top up."""
    _, front, top = axes(bar, np.array(cut.s_mm), np.array(0.0))
    return View(cut.before_mm.mean(axis=(0, 1)), front, top, 1.0)


def cut_surfaces(cut: Cut, shares: tuple[Floats, Floats], view: View) -> list[Surface]:
    """Return the metal cut, coloured by shares on both surfaces, and its undeformed self."""
    arcs = _arcs(len(cut.sheet))
    values = [side[cut.sheet][arcs] for side in shares]
    before = wall_between([side[arcs] for side in cut.before_mm], values, SPLIT)
    return [
        moved(painted(before, rgb(GHOST)), -GHOST_BEHIND_MM * view.towards),
        wall_between([side[arcs] for side in cut.after_mm], values, SPLIT),
    ]


def _from_a_corner(mesh: TubeMesh, rings: Rings, ring: int) -> tuple[Ints, Ints]:
    """Return node numbers (2, T) of inner and outer surface, and those of the sheet (T,)."""
    nodes = np.stack([rings.inner[ring], rings.outer[ring]])
    first = int(np.argmax(mesh.sheet.corner[mesh.owner[nodes[1]]]))
    nodes = np.roll(nodes, -first, axis=1)
    return nodes, mesh.owner[nodes[1]]


def _arcs(count: int) -> Ints:
    """Return (count / 2, 3): one end, middle and other end of each element's edge in a ring."""
    first = np.arange(0, count, 2)
    return np.column_stack([first, first + 1, (first + 2) % count])
