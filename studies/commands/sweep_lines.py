"""What `barwright sweep` prints: designs, sensitivities, percentiles, Pareto front."""

from pathlib import Path
from string import ascii_lowercase

from rich.table import Table

from studies.commands.output import CAUTION, TABLE_WIDTH, indented, printable, show, table
from studies.files.results_folder import SWEEP_FILE
from studies.records.limit_text import BELOW
from studies.sweeps.statistics import Band, Sensitivity
from studies.sweeps.summary import Summary, summary_of
from studies.sweeps.sweep_results import GOVERNING, MASS, NOT_YET, SweepRun, columns

MOST_ROWS = 24
"""Designs that the terminal shows; all are in designs.csv and on the page."""

FIGURES = (MASS, GOVERNING, "governing_limit")


def print_sweep(run: SweepRun, folder: Path) -> None:
    """Print designs, sensitivities, percentiles and Pareto front of a sweep."""
    summary = summary_of(run)
    study, plan = run.sweep.study, run.sweep.plan
    show(f"{study.name}: {len(run.rows)} designs, {plan.mode}")
    show(*(indented(line) for line in _counts(run, summary)), "")
    show(*(indented(line) for line in _axes(run)), "")
    show(_designs(run), width=TABLE_WIDTH)
    if summary.bands:
        show(_bands(run, summary.bands))
    sensitivities = _sensitivities(run, summary)
    if sensitivities:
        show(sensitivities)
    if summary.pareto_front:
        below = set(_below(run))
        shown = summary.pareto_front[:MOST_ROWS]
        numbers = ", ".join(f"{n} ({BELOW})" if n in below else f"{n}" for n in shown)
        more = (
            f" and {len(summary.pareto_front) - MOST_ROWS} more"
            if len(summary.pareto_front) > MOST_ROWS
            else ""
        )
        sentence = f"Pareto front (mass, stiffness, governing factor): {numbers}{more}"
        show(indented(sentence), "")
    show(CAUTION, "")
    show(f"Table in {folder / 'designs.csv'}, page in {folder / SWEEP_FILE}")


def _counts(run: SweepRun, summary: Summary) -> list[str]:
    by_status = ", ".join(f"{count} {status}" for status, count in summary.counts.items())
    lines = [by_status + (f"; {run.reused} reused" if run.reused else "")]
    if run.sweep.plan.seed is not None:
        lines.append(f"Samples by {run.sweep.plan.sampler}, seed {run.sweep.plan.seed}")
    if run.not_assessed:
        lines.append(f"Not assessed, so there is no governing limit: {', '.join(run.not_assessed)}")
    if summary.designs_below_load:
        lines.append(
            f"Designs with a governing factor below the load: {summary.designs_below_load}"
        )
    lines += [f"{count} designs: {printable(reason)}" for reason, count in summary.reasons.items()]
    return lines


def _designs(run: SweepRun) -> Table:
    found = columns(run)
    inputs = [column for column in found if column.kind == "input"]
    shown = [*inputs, *(column for column in found if column.key in FIGURES)]
    count = len(run.rows)
    title = f"Designs 1 to {MOST_ROWS} of {count}" if count > MOST_ROWS else "Designs"
    heads = [*ascii_lowercase[: len(inputs)], *(column.name for column in shown[len(inputs) :])]
    made = table(title, "design", *heads, "status", words=1)
    below = set(_below(run))
    for number, row in enumerate(run.rows[:MOST_ROWS]):
        values = [_cell(column.values[number], column.decimals) for column in shown]
        marked = f", {BELOW}" if number + 1 in below else ""
        made.add_row(str(number + 1), *values, f"{row.status}{marked}" if row else NOT_YET)
    return made


def _below(run: SweepRun) -> list[int]:
    """Return the designs, from 1, whose governing factor is below 1."""
    factors = next((column.values for column in columns(run) if column.key == GOVERNING), ())
    return [n for n, value in enumerate(factors, 1) if isinstance(value, float) and value < 1]


def _axes(run: SweepRun) -> list[str]:
    """Return the letters of the table's columns and what they stand for."""
    names = [f"{axis.label}: {axis.name}" for axis in run.sweep.plan.axes]
    return [f"{letter}  {name}" for letter, name in zip(ascii_lowercase, names, strict=False)]


def _names(run: SweepRun) -> dict[str, str]:
    return {column.key: printable(column.name) for column in columns(run)}


def _bands(run: SweepRun, found: tuple[Band, ...]) -> Table:
    names = _names(run)
    made = table(
        "Percentiles under the tolerances", "figure", "5 %", "50 %", "95 %", "mean", words=1
    )
    for band in found:
        made.add_row(
            names[band.figure], *(f"{value:.4g}" for value in (*band.quantiles, band.mean))
        )
    return made


def _sensitivities(run: SweepRun, summary: Summary) -> Table | None:
    """Return the sensitivities of governing factor and mass, the largest first."""
    of = [s for s in summary.sensitivities if s.figure in (GOVERNING, MASS)]
    if not of:
        return None
    names = _names(run)
    spread = any(one.low is not None for one in of)
    heads = ("figure", "input", "effect", *(["95 % interval"] if spread else []), "")
    made = table("Sensitivities", *heads, words=2)
    for one in sorted(of, key=_order):
        value = f"{round(one.value, 2) + 0.0:+.2f}"
        between = [f"{one.low:.2f} to {one.high:.2f}"] if spread else []
        made.add_row(names[one.figure], names[one.input], value, *between, one.kind)
    return made


def _order(one: Sensitivity) -> tuple[bool, str, float]:
    return one.figure != GOVERNING, one.kind, -abs(one.value)


def _cell(value: float | int | str | None, decimals: int) -> str:
    if isinstance(value, float):
        return f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "-" if value is None else printable(str(value))
