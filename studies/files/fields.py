"""Fields of a load case as a VTK file that general viewers read."""

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

import meshio
import numpy as np

from fea.solid.recovery import stress_mpa, to_global, von_mises_mpa
from geometry.arrays import Floats
from geometry.bar import axes
from geometry.mesh import TubeMesh
from studies.assessment.run import CaseRun, StudyRun

VTK_ORDER = ((0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (0, 2))
"""Components of a symmetric tensor as VTK writes them: xx yy zz xy yz xz."""


def write_fields(run: StudyRun, case: CaseRun, path: Path) -> None:
    """Write mesh, displacement and stress of a case to a .vtu file.

    Point data: displacement_mm; stress_mpa, the recovered stress (xx yy zz xy yz xz, bar
    axes), linear through the wall; von_mises_mpa, axial_mpa and hoop_mpa of it; s_mm,
    theta_deg, zeta; utilisation_<id> of each local criterion; buckling_mode, the lowest
    elastic mode where there is one. Cell data: stress_mean_mpa, the mean over each element's
    Gauss points.
    """
    mesh, material = run.model.mesh, run.study.bar.spec.material
    local = through_wall(mesh, case.stress.outer, case.stress.inner)
    recovered = to_global(local, axes(run.study.bar, *mesh.block[:, :2].T))
    moved = case.answer.displacement_mm
    means = stress_mpa(run.model.grads, material, moved[mesh.cells]).mean(axis=1)
    write_vtu(
        path,
        mesh,
        {
            "displacement_mm": moved,
            "stress_mpa": _six(recovered),
            "von_mises_mpa": von_mises_mpa(local),
            "axial_mpa": local[:, 0],
            "hoop_mpa": local[:, 1],
            "s_mm": mesh.block[:, 0],
            "theta_deg": np.degrees(mesh.block[:, 1]),
            "zeta": mesh.block[:, 2],
            **_utilisation(run, case),
            **_mode(case),
        },
        {"stress_mean_mpa": [_six(means)]},
    )


def write_vtu(
    path: Path,
    mesh: TubeMesh,
    point_data: Mapping[str, Any],
    cell_data: Mapping[str, Any] = MappingProxyType({}),
) -> None:
    """Write a mesh with values at nodes (N, ...) and cells [(m, ...)] to a .vtu file.

    Raises:
        OSError: It cannot be written.
    """
    made = meshio.Mesh(
        mesh.points_mm,
        [("hexahedron20", mesh.cells)],
        point_data=dict(point_data),
        cell_data=dict(cell_data),
    )
    made.write(path, file_format="vtu")


def _utilisation(run: StudyRun, case: CaseRun) -> dict[str, Floats]:
    local, owner = case.stability.local, run.model.mesh.owner
    return {f"utilisation_{name}": used[owner] for name, used in local.used.items()}


def _mode(case: CaseRun) -> dict[str, Floats]:
    modes = case.stability.elastic.modes_mm
    return {"buckling_mode": modes[0]} if len(modes) else {}


def through_wall(mesh: TubeMesh, outer: Floats, inner: Floats) -> Floats:
    """Return values (N, k) at every node, linear between those of the two surfaces (P, k)."""
    zeta = mesh.block[:, 2:]
    result: Floats = zeta * outer[mesh.owner] + (1 - zeta) * inner[mesh.owner]
    return result


def _six(tensors: Floats) -> Floats:
    return np.stack([tensors[:, i, j] for i, j in VTK_ORDER], axis=-1)
