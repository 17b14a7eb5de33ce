"""A sweep of ten designs without the cost of solving, and what its page tells of one."""

import json
from pathlib import Path
from typing import Any

from studies.sweeps.rows import DesignRow, Job, unfinished_row
from studies.sweeps.sweep import run_sweep, sweep_of
from support.sweeps import WALL, WIDTH, at_once, axis, made_row, plan, short_study, wall_of

WALLS_MM, WIDTHS_MM = (0.4, 0.45, 0.6, 0.8, 13.0), (36, 40)


def row(job: Job) -> DesignRow:
    """Return a row; thin walls have a limit before the load, thick ones no bore."""
    if wall_of(job) > 12:
        return unfinished_row(job, "invalid input", "a tube needs a bore")
    wall_mm, width_mm = wall_of(job), json.loads(job.table)["clamp"]["width_mm"]
    return made_row(job, governing_factor=2 * wall_mm * width_mm / 38)


def swept_results(folder: Path) -> Path:
    """Return the results folder of a sweep of ten designs."""
    axes = [axis(WALL, values=list(WALLS_MM)), axis(WIDTH, values=list(WIDTHS_MM))]
    run_sweep(sweep_of(short_study(folder), axes, plan()), folder / "out", at_once(row))
    return folder / "out"


def picked(page: Any) -> str:
    """Return what is told of the picked design, its folded figures too."""
    for fold in page.locator(".picked details").all():
        fold.evaluate("one => { one.open = true; }")
    text: str = page.locator("[data-part='picked']").inner_text()
    return text


def dot(page: Any, design: int) -> Any:
    """Return the dot of a design, counted from 1."""
    return page.locator(f".scatter-dot[data-design='{design - 1}']")
