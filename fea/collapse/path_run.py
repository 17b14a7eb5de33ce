"""A case's path past yield, as it was traced."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fea.collapse.reading import PathPoint, Reading
from geometry.mesh import TubeMesh
from loadcases.load import PlacedLoad
from loadcases.path_control import PathControl
from loadcases.uncertainty import Variation

Singles = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Snapshot:
    """The deformed bar and its plastic strain at a step.

    Attributes:
        displacement_mm: (N, 3) of N nodes.
        outer: (P,) plastic strain at the sheet's P nodes on the outer surface.
        inner: (P,) likewise on the inner surface.
    """

    displacement_mm: Singles
    outer: Singles
    inner: Singles


@dataclass(frozen=True, eq=False)
class Step:
    """A step of a path.

    Attributes:
        reading: Its reading.
        snapshot: The bar.
        gauges: What the study's gauges read of the snapshot: mm of a dial, micrometres a metre of a
            strain gauge. They are not stored, so that a gauge can be added to steps at hand.
    """

    reading: Reading
    snapshot: Snapshot
    gauges: tuple[float, ...] = ()


@dataclass(frozen=True, eq=False)
class PathRun:
    """A path.

    Attributes:
        path_control: How far, and how.
        mesh: That of the path.
        unit: Sum of the forces at a factor of one in N, or of the moments in N mm where there is no
            force: with the deflection, its work.
        by_moments: Whether there is no force, so that deflections are rotations in radians.
        steps: In order.
        terminated: Why it ended early, None where it was traced to its end.
        reused: Number of steps that an earlier command had stored.
        solver: Direct solver that was used.
        seconds: Computing time in s, without reused steps.
        bifurcation: The points of its last step without and with a negative pivot, None where there
            is none.
        knock_down_paths: Further paths to the same deflection, each of another amplitude of
            imperfection.
        end_slope: Of the factor over the deflection at the end, None where it is not known.
        end_moment_nmm: Moment of one end at a factor of one, None where there is a force.
        loads: Of the places that readings tell of, at a factor of one: on supports also the beam's
            reactions.
        by_ram: Whether a ram presses the bar on supports: loads are its force, deflections its
            travel.
        varied_paths: Further paths to the same deflection, each with one input at the end of its
            interval.
    """

    path_control: PathControl
    mesh: TubeMesh
    unit: float
    by_moments: bool
    steps: tuple[Step, ...]
    terminated: str | None
    reused: int
    solver: str
    seconds: float
    bifurcation: tuple[PathPoint, PathPoint] | None = None
    knock_down_paths: tuple["PathRun", ...] = ()
    end_slope: float | None = None
    end_moment_nmm: float | None = None
    loads: tuple[PlacedLoad, ...] = ()
    by_ram: bool = False
    varied_paths: tuple[tuple[Variation, "PathRun"], ...] = ()

    @property
    def load(self) -> float:
        """Return the load at a factor of one as it is reported: N, or N mm of one end's moment.

        Source: definition.
        """
        return self.unit if self.end_moment_nmm is None else self.end_moment_nmm

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Return the reading of every step."""
        return tuple(step.reading for step in self.steps)
