"""The supports of a case as a record."""

from collections.abc import Sequence

import numpy as np

from fea.supports.reactions import Reactions
from loadcases.supports import PlacedSupport
from studies.assessment.run import CaseRun
from studies.records.supports import FrictionRecord, SupportRecord, SupportsRecord


def supports_record(case: CaseRun) -> SupportsRecord | None:
    """Return the supports of a case, None where it has none."""
    answer, placed = case.supports, case.placed.supports
    if answer is None:
        return None
    return SupportsRecord(
        ram_force_n=answer.ram_force_n,
        friction_study=[
            FrictionRecord(friction=friction, stiffness_n_per_mm=stiffness)
            for friction, stiffness in answer.by_friction
        ],
        supports=[_support(placed, answer.reactions, number) for number in range(len(placed))],
    )


def _support(supports: Sequence[PlacedSupport], found: Reactions, number: int) -> SupportRecord:
    placed = supports[number]
    first = sum(len(one.points) for one in supports[:number])
    points = range(first, first + len(placed.points))
    touching = [point for point in points if found.states[point] != "open"]
    states = [found.states[point] for point in touching]
    wrench, push = found.wrenches[number], found.pushes[number][:3]
    x, y, z, a, b, c = map(float, wrench)
    return SupportRecord(
        kind=placed.kind,
        at_mm=placed.at_mm,
        direction=placed.direction,
        friction=max(point.friction for point in placed.points),
        force_n=(x, y, z),
        moment_nmm=(a, b, c),
        normal_force_n=float(np.linalg.norm(push)),
        friction_force_n=float(np.linalg.norm(wrench[:3] - push)),
        state="open" if not states else "slides" if "slides" in states else "sticks",
        slide_mm=max(
            (float(np.linalg.norm(found.slides_mm[point])) for point in touching), default=0.0
        ),
        of_ram=placed.of_ram,
    )
