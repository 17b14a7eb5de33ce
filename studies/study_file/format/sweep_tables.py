"""The tables of a study that say what varies: sweeps, their plan, and what may be lightened."""

from pydantic import Field, model_validator

from studies.study_file.format import rules
from studies.study_file.format import values as v
from studies.study_file.format.bar_tables import Table

MAX_VALUES = 1000
MAX_VARIED = 12
MAX_KEPT = 30


class LinspaceTable(Table):
    """Evenly spaced values, both ends included."""

    from_: v.Number = Field(alias="from", description="first value", examples=[1.2])
    to: v.Number = Field(description="last value", examples=[2.0])
    count: v.SweepCount = Field(description="number of values", examples=[5])


class UniformTable(Table):
    """A value that lies anywhere between two, all equally likely."""

    from_: v.Number = Field(alias="from", description="least value", examples=[1.44])
    to: v.Number = Field(description="greatest value", examples=[1.76])

    _rule = model_validator(mode="after")(rules.ends_ascend)


class NormalTable(Table):
    """A value with a normal distribution."""

    mean: v.Number = Field(description="mean", examples=[1.6])
    deviation: v.Deviation = Field(description="standard deviation", examples=[0.05])


class TruncatedTable(NormalTable):
    """A normal distribution of which only the part between two values occurs."""

    from_: v.Number = Field(alias="from", description="least value", examples=[1.44])
    to: v.Number = Field(description="greatest value", examples=[1.76])

    _rule = model_validator(mode="after")(rules.ends_ascend)


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

    _rule = model_validator(mode="after")(rules.one_way_of_sweep)


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


class VariedTable(Table):
    """A wall or diameter that may be made thinner or thicker, in the steps that a mill offers."""

    path: v.Text = Field(description="key that varies", examples=["bar.stations.*.wall_mm"])
    from_: v.Number = Field(alias="from", description="least value", examples=[1.2])
    to: v.Number = Field(description="greatest value", examples=[2.4])
    step: v.Step = Field(description="step from one size to the next", examples=[0.1])

    _rule = model_validator(mode="after")(rules.ends_ascend)


class OptimiseTable(Table):
    """What may vary for the lightest bar, and what it must keep in every case."""

    vary: tuple[VariedTable, ...] = Field(
        (), max_length=MAX_VARIED, description="walls and diameters that vary"
    )
    min_yield_factor: v.Minimum | None = Field(
        None, description="least factor to first yield", examples=[1.5]
    )
    min_governing_factor: v.Minimum | None = Field(
        None, description="least governing factor", examples=[1.2]
    )
    min_fatigue_factor: v.Minimum | None = Field(
        None, description="least factor on the loads for the cycles asked for", examples=[1.0]
    )
    max_wall_utilisation: v.Minimum | None = Field(
        None, description="greatest used share of the wall's stability", examples=[0.6]
    )
    max_deflection_mm: v.Minimum | None = Field(
        None, description="greatest deflection of a load point", examples=[18]
    )
