"""`barwright cases`: the catalogue of load cases with parameters, sources and evidence."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from studies.commands.output import evidence_of, indented, plain, show, table, write_json
from studies.commands.units import PrintUnits, Units

if TYPE_CHECKING:
    from loadcases.template import CaseTemplate, Parameter


def cases(
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")] = False,
    units: PrintUnits = Units.SI,
) -> None:
    """List the load cases with sources and evidence."""
    from geometry.source import MARKS
    from loadcases.catalogue import case_ids, load_template

    templates = [load_template(case_id) for case_id in case_ids()]
    if as_json:
        content = {"format": "barwright-cases", "format_version": 1, "marks": MARKS}
        write_json({**content, "cases": [plain(template) for template in templates]})
        return
    for template in templates:
        _print(template)


def _print(template: "CaseTemplate") -> None:
    keys = table(
        f"{template.id}\n{template.title}", "key", "default", "meaning", "evidence", words=4
    )
    for parameter in template.parameters:
        mark = evidence_of(parameter.source)
        keys.add_row(parameter.name, _default(parameter), _meaning(parameter), mark)
    numbers = table("Values and limits", "value", "meaning", "evidence", words=3)
    for row in _numbers(template):
        numbers.add_row(*row)
    source = f"Source: {template.source}."
    show(keys, numbers, *(indented(line) for line in (source, *template.notes, "")))


def _numbers(template: "CaseTemplate") -> Iterator[tuple[str, str, str]]:
    """Yield value, meaning and evidence of everything that the study does not set."""
    from loadcases.case import figure_in_words
    from studies.records.places import grouped

    for choice in template.tables:
        for word, value in choice.values:
            yield (
                f"{value:g} {choice.unit}",
                f"{choice.meaning}, {word}",
                evidence_of(choice.source),
            )
    for figure in (*template.figures, *template.limits):
        yield figure_in_words(figure), figure.meaning, evidence_of(figure.source)
    if template.cycle and template.cycle.cycles and template.cycle.source:
        yield grouped(template.cycle.cycles), "load cycles", evidence_of(template.cycle.source)


def _default(parameter: "Parameter") -> str:
    if parameter.default is None:
        return "required"
    if isinstance(parameter.default, str):
        return parameter.default
    return f"{parameter.default:g} {parameter.unit}".rstrip()


def _meaning(parameter: "Parameter") -> str:
    if parameter.choices:
        return f"{parameter.meaning}: {' | '.join(parameter.choices)}"
    return parameter.meaning
