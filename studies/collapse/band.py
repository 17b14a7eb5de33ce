"""The band of a path: what wall, proof stress, modulus and clamp leave of its curve and figures.

Each input is put to the end of its 95 % interval by itself, the clamp's stiffness to both ends,
and the path is traced anew. What wall, proof stress and modulus change counts to either side, the
clamp's two changes each to its own; inputs are taken as independent, so squares add up.

Limits: first order; the second order of 5 % of the wall is below 0.5 % of a load. The model itself,
its mesh, residual stresses and a wall that varies round the tube are not in it.

Source: JCGM 100:2008, law of propagation of uncertainty, from memory.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from fea.collapse.curve import Curve, curve_of, offset_at
from fea.collapse.path_run import PathRun
from geometry.arrays import Floats
from geometry.bar import Bar
from loadcases.uncertainty import Variation
from studies.assessment.run import CaseRun
from studies.collapse.outcome import Outcome, outcome_of
from studies.collapse.ram_travel import stiffness_of
from studies.records.band import BandFigureRecord, BandRecord, VariedRecord
from studies.records.band_ends import joined, sides

POINTS = 61
"""Of the band's curve."""


class Figure(NamedTuple):
    """A number of a path, in N, N/mm or mm."""

    name: str
    unit: str
    value: float


Figures = Mapping[str, Figure]


def band_of(bar: Bar, case: CaseRun, path: PathRun, found: Outcome) -> BandRecord | None:
    """Return the band of a path, None where none was traced or loads are moments alone."""
    if not path.varied_paths or path.by_moments:
        return None
    variations = [one for one, _ in path.varied_paths]
    inputs = [one.input for one in variations]
    paths = [varied for _, varied in path.varied_paths if varied.readings]
    if len(paths) < len(variations):
        return None
    own_curve = curve_of(path.readings, path.end_slope)
    x = np.linspace(0.0, own_curve.deflections[-1], POINTS)
    own = _loads_n(own_curve, x, path.load)
    rows = [_loads_n(curve_of(one.readings, one.end_slope), x, one.load) for one in paths]
    kept = np.isfinite(rows).all(axis=0)
    down, up = sides(inputs, [row - own for row in rows])
    others = [_figures(bar, case, one, found) for one in paths]
    return BandRecord(
        deflection_mm=x[kept].tolist(),
        load_n=own[kept].tolist(),
        low_n=(own - joined(down))[kept].tolist(),
        high_n=(own + joined(up))[kept].tolist(),
        varied=[
            VariedRecord(
                input=one.input,
                factor=one.factor,
                evidence=one.evidence,
                load_n=row[kept].tolist(),
                figures={key: figure.value for key, figure in figures.items()},
            )
            for one, row, figures in zip(variations, rows, others, strict=True)
        ],
        figures=[
            _figure(key, figure, variations, [one[key].value for one in others])
            for key, figure in dict(_each(path, found, found)).items()
            if all(key in one for one in others)
        ],
    )


def _figures(bar: Bar, case: CaseRun, path: PathRun, main: Outcome) -> Figures:
    """Return the numbers of a path, by their keys; offset loads at the shifts of the main path."""
    found = outcome_of(bar, case, path)
    return dict(_each(path, found, main)) if found else {}


def _each(path: PathRun, found: Outcome, main: Outcome) -> Iterator[tuple[str, Figure]]:
    curve, ram = curve_of(path.readings, path.end_slope), stiffness_of(path)
    slope = ram.ram_n_per_mm if ram else curve.first_slope * path.load
    yield "stiffness", Figure("Stiffness", "N/mm", slope)
    loads = {"yield_load": ("Yield load", found.yield_load)}
    for one in main.offsets:
        name = f"Offset load, {one.shift:.3g} mm"
        loads[f"offset_load {one.shift:.4g}"] = (name, offset_at(curve, one.shift))
    loads["limit_load"] = ("Limit load", found.limit_load)
    loads["strain_limit_load"] = ("Strain limit", found.strain_limit)
    loads["max_load"] = ("Largest load", found.max_load)
    for key, (name, point) in loads.items():
        if point:
            yield key, Figure(name, "N", point.factor * path.load)
    for level in found.unloadings:
        if level.permanent_set_mm is not None:
            name = f"Permanent set from {level.factor * path.load:.0f} N"
            yield f"permanent_set {level.factor:g}", Figure(name, "mm", level.permanent_set_mm)


def _figure(
    key: str, figure: Figure, variations: Sequence[Variation], others: Sequence[float]
) -> BandFigureRecord:
    changes = [np.array([other - figure.value]) for other in others]
    down, up = sides([one.input for one in variations], changes)
    low, high = (float(joined(one)[0]) for one in (down, up))
    terms = {name: (float(down[name][0]), float(up[name][0])) for name in down}
    return BandFigureRecord(
        key=key,
        name=figure.name,
        unit=figure.unit,
        value=figure.value,
        low=figure.value - low,
        high=figure.value + high,
        terms=terms,
    )


def _loads_n(curve: Curve, x: Floats, load_n: float) -> Floats:
    """Return the loads at deflections, not a number beyond the curve's end."""
    found: Floats = np.interp(x, curve.deflections, load_n * curve.factors, right=np.nan)
    return found
