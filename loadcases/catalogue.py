"""The published and practice cases: what is in the catalogue, and a case built for a bar.

One file per case in `loadcases/cases` holds every number with its source; the few
lines of mechanics that a number cannot say are the functions listed here.
"""

import tomllib
from collections.abc import Callable, Mapping
from importlib.resources import files

from geometry.bar import Bar
from geometry.errors import InputError, Problem, refuse
from geometry.limits import unknown_name
from loadcases import press_setups, rider_loads, standard_tests
from loadcases.case import STEERER_ANGLE_DEG, Case
from loadcases.clamp import Clamp
from loadcases.load import load_problems
from loadcases.parameters import chosen_figure, resolve
from loadcases.supports import support_problems
from loadcases.template import Built, CaseTemplate, Given, read_template

MECHANICS: dict[str, Callable[[Given, Bar], Built]] = {
    "iso-4210-5.bar-bending": standard_tests.bar_bending,
    "iso-4210-5.torsional-security": standard_tests.torsional_security,
    "iso-4210-5.fatigue-out-of-phase": standard_tests.fatigue_out_of_phase,
    "iso-4210-5.fatigue-in-phase": standard_tests.fatigue_in_phase,
    "rider.standing-sprint": rider_loads.standing_sprint,
    "rider.seated-climb-pull": rider_loads.seated_climb_pull,
    "rider.hard-braking": rider_loads.hard_braking,
    "rider.drop-landing": rider_loads.drop_landing,
    "rider.lift-one-end": rider_loads.lift_one_end,
    "press.stood-on-both-ends": press_setups.stood_on_both_ends,
    "press.three-point": press_setups.three_point,
    "press.three-point-ram": press_setups.three_point_ram,
    "press.four-point": press_setups.four_point,
    "press.crush": press_setups.crush,
    "press.cantilever": press_setups.cantilever,
}
"""The loads of each case, in the catalogue's order."""


def case_ids() -> tuple[str, ...]:
    """Return the ids of the catalogue, in its order."""
    return tuple(MECHANICS)


def load_template(case_id: str) -> CaseTemplate:
    """Return a case of the catalogue before its parameters are known.

    Raises:
        InputError: No case has this id; the nearest ids are named.
    """
    if case_id not in MECHANICS:
        raise InputError(unknown_name("use", "catalogue case", case_id, MECHANICS))
    text = (files("loadcases.cases") / f"{case_id}.toml").read_text(encoding="utf-8")
    return read_template(case_id, tomllib.loads(text))


def build_case(case_id: str, parameters: Mapping[str, object], bar: Bar, clamp: Clamp) -> Case:
    """Return a case of the catalogue for a bar in its clamp, with id and title of the catalogue.

    Args:
        case_id: Catalogue id.
        parameters: What the study gives, by name; the rest takes its default.
        bar: Torque arms, grip spacing and half lengths are those of this bar.
        clamp: No load may reach into it.

    Raises:
        InputError: An unknown id, or every parameter that is unknown, missing, out of
            range or leaves a load no place on the bar.
    """
    template = load_template(case_id)
    given = resolve(template, parameters)
    _check_hold(template, clamp)
    built = MECHANICS[case_id](given, bar)
    _check_places(template, built, bar, clamp)
    chosen = tuple(chosen_figure(table, given.choices) for table in template.tables)
    return Case(
        id=case_id,
        title=template.title,
        loads=built.loads,
        source=template.source,
        axes=template.axes,
        steerer_angle_deg=given.numbers.get("steerer_angle_deg", STEERER_ANGLE_DEG),
        remarks=built.notes,
        notes=template.notes,
        cycle=template.cycle,
        limits=template.limits,
        figures=(*chosen, *template.figures),
        parameters=_values(template, given),
        supports=built.supports,
        ram_force_n=built.ram_force_n,
    )


def _check_hold(template: CaseTemplate, clamp: Clamp) -> None:
    """Refuse a case of a free bar for one in its clamp, and the other way round."""
    if template.free and clamp.holds:
        sentence = f"{template.id} bends a bar that lies free; give clamp.model = 'none', or use "
        raise refuse("use", sentence + "press.three-point, whose ram is the clamp")
    if not template.free and not clamp.holds:
        sentence = f"{template.id} needs the clamp that model = 'none' takes away; "
        raise refuse(
            "use", sentence + "give a clamp, or use press.three-point-ram or press.four-point"
        )


def _values(template: CaseTemplate, given: Given) -> tuple[tuple[str, float | str], ...]:
    everything: dict[str, float | str] = {**given.numbers, **given.choices}
    return tuple((p.name, everything[p.name]) for p in template.parameters)


def _check_places(template: CaseTemplate, built: Built, bar: Bar, clamp: Clamp) -> None:
    """Refuse a place off the bar in the words of the case: the study wrote no loads or supports."""
    found = [problem for load in built.loads for problem in load_problems(load, bar.line, clamp)]
    unheld = [one for each in built.supports for one in support_problems(each, bar, clamp)]
    # supports of a set-up are given by one number: what is wrong with the first is wrong with it
    found += unheld[:1]
    if found:
        raise InputError(*dict.fromkeys(_reworded(template, problem) for problem in found))


def _reworded(template: CaseTemplate, problem: Problem) -> Problem:
    if template.place == "span_mm":
        return Problem("span_mm", f"leaves a support, at half of it, no place ({problem})")
    names = {p.name for p in template.parameters}
    if problem.field == "from_end_mm" and template.place in names:
        return Problem(template.place, problem.sentence)
    for name in (one for one in names if problem.field == "at_mm" and one.endswith("_at_mm")):
        return Problem(name, f"leaves a support no place ({problem})")
    return Problem(
        "use",
        f"a load or support of {template.id} has no place on this bar ({problem}); "
        "lengthen the bar or write a case of your own",
    )
