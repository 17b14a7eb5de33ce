"""From the tables of bolts and control levers to what clamps a bar."""

from loadcases.bolts import Bolts
from loadcases.levers import Lever
from studies.study_file.format.study_tables import BoltsTable, LeverTable


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


def lever_of(table: LeverTable) -> Lever:
    """Return the lever of a table, not yet at a place."""
    bolts = bolts_of(table.bolts)
    return Lever(table.width_mm, bolts, table.side, table.from_end_mm, table.at_mm)
