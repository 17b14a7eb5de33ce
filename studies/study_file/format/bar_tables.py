"""The [bar] table of a study file."""

from typing import ClassVar

from geometry.bar import BarSpec
from geometry.bend_effects import BendEffects
from geometry.fit import MASS_LIMITS, OVALITY_LIMITS, ROLL_LIMITS
from geometry.section import BLEND_LIMITS
from studies.study_file.format import values as v
from studies.study_file.format.half_tables import HalfTable, LeftTable, Stations
from studies.study_file.format.material_tables import MaterialChoice
from studies.study_file.format.table import Table, key


class BendEffectsTable(Table):
    """What bending does to the tube."""

    limits: ClassVar = {"ovality_percent": OVALITY_LIMITS}

    wall_change: v.YesNo = key("whether bends thin and thicken the wall", BendEffects.wall_change)
    ovality_percent: v.Real | None = key("flattening in the bends", None, 2.0)


class BarTable(Table):
    """The bar itself."""

    limits: ClassVar = {"roll_deg": ROLL_LIMITS, "blend_mm": BLEND_LIMITS, "mass_g": MASS_LIMITS}

    name: v.Text | None = key("name of the bar", None, "harbour flat")
    roll_deg: v.Real = key("turn of the bar about x in its clamp", BarSpec.roll_deg)
    material: MaterialChoice = key(
        "catalogue id of the material, or a table of its values", example="al-6061-t6"
    )
    blend_mm: v.Real = key("half length over which a station's kink is rounded", BarSpec.blend_mm)
    mass_g: v.Real | None = key("measured mass", None, 380)
    stations: Stations = key(
        "diameters and walls along the bar", example=[{"at_mm": 0, "od_mm": 31.8, "wall_mm": 2.0}]
    )
    right: HalfTable = key(
        "the right half by points or bends", example={"points_mm": [[0, 0, 0], [350, 0, 0]]}
    )
    left: LeftTable | None = key("the left half, by default the mirror image", None)
    bend_effects: BendEffectsTable = key("what bending does to the tube", BendEffectsTable())
