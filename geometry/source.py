"""Where a value comes from, and how certain it is."""

from dataclasses import dataclass
from typing import Literal, get_args

SourceKind = Literal[
    "standard", "handbook", "paper", "secondary", "derived", "practice", "memory", "measured"
]
KINDS: tuple[SourceKind, ...] = get_args(SourceKind)

MARKS: dict[SourceKind, str] = {
    "standard": "read in the standard named",
    "handbook": "read in the handbook named",
    "paper": "read in the paper or abstract named",
    "secondary": "seen in a secondary source",
    "derived": "computed from sourced values",
    "practice": "practice, unsourced",
    "memory": "from memory, unverified",
    "measured": "measured by the user",
}

UNSURE: dict[SourceKind, str] = {
    "secondary": "secondary source",
    "derived": "derived",
    "practice": "practice, unsourced",
    "memory": "from memory",
}
"""Evidence that a reader must see beside the figure, in a word or two."""


@dataclass(frozen=True)
class Source:
    """The origin of a value.

    Attributes:
        kind: How certain it is, one of `KINDS`; `MARKS` says each in words.
        reference: The publication, person or computation.
        locator: Clause, table, page or equation within it.
    """

    kind: SourceKind
    reference: str
    locator: str = ""

    def __str__(self) -> str:
        """Return reference, locator and mark in one line."""
        place = f", {self.locator}" if self.locator else ""
        return f"{self.reference}{place} ({MARKS[self.kind]})"
