"""The [bar] table of a study file."""

from typing import Annotated, ClassVar

from pydantic import AfterValidator, Field

from geometry.bar import BarSpec
from geometry.bend_effects import BendEffects
from geometry.fit import MASS_LIMITS, OVALITY_LIMITS, ROLL_LIMITS
from geometry.section import BLEND_LIMITS
from studies.study_file.format import values as v
from studies.study_file.format.half_tables import (
    HalfTable,
    LeftTable,
    Stations,
    left_bendable,
    right_bendable,
)
from studies.study_file.format.material_tables import MaterialChoice
from studies.study_file.format.table import Table


class BendEffectsTable(Table):
    """What bending does to the tube."""

    limits: ClassVar = {"ovality_percent": OVALITY_LIMITS}

    wall_change: v.YesNo = Field(
        BendEffects.wall_change, description="whether bends thin and thicken the wall"
    )
    ovality_percent: v.Real | None = Field(
        None, description="flattening in the bends", examples=[2.0]
    )


class BarTable(Table):
    """The bar itself."""

    limits: ClassVar = {"roll_deg": ROLL_LIMITS, "blend_mm": BLEND_LIMITS, "mass_g": MASS_LIMITS}

    name: v.Text | None = Field(None, description="name of the bar", examples=["harbour flat"])
    roll_deg: v.Real = Field(
        BarSpec.roll_deg, description="turn of the bar about x in its clamp", examples=[0]
    )
    material: MaterialChoice = Field(
        description="catalogue id of the material, or a table of its values",
        examples=["al-6061-t6"],
    )
    blend_mm: v.Real = Field(
        BarSpec.blend_mm,
        description="half length over which a station's kink is rounded",
        examples=[5],
    )
    mass_g: v.Real | None = Field(None, description="measured mass", examples=[380])
    stations: Stations = Field(
        description="diameters and walls along the bar",
        examples=[[{"at_mm": 0, "od_mm": 31.8, "wall_mm": 2.0}]],
    )
    right: Annotated[HalfTable, AfterValidator(right_bendable)] = Field(
        description="the right half by points or bends",
        examples=[{"points_mm": [[0, 0, 0], [350, 0, 0]]}],
    )
    left: Annotated[LeftTable, AfterValidator(left_bendable)] | None = Field(
        None, description="the left half, by default the mirror image"
    )
    bend_effects: BendEffectsTable = Field(
        BendEffectsTable(), description="what bending does to the tube"
    )
