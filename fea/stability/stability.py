"""One load case's stability: elastic buckling of the whole bar, and its wall place by place."""

from dataclasses import dataclass, replace

import numpy as np

from fea.solid.hot_spot import SurfaceReading, read_surface
from fea.solid.model import Model
from fea.solid.recovery import SurfaceStress
from fea.stability.buckling import Buckling
from fea.stability.criteria import LOCAL_BUCKLING, WRINKLING, LocalCriterion
from fea.stability.local_buckling import Walls, WallStress, walls_of
from fea.stability.local_map import LocalMap, local_buckling_factor, local_map
from fea.stability.plastic_hinge import wrinkling_moment_ratio
from fea.stability.stress_strain import curve_of
from fea.stability.zones import Zone, worst_places, zones_of
from loadcases.case import PlacedCase, is_reversed


@dataclass(frozen=True, eq=False)
class Stability:
    """Stability of a load case.

    Attributes:
        elastic: Multiples of the load at which the perfect elastic bar buckles; of a reversed case
            the nearer sign counts as the load's.
        mode_s_mm: Place of the lowest mode's largest displacement; None where there is no mode.
        local: Utilisation of every place.
        zones: Neighbouring places above the threshold, of the largest utilisation first.
        worst: The place of the largest utilisation of each local criterion that has any.
        wrinkling_factor: Multiple of the load at the first local buckling, None if never.
        wrinkling_at: Its place, with the utilisation at that multiple; None if never.
        moment_ratio: Of that place's section then, over its full plastic moment; None where the
            wall does not wrinkle.
    """

    elastic: Buckling
    mode_s_mm: float | None
    local: LocalMap
    zones: tuple[Zone, ...]
    worst: tuple[Zone, ...]
    wrinkling_factor: float | None
    wrinkling_at: Zone | None
    moment_ratio: float | None


def walls_of_model(model: Model) -> tuple[Walls, ...]:
    """Return the walls of a bar with their strengths, for all its cases."""
    return walls_of(model, curve_of(model.bar.spec.material))


def assess_stability(
    model: Model,
    elastic: Buckling,
    walls: tuple[Walls, ...],
    placed: PlacedCase,
    stress: SurfaceStress,
) -> Stability:
    """Return the stability of one load case; of a reversed one that of the worse direction.

    Args:
        model: The equations.
        elastic: Its elastic buckling, from `buckle_cases`.
        walls: From `walls_of_model`.
        placed: The case.
        stress: Of its linear solution.

    Raises:
        SolveError: A section does not balance.
    """
    sheet = model.mesh.sheet
    reading = read_surface(model, stress, placed.loads)
    buckling_factor = local_buckling_factor(walls, reading)
    if is_reversed(placed.case):
        elastic = _nearer(elastic)
        other = replace(reading, outer=-reading.outer, inner=-reading.inner)
        other_buckling_factor = local_buckling_factor(walls, other)
        if (other_buckling_factor or np.inf) < (buckling_factor or np.inf):
            reading, buckling_factor = other, other_buckling_factor
    local = local_map(walls, reading)
    then = local_map(walls, reading, buckling_factor) if buckling_factor else None
    wrinkle = _of(LOCAL_BUCKLING, worst_places(sheet, then)) if then else None
    return Stability(
        elastic,
        _largest_at_mm(model, elastic),
        local,
        zones_of(sheet, local),
        worst_places(sheet, local),
        buckling_factor,
        wrinkle,
        _moment_ratio(model, walls, reading, wrinkle, buckling_factor),
    )


def linear_factor(stable: Stability, criterion: LocalCriterion) -> float | None:
    """Return the factor on the load at which the largest utilisation of a criterion is 1.

    None where nothing is judged, as on a bar of loaded lengths alone.

    Source: proportion, in a linear analysis.
    """
    found = [zone for zone in stable.worst if zone.criterion == criterion]
    return 1 / found[0].utilisation if found else None


def _nearer(elastic: Buckling) -> Buckling:
    """Return the buckling of a load or of its reverse, whichever comes first."""
    first, second = elastic.factors, elastic.reversed_factors
    if not len(second) or (len(first) and first[0] <= second[0]):
        return elastic
    return Buckling(second, elastic.reversed_modes_mm, first, elastic.modes_mm)


def _moment_ratio(
    model: Model,
    walls: tuple[Walls, ...],
    reading: SurfaceReading,
    wrinkle: Zone | None,
    factor: float | None,
) -> float | None:
    """Return the moment over the plastic one at a wrinkle, None where the wall has another end."""
    if wrinkle is None or factor is None or wrinkle.mode != WRINKLING:
        return None
    # at a clamp's edge too the reading is in equilibrium: moments are linear along the bar
    stress = WallStress(walls, reading.outer, reading.inner)
    return wrinkling_moment_ratio(stress, model.mesh.sheet.nodes[:, 0], wrinkle.s_mm, factor)


def _of(criterion: LocalCriterion, zones: tuple[Zone, ...]) -> Zone:
    return next(zone for zone in zones if zone.criterion == criterion)


def _largest_at_mm(model: Model, elastic: Buckling) -> float | None:
    if not len(elastic.factors):
        return None
    node = int(np.argmax(np.linalg.norm(elastic.modes_mm[0], axis=1)))
    return float(model.mesh.block[node, 0])
