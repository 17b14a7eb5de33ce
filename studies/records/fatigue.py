"""The part of results.json on fatigue: a factor and a life, each a range."""

from pydantic import Field

from studies.records.base import PlaceRecord, Record, SourceRecord

Range = tuple[float, float]


class StageRecord(Record):
    """A case as one stage of a fatigue life."""

    case: str
    cycles: float


class FatigueSiteRecord(Record):
    """The worst clamp edge, or the worst place away from all clamps."""

    at: PlaceRecord
    amplitude_mpa: float = Field(
        description="That counts, without the fatigue factor; nominal at a clamp edge."
    )
    mean_mpa: float = Field(description="Sum of the normal means, none where it is compressive.")
    stress_ratio: float
    bend_factor: float | None = Field(
        description="Solid over nominal amplitude beyond a clamp edge; null elsewhere."
    )
    fatigue_factor: float = Field(
        description="Middle clamp or surface factor on the stress, at the cycles required."
    )
    factor: float | None
    factor_range: Range | None
    life_cycles: float | None
    life_range_cycles: Range | None


class FatigueRecord(Record):
    """What repeated loads come to, by clamp edges and elsewhere, and by both together."""

    cycles: float = Field(description="Required, of all stages together.")
    stages: list[StageRecord]
    at: PlaceRecord = Field(description="Of the shortest middle life.")
    factor: float | None = Field(
        description="Middle multiple of the repeated loads that uses the life up; null: not known."
    )
    factor_range: Range | None = Field(description="Careful and favourable end.")
    life_cycles: float | None = Field(description="Middle; null without a life equation.")
    life_range_cycles: Range | None = Field(
        description="Both ends; 0: under 1000 cycles, 1e8: at least that."
    )
    decided: str | None = Field(
        description="What the range says of the cycles required; null: not judged."
    )
    damage: float | None = Field(description="Miner's sum of one repetition, middle.")
    clamp_edge: FatigueSiteRecord | None
    elsewhere: FatigueSiteRecord | None
    clamp_factor: tuple[float, float, float] = Field(
        description="Low, middle and high over nominal stress, at 1e5 cycles."
    )
    surface_factor: tuple[float, float, float] = Field(
        description="Low, middle and high share of a smooth specimen's strength."
    )
    reliability_factor: float
    basis: str
    curve: SourceRecord | None
    notes: list[str]

    @property
    def low_factor(self) -> float | None:
        """Return the careful end of the factor, by which limits compete; None: not known."""
        return self.factor_range[0] if self.factor_range else None
