"""The [bar.right.shape] table: a half by the dimensions of its family."""

from typing import Annotated, ClassVar, Literal

from pydantic import Discriminator, Tag

from geometry.families import FAMILY_LIMITS, Drop, Flat, Riser, Shape, Straight, WidthOf
from studies.study_file.format import values as v
from studies.study_file.format.table import Table, key

Family = Literal["straight", "flat", "riser", "drop"]
FAMILIES: dict[str, type[Shape]] = {
    "straight": Straight,
    "flat": Flat,
    "riser": Riser,
    "drop": Drop,
}


class StraightTable(Table):
    """A straight half."""

    limits: ClassVar = FAMILY_LIMITS

    family: Family = key("family of the bar", example="straight")
    width_mm: v.Real = key("width of the whole bar", example=640)


class FlatTable(Table):
    """A half with one bend."""

    limits: ClassVar = FAMILY_LIMITS

    family: Family = key("family of the bar", example="flat")
    width_mm: v.Real = key("width of the whole bar", example=760)
    backsweep_deg: v.Real = key("backsweep of the grip, in the top view", Flat.backsweep_deg)
    upsweep_deg: v.Real = key("upsweep of the grip, in the front view", Flat.upsweep_deg)
    middle_mm: v.Real = key("distance of the two bends' corners", Flat.middle_mm)
    bend_radius_mm: v.Real = key("centre-line radius of the bend", Flat.bend_radius_mm)
    width_of: WidthOf = key("what the width is between: ends' centres or over all", Flat.width_of)
    end_od_mm: v.Real | None = key("outer diameter of the end, for a width over all", None, 22.2)


class RiserTable(Table):
    """A half whose grip is higher than its clamp."""

    limits: ClassVar = FAMILY_LIMITS

    family: Family = key("family of the bar", example="riser")
    width_mm: v.Real = key("width of the whole bar", example=780)
    rise_mm: v.Real = key("height of the end's centre above the clamp's", example=35)
    backsweep_deg: v.Real = key("backsweep of the grip, in the top view", Riser.backsweep_deg)
    upsweep_deg: v.Real = key("upsweep of the grip, in the front view", Riser.upsweep_deg)
    middle_mm: v.Real = key("distance of the two inner bends' corners", Riser.middle_mm)
    knee_mm: v.Real = key("distance of the two outer bends' corners", Riser.knee_mm)
    bend_radius_mm: v.Real = key("centre-line radius of both bends", Riser.bend_radius_mm)
    width_of: WidthOf = key("what the width is between: ends' centres or over all", Riser.width_of)
    end_od_mm: v.Real | None = key("outer diameter of the end, for a width over all", None, 22.2)


class DropTable(Table):
    """A half with an arm forward and a hook down and back."""

    limits: ClassVar = FAMILY_LIMITS

    family: Family = key("family of the bar", example="drop")
    width_mm: v.Real = key("width between the centres of the ends", example=460)
    reach_mm: v.Real = key("clamp's centre to the foremost of the centre line", example=75)
    drop_mm: v.Real = key("depth of the end's centre below the clamp's", example=125)
    flare_deg: v.Real = key("lean of the hook outward", Drop.flare_deg)
    ramp_deg: v.Real = key("fall of the arm forward", Drop.ramp_deg)
    end_back_mm: v.Real = key("foremost of the hook back to the end", Drop.end_back_mm)
    end_deg: v.Real = key("fall of the lower straight rearward", Drop.end_deg)
    top_radius_mm: v.Real = key("radius of the bend from top to arm", Drop.top_radius_mm)
    hook_radius_mm: v.Real = key("radius of both bends of the hook", Drop.hook_radius_mm)


def shape_kind(value: object) -> str:
    """Return the tag of the table of a family; an unknown one is refused by any of them."""
    family = value.get("family") if isinstance(value, dict) else getattr(value, "family", None)
    return f"<{family}>" if family in FAMILIES else "<straight>"


AnyShape = Annotated[
    Annotated[StraightTable, Tag("<straight>")]
    | Annotated[FlatTable, Tag("<flat>")]
    | Annotated[RiserTable, Tag("<riser>")]
    | Annotated[DropTable, Tag("<drop>")],
    Discriminator(shape_kind),
]


def shape_of(table: AnyShape) -> Shape:
    """Return geometry's shape of a table."""
    values = table.model_dump(exclude={"family"})
    return FAMILIES[table.family](**values)
