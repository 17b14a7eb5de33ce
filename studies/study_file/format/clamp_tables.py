"""The tables of a study file that say what clamps the bar: stem, bolts and control levers."""

from typing import ClassVar, Self

from pydantic import Field, model_validator

from loadcases.bolts import BOLT_LIMITS, Bolts, Pressure
from loadcases.clamp import CLAMP_LIMITS, Clamp, ClampModel
from loadcases.load import LOAD_LIMITS, Side, place_problems
from studies.study_file.format import values as v
from studies.study_file.format.table import Table, judged


class BoltsTable(Table):
    """The bolts that close a clamp."""

    limits = BOLT_LIMITS

    count: v.Whole = Field(description="number of bolts", examples=[4])
    torque_nm: v.Real = Field(description="torque on each bolt", examples=[5])
    diameter_mm: v.Real = Field(description="diameter of the thread", examples=[5])
    nut_factor: v.Real = Field(
        Bolts.nut_factor, description="K of torque = K x diameter x preload", examples=[0.2]
    )
    scatter: v.Real = Field(
        Bolts.scatter, description="largest over least preload at one torque", examples=[1.6]
    )
    pressure: Pressure = Field(Bolts.pressure, description="how the pressure is spread round")
    friction: v.Real = Field(
        Bolts.friction, description="coefficient of friction, clamp on tube", examples=[0.2]
    )


class ClampTable(Table):
    """The stem's clamp, centred on s = 0."""

    limits = CLAMP_LIMITS

    width_mm: v.Real = Field(46.0, description="clamped length of the bar", examples=[46])
    model: ClampModel = Field(Clamp.model, description="how the clamp holds", examples=["elastic"])
    normal_n_per_mm3: v.Real = Field(
        Clamp.normal_n_per_mm3,
        description="stiffness of an elastic clamp across its face",
        examples=[7000],
    )
    tangential_n_per_mm3: v.Real = Field(
        Clamp.tangential_n_per_mm3,
        description="stiffness of an elastic clamp along its face",
        examples=[3500],
    )
    bolts: BoltsTable | None = Field(None, description="the bolts that close it")


class LeverTable(Table):
    """The clamp of a control lever on a grip."""

    limits: ClassVar = {**LOAD_LIMITS, "width_mm": LOAD_LIMITS["band_mm"]}

    side: Side | None = Field(None, description="half that carries it", examples=["right"])
    from_end_mm: v.Real | None = Field(
        None, description="distance of its middle from the end of its half", examples=[140]
    )
    at_mm: v.Real | None = Field(
        None, description="signed place of its middle along the bar", examples=[-220]
    )
    width_mm: v.Real = Field(description="clamped length", examples=[12])
    bolts: BoltsTable = Field(
        description="the bolts that close it",
        examples=[{"count": 1, "torque_nm": 3, "diameter_mm": 5}],
    )

    @model_validator(mode="after")
    def _placed(self) -> Self:
        return judged(self, place_problems(self.side, self.from_end_mm, self.at_mm))
