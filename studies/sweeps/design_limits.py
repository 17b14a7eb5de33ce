"""The limits of every design of a sweep, as its row on disk holds them, and its baseline."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isclose
from typing import Literal

import numpy as np

from fea.stability import criteria
from fea.stability.criteria import (
    CLAMP_SLIP,
    ELASTIC_BUCKLING,
    FATIGUE,
    WRINKLING,
    YIELD,
    gloss_of,
)
from geometry.arrays import Floats
from studies.sweeps.plan import Axis
from studies.sweeps.rows import DesignRow
from studies.sweeps.sweep_results import SweepRun


@dataclass(frozen=True)
class DesignLimit:
    """A kind of limit of all designs, each of its nearest case.

    Attributes:
        name: Of the limit.
        gloss: Its meaning in a few words.
        factors: Of each design, the low end of a range; None where it has no such limit.
        middles: The middle of a range; None where there is no range.
        cases: Of each design, the case.
    """

    name: str
    gloss: str
    factors: tuple[float | None, ...]
    middles: tuple[float | None, ...]
    cases: tuple[str, ...]


@dataclass(frozen=True)
class Baseline:
    """The computed design beside which others are shown.

    Attributes:
        design: Its number, from 0.
        of_study: Whether its values are those of the study file, the nearest to them, or neither
            is known, since the file has no one number for any axis.
    """

    design: int
    of_study: Literal["own", "nearest", "unknown"]


def _kinds() -> Iterator[tuple[str, str, str, str]]:
    """Yield name, gloss, measure and that of the middle, empty without a range, of each limit."""
    yield YIELD.label, gloss_of(YIELD.id), "first_yield_factor", ""
    wrinkling = criteria.LOCAL_BUCKLING.id
    yield WRINKLING.label, gloss_of(wrinkling), "wrinkling_factor", ""
    for one in criteria.LOCAL:
        if one.linear:
            yield one.label, gloss_of(one.id), f"{one.id}_factor", ""
    yield ELASTIC_BUCKLING.label, gloss_of(ELASTIC_BUCKLING.id), "elastic_factor", ""
    yield FATIGUE.label, gloss_of(FATIGUE.id), "fatigue_factor_low", "fatigue_factor"
    yield CLAMP_SLIP.label, gloss_of(CLAMP_SLIP.id), "slip_factor_low", "slip_factor"


def design_limits(run: SweepRun) -> tuple[DesignLimit, ...]:
    """Return the limits that any design has, the nearest of any first."""
    found = [_limit(run.rows, *kind) for kind in _kinds()]
    known = [(min(sound), one) for one in found if (sound := _finite(one.factors))]
    return tuple(one for _, one in sorted(known, key=lambda pair: pair[0]))


def _finite(values: Sequence[float | None]) -> list[float]:
    return [value for value in values if value is not None and np.isfinite(value)]


def _limit(
    rows: Sequence[DesignRow | None], name: str, gloss: str, key: str, middle: str
) -> DesignLimit:
    nearest = [_nearest(row, key) for row in rows]
    pairs = list(zip(rows, nearest, strict=True))
    return DesignLimit(
        name,
        gloss,
        tuple(row.cases[id_][key] if row and id_ else None for row, id_ in pairs),
        tuple(row.cases[id_].get(middle) if row and id_ else None for row, id_ in pairs),
        tuple(nearest),
    )


def _nearest(row: DesignRow | None, key: str) -> str:
    """Return the case in which a factor is least, empty where none has it."""
    cases: Mapping[str, Mapping[str, float | None]] = row.cases if row else {}
    found = {id_: value for id_, case in cases.items() if (value := case.get(key)) is not None}
    return min(found, key=found.__getitem__, default="")


def baseline_of(run: SweepRun) -> Baseline | None:
    """Return the design beside which others are shown; None where none has figures.

    Axes on which the study file has no one number do not count; the first design is taken where
    none counts.
    """
    plan = run.sweep.plan
    sound = [n for n, row in enumerate(run.rows) if row and row.status == "computed"]
    if not sound:
        return None
    columns = [(axis, [row[k] for row in plan.values]) for k, axis in enumerate(plan.axes)]
    away = sum((_away(axis, values) for axis, values in columns), np.zeros(len(plan.values)))
    nearest = min(sound, key=lambda n: float(away[n]))
    known = [_written(axis) is not None for axis in plan.axes]
    if not any(known):
        return Baseline(nearest, "unknown")
    is_own = all(known) and isclose(float(away[nearest]), 0, abs_tol=1e-9)
    return Baseline(nearest, "own" if is_own else "nearest")


def _written(axis: Axis) -> float | None:
    """Return the value of an axis at which the study file stands."""
    return {"value": axis.written, "factor": 1.0, "shift": 0.0}[axis.acts_as]


def _away(axis: Axis, values: Sequence[object]) -> Floats:
    """Return (designs,) how far each is from the study file, of the axis's own length."""
    written = _written(axis)
    numbers = np.array([v if isinstance(v, int | float) else np.nan for v in values], float)
    if written is None or not np.isfinite(numbers).any():
        return np.zeros(len(values))
    span = float(np.nanmax(numbers) - np.nanmin(numbers)) or abs(written) or 1.0
    result: Floats = np.nan_to_num(np.abs(numbers - written) / span)
    return result
