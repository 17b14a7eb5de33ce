"""Sentences of a page whose figures stand out."""

from dataclasses import dataclass

GAP = "\u00a0"
"""Between a figure and its unit, where no line breaks."""


@dataclass(frozen=True)
class Piece:
    """A part of a sentence.

    Attributes:
        text: The words.
        strong: Whether they are the figure that counts.
        below: Whether that lies below the load.
    """

    text: str
    strong: bool = False
    below: bool = False
