"""The tables of a study file that say what clamps the bar: stem, bolts and control levers."""

from typing import Self

from pydantic import model_validator

from loadcases.bolts import BOLT_LIMITS, Bolts, Pressure
from loadcases.clamp import CLAMP_LIMITS, Clamp, ClampModel
from loadcases.levers import LEVER_LIMITS
from loadcases.load import Side, place_problems
from studies.study_file.format import values as v
from studies.study_file.format.table import Table, judged, key


class BoltsTable(Table):
    """The bolts that close a clamp."""

    limits = BOLT_LIMITS

    count: v.Whole = key("number of bolts", example=4)
    torque_nm: v.Real = key("torque on each bolt", example=5)
    diameter_mm: v.Real = key("diameter of the thread", example=5)
    nut_factor: v.Real = key("K of torque = K x diameter x preload", Bolts.nut_factor)
    scatter: v.Real = key("largest over least preload at one torque", Bolts.scatter)
    pressure: Pressure = key("how the pressure is spread round", Bolts.pressure)
    friction: v.Real = key("coefficient of friction, clamp on tube", Bolts.friction)


class ClampTable(Table):
    """The stem's clamp, centred on s = 0."""

    limits = CLAMP_LIMITS

    width_mm: v.Real = key("clamped length of the bar", 46.0)
    model: ClampModel = key("how the clamp holds", Clamp.model)
    normal_n_per_mm3: v.Real = key(
        "stiffness of an elastic clamp across its face", Clamp.normal_n_per_mm3
    )
    tangential_n_per_mm3: v.Real = key(
        "stiffness of an elastic clamp along its face", Clamp.tangential_n_per_mm3
    )
    bolts: BoltsTable | None = key("the bolts that close it", None)


class LeverTable(Table):
    """The clamp of a control lever on a grip."""

    limits = LEVER_LIMITS

    side: Side | None = key("half that carries it", None, "right")
    from_end_mm: v.Real | None = key("distance of its middle from the end of its half", None, 140)
    at_mm: v.Real | None = key("signed place of its middle along the bar", None, -220)
    width_mm: v.Real = key("clamped length", example=12)
    bolts: BoltsTable = key(
        "the bolts that close it", example={"count": 1, "torque_nm": 3, "diameter_mm": 5}
    )

    @model_validator(mode="after")
    def _placed(self) -> Self:
        return judged(self, place_problems(self.side, self.from_end_mm, self.at_mm))
