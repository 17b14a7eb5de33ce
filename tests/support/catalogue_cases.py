"""Cases of the catalogue, built for bars of a test."""

from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_table import Polyline
from geometry.material import load_material
from geometry.section import Station
from loadcases.case import Case
from loadcases.catalogue import build_case, load_template
from loadcases.clamp import FREE, Clamp

CLAMP = Clamp(width_mm=40)


def clamp_of(case_id: str) -> Clamp:
    """Return the clamp that a case of the catalogue is for."""
    return FREE if load_template(case_id).free else CLAMP


def bar_of(*points_mm: tuple[float, float, float], roll_deg: float = 0.0) -> Bar:
    """Return a symmetrical bar of 22.2 x 1.6 mm through points, bends of 60 mm."""
    points = ((0.0, 0.0, 0.0), *points_mm)
    return build_bar(
        BarSpec(
            name="test",
            right=Polyline(points, (60.0,) * (len(points) - 2)),
            stations=(Station(0.0, 22.2, 1.6),),
            material=load_material("al-6061-t6"),
            roll_deg=roll_deg,
        )
    )


def flat(half_mm: float = 380.0, roll_deg: float = 0.0) -> Bar:
    """Return a straight bar."""
    return bar_of((half_mm, 0.0, 0.0), roll_deg=roll_deg)


def built(case_id: str, bar: Bar, **parameters: object) -> Case:
    """Return a case of the catalogue, for a mountain bicycle where that is asked."""
    if case_id.startswith("iso"):
        parameters = {"bicycle": "mountain", **parameters}
    return build_case(case_id, parameters, bar, clamp_of(case_id))


def forces(case: Case) -> dict[str | None, tuple[float, float, float]]:
    """Return the force on each side, in the axes of the case."""
    return {load.side: load.force_n for load in case.loads}
