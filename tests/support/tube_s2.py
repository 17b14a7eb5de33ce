"""The benchmarks' problem: a straight tube 31.8 x 1.5 x 200 mm of about 156 000 freedoms.

As a cantilever it is what other libraries solve too: root face held, 1000 N of uniform shear
traction on the end. In a clamp it is a whole case of this project. Run as a module it solves the
whole case once and prints the seconds of its stages and the memory of its process as JSON.
"""

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from time import perf_counter
from typing import ParamSpec, TypeVar

import numpy as np
from scipy.sparse import csr_array

from fea.solid.assembly import Pattern, build_pattern, fill
from fea.solid.element import hex20_gauss
from fea.solid.error_estimate import estimate_error
from fea.solid.hot_spot import peak_stress
from fea.solid.kernels import gradients, stiffness_blocks
from fea.solid.linear_solver import SolverName
from fea.solid.model import CLAMP, band_name, build_model
from fea.solid.recovery import build_recovery, surface_stress
from fea.solid.statics import factorise_model, solve_cases
from geometry.bar import Bar
from geometry.mesh import TubeMesh, extruded, flat_sheet
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.systems import metal
from support.tubes import straight_bar, stretch

Given = ParamSpec("Given")
Made = TypeVar("Made")

Assembled = tuple[Pattern, csr_array]

OD_MM, WALL_MM, LENGTH_MM = 31.8, 1.5, 200.0
METAL = metal(107e3, 0.32)
FORCE_N = 1000.0
AROUND, ALONG = 32, 230


@dataclass
class Stopwatch:
    """Seconds of named stages, by a clock of seconds."""

    clock: Callable[[], float] = perf_counter
    seconds: dict[str, float] = field(default_factory=dict)

    def time(
        self, stage: str, make: Callable[Given, Made], *args: Given.args, **kwargs: Given.kwargs
    ) -> Made:
        """Return what `make` makes, its seconds added to the stage's."""
        start = self.clock()
        made = make(*args, **kwargs)
        self.seconds[stage] = self.seconds.get(stage, 0.0) + self.clock() - start
        return made


def cantilever_mesh(wall_mm: float = WALL_MM, along: int = ALONG, around: int = AROUND) -> TubeMesh:
    """Return the tube from its root at s = 0 to its end."""
    bar = straight_bar(LENGTH_MM, OD_MM, wall_mm, METAL)
    return stretch(bar, np.array([0.0, LENGTH_MM]), (along,), around)


def assembled(mesh: TubeMesh, watch: Stopwatch, pattern: Pattern | None = None) -> Assembled:
    """Return the pattern and the matrix of the cantilever, the stages timed."""
    points, cells = mesh.points_mm, mesh.cells
    pattern = pattern or watch.time("pattern", build_pattern, cells, len(points))
    grads = watch.time("gradients", gradients, points, cells, hex20_gauss(2))
    blocks = watch.time("stiffness", stiffness_blocks, grads, METAL)
    return pattern, watch.time("fill", fill, pattern, blocks)


def clamped_mesh(bar: Bar, clamp: Clamp, load: PlacedLoad) -> TubeMesh:
    """Return the tube held in its middle, one end loaded, in elements of one length."""
    half = LENGTH_MM / 2
    lines = np.array([-half, clamp.from_mm, clamp.to_mm, load.from_mm, half])
    regions = {CLAMP: (clamp.from_mm, clamp.to_mm), band_name(load): (load.from_mm, half)}
    size = np.array([-half, half]), np.full(2, LENGTH_MM / ALONG)
    return extruded(bar, flat_sheet(lines, size, AROUND, regions))


def whole_case(solver: SolverName) -> dict[str, float]:
    """Return the seconds of each stage from the mesh to the error estimate."""
    watch = Stopwatch()
    bar, clamp = straight_bar(LENGTH_MM / 2, OD_MM, WALL_MM, METAL), Clamp(40.0)
    load = PlacedLoad("right", 90.0, (0.0, 0.0, -FORCE_N), (0.0, 0.0, 0.0), 20.0)
    mesh = watch.time("mesh", clamped_mesh, bar, clamp, load)
    pattern = watch.time("pattern", build_pattern, mesh.cells, len(mesh.points_mm))
    model = watch.time("assembly", build_model, bar, clamp, mesh, pattern)
    factor = watch.time("factor", factorise_model, model, solver)
    answer = watch.time("solve", solve_cases, model, [[load]], factor).answers[0]
    recovery = watch.time("recovery", build_recovery, bar, mesh)
    moved = answer.displacement_mm
    stress = watch.time("stress", surface_stress, recovery, mesh, model.grads, METAL, moved)
    peak = watch.time("peak", peak_stress, model, stress, [load])
    watch.time("error", estimate_error, model, recovery, answer, peak)
    return watch.seconds


def most_memory_gb() -> float:
    """Return the most memory this process has held, in GB; Linux only.

    The usual figure, `ru_maxrss`, is no less than what the parent held when it started this one.
    """
    status = Path("/proc/self/status").read_text(encoding="ascii")
    kilobytes = next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM"))
    return float(kilobytes) * 1024 / 1e9


if __name__ == "__main__":
    seconds = whole_case("pardiso" if "pardiso" in sys.argv else "splu")
    json.dump({"seconds": seconds, "memory_gb": most_memory_gb()}, sys.stdout)
