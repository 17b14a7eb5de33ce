"""From the tables of bolts and control levers to what clamps a bar."""

from geometry.bar import Bar
from loadcases.bolts import Bolts
from loadcases.clamp import Clamp
from loadcases.levers import LeverClamp, place_lever
from studies.format.study_tables import BoltsTable, LeverTable


def bolts_of(table: BoltsTable) -> Bolts:
    """Return the bolts of a table."""
    return Bolts(
        count=table.count,
        torque_nm=table.torque_nm,
        diameter_mm=table.diameter_mm,
        nut_factor=table.nut_factor,
        scatter=table.scatter,
        pressure=table.pressure,
        friction=table.friction,
    )


def lever_of(table: LeverTable, bar: Bar, clamp: Clamp) -> LeverClamp:
    """Return a lever's clamp at its place on the bar.

    Raises:
        InputError: It has no place on the bar.
    """
    return place_lever(
        table.width_mm,
        bolts_of(table.bolts),
        bar.line,
        clamp,
        side=table.side,
        from_end_mm=table.from_end_mm,
        at_mm=table.at_mm,
    )
