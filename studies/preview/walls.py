"""Walls that a preview changes together, and the designs that it computes for them.

All walls of an even tube are one group. Of a butted tube those about the clamp and those further
out are two: from the clamp outwards, stations whose wall is nearer to that of the clamp centre than
to the wall that differs most from it are the clamp's.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile

from geometry.section import Station
from studies.study_file.changes import Change
from studies.study_file.chosen_cases import with_cases
from studies.study_file.errors import StudyError
from studies.study_file.study import Study
from studies.study_file.variants import variant_of

LOW_ENDS, HIGH_ENDS = (0.7, 0.8, 0.9), (1.4, 1.2, 1.1)
"""Factors on a wall that the preview reaches: the first of each at which the bar can be made."""

SAME_MM = 1e-9
"""Walls that differ by less are one."""


@dataclass(frozen=True)
class WallGroup:
    """Walls that change together.

    Attributes:
        label: As printed.
        paths: Of the walls in the study file.
        walls_mm: Each wall of the right half, from the clamp outwards.
    """

    label: str
    paths: tuple[str, ...]
    walls_mm: tuple[float, ...]


@dataclass(frozen=True)
class Design:
    """A bar of other walls.

    Attributes:
        factors: On the walls of each group.
        study: The study with them.
    """

    factors: tuple[float, ...]
    study: Study


def wall_groups(study: Study) -> tuple[WallGroup, ...]:
    """Return the groups of a study's walls, from the clamp outwards."""
    spec = study.bar.spec
    halves = {"bar": spec.stations}
    if spec.left_stations is not None:
        halves["bar.left"] = spec.left_stations
    every = [one.wall_mm for stations in halves.values() for one in stations]
    clamp_mm = spec.stations[0].wall_mm
    most_mm = max(abs(wall - clamp_mm) for wall in every)
    if most_mm < SAME_MM:
        return (_group("wall", halves, {key: range(len(one)) for key, one in halves.items()}),)
    inner = {key: _about_clamp(one, clamp_mm, most_mm) for key, one in halves.items()}
    outer = {key: range(inner[key].stop, len(one)) for key, one in halves.items()}
    return _group("clamp wall", halves, inner), _group("end wall", halves, outer)


def changes_for(groups: Sequence[WallGroup], factors: Sequence[float]) -> list[Change]:
    """Return the changes of a study file that multiply the groups' walls."""
    return [
        Change(path, "factor", factor)
        for group, factor in zip(groups, factors, strict=True)
        if factor != 1
        for path in group.paths
    ]


def designs(study: Study, groups: Sequence[WallGroup]) -> tuple[Design, ...]:
    """Return the designs to be computed: the study itself first, one to judge the others by last.

    Raises:
        StudyError: The bar can be made with no wall a tenth thicker, or thinner.
    """
    low, high = (_end(study, groups, ends) for ends in (LOW_ENDS, HIGH_ENDS))
    if len(groups) == 1:
        points: tuple[tuple[float, ...], ...] = ((low,), (high,), (low**0.5,), (high**0.5,))
    else:
        corners = (low, low), (high, high), (low, high), (high, low)
        points = (*corners, (low**0.5, 1), (1, low**0.5), (high, 1), (high**0.5, high**0.5))
    # a variant is read from the whole file, whose cases may not all have been chosen
    ids = [placed.case.id for placed in study.cases]
    variants = (variant_of(study, changes_for(groups, at)) for at in points)
    others = (Design(at, with_cases(one, ids)) for at, one in zip(points, variants, strict=True))
    return Design((1.0,) * len(groups), study), *others


def _end(study: Study, groups: Sequence[WallGroup], ends: Sequence[float]) -> float:
    """Return the furthest factor at which the bar can be made, one group at a time or all."""
    *further, last = ends
    for factor in further:
        try:
            for at in _corners(len(groups), factor):
                variant_of(study, changes_for(groups, at))
        except StudyError:
            continue
        return factor
    for at in _corners(len(groups), last):
        variant_of(study, changes_for(groups, at))
    return last


def _corners(count: int, factor: float) -> Iterator[tuple[float, ...]]:
    yield (factor,) * count
    if count > 1:
        yield from (tuple(factor if k == n else 1.0 for k in range(count)) for n in range(count))


def _about_clamp(stations: Sequence[Station], clamp_mm: float, most_mm: float) -> range:
    """Return the numbers of the stations whose wall is nearer to the clamp's."""
    near = takewhile(lambda one: abs(one.wall_mm - clamp_mm) <= most_mm / 2, stations)
    return range(len(list(near)))


def _group(
    label: str, halves: dict[str, tuple[Station, ...]], numbers: dict[str, range]
) -> WallGroup:
    paths = tuple(
        f"{key}.stations[{','.join(map(str, those))}].wall_mm"
        for key, those in numbers.items()
        if len(those)
    )
    return WallGroup(label, paths, tuple(halves["bar"][n].wall_mm for n in numbers["bar"]))
