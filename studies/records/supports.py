"""The supports of a case, as results.json holds them, and in words."""

from math import hypot
from typing import Literal

from pydantic import Field

from loadcases.supports import HOLDING, ON_ENDS
from studies.records.base import Record
from studies.records.places import on_ruler

Vector = tuple[float, float, float]


class FrictionRecord(Record):
    """The stiffness at the ram with a coefficient of friction."""

    friction: float
    stiffness_n_per_mm: float


class SupportRecord(Record):
    """A support and its reaction on the bar, about the centre-line point at its place."""

    kind: str
    at_mm: float
    direction: Vector = Field(description="From the support into the bar, in bar axes.")
    friction: float
    force_n: Vector
    moment_nmm: Vector
    normal_force_n: float = Field(description="The part that presses.")
    friction_force_n: float
    state: Literal["open", "sticks", "slides"]
    slide_mm: float = Field(description="Along the support, the largest of its points that touch.")
    of_ram: bool = Field(False, description="Whether it is the ram's, above a bar that lies free.")


class SupportsRecord(Record):
    """The supports of a case; with a ram the case's deflection is its travel."""

    ram_force_n: float = Field(description="0 where the supports stand still.")
    friction_study: list[FrictionRecord] = Field(
        description="Without friction, with that given, with twice as much; empty without a ram."
    )
    supports: list[SupportRecord]


PLURALS = {
    "foot": "feet",
    "ball": "balls",
    "roller": "rollers",
    "plate": "plates",
    "saddle": "saddles",
    "platen": "platens",
    "slider": "sliders",
    "pin": "pins",
    "fixture": "fixtures",
}


def ram_text(record: SupportsRecord) -> str:
    """Return the ram with what it presses the bar on."""
    bed, ram = (
        _kinds([one.kind for one in record.supports if one.of_ram is of_ram])
        for of_ram in (False, True)
    )
    return f"{record.ram_force_n:.0f} N, {f'by {ram}' if ram else 'the clamp'}, on {bed}"


def _kinds(kinds: list[str]) -> str:
    """Return kinds of supports in words: one of a kind, or several."""
    named = (PLURALS[one] if kinds.count(one) > 1 else f"a {one}" for one in dict.fromkeys(kinds))
    return " and ".join(named)


def friction_text(record: SupportsRecord) -> str:
    """Return the range of the stiffness over friction, nothing where there is none."""
    if len(record.friction_study) < 2:
        return ""
    low, given, high = record.friction_study
    return (
        f"{given.friction:g}; {low.friction:g} gives {low.stiffness_n_per_mm:.0f} "
        f"N/mm, {high.friction:g} gives {high.stiffness_n_per_mm:.0f} N/mm"
    )


def support_text(record: SupportRecord) -> str:
    """Return a support with its reaction and whether it slides."""
    side = "right" if record.at_mm > 0 else "left"
    at_end = record.kind in ON_ENDS
    name = f"{record.kind} of the ram" if record.of_ram else record.kind
    where = f"{name}, {side} end" if at_end else f"{name} at {on_ruler(record.at_mm)}"
    if record.state == "open":
        return f"{where}: does not touch"
    if record.kind in HOLDING:
        turns = f" and {hypot(*record.moment_nmm) / 1000:.1f} N·m" * (record.kind == "fixture")
        return f"{where}: {hypot(*record.force_n):.0f} N{turns}"
    rubs = f", friction {record.friction_force_n:.0f} N" if record.friction_force_n >= 0.5 else ""
    moves = f"slides {record.slide_mm:.2f} mm" if record.state == "slides" else "sticks"
    return f"{where}: {record.normal_force_n:.0f} N{rubs}, {moves}"
