"""The tables of a study that say what varies: sweeps, their plan, and the lightest bar."""

from typing import Self

from pydantic import Field, model_validator

from geometry.errors import Problem
from studies.study_file.format import values as v
from studies.study_file.format.table import Table, judged
from studies.study_file.format.wording import listed

MAX_VALUES = 1000
MAX_VARIED = 12
MAX_KEPT = 30

WAYS_OF_SWEEP = ("values", "scale", "linspace", "uniform", "normal", "truncated")
"""How a sweep's values may be given."""


class IntervalTable(Table):
    """The values between two ends."""

    from_: v.Number = Field(alias="from", description="least value", examples=[1.2])
    to: v.Number = Field(description="greatest value", examples=[2.0])


class AscendingTable(IntervalTable):
    """An interval whose end lies above its beginning."""

    @model_validator(mode="after")
    def _ascends(self) -> Self:
        sentence = f"is {self.to:g}, not above from = {self.from_:g}; exchange or correct the two"
        return judged(self, [] if self.to > self.from_ else [Problem("to", sentence)])


class LinspaceTable(IntervalTable):
    """Evenly spaced values from one end to the other, both included."""

    count: v.SweepCount = Field(description="number of values", examples=[5])


class UniformTable(AscendingTable):
    """A value that lies anywhere between two, all equally likely."""


class NormalTable(Table):
    """A value with a normal distribution."""

    mean: v.Number = Field(description="mean", examples=[1.6])
    deviation: v.AboveZero = Field(description="standard deviation", examples=[0.05])


class TruncatedTable(AscendingTable, NormalTable):
    """A normal distribution of which only the part between two values occurs."""


class SweepTable(Table):
    """One thing that a sweep varies."""

    path: v.Text = Field(description="key that varies", examples=["bar.stations.*.wall_mm"])
    values: tuple[v.SweepValue, ...] | None = Field(
        None, min_length=1, max_length=MAX_VALUES, description="values", examples=[[1.4, 1.6]]
    )
    scale: tuple[v.Number, ...] | None = Field(
        None, min_length=1, max_length=MAX_VALUES, description="factors", examples=[[0.9, 1.1]]
    )
    linspace: LinspaceTable | None = Field(
        None,
        description="evenly spaced values",
        examples=[{"from": 1.2, "to": 2.0, "count": 5}],
    )
    uniform: UniformTable | None = Field(
        None, description="uniform distribution", examples=[{"from": 0.9, "to": 1.1}]
    )
    normal: NormalTable | None = Field(
        None, description="normal distribution", examples=[{"mean": 1.6, "deviation": 0.05}]
    )
    truncated: TruncatedTable | None = Field(
        None,
        description="truncated normal distribution",
        examples=[{"mean": 1.6, "deviation": 0.05, "from": 1.44, "to": 1.76}],
    )
    acts_as: v.Acts = Field(
        "value", description="whether a value replaces, multiplies or is added to what is written"
    )
    each: v.YesNo = Field(
        False, description="whether every key that a wildcard finds varies by itself"
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        given = [key for key in WAYS_OF_SWEEP if getattr(self, key) is not None]
        what = listed(given) if given else "no values"
        sentence = f"has {what}; give exactly one of {listed(list(WAYS_OF_SWEEP))}"
        return judged(self, [] if len(given) == 1 else [Problem("", sentence)])


class PlanTable(Table):
    """How a sweep goes through what varies."""

    mode: v.Mode | None = Field(
        None,
        description="grid, paired or sampled; by default sampled where a distribution is given",
        examples=["grid"],
    )
    designs: v.Designs = Field(64, description="number of samples", examples=[64])
    sampler: v.Sampler = Field(
        "latin-hypercube", description="how samples are drawn", examples=["sobol"]
    )
    seed: v.Seed = Field(1, description="seed of the samples", examples=[1])
    indices: v.YesNo = Field(
        False, description="whether samples are laid out for Sobol indices, which takes more"
    )
    keep: tuple[v.Text, ...] = Field(
        (), max_length=MAX_KEPT, description="figures kept beside the usual ones"
    )


class VariedTable(AscendingTable):
    """A wall or diameter that may be made thinner or thicker, in the steps that a mill offers."""

    path: v.Text = Field(description="key that varies", examples=["bar.stations.*.wall_mm"])
    step: v.AboveZero = Field(description="step from one size to the next", examples=[0.1])


class OptimiseTable(Table):
    """What may vary for the lightest bar, and the constraints that hold in every case."""

    vary: tuple[VariedTable, ...] = Field(
        (), max_length=MAX_VARIED, description="walls and diameters that vary"
    )
    min_yield_factor: v.Constraint | None = Field(
        None, description="least yield factor", examples=[1.5]
    )
    min_governing_factor: v.Constraint | None = Field(
        None, description="least governing factor", examples=[1.2]
    )
    min_fatigue_factor: v.Constraint | None = Field(
        None, description="least factor on the loads for the cycles required", examples=[1.0]
    )
    max_wall_utilisation: v.Constraint | None = Field(
        None, description="greatest utilisation of the wall's local buckling", examples=[0.6]
    )
    max_deflection_mm: v.Constraint | None = Field(
        None, description="greatest deflection of a load point", examples=[18]
    )
