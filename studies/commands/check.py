"""`barwright check`: a study's geometry, bend tables, load places and warnings; no solve."""

from typing import TYPE_CHECKING, Annotated

import typer

from studies.commands.options import StudyFile
from studies.commands.output import say, write_json

if TYPE_CHECKING:
    from studies.study_file.study import Study
    from studies.sweeps.plan import Plan


def check(
    study: StudyFile,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")] = False,
) -> None:
    """Check a study and print its geometry; no solve.

    Sections, mass, bend tables, load places and warnings.
    """
    from studies.study_file.geometry_summary import geometry_summary
    from studies.study_file.hints import hints
    from studies.study_file.study import read_study

    read = read_study(study)
    summary = geometry_summary(read.bar)
    planned = _planned(read)
    if as_json:
        from studies.commands.check_record import check_record

        write_json(check_record(read, summary, planned))
    else:
        from studies.commands.check_tables import print_check

        print_check(read, summary, planned)
    for warning in read.warnings:
        say(f"warning: {warning}")
    for hint in hints(read):
        say(f"hint: {hint}")


def _planned(read: "Study") -> "Plan | None":
    """Return the designs of the study's sweep, None where nothing is swept.

    Raises:
        StudyError: What a sweep or optimise varies is no key of the study.
    """
    if not read.sweeps and not read.optimise.vary:
        return None
    from geometry.errors import InputError
    from studies.study_file.errors import StudyError
    from studies.study_file.key_places import places
    from studies.sweeps.plan import plan_of

    try:
        for varied in read.optimise.vary:
            places(read.table, varied.path)
        return plan_of(read.table, read.sweeps, read.plan) if read.sweeps else None
    except InputError as error:
        raise StudyError(read.path, *error.problems) from None
