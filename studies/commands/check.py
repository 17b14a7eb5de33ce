"""`barwright check`: read a study, say what it describes and what is doubtful; no solve."""

from pathlib import Path
from typing import Annotated

import typer

from studies.commands.output import say, write_json


def check(
    study: Annotated[Path, typer.Argument(help="Study file.", metavar="STUDY", show_default=False)],
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")] = False,
) -> None:
    """Print what a study describes; no solve.

    Sections, mass, bend tables, load places and warnings.
    """
    from studies.study import read_study
    from studies.survey import survey

    read = read_study(study)
    surveyed = survey(read.bar)
    if as_json:
        from studies.check_record import check_record

        write_json(check_record(read, surveyed))
    else:
        from studies.commands.check_tables import print_check

        print_check(read, surveyed)
    for warning in read.warnings:
        say(f"warning: {warning}")
