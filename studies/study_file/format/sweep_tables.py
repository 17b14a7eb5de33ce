"""The tables of a study that say what varies: sweeps, their plan, and the lightest bar."""

from typing import ClassVar, Self

from pydantic import model_validator

from geometry.errors import Problem
from geometry.limits import Range
from studies.study_file.format import values as v
from studies.study_file.format.gauge_tables import MAX_GAUGES
from studies.study_file.format.table import Table, judged, key
from studies.study_file.format.wording import listed

MAX_VALUES = 1000
MAX_VARIED = 12
MAX_SIZES = 10_000
MAX_MEASURES = 30

_ANY = Range(-1e12, 1e12, "", "give a smaller number")
_ABOVE_ZERO = Range(0, 1e12, "", "give a number above zero", above=True)
_CONSTRAINT = Range(0, 1e6, "", "give a number above zero", above=True)

WAYS_OF_SWEEP = ("values", "scale", "linspace", "uniform", "normal", "truncated")
"""How a sweep's values may be given."""


class IntervalTable(Table):
    """The values between two ends."""

    limits: ClassVar = {"from_": _ANY, "to": _ANY}

    from_: v.Real = key("least value", example=1.2, alias="from")
    to: v.Real = key("greatest value", example=2.0)


class AscendingTable(IntervalTable):
    """An interval whose end lies above its beginning."""

    @model_validator(mode="after")
    def _ascends(self) -> Self:
        sentence = f"is {self.to:g}, not above from = {self.from_:g}; exchange or correct the two"
        return judged(self, [] if self.to > self.from_ else [Problem("to", sentence)])


class LinspaceTable(IntervalTable):
    """Evenly spaced values from one end to the other, both included."""

    limits: ClassVar = {
        **IntervalTable.limits,
        "count": Range(2, 1000, "", "give the number of values"),
    }

    count: v.Whole = key("number of values", example=5)


class UniformTable(AscendingTable):
    """A value that lies anywhere between two, all equally likely."""


class NormalTable(Table):
    """A value with a normal distribution."""

    limits: ClassVar = {"mean": _ANY, "deviation": _ABOVE_ZERO}

    mean: v.Real = key("mean", example=1.6)
    deviation: v.Real = key("standard deviation", example=0.05)


class TruncatedTable(AscendingTable, NormalTable):
    """A normal distribution of which only the part between two values occurs."""

    limits: ClassVar = {**IntervalTable.limits, **NormalTable.limits}


class SweepTable(Table):
    """One thing that a sweep varies."""

    limits: ClassVar = {"scale": _ANY}

    path: v.Text = key("key that varies", example="bar.stations.*.wall_mm")
    values: tuple[v.SweepValue, ...] | None = key(
        "values", None, [1.4, 1.6], min_length=1, max_length=MAX_VALUES
    )
    scale: tuple[v.Real, ...] | None = key(
        "factors", None, [0.9, 1.1], min_length=1, max_length=MAX_VALUES
    )
    linspace: LinspaceTable | None = key(
        "evenly spaced values", None, {"from": 1.2, "to": 2.0, "count": 5}
    )
    uniform: UniformTable | None = key("uniform distribution", None, {"from": 0.9, "to": 1.1})
    normal: NormalTable | None = key("normal distribution", None, {"mean": 1.6, "deviation": 0.05})
    truncated: TruncatedTable | None = key(
        "truncated normal distribution",
        None,
        {"mean": 1.6, "deviation": 0.05, "from": 1.44, "to": 1.76},
    )
    acts_as: v.Acts = key(
        "whether a value replaces, multiplies or is added to what is written", "value"
    )
    each: v.YesNo = key("whether every key that a wildcard finds varies by itself", default=False)

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        given = [way for way in WAYS_OF_SWEEP if getattr(self, way) is not None]
        what = listed(given) if given else "no values"
        sentence = f"has {what}; give exactly one of {listed(list(WAYS_OF_SWEEP))}"
        return judged(self, [] if len(given) == 1 else [Problem("", sentence)])


