"""The study of a specimen as it was measured, for `--as-measured`.

Where walls were read round the tube, at a place or more, the mean wall over that of the file and
the way of the bore off the middle are linear in the distance along the bar between these places,
and constant beyond; a half without readings has those of the other. Elsewhere the walls are those
that give the mass. The ovality of bends is the mean of the places read in them.

An eccentricity that its readings do not tell from none is none.
"""

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import replace
from math import atan2, degrees, hypot
from pathlib import Path
from typing import Any

import numpy as np

from geometry.arrays import Floats
from geometry.section import LEAST_DISTANCE_MM
from studies.study_file.changes import Change
from studies.study_file.readings import OvalPlace, WallPlace, readings_of
from studies.study_file.square import mirrored_course
from studies.study_file.study import Study, read_study
from studies.study_file.variants import PLANS, of_table, variant_of
from studies.study_file.wall_from_mass import weighed, with_measured_walls

DIGITS = 5
"""Of millimetres and degrees in the text of the study as measured."""

OVALITY_DIGITS = 2

TINY_MM = 1e-6


def read_as(path: Path, *, as_measured: bool) -> Study:
    """Return the study of a file, or as its specimen was measured; what varies stays.

    Raises:
        StudyError, InputError: As `read_study`, and as `measured_study`.
    """
    study = read_study(path)
    if not as_measured:
        return study
    found = measured_study(study)
    return replace(found, sweeps=study.sweeps, plan=study.plan, optimise=study.optimise)


def measured_study(study: Study) -> Study:
    """Return the study as its specimen was measured.

    Raises:
        InputError: No specimen was weighed, no wall gives its mass, or its walls are not possible.
    """
    found = readings_of(study, weighed(study))
    if found.walls:
        words = [*_walls_words(found.walls)]
        study = walls_as_read(study, found.walls)
    else:
        words = ["Walls: those that give the mass"]
        study = with_measured_walls(study)
    if (percent := bend_percent(found.ovals)) is not None:
        words.append("Ovality of bends: as read in them")
        change = Change("bar.bend_effects.ovality_percent", "value", round(percent, OVALITY_DIGITS))
        study = variant_of(study, [change])
    return replace(study, measured=tuple(words))


def bend_percent(ovals: Sequence[OvalPlace]) -> float | None:
    """Return the mean ovality of the places in bends, at least 0; None where there are none."""
    found = [one.bend_percent for one in ovals if one.bend_percent is not None]
    return max(0.0, float(np.mean(found))) if found else None


def walls_as_read(study: Study, walls: Sequence[WallPlace]) -> Study:
    """Return the study with walls as they were read.

    Raises:
        StudyError: The walls are not possible.
    """
    table = {key: value for key, value in deepcopy(dict(study.table)).items() if key not in PLANS}
    bar = table["bar"]
    right, left = bar["stations"], bar.get("left", {}).get("stations") or bar["stations"]
    own_left = left is not right or any(one.side == "left" for one in walls)
    bar["stations"] = _stations(right, walls, 1)
    if own_left:
        course = bar.get("left") or mirrored_course(bar["right"])
        bar["left"] = {**course, "stations": _stations(left, walls, -1)}
    return of_table(study, table, "as measured, walls")


def _walls_words(walls: Sequence[WallPlace]) -> Iterator[str]:
    yield f"Walls: as read at {len(walls)} place{'s' if len(walls) > 1 else ''}, linear between"
    if off := max(one.eccentricity_mm for one in walls):
        yield f"Bore: off the middle by up to {off:.2f} mm, as read"


def _stations(
    rows: Sequence[Mapping[str, Any]], walls: Sequence[WallPlace], sign: int
) -> list[dict[str, Any]]:
    """Return the stations of a half with walls as they were read, also at the places read."""
    own = np.array([row["at_mm"] for row in rows], dtype=float)
    read = [one.at_mm for one in walls if np.sign(one.s_mm) == sign and one.at_mm > TINY_MM]
    fresh = [at for at in read if np.abs(own - at).min() > LEAST_DISTANCE_MM]
    named = {float(row["at_mm"]): dict(row) for row in rows}
    found = []
    for at in sorted({*named, *fresh}):
        od, wall = (float(np.interp(at, own, _column(rows, key))) for key in ("od_mm", "wall_mm"))
        ratio, front, top = _interpolated(walls, sign * at)
        thicker = {} if not hypot(front, top) > TINY_MM else _thicker(front, top)
        kept = named.get(at, {"at_mm": at})
        found.append({**kept, "od_mm": od, "wall_mm": round(wall * ratio, DIGITS), **thicker})
    return found


def _thicker(front: float, top: float) -> dict[str, float]:
    angle = degrees(atan2(front, top))
    return {
        "eccentricity_mm": round(hypot(front, top), DIGITS),
        "thickest_deg": round(angle, DIGITS),
    }


def _column(rows: Sequence[Mapping[str, Any]], key: str) -> Floats:
    return np.array([row[key] for row in rows], dtype=float)


def _interpolated(walls: Sequence[WallPlace], s_mm: float) -> tuple[float, float, float]:
    """Return mean wall over that of the file, and by how much it is thicker in front and on top."""
    places = _both_halves(walls)
    s, read = np.array([place for place, _ in places]), [one for _, one in places]
    ratios = np.array([one.fit.mean / one.nominal_mm for one in read])
    off = np.array([one.eccentricity_mm for one in read])
    phase = np.array([one.fit.phase_rad for one in read])
    known = np.array([not one.by_bore for one in read])
    ratio = float(np.interp(s_mm, s, ratios))
    if not known.any():
        return ratio, 0.0, 0.0
    parts = (off * np.sin(phase), off * np.cos(phase))
    front, top = (float(np.interp(s_mm, s[known], part[known])) for part in parts)
    return ratio, front, top


def _both_halves(walls: Sequence[WallPlace]) -> list[tuple[float, WallPlace]]:
    """Return signed places with what was read there; of one half alone the other has the same."""
    places = [(one.s_mm, one) for one in walls]
    sides = {one.side for one in walls}
    if len(sides) == 1:
        places += [(-s, one) for s, one in places if s]
    return sorted(places, key=lambda place: place[0])
