"""What a sweep says as a whole, for its page, the terminal and sweep.json."""

import json
import math
from collections import Counter
from dataclasses import asdict, dataclass
from functools import lru_cache

from studies.files.results_folder import OUR_FORMATS, SWEEP_RECORD
from studies.files.version import barwright_version
from studies.records.base import finite
from studies.sweeps.statistics import Band, Sensitivity, bands, pareto_front, sensitivities
from studies.sweeps.sweep_results import (
    GOVERNING,
    NOT_YET,
    SweepRun,
    column_named,
    columns,
    figure_columns,
    numbers,
)

FORMAT_VERSION = 2


@dataclass(frozen=True)
class Span:
    """The least and the greatest value of a figure and the designs that have them, from 1."""

    figure: str
    least: float
    least_design: int
    greatest: float
    greatest_design: int


@dataclass(frozen=True)
class Summary:
    """What a sweep says.

    Attributes:
        counts: Number of designs by status.
        designs_below_load: Number of computed designs with a governing factor below 1.
        spans: Least and greatest of each figure.
        sensitivities: How much each input moves each figure.
        bands: Where figures lie under tolerances; none but for samples.
        pareto_front: Designs, from 1, that no other beats in mass, stiffness and governing factor.
        reasons: Why designs have no figures, and how many each.
    """

    counts: dict[str, int]
    designs_below_load: int
    spans: tuple[Span, ...]
    sensitivities: tuple[Sensitivity, ...]
    bands: tuple[Band, ...]
    pareto_front: tuple[int, ...]
    reasons: dict[str, int]


@lru_cache(maxsize=1)
def summary_of(run: SweepRun) -> Summary:
    """Return what a sweep says; its tables and the terminal ask for the same one."""
    counts = Counter(row.status if row else NOT_YET for row in run.rows)
    reasons = Counter(row.reason for row in run.rows if row and row.reason)
    governing = column_named(figure_columns(run), GOVERNING)
    return Summary(
        dict(counts),
        int((numbers(governing) < 1).sum()) if governing else 0,
        tuple(_spans(run)),
        sensitivities(run),
        bands(run),
        tuple(number + 1 for number in pareto_front(run)),
        dict(reasons.most_common()),
    )


def summary_json(run: SweepRun, summary: Summary) -> str:
    """Return the text of sweep.json: the plan, what the sweep says, and the columns' meaning."""
    study, plan = run.sweep.study, run.sweep.plan
    levels = sorted({job.level for job in run.sweep.jobs})
    content = {
        "format": OUR_FORMATS[SWEEP_RECORD],
        "format_version": FORMAT_VERSION,
        "study": {"name": study.name, "file": study.path.name, "sha256": study.sha256},
        "barwright_version": barwright_version(),
        "mesh_levels": levels,
        "plan": {
            "mode": plan.mode,
            "designs": len(plan.values),
            "seed": plan.seed,
            "sampler": plan.sampler,
            "base": plan.base,
            "axes": [asdict(axis) for axis in plan.axes],
        },
        "columns": [{"key": c.key, "name": c.name, "kind": c.kind} for c in columns(run)],
        "not_assessed": run.not_assessed,
        **asdict(summary),
    }
    return json.dumps(finite(content), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _spans(run: SweepRun) -> list[Span]:
    found = []
    for column in figure_columns(run):
        values = {n: v for n, v in enumerate(numbers(column), start=1) if math.isfinite(v)}
        if values:
            least, greatest = (pick(values, key=values.__getitem__) for pick in (min, max))
            ends = float(values[least]), least, float(values[greatest]), greatest
            found.append(Span(column.key, *ends))
    return found
