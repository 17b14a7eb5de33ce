"""A bar out of square in words."""

from typing import Protocol

AGAINST = "the mirror image of the other"


class Reading(Protocol):
    """What was read at the end that deviates: of the study, or of results.json."""

    @property
    def side(self) -> str:
        """Return the half that deviates."""

    @property
    def height_mm(self) -> float:
        """Return by how much its end is higher."""

    @property
    def fore_aft_mm(self) -> float:
        """Return by how much its end is further forward."""

    @property
    def length_mm(self) -> float:
        """Return by how much its end is further out."""

    @property
    def height_within_mm(self) -> float | None:
        """Return half of the interval of the height."""

    @property
    def fore_aft_within_mm(self) -> float | None:
        """Return half of the interval of the fore-aft."""

    @property
    def length_within_mm(self) -> float | None:
        """Return half of the interval of the length."""


def reading_text(read: Reading) -> str:
    """Return `left end 2 mm higher, 1 mm rearward`, with intervals where they are known."""
    parts = [
        _part(read.height_mm, read.height_within_mm, "higher", "lower"),
        _part(read.fore_aft_mm, read.fore_aft_within_mm, "forward", "rearward"),
        _part(read.length_mm, read.length_within_mm, "further out", "further in"),
    ]
    return f"{read.side} end {', '.join(filter(None, parts)) or 'level'}"


def _part(value: float, within: float | None, above: str, below: str) -> str:
    if not value and within is None:
        return ""
    around = "" if within is None else f" ± {within:.2g}"
    return f"{abs(value):.3g}{around} mm {below if value < 0 else above}"
