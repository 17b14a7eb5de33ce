"""A path as files for other programs: a VTK file a step, their list, and the curve as a table."""

import csv
from collections.abc import Sequence
from io import StringIO
from math import degrees
from pathlib import Path
from xml.sax.saxutils import quoteattr

import numpy as np

from fea.collapse.path_run import Snapshot, Step
from fea.collapse.reading import Reading
from geometry.mesh import TubeMesh
from studies.files.atomic_files import unwritable, write_whole
from studies.files.checkpoints import RESUME
from studies.files.fields import through_wall, write_vtu

SERIES, CURVE = "path.pvd", "curve.csv"


def write_step(place: Path, number: int, mesh: TubeMesh, shown: Snapshot) -> None:
    """Write a step as .vtu: displacement_mm, plastic_strain (both linear through the wall), places.

    Raises:
        InputError: It cannot be written.
    """
    path = place / _name(number)
    fresh = path.with_name(f".{path.name}.new")
    strain = through_wall(mesh, shown.outer[:, None], shown.inner[:, None])[:, 0]
    try:
        write_vtu(
            fresh,
            mesh,
            {
                "displacement_mm": shown.displacement_mm,
                "plastic_strain": strain.astype(np.float32),
                "s_mm": mesh.block[:, 0].astype(np.float32),
                "theta_deg": np.degrees(mesh.block[:, 1]).astype(np.float32),
                "zeta": mesh.block[:, 2].astype(np.float32),
            },
        )
        fresh.replace(path)
    except OSError as error:
        raise unwritable(place.parent.parent, error, RESUME) from None


def write_lists(
    place: Path, steps: Sequence[Step], load: float, gauges: Sequence[str] = (), *, by_moments: bool
) -> None:
    """Write the list of the steps for VTK viewers, and the curve as a table.

    The time of a step in the list is its number: a deflection goes back where a load is taken away.
    The `load` is that at a factor of one: N, or N mm of one end's moment. `gauges` are the heads of
    the columns of what they read.

    Raises:
        InputError: They cannot be written.
    """
    try:
        write_whole(place / SERIES, _list(len(steps)))
        write_whole(place / CURVE, _table(steps, load, gauges, by_moments=by_moments))
    except OSError as error:
        raise unwritable(place.parent.parent, error, RESUME) from None


def _name(number: int) -> str:
    return f"step-{number:04d}.vtu"


def _list(count: int) -> str:
    lines = [
        f'    <DataSet timestep="{number}" part="0" file={quoteattr(_name(number))}/>'
        for number in range(1, count + 1)
    ]
    return "\n".join(
        [
            '<?xml version="1.0"?>',
            '<VTKFile type="Collection" version="0.1" byte_order="LittleEndian">',
            "  <Collection>",
            *lines,
            "  </Collection>",
            "</VTKFile>",
            "",
        ]
    )


def _table(steps: Sequence[Step], load: float, gauges: Sequence[str], *, by_moments: bool) -> str:
    name, move = ("moment_nmm", "rotation_deg") if by_moments else ("load_n", "deflection_mm")
    heads = ["step", "phase", "cycle", "factor", name, move]
    heads += ["plastic_strain", "edge_strain", "oval_percent"]
    heads += [*(name for name, _ in _beside(steps[0].reading)), *gauges]
    text = StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(heads)
    for number, step in enumerate(steps, start=1):
        one = step.reading
        moved = degrees(one.deflection) if by_moments else one.deflection
        columns = one.factor, load * one.factor, moved, one.strain.value, one.edge.value
        beside = (value for _, value in _beside(one))
        values = (*columns, one.oval_percent, *beside, *step.gauges)
        shown = ("" if value is None else f"{value:.8g}" for value in values)
        rows.writerow([number, one.phase, one.cycle, *shown])
    return text.getvalue()


def _beside(one: Reading) -> list[tuple[str, float | None]]:
    """Return what a path under a ram, or that of a bent tube, has beside the curve."""
    found: list[tuple[str, float | None]] = []
    if one.indentation_mm is not None:
        found += [("bar_deflection_mm", one.deflection - one.indentation_mm)]
        found += [("indentation_mm", one.indentation_mm)]
    if one.bend:
        found += [("middle_moment_nmm", one.bend.moment_nmm)]
        found += [("middle_curvature_per_m", 1000 * one.bend.curvature_per_mm)]
        found += [("middle_oval_percent", one.bend.oval_percent)]
        found += [("ripple_mm", one.bend.ripple_mm)]
    return found
