"""What every table of a study file is, and how a rule of ours refuses one."""

from collections.abc import Iterable
from typing import TypeVar

from pydantic import BaseModel, ConfigDict
from pydantic_core import PydanticCustomError

from geometry.errors import Problem

Judged = TypeVar("Judged")


class Table(BaseModel):
    """A TOML table whose keys are all known."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def broken(*problems: Problem) -> PydanticCustomError:
    """Return the error by which a rule of ours passes through the schema's validation."""
    pairs = [(problem.field, problem.sentence) for problem in problems]
    return PydanticCustomError("barwright", "rule", {"problems": pairs})


def judged(value: Judged, problems: Iterable[Problem]) -> Judged:
    """Return a value that a rule has no problem with.

    Raises:
        PydanticCustomError: There are problems; validation passes all of them on.
    """
    if found := tuple(problems):
        raise broken(*found)
    return value
