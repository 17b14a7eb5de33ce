"""The fields that the page's 3D view shows: each is described here, and the scripts know none.

A new stress is an entry in `STRESSES`, any other field a descriptor of its own in `view_fields`; a
new local criterion is one by itself.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from fea.fatigue.low_end_field import low_end_field
from fea.solid.hot_spot import Peak
from fea.solid.recovery import AXIAL, HOOP, SurfaceStress, von_mises_mpa
from fea.stability import criteria
from fea.stability.criteria import LocalCriterion
from geometry.arrays import Floats, Ints
from studies.assessment.run import CaseRun, StudyRun
from studies.page.faces import both_moved
from studies.page.packing import packed_reals
from studies.records.parts import Place

Packed = dict[str, Any]

WALL, OUTER_AND_INNER = ("wall",), ("outer", "inner")
"""Surfaces of a field: one value through the wall, or one on each surface."""

MOST_MODES = 2
"""Buckling modes of a case that the page shows: those of a round tube come in pairs."""

MOST_UTILISATION = 10.0
"""A fatigue utilisation over this is shown as this."""

BLANK = -0.1
"""Stands for no value where values are packed, all others being at least 0."""

LEAST_SCALE = 1.2
"""Least end of a utilisation's colours, so that the limit itself is seen on the scale."""

LEAST_PERCENT = 0.01
"""Range of a path that is still elastic."""


@dataclass(frozen=True)
class StressField:
    """A stress on both surfaces.

    Attributes:
        id: In the page.
        name: In the page's list and legend.
        of: Reads it from the stress of one surface (P, 6), as (P,) in MPa.
        signed: Whether it may be below zero.
        peak: Whether the case's reported peak is one of it.
    """

    id: str
    name: str
    of: Callable[[Floats], Floats]
    signed: bool = True
    peak: bool = False


STRESSES = (
    StressField("von_mises", "von Mises stress", von_mises_mpa, signed=False, peak=True),
    StressField("axial", "stress along the tube", lambda stress: stress[:, AXIAL]),
    StressField("hoop", "stress round the tube", lambda stress: stress[:, HOOP]),
)
"""The first is what the page begins with."""


def view_fields(
    run: StudyRun, case: CaseRun, faces: tuple[Ints, Ints], path: Packed | None
) -> list[Packed]:
    """Return the descriptors of all fields of a case, as JSON can hold them.

    The keys: `id`, `name`, `unit`; `range` of the colours, two different values; `signed`;
    `most`, the largest value, None where the data hold it;
    `surfaces`, one of `WALL` and `OUTER_AND_INNER`; `data`, a packed column for each surface.
    Without `data` the values are the size of the motion: of `shape`, packed, over its largest, else
    of the case. `peak` is a place with a value to be marked; `steps` is true for the field of the
    case's path. Below `blank_below` nothing is known and the bar is grey; `rings` are places along
    the bar with a value of their own; `note` is beside the legend.

    Args:
        run: Where fields of the bar itself are read from: its shape, mesh and clamps.
        case: One of its cases.
        faces: Nodes of the outer surface and of the inner one.
        path: What the view draws of its path, None where it has none.
    """
    return [
        *(_stress(field, case.stress, case.peak) for field in STRESSES),
        *(_utilisation(one, case.stability.local.used[one.id]) for one in criteria.LOCAL),
        *_fatigue(run, case),
        _displacement(case),
        *_modes(case, faces),
        *([_plastic_strain(path)] if path else []),
    ]


def _described(name: str, title: str, unit: str, span: tuple[float, float], **more: Any) -> Packed:
    """Return a descriptor; `more` is what differs from a field on both surfaces without data."""
    usual = {
        "signed": False,
        "surfaces": OUTER_AND_INNER,
        "data": None,
        "shape": None,
        "most": None,
    }
    place: Packed = {"peak": None, "steps": False, "blank_below": None, "rings": [], "note": ""}
    return {"id": name, "name": title, "unit": unit, "range": span, **usual, **place, **more}


def _stress(one: StressField, stress: SurfaceStress, peak: Peak) -> Packed:
    values = np.stack([one.of(stress.outer), one.of(stress.inner)], axis=-1)
    most = float(np.abs(values).max()) or 1.0
    span = (-most if one.signed else 0.0, most)
    spot = marked_place(peak.stress_mpa, peak) if one.peak else None
    more = {"signed": one.signed, "data": packed_reals(values), "peak": spot}
    return _described(one.id, one.name, "MPa", span, **more)


def _utilisation(one: LocalCriterion, used: Floats) -> Packed:
    name, title = f"utilisation_{one.id}", f"utilisation, {one.label}"
    data = packed_reals(used)
    span, most = (0.0, LEAST_SCALE), float(used.max())
    return _described(name, title, one.unit, span, surfaces=WALL, data=data, most=most)


def _fatigue(run: StudyRun, case: CaseRun) -> Iterator[Packed]:
    """Yield the utilisation of a repeated case on both surfaces, blank where it is not judged.

    Each clamp edge is a ring. No value is over `MOST_UTILISATION`: the finest step that is packed
    is a share of the largest.
    """
    field = low_end_field(run.model, case.life) if case.life else None
    if field is None:
        return
    values = np.minimum(np.stack([field.outer, field.inner], axis=-1), MOST_UTILISATION)
    rings = [
        {"s_mm": edge.s_mm, "value": min(edge.value, MOST_UTILISATION)} for edge in field.edges
    ]
    numbers = ", ".join(f"{edge.value:.2f}" for edge in field.edges)
    yield _described(
        f"utilisation_{criteria.FATIGUE.id}",
        f"utilisation, {criteria.FATIGUE.label}, low end",
        "",
        (0.0, LEAST_SCALE),
        data=packed_reals(np.where(np.isnan(values), BLANK, values)),
        blank_below=BLANK / 2,
        most=field.largest,
        rings=rings,
        note=f"rings: clamp edges, {numbers} by nominal stress; grey: not judged",
    )


def _displacement(case: CaseRun) -> Packed:
    largest = float(np.linalg.norm(case.answer.displacement_mm, axis=1).max())
    return _described("displacement", "displacement", "mm", (0.0, largest or 1.0))


def _modes(case: CaseRun, faces: tuple[Ints, Ints]) -> Iterator[Packed]:
    elastic = case.stability.elastic
    modes = zip(elastic.factors, elastic.modes_mm[:MOST_MODES], strict=False)
    for number, (factor, moved) in enumerate(modes, start=1):
        title = f"buckling mode {number}, {factor:.3g} x load"
        shape = packed_reals(both_moved(moved, *faces))
        yield _described(f"mode_{number}", title, "of maximum", (0.0, 1.0), shape=shape)


def _plastic_strain(path: Packed) -> Packed:
    title, most = "plastic strain, path past yield", path["most_percent"] or LEAST_PERCENT
    return _described("plastic", title, "%", (0.0, most), steps=True)


def marked_place(value: float, place: Place) -> Packed:
    """Return a place with a value, to be marked in the view."""
    return {
        "value": value,
        "s_mm": place.s_mm,
        "theta_rad": place.theta_rad,
        "surface": place.surface,
    }
