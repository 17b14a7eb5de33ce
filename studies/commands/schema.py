"""`barwright schema`: the JSON Schema of a study file or of results."""

from enum import StrEnum
from typing import Annotated

import typer

from studies.commands.output import write_json


class Kind(StrEnum):
    """What has a schema."""

    study = "study"
    results = "results"


def schema(kind: Annotated[Kind, typer.Argument(help="Which schema.")]) -> None:
    """Print the JSON Schema of study files or of results.json."""
    if kind is Kind.study:
        from studies.study_file.format.study_tables import study_schema

        write_json(study_schema())
    else:
        from studies.records.case import results_schema

        write_json(results_schema())
