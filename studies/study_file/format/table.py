"""What every table of a study file is, and how limits and rules of the mechanics refuse one."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, ClassVar, TypeVar

from pydantic import BaseModel, ConfigDict, Field, GetJsonSchemaHandler, field_validator
from pydantic import ValidationInfo as Info
from pydantic_core import CoreSchema

from geometry.errors import InputError, Problem
from geometry.limits import Range, number_problem

Judged = TypeVar("Judged")
Limits = Range | tuple[Range, ...]


def key(words: str, default: Any = ..., example: Any = None, **rules: Any) -> Any:
    """Return the field of a key; without a default the key must be given.

    Args:
        words: What the value is, for messages and schema.
        default: The value of a key left out.
        example: A value, where the default is none or says little.
        rules: Further rules of the schema, such as the length of a list.
    """
    examples = None if example is None else [example]
    return Field(default, description=words, examples=examples, **rules)


def judged(value: Judged, problems: Iterable[Problem]) -> Judged:
    """Return a value that a rule has no problem with.

    Raises:
        InputError: There are problems; validation passes all of them on.
    """
    if found := tuple(problems):
        raise InputError(*found)
    return value


class Table(BaseModel):
    """A TOML table whose keys are all known.

    Attributes:
        limits: Of its numbers by key, as the mechanics state them; two for the parts of pairs.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)
    limits: ClassVar[Mapping[str, Limits]] = {}

    @field_validator("*")
    @classmethod
    def _within_limits(cls, value: Any, info: Info) -> Any:
        limits = cls.limits.get(info.field_name or "")
        return judged(value, _outside(value, limits)) if limits else value

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Return the schema of the table with the limits of its numbers."""
        schema = handler(core_schema)
        properties = handler.resolve_ref_schema(schema).get("properties", {})
        for name, field in cls.model_fields.items():
            if limits := cls.limits.get(name):
                _bound(properties.get(field.alias or name, {}), limits)
        return schema


def _outside(value: object, limits: Limits, field: str = "") -> Iterator[Problem]:
    """Yield the numbers of a value, one or nested lists, that lie outside limits."""
    if isinstance(value, tuple):
        pair = isinstance(limits, tuple) and not any(isinstance(part, tuple) for part in value)
        for index, part in enumerate(value):
            each = limits[index] if pair and isinstance(limits, tuple) else limits
            yield from _outside(part, each, f"{field}[{index}]")
    elif isinstance(limits, Range) and value is not None:
        yield from filter(None, [number_problem(field, value, limits)])


def _bound(schema: dict[str, Any], limits: Limits) -> None:
    """Write limits to every number of a schema, also in lists and alternatives."""
    if isinstance(limits, Range) and schema.get("type") in {"number", "integer"}:
        schema["exclusiveMinimum" if limits.above else "minimum"] = limits.low
        schema["exclusiveMaximum" if limits.below else "maximum"] = limits.high
    parts = schema.get("prefixItems", ())
    each = limits if isinstance(limits, tuple) else [limits] * len(parts)
    inner = ((one, limits) for one in (*schema.get("anyOf", ()), schema.get("items", False)))
    for one, limit in (*inner, *zip(parts, each, strict=False)):
        if isinstance(one, dict):
            _bound(one, limit)
