"""The weak inputs of a run, each once, to stand before the full tables."""

from collections.abc import Sequence
from dataclasses import dataclass

from geometry.source import MARKS
from studies.page.inputs import CASE, MATERIAL, InputGroup


@dataclass(frozen=True)
class WeakInput:
    """An input that is not sure.

    Attributes:
        name: What it is.
        value: With its unit.
        mark: How sure it is, in words.
        groups: Titles of the groups that hold it.
    """

    name: str
    value: str
    mark: str
    groups: tuple[str, ...]


def weak_inputs(groups: Sequence[InputGroup]) -> tuple[WeakInput, ...]:
    """Return what is estimated, from memory or from a secondary source, those from memory first."""
    found: dict[tuple[str, str, str], list[str]] = {}
    for group in groups:
        for row in group.rows:
            if row.unsure:
                found.setdefault((row.name, row.value, row.mark), []).append(_short(group.title))
    weak = [WeakInput(*key, tuple(titles)) for key, titles in found.items()]
    return tuple(sorted(weak, key=lambda one: one.mark != MARKS["memory"]))


def _short(title: str) -> str:
    """Return a group's title without what its own table says."""
    return title.partition(":")[0] if title.startswith(MATERIAL) else title.removeprefix(CASE)
