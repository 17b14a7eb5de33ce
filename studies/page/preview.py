"""What the page's sliders of wall and load need: ratios, and how the colours change."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from geometry.arrays import Floats
from studies.assessment.run import StudyRun
from studies.page.packing import packed_reals
from studies.preview.fit import coefficients, fit_through, foretold
from studies.preview.follow import CaseFollow, Follow, Following, following
from studies.preview.readings import Used
from studies.preview.snapshots import Snapshots, wall_ratio
from studies.preview.walls import WallGroup
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.fatigue import FatigueRecord
from studies.records.limit import LimitRecord
from studies.records.parts import gauge_mm

FINEST = 1e-3
"""Step of a packed change of a field, over the field's largest value."""

Packed = dict[str, Any]


def preview(run: StudyRun, record: ResultsRecord, snapshots: Snapshots) -> Packed:
    """Return the preview of a run, as JSON can hold it.

    A figure is its printed value times the largest, over its parts, of share times
    exp(sum of coefficients times terms); the terms are products of powers of the logarithms of the
    wall factors, as `powers` says.
    """
    follows = following(run, record, snapshots)
    factors = [one.factors for one in snapshots.taken]
    fit = fit_through(factors)
    return {
        "groups": [_group(one, factors, k) for k, one in enumerate(snapshots.groups)],
        "powers": [list(one) for one in fit.powers],
        "command": f"barwright run {record.study.file}",
        "mass": {"value": record.bar.mass_g, **_follow(follows.mass)},
        "together": _together(record.fatigue, follows),
        "cases": [
            _case(snapshots, number, one, follow)
            for number, (one, follow) in enumerate(zip(record.cases, follows.cases, strict=True))
        ],
        "grid": {
            "s_mm": [round(float(s), 3) for s in snapshots.grid.s_mm],
            "angles": snapshots.grid.angles,
            "share": [round(float(one), 5) for one in snapshots.first_share],
        },
    }


def _group(one: WallGroup, factors: Sequence[tuple[float, ...]], number: int) -> Packed:
    reached = [each[number] for each in factors]
    return {
        "label": one.label,
        "paths": list(one.paths),
        "walls_mm": list(one.walls_mm),
        "low": min(reached),
        "high": max(reached),
    }


def _together(life: FatigueRecord | None, follows: Following) -> Packed | None:
    if life is None or follows.together is None or life.factor is None or not life.factor_range:
        return None
    low, high = life.factor_range
    return {"range": [low, life.factor, high], **_follow(follows.together)}


def _case(snapshots: Snapshots, number: int, record: CaseRecord, follow: CaseFollow) -> Packed:
    fields = _fields(snapshots, number)
    return {
        "id": record.id,
        "title": record.title,
        "deflection": {"value": record.deflection_mm, **_follow(follow.figures["deflection_mm"])},
        "gauge_mm": gauge_mm(record),
        "stiffness": _stiffness(record, follow),
        "peak": follow.peak and {"value": record.peak_stress_mpa, **_follow(follow.peak)},
        "limits": [_limit(*pair) for pair in zip(record.limits, follow.limits, strict=True)],
        "fields": fields,
    }


def _stiffness(record: CaseRecord, follow: CaseFollow) -> Packed | None:
    found = follow.figures.get("stiffness_n_per_mm")
    if record.stiffness_n_per_mm is None or found is None:
        return None
    return {"value": record.stiffness_n_per_mm, **_follow(found)}


def _limit(limit: LimitRecord, follow: Follow | None) -> Packed:
    range_ = limit.factor_range or (limit.load_factor,)
    shown = {"name": limit.name, "range": list(range_), "verified": limit.verified}
    return {**shown, "place": limit.place, "follow": follow and _follow(follow)}


def _follow(follow: Follow) -> Packed:
    parts = [
        {
            "share": float(f"{one.share:.8g}"),
            "terms": [float(f"{c:.8g}") for c in one.coefficients],
            "place": one.place,
            "at": one.at and _at(one.at),
        }
        for one in follow.parts
    ]
    return {"parts": parts, "error": round(follow.error_percent, 3)}


def _at(place: Used) -> Packed:
    return {"s_mm": place.s_mm, "theta_rad": place.theta_rad, "surface": place.surface}


def _fields(snapshots: Snapshots, number: int) -> Mapping[str, Packed]:
    """Return how each field changes: coefficients of value times wall ratio, column by column."""
    fit = fit_through([one.factors for one in snapshots.taken])
    ratios = [wall_ratio(snapshots, one.factors) for one in snapshots.taken]
    found = {}
    for name, own in snapshots.taken[0].fields[number].items():
        fields = (one.fields[number][name] for one in snapshots.taken)
        values = np.stack([_scaled(*pair) for pair in zip(fields, ratios, strict=True)])
        most = float(np.abs(own).max()) or 1.0
        changes = coefficients(fit, values)
        columns = np.concatenate(list(changes), axis=1)
        error = float(np.abs(foretold(fit, values) - values[-1]).max()) / most
        found[name] = {**packed_reals(columns, FINEST * most), "error": round(100 * error, 2)}
    return found


def _scaled(values: Floats, ratio: Floats) -> Floats:
    """Return values (L A, k) times the wall ratio (L,) of their line: stress goes with 1/wall."""
    lines = values.reshape(len(ratio), -1) * ratio[:, None]
    return np.asarray(lines.reshape(values.shape))
