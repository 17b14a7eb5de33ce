"""sweep.html: the designs of a sweep, picked in plots and read in tables."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from studies.files.version import barwright_version
from studies.page import assets
from studies.page.filling import environment, shared_parts
from studies.records.base import finite
from studies.records.limit_text import BELOW
from studies.records.measures import ALL_MEASURES
from studies.study_file.changes import SIGNS
from studies.sweeps.design_limits import DesignLimit, baseline_of, design_limits
from studies.sweeps.overview import Pull, pulls, sentences
from studies.sweeps.plan import Axis
from studies.sweeps.statistics import Band, Sensitivity
from studies.sweeps.summary import Summary
from studies.sweeps.sweep_results import (
    GOVERNING,
    MASS,
    Column,
    SweepRun,
    column_named,
    columns,
    figure_columns,
    input_columns,
)

MOST_ROWS = 300
"""Designs in the page's table; the plots show all, and designs.csv holds all."""

MOST_AXES = 10
"""Axes beside each other at first; more can be chosen."""

CAUTIONS = (
    "These are computed figures of bars as described. A bar that breaks hurts someone: local "
    "rules, accredited physical tests and licensed practice decide.",
    "Each design carries every assumption of a single run; run the one that you choose by itself "
    "and read its own page before anything is made or ridden.",
    "Bands and sensitivities hold for the values and distributions given here; what does not vary "
    "here is taken as exactly known.",
)

LIMIT_DIGITS = 4
"""Significant digits of the factors of a picked design's limits."""

FACTORS = frozenset(one.key for one in ALL_MEASURES if "factor" in one.key)
"""Figures of a case that are multiples of its load."""

SENSITIVITY_WORDS = {
    "normalised derivative": "Percent that the figure changes by when the input grows by one "
    "percent: the mean over the lines of the grid, from straight lines through the logarithms.",
    "rank correlation": "Spearman's rank correlation, with its 95 % interval from the number of "
    "samples: 1 rises together, -1 falls, near 0 moves nothing in one direction.",
    "first-order index": "Share of the figure's variance that the input brings by itself (Sobol), "
    "with its 95 % interval by resampling.",
    "total index": "Share of the variance in which the input takes part, together with others.",
}


@dataclass(frozen=True)
class Cell:
    """A sensitivity as the page shows it: the value, its interval, and the length of its bar."""

    value: float | None
    between: str
    share: float


@dataclass(frozen=True)
class Strength:
    """How much all inputs move a figure."""

    figure: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Kind:
    """Sensitivities of one kind: bars of the main figures, a table of figures and inputs."""

    name: str
    words: str
    pulls: tuple[Pull, ...]
    rows: tuple[Strength, ...]


@dataclass(frozen=True)
class Strip:
    """A band as the page shows it: numbers in words, and its places in a drawing 100 wide."""

    figure: str
    band: Band
    places: tuple[float, float, float]


def sweep_html(run: SweepRun, summary: Summary) -> str:
    """Return the page of a sweep."""
    found = columns(run)
    names = {column.key: column.name for column in found}
    return (
        environment()
        .get_template("sweep.html")
        .render(
            **shared_parts(assets.SWEEP),
            study=run.sweep.study,
            plan=run.sweep.plan,
            levels=sorted({job.level for job in run.sweep.jobs}),
            summary=summary,
            sentences=sentences(run, summary),
            version=barwright_version(),
            not_assessed=run.not_assessed,
            columns=found,
            names=names,
            inputs=[column.name for column in input_columns(run)],
            paths={axis.name: axis.path for axis in run.sweep.plan.axes},
            governing=GOVERNING,
            below=BELOW,
            kinds=tuple(_kinds(run, summary.sensitivities, names)),
            strips=tuple(_strips(summary, names)),
            most_rows=MOST_ROWS,
            cautions=CAUTIONS,
            data=finite(_data(run, summary, found)),
        )
    )


