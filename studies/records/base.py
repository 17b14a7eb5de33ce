"""Base of every part of results.json, sources and places."""

import math
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from fea.stability import criteria


class Record(BaseModel):
    """A part of results.json."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def _known(name: str) -> str:
    if name not in {one.id for one in criteria.every_criterion()}:
        raise ValueError(f"'{name}' is the id of no criterion")
    return name


CriterionId = Annotated[
    str,
    AfterValidator(_known),
    Field(json_schema_extra={"enum": [one.id for one in criteria.every_criterion()]}),
]
"""Which criterion: `fea/stability/criteria.py` defines them all."""


class SourceRecord(Record):
    """Where a value comes from; `kind` says how sure that is."""

    kind: str
    reference: str
    locator: str


class PlaceRecord(Record):
    """A place on the bar."""

    s_mm: float
    theta_deg: float = Field(ge=0, lt=360)
    surface: Literal["outer", "inner"]
    rule: str = Field(description="How the stress was read there.")
    text: str


def finite(value: Any) -> Any:
    """Return plain data as JSON can hold it: a number that is not finite becomes null."""
    if isinstance(value, dict):
        return {key: finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [finite(item) for item in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
