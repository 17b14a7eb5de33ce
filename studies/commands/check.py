"""`barwright check`: a study's geometry, bend tables, load places and warnings; no solve."""

from typing import TYPE_CHECKING

from studies.commands.options import AsMeasured, Changes, PrintJson, StudyFile
from studies.commands.output import say, write_json
from studies.commands.units import PrintUnits, Units, shown

if TYPE_CHECKING:
    from studies.study_file.study import Study
    from studies.sweeps.plan import Plan


def check(
    study: StudyFile,
    *,
    settings: Changes = None,
    as_measured: AsMeasured = False,
    as_json: PrintJson = False,
    units: PrintUnits = Units.SI,
) -> None:
    """Check a study and print its geometry; no solve.

    Sections, mass, bend tables, load places and warnings.
    """
    from studies.study_file.as_measured import read_as
    from studies.study_file.geometry_summary import geometry_summary
    from studies.study_file.hints import hints
    from studies.study_file.variants import with_settings, with_warnings

    read = with_settings(read_as(study, as_measured=as_measured), settings or ())
    summary = geometry_summary(read.bar)
    planned = _planned(read)
    read = with_warnings(read, _merged(read, planned))
    if as_json:
        from studies.commands.check_record import check_record

        write_json(check_record(read, summary, planned))
    else:
        from studies.commands.check_tables import print_check

        print_check(read, summary, planned)
    for warning in read.warnings:
        say(f"warning: {shown(warning)}")
    for hint in hints(read):
        say(f"hint: {shown(hint)}")


def _merged(read: "Study", planned: "Plan | None") -> tuple[str, ...]:
    """Return a sentence for each path of a sweep or search that would end butting."""
    from studies.study_file.changes import merged
    from studies.sweeps.plan import merged_by

    searched = [vary.path for vary in read.optimise.vary if vary.acts_as == "value"]
    found = [merged(read.table, path) for path in searched]
    swept = merged_by(read.table, planned.axes) if planned else ()
    return (*filter(None, found), *swept)


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