def _data(run: SweepRun, summary: Summary, found: Sequence[Column]) -> dict[str, Any]:
    """Return what the page's script draws from."""
    axes = {axis.name: axis for axis in run.sweep.plan.axes}
    limits, baseline = design_limits(run), baseline_of(run)
    cases = list(dict.fromkeys(case for one in limits for case in one.cases if case))
    return {
        "file": run.sweep.study.path.name,
        "columns": [
            {
                "key": column.key,
                "name": column.name,
                "kind": column.kind,
                "decimals": column.decimals,
                "better": column.better,
                "level": _level(column),
                "set": _setting(axes[column.key]) if column.kind == "input" else "",
                "values": column.values,
            }
            for column in found
        ],
        "first": _first_axes(run, found),
        "front": [number - 1 for number in summary.pareto_front],
        "governing": GOVERNING,
        "choice": run.sweep.plan.mode != "sampled",
        "limits": list(_short_limits(limits, cases)),
        "cases": cases,
        "baseline": asdict(baseline) if baseline else None,
    }


def _short_limits(found: Sequence[DesignLimit], cases: Sequence[str]) -> Iterator[dict[str, Any]]:
    """Yield the limits with as many digits as a drawing shows, and cases by their numbers."""
    number = {case: k for k, case in enumerate(cases)}
    for one in found:
        yield {
            "name": one.name,
            "gloss": one.gloss,
            "factors": list(map(_rounded, one.factors)),
            "middles": list(map(_rounded, one.middles)),
            "cases": [number.get(case) for case in one.cases],
        }


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.{LIMIT_DIGITS}g}")


def _level(column: Column) -> float | None:
    """Return the value of a figure at which the load itself is the limit, None for most."""
    is_factor = column.key == GOVERNING or column.key.partition("/")[2] in FACTORS
    return 1.0 if column.kind == "figure" and is_factor else None


def _setting(axis: Axis) -> str:
    """Return the beginning of the setting by which a single run takes a value of this axis."""
    return f"{axis.path}{SIGNS[axis.acts_as]}"


def _first_axes(run: SweepRun, found: Sequence[Column]) -> dict[str, Any]:
    """Return what the plots show at first: mass against the governing factor, the main axes."""
    inputs = [column.key for column in input_columns(run)]
    figures = [column.key for column in figure_columns(run)]
    sides = [key for key in (MASS, GOVERNING) if column_named(found, key)]
    case = [key for key in figures if "/" in key][1:4]
    return {
        "x": sides[0] if len(sides) == 2 else inputs[0],
        "y": sides[-1] if sides else inputs[-1],
        "axes": [*inputs, *sides, *case][:MOST_AXES],
    }


def _kinds(run: SweepRun, found: Sequence[Sensitivity], names: dict[str, str]) -> Iterator[Kind]:
    inputs = [column.key for column in input_columns(run)]
    for kind in dict.fromkeys(one.kind for one in found):
        of_kind = {(one.figure, one.input): one for one in found if one.kind == kind}
        most = max(1.0, *(abs(one.value) for one in of_kind.values()))
        figures = dict.fromkeys(figure for figure, _ in of_kind)
        rows = tuple(
            Strength(names[figure], tuple(_cell(of_kind.get((figure, i)), most) for i in inputs))
            for figure in figures
        )
        drawn = tuple(pulls(list(of_kind.values()), names, inputs))
        yield Kind(kind, SENSITIVITY_WORDS[kind], drawn, rows)


def _cell(one: Sensitivity | None, most: float) -> Cell:
    if one is None:
        return Cell(None, "", 0.0)
    between = "" if one.low is None else f"{one.low:.2f} to {one.high:.2f}".replace("-", "\u2212")
    return Cell(round(one.value, 2), between, one.value / most)


def _strips(summary: Summary, names: dict[str, str]) -> Iterator[Strip]:
    spans = {span.figure: span for span in summary.spans}
    for band in summary.bands:
        span = spans[band.figure]
        width = span.greatest - span.least or 1.0
        low, middle, high = (100 * (value - span.least) / width for value in band.quantiles)
        yield Strip(names[band.figure], band, (low, middle, high))
