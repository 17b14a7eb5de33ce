"""A short bar with one bend in each half, soon traced past yield, that stands for longer ones."""

from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_table import Bend, BendTable, polyline_from_table
from geometry.material import load_material
from geometry.section import Station
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad

CLAMP = Clamp(30.0)


def half_bar() -> Bar:
    """Return a bar of 22.2 x 1.0 whose halves bend by 45 degrees, 20 mm outside the middle."""
    table = BendTable((Bend(20, 0, 45, 40),), 30)
    metal = load_material("al-6061-t6")
    return build_bar(BarSpec("bend", polyline_from_table(table), (Station(0, 22.2, 1.0),), metal))


def push_on(bar: Bar) -> PlacedLoad:
    """Return 400 N down near its right end."""
    return PlacedLoad("right", bar.line.right_end_mm - 15, (0, 0, -400), (0, 0, 0), 20)