class PlanTable(Table):
    """How a sweep goes through what varies."""

    limits: ClassVar = {
        "designs": Range(2, 10_000, "", "give the number of samples"),
        "seed": Range(0, 2**32 - 1, "", "give a whole number such as 1"),
    }

    mode: v.Mode | None = key(
        "grid, paired or sampled; by default sampled where a distribution is given", None, "grid"
    )
    designs: v.Whole = key("number of samples", 64)
    sampler: v.Sampler = key("how samples are drawn", "latin-hypercube", "sobol")
    seed: v.Whole = key("seed of the samples", 1)
    sobol_indices: v.YesNo = key(
        "whether samples are laid out for Sobol indices, which takes more", default=False
    )
    measures: tuple[v.Text, ...] = key(
        "measures of a case beside the usual ones", (), max_length=MAX_MEASURES
    )
    only: tuple[v.Text, ...] = key(
        "the only measures of a case, in place of the usual ones: what they do not need is not "
        "computed",
        (),
        max_length=MAX_MEASURES,
    )


class VariedTable(AscendingTable):
    """A wall or diameter that may be made thinner or thicker, in the steps that a mill offers."""

    limits: ClassVar = dict.fromkeys(("from_", "to", "step"), _ABOVE_ZERO)

    path: v.Text = key("key that varies", example="bar.stations.*.wall_mm")
    step: v.Real = key("step from one size to the next", example=0.1)
    acts_as: v.SizeActs = key(
        "whether a size replaces what is written, or multiplies it and so keeps ratios", "value"
    )

    @property
    def name(self) -> str:
        """Return how tables call it: the path, and whether its sizes are factors."""
        return f"{self.path} (factor)" if self.acts_as == "factor" else self.path

    @model_validator(mode="after")
    def _countable(self) -> Self:
        few = self.to - self.from_ <= MAX_SIZES * self.step
        sentence = f"is {self.step:g}, which makes more than {MAX_SIZES} sizes; give a larger step"
        return judged(self, [] if few else [Problem("step", sentence)])


class GaugeLimitTable(Table):
    """The most that a gauge may read in any case, whichever its sign."""

    limits: ClassVar = {"reading": _CONSTRAINT}

    name: v.Text = key("name of the gauge", example="dial at the grip")
    reading: v.Real = key("greatest reading, in mm of a dial, µm/m of a strain gauge", example=12)


class OptimiseTable(Table):
    """What may vary for the lightest bar, and the constraints that hold in every case."""

    limits: ClassVar = dict.fromkeys(
        (
            "min_yield_factor",
            "min_governing_factor",
            "min_fatigue_factor",
            "max_wall_utilisation",
            "max_deflection_mm",
        ),
        _CONSTRAINT,
    )

    vary: tuple[VariedTable, ...] = key("walls and diameters that vary", (), max_length=MAX_VARIED)
    min_yield_factor: v.Real | None = key(
        "least first yield factor, the smaller of those without and with bolt preload", None, 1.5
    )
    min_governing_factor: v.Real | None = key("least governing factor", None, 1.2)
    min_fatigue_factor: v.Real | None = key(
        "least factor on the loads for the cycles required", None, 1.0
    )
    verified: v.YesNo = key(
        "whether the governing factor is that of verified limits alone", default=False
    )
    max_wall_utilisation: v.Real | None = key(
        "greatest utilisation of the wall's local buckling", None, 0.6
    )
    max_deflection_mm: v.Real | None = key("greatest deflection of a load point", None, 18)
    max_gauges: tuple[GaugeLimitTable, ...] = key(
        "greatest readings of gauges", (), max_length=MAX_GAUGES
    )
    only: tuple[v.Text, ...] = key(
        "the only measures of a case, beside those constrained: what they do not need is not "
        "computed of designs, but of the lightest bar",
        (),
        max_length=MAX_MEASURES,
    )
