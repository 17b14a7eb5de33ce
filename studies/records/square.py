"""What results.json holds of a bar out of square, and of the square bar beside it."""

from pydantic import Field

from studies.records.base import Record


class BendTurnRecord(Record):
    """By how much a bend turned."""

    bend: int = Field(description="Number from the clamp.")
    name: str | None = Field(description="Of the study file; null where it gives none.")
    plane_deg: float = Field(description="Turn of its plane, as in the bend table.")
    angle_deg: float = Field(description="Change of its angle.")


class SquareCaseRecord(Record):
    """A case of the square bar; changes are those of the bar out of square against it."""

    id: str
    loads_on_side: bool = Field(description="Whether a load is on the half that deviates.")
    deflection_mm: float
    deflection_change_percent: float
    peak_stress_mpa: float
    peak_stress_change_percent: float
    governing_factor: float
    governing_factor_change_percent: float


class SquareRecord(Record):
    """A bar out of square: differences of one end against the mirror image of the other."""

    side: str = Field(description="The half that deviates.")
    height_mm: float = Field(description="Its end is higher.")
    fore_aft_mm: float = Field(description="Its end is further forward.")
    length_mm: float = Field(description="Its end is further out.")
    height_within_mm: float | None = Field(description="Half of the 95 % interval; null: unknown.")
    fore_aft_within_mm: float | None = Field(description="Likewise.")
    length_within_mm: float | None = Field(description="Likewise.")
    bends: list[BendTurnRecord] = Field(description="Of the half that deviates.")
    tail_mm: float = Field(description="Change of its last straight.")
    cases: list[SquareCaseRecord] = Field(description="Of the square bar; none where not computed.")
