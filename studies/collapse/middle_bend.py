"""The middle of a free straight tube under couples, as results.json and sentences have it."""

from collections.abc import Iterator

import numpy as np

from fea.collapse.path_run import PathRun
from geometry.bar import Bar, nominal_od_mm, nominal_wall_mm
from studies.records.collapse import MiddleBendRecord


def middle_record(bar: Bar, path: PathRun) -> MiddleBendRecord | None:
    """Return the middle of a bent tube at each step, None of any other bar."""
    bends = [one.bend for one in path.readings if one.bend]
    if len(bends) < len(path.readings):
        return None
    od_mm, wall_mm = (float(of(bar, np.array(0.0))) for of in (nominal_od_mm, nominal_wall_mm))
    curvature = [one.curvature_per_mm for one in bends]
    ripples = [one.ripple_mm for one in bends]
    return MiddleBendRecord(
        length_mm=bends[0].length_mm,
        moment_nmm=[one.moment_nmm for one in bends],
        curvature_per_m=[1000 * one for one in curvature],
        fibre_strain_percent=[100 * od_mm * one / 2 for one in curvature],
        ovalisation_percent=[one.oval_percent for one in bends],
        ripple_mm=ripples,
        ripple_percent_of_wall=[None if one is None else 100 * one / wall_mm for one in ripples],
        ripple_wavelength_mm=[one.wavelength_mm for one in bends],
    )


def middle_sentences(bar: Bar, path: PathRun) -> Iterator[str]:
    """Yield the largest moment of the middle, and what the tube is like there."""
    middle = middle_record(bar, path)
    if middle is None:
        return
    most = int(np.argmax(middle.moment_nmm))
    ripple = middle.ripple_percent_of_wall[most]
    waves = (
        " need short elements: set imperfection_percent, 0.01 for a perfect wall"
        if ripple is None
        else f" of the compressed side there: {ripple:.2g} % of the wall"
    )
    yield (
        f"Middle {middle.length_mm:.0f} mm: largest moment "
        f"{middle.moment_nmm[most] / 1000:.0f} N·m at curvature "
        f"{middle.curvature_per_m[most]:.3g} 1/m, "
        f"ovalisation {middle.ovalisation_percent[most]:.2g} %."
    )
    yield f"Ripples{waves}."
