"""Runs at hand beside each other, without results folders."""

from collections.abc import Sequence
from dataclasses import dataclass

from geometry.errors import refuse
from studies.assessment.run import StudyRun
from studies.comparison.designs import Design, design_of_run
from studies.comparison.studies import FEWEST, MOST, refuse_twice


@dataclass(frozen=True, eq=False)
class Comparison:
    """Designs beside each other; differences are from the first."""

    designs: tuple[Design, ...]


def comparison_of(runs: Sequence[StudyRun]) -> Comparison:
    """Return runs beside each other.

    Raises:
        InputError: Fewer than two, more than a page shows, or two of one name.
    """
    if not FEWEST <= len(runs) <= MOST:
        raise refuse("runs", f"are {len(runs)}; give {FEWEST} to {MOST}")
    refuse_twice([run.study.name for run in runs])
    return Comparison(tuple(map(design_of_run, runs)))
