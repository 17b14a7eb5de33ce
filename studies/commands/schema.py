"""`barwright schema`: the JSON Schema of a study file, of results or of a plan."""

from enum import StrEnum
from typing import Annotated

import typer

from studies.commands.output import write_json


class Kind(StrEnum):
    """What has a schema."""

    study = "study"
    results = "results"
    plan = "plan"


def schema(kind: Annotated[Kind, typer.Argument(help="Which schema.")]) -> None:
    """Print the JSON Schema of study files, of results.json or of plan.json."""
    if kind is Kind.study:
        from studies.study_file.format.study_tables import study_schema

        write_json(study_schema())
    elif kind is Kind.plan:
        from studies.bench.plan_record import plan_schema

        write_json(plan_schema())
    else:
        from studies.records.case import results_schema

        write_json(results_schema())
