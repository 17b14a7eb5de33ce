"""What the inputs of a run rest on, and which of them to measure first."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from geometry.source import MARKS, SourceKind
from studies.page.inputs import InputGroup, InputRow
from studies.records.case import ResultsRecord
from studies.records.limit import LimitRecord
from studies.records.parts import governing_case

Fill = Literal["full", "half", "open"]
Evidence = Literal["measured", "sourced", "nominal", "estimated", "remembered"]

EVIDENCE: dict[Evidence, str] = {
    "measured": "measured",
    "sourced": "read at source",
    "nominal": "nominal, study file",
    "estimated": "estimated or secondary",
    "remembered": "from memory",
}
"""The strip's parts from dark to light, in words."""

OF_KIND: dict[SourceKind, Evidence] = {
    "measured": "measured",
    "standard": "sourced",
    "handbook": "sourced",
    "paper": "sourced",
    "secondary": "estimated",
    "derived": "estimated",
    "practice": "estimated",
    "memory": "remembered",
}

IDEALISED = "idealised"
"""Evidence of what the model takes as perfect."""

MOST_FIRST = 3
"""Inputs to measure first."""


@dataclass(frozen=True)
class Part:
    """A part of the evidence strip: its class, words, count, and its share in percent."""

    evidence: Evidence
    words: str
    count: int
    percent: float


@dataclass(frozen=True)
class Strip:
    """All inputs of a run by what they rest on, what to measure first, and what to do next."""

    total: int
    parts: tuple[Part, ...]
    first: tuple[str, ...]
    then: str


def evidence_strip(groups: Sequence[InputGroup], record: ResultsRecord) -> Strip:
    """Return the strip of a run."""
    found = [evidence_of(row) for group in groups for row in group.rows]
    parts = (
        Part(one, words, found.count(one), 100 * found.count(one) / len(found))
        for one, words in EVIDENCE.items()
    )
    first = tuple(dict.fromkeys(_first(record)))[:MOST_FIRST]
    return Strip(
        len(found), tuple(parts), first, next_step(governing_case(record.cases).nearest_limit)
    )


def evidence_of(row: InputRow) -> Evidence:
    """Return what an input rests on."""
    if row.name.endswith("measured"):
        return "measured"
    kinds = (kind for kind, words in MARKS.items() if words == row.mark)
    kind = next(kinds, None)
    return OF_KIND[kind] if kind else "nominal"


def next_step(limit: LimitRecord) -> str:
    """Return what to do next, by what the governing limit says of the load."""
    low, _, high = limit.factor_range or (limit.load_factor,) * 3
    inspect = f"inspect {limit.place or 'the clamp'}"
    if high < 1:
        return "another wall, bend or alloy; compare them before a physical test"
    if low < 1:
        return f"verify these, then the physical test decides; after it {inspect}"
    return f"the physical test; after it {inspect}"


def fill_of(evidence: str | None, *, measured: bool) -> Fill:
    """Return how the mark of a limit is filled: by the evidence of its weakest input, if any."""
    if evidence is None:
        return "full" if measured else "half"
    return "open" if "memory" in evidence else "half"


def _first(record: ResultsRecord) -> Iterator[str]:
    """Yield what to measure or verify first, by its effect on the nearest limits."""
    nearest = sorted(
        (limit for case in record.cases for limit in case.limits), key=lambda one: one.load_factor
    )
    for limit in nearest:
        if limit.weak_inputs:
            # what the model takes as perfect nobody can measure
            if limit.weak_inputs[0].evidence != IDEALISED:
                yield limit.weak_inputs[0].input
        elif record.specimen is None and (place := _wall_at(limit)):
            yield place


def _wall_at(limit: LimitRecord) -> str:
    return f"wall at {limit.place}" if limit.place and limit.s_mm is not None else ""
