"""Parts that several records of results.json share."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, radians
from typing import Literal, Protocol

import numpy as np

from fea.solid.hot_spot import ON_SURFACE
from geometry.bar import Bar
from geometry.source import Source
from loadcases.gauges import PlacedGauge
from loadcases.levels import Levels
from studies.records.base import PlaceRecord, SourceRecord
from studies.records.case import CaseRecord, LoadPointRecord
from studies.records.places import place_in_words


class Place(Protocol):
    """Anything with a place on the bar."""

    @property
    def s_mm(self) -> float:
        """Return the arc length."""

    @property
    def theta_rad(self) -> float:
        """Return the angle round the tube."""

    @property
    def surface(self) -> Literal["outer", "inner"]:
        """Return which surface."""


def place_record(bar: Bar, place: Place, rule: str | None = None) -> PlaceRecord:
    """Return a place as results.json holds it; `rule` says how its stress was read."""
    return PlaceRecord(
        s_mm=place.s_mm,
        theta_deg=degrees_round(place.theta_rad),
        surface=place.surface,
        rule=rule or getattr(place, "rule", ON_SURFACE),
        text=place_in_words(bar, place.s_mm, place.theta_rad, place.surface),
    )


def source_record(source: Source) -> SourceRecord:
    """Return a source as results.json holds it."""
    return SourceRecord(kind=source.kind, reference=source.reference, locator=source.locator)


def middle_of(levels: Levels | None) -> float | None:
    """Return the middle of a range, None where there is none."""
    return levels.middle if levels else None


def ends_of(levels: Levels | None) -> tuple[float, float] | None:
    """Return both ends of a range, None where there is none."""
    return (levels.low, levels.high) if levels else None


@dataclass(frozen=True)
class _Surface:
    """A place of a surface."""

    s_mm: float
    theta_rad: float
    surface: Literal["outer", "inner"]


def gauge_place(bar: Bar, placed: PlacedGauge) -> PlaceRecord:
    """Return where a gauge is."""
    gauge = placed.gauge
    surface = "outer" if gauge.kind == "dial" else gauge.surface
    return place_record(bar, _Surface(placed.at_mm, radians(gauge.theta_deg), surface), "as placed")


def gauge_mm(case: CaseRecord) -> float | None:
    """Return the displacement along the largest own force, a ram's travel; None for moments."""
    if has_ram(case):
        return case.deflection_mm
    return max(own_points(case), key=lambda load: hypot(*load.force_n)).displacement_along_force_mm


def own_points(case: CaseRecord) -> list[LoadPointRecord]:
    """Return the load points of a case without the reactions of its supports."""
    held = case.supports.supports if case.supports else []
    touching = sum(one.state != "open" for one in held)
    return case.load_points[: len(case.load_points) - touching]


def has_ram(case: CaseRecord) -> bool:
    """Return whether a ram presses the bar on supports."""
    return case.supports is not None and case.supports.ram_force_n > 0


def governing_case(cases: Sequence[CaseRecord]) -> CaseRecord:
    """Return the case whose nearest limit is nearest of all."""
    return min(cases, key=lambda case: case.governing_factor)


def degrees_round(theta_rad: float) -> float:
    """Return an angle round the tube in degrees, in [0, 360)."""
    return float(np.degrees(theta_rad)) % 360
