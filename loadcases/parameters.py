"""From what a study gives for a catalogue case to every number that its mechanics read."""

from collections.abc import Iterator, Mapping
from difflib import get_close_matches

from geometry.errors import InputError, Problem
from geometry.limits import number_problem, unknown_name
from loadcases.case import Figure
from loadcases.template import CaseTemplate, ChoiceTable, Given, Parameter


def resolve(template: CaseTemplate, parameters: Mapping[str, object]) -> Given:
    """Return all numbers and choices of a case, defaults and table values among them.

    Raises:
        InputError: Parameters that are unknown, missing or out of range, all of them.
    """
    problems = tuple(_problems(template, parameters))
    if problems:
        raise InputError(*problems)
    values = {p.name: parameters.get(p.name, p.default) for p in template.parameters}
    choices = {name: value for name, value in values.items() if isinstance(value, str)}
    numbers = {
        name: float(value) for name, value in values.items() if isinstance(value, int | float)
    }
    fixed = [*template.figures, *(chosen_figure(table, choices) for table in template.tables)]
    numbers |= {figure.name: figure.value for figure in fixed if figure.value is not None}
    return Given(numbers, choices)


def chosen_figure(table: ChoiceTable, choices: Mapping[str, str]) -> Figure:
    """Return the number of a table for the word that was chosen."""
    word = choices[table.by]
    meaning = f"{table.meaning}, {word}"
    return Figure(table.name, meaning, dict(table.values)[word], table.unit, table.source)


def _problems(template: CaseTemplate, parameters: Mapping[str, object]) -> Iterator[Problem]:
    names = [parameter.name for parameter in template.parameters]
    unknown = [name for name in parameters if name not in names]
    yield from (unknown_name(n, f"parameter of {template.id}", n, names) for n in unknown)
    # a misspelt parameter is one mistake, not an unknown and a missing one
    meant = {near for name in unknown for near in get_close_matches(name, names)}
    for parameter in template.parameters:
        problem = _value_problem(parameter, parameters.get(parameter.name, parameter.default))
        if problem and (parameter.name in parameters or parameter.name not in meant):
            yield problem


def _value_problem(parameter: Parameter, value: object) -> Problem | None:
    if value is None and parameter.required:
        return Problem(parameter.name, f"is missing; use one of {', '.join(parameter.choices)}")
    if parameter.kind == "number":
        return number_problem(parameter.name, value, parameter.limits)
    if value not in parameter.choices:
        return unknown_name(parameter.name, parameter.meaning, value, parameter.choices)
    return None
