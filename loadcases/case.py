"""A load case: loads that act together, where they come from, how often they come."""

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from geometry.arrays import Floats
from geometry.bar import Bar
from geometry.errors import InputError, Problem, refuse
from geometry.limits import Range, number_problem, unknown_name
from geometry.source import Source
from loadcases.axes import AXES, Axes, rotation_to_bar
from loadcases.balance import unbalanced
from loadcases.beds import bed_problems
from loadcases.clamp import Clamp
from loadcases.freedoms import left_free
from loadcases.load import Load, PlacedLoad, load_problems, place_load
from loadcases.supports import (
    ON_ENDS,
    RAM_LIMITS,
    PlacedSupport,
    Support,
    place_support,
    support_problems,
)

STEERER_ANGLE_DEG = 72.0
NAME_PATTERN = r"^[a-z0-9][a-z0-9._-]*$"
NAME_LENGTH = 64
"""Names are names of files, in lower case, for some disks know no other difference."""

STEERER_LIMITS = Range(
    30, 90, "deg", "give the steerer's angle from the horizontal, commonly 62 to 75 deg"
)
CYCLES_LIMITS = Range(1, 1e9, "", "give a number of cycles such as 100000")


@dataclass(frozen=True)
class Figure:
    """A number of a test or an estimate, with its own mark.

    Attributes:
        name: Short name with its unit.
        meaning: What it is, in words.
        value: The number, None for a limit that is seen and not measured.
        unit: Unit of the number, "" for a pure one.
        source: Where it comes from.
    """

    name: str
    meaning: str
    value: float | None
    unit: str
    source: Source


@dataclass(frozen=True)
class Cycle:
    """A repeated load.

    Attributes:
        other: Id of the case at the other end of the cycle, None for the reversed load.
        cycles: How often it comes, None where that is not known.
        preload: Whether the case is a steady load under the cycle.
        source: Where the number of cycles comes from, None where the study gives it.
    """

    other: str | None = None
    cycles: float | None = None
    preload: bool = False
    source: Source | None = None


@dataclass(frozen=True)
class Case:
    """Loads that act together.

    Attributes:
        id: Name of its files too, unique in a study.
        title: In words.
        loads: At least one, or supports of a bed that a ram presses.
        source: Where the loads as a whole come from.
        axes: What forces and moments are written in.
        steerer_angle_deg: Steerer from the horizontal, for gravity axes.
        remarks: Sentences on how the loads came about on this very bar.
        notes: Sentences that a report shows with the case.
        cycle: How it repeats, None for a load that comes once.
        limits: Requirements of the test.
        figures: Numbers that went into the loads, or that belong to the test.
        parameters: What a catalogue case was built with, (name, value).
        supports: What holds the bar beside its clamp.
        ram_force_n: With which the clamp, as the ram, presses the bar on the supports, which are
            those of one bed; 0 where they stand still.
    """

    id: str
    title: str
    loads: tuple[Load, ...]
    source: Source
    axes: Axes = "bar"
    steerer_angle_deg: float = STEERER_ANGLE_DEG
    remarks: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cycle: Cycle | None = None
    limits: tuple[Figure, ...] = ()
    figures: tuple[Figure, ...] = ()
    parameters: tuple[tuple[str, float | str], ...] = ()
    supports: tuple[Support, ...] = ()
    ram_force_n: float = 0.0


@dataclass(frozen=True)
class PlacedCase:
    """A case on a certain bar: the loads in bar axes at their places.

    Attributes:
        case: The case as written.
        loads: Its loads, in the same order; once it is solved the reactions of its supports too.
        supports: Its supports.
    """

    case: Case
    loads: tuple[PlacedLoad, ...]
    supports: tuple[PlacedSupport, ...] = ()

    @property
    def bands(self) -> tuple[PlacedLoad, ...]:
        """Return the bands that a mesh must have: of loads, and of supports without their force."""
        return self.loads + tuple(one.band for one in self.supports)

    @property
    def notes(self) -> tuple[str, ...]:
        """Return everything that is to be said of the case, on this bar first."""
        return self.case.remarks + self.case.notes


def figure_in_words(figure: Figure) -> str:
    """Return the number of a figure with its unit; `visual` for what is not measured."""
    return "visual" if figure.value is None else f"{figure.value:g} {figure.unit}".rstrip()


def place_case(case: Case, bar: Bar, clamp: Clamp) -> PlacedCase:
    """Return the case with its loads in bar axes at their places on the bar.

    Raises:
        InputError: Every fault of the case and of its loads, named by field.
    """
    problems = list(_case_problems(case))
    for index, support in enumerate(case.supports):
        faults = InputError(*support_problems(support, bar, clamp))
        problems += faults.within(f"supports[{index}]").problems
    for index, load in enumerate(case.loads):
        faults = InputError(*load_problems(load, bar.line, clamp))
        problems += faults.within(f"loads[{index}]").problems
    if problems:
        raise InputError(*problems)
    roll, steerer = math.radians(bar.spec.roll_deg), math.radians(case.steerer_angle_deg)
    rotation = rotation_to_bar(case.axes, roll, steerer)
    supports = tuple(_placed_supports(case, bar, clamp, rotation))
    loads = tuple(place_load(load, bar.line, clamp, rotation) for load in case.loads)
    if problems := [*_unheld(case, bar, clamp, loads, supports)]:
        raise InputError(*problems)
    return PlacedCase(case, loads, supports)


def _unheld(
    case: Case,
    bar: Bar,
    clamp: Clamp,
    loads: tuple[PlacedLoad, ...],
    supports: tuple[PlacedSupport, ...],
) -> Iterator[Problem]:
    """Yield why the supports cannot carry the bar, or a free bar's loads do not balance."""
    for of_ram in (False, True):
        if case.ram_force_n and (one := tuple(s for s in supports if s.of_ram is of_ram)):
            yield from bed_problems(one, bar)
    if not clamp.holds and supports:
        yield from left_free(supports, loads, bar.line, case.ram_force_n)
    elif not clamp.holds:
        yield from unbalanced(loads, bar.line)


def _placed_supports(
    case: Case, bar: Bar, clamp: Clamp, rotation: Floats
) -> Iterator[PlacedSupport]:
    """Yield the supports at their places; a direction is refused in the words of the case."""
    for index, one in enumerate(case.supports):
        try:
            yield place_support(one, bar, clamp, rotation)
        except InputError as error:
            if not case.ram_force_n:
                raise error.within(f"supports[{index}]") from None
            ends = "does not stand on its ends: it " if one.kind in ON_ENDS else ""
            raise refuse("direction_deg", ends + error.problems[0].sentence) from None


def check_cases(cases: Sequence[Case]) -> None:
    """Refuse cases that cannot be in one study together.

    Raises:
        InputError: Ids given twice, or a cycle whose other end is no other case.
    """
    ids = [case.id for case in cases]
    problems = []
    for index, case in enumerate(cases):
        if case.id in ids[:index]:
            sentence = f"{case.id!r} is given twice; give each case its own id"
            problems.append(Problem(f"cases[{index}].id", sentence))
        other = case.cycle.other if case.cycle else None
        if other is not None and (other == case.id or other not in ids):
            others = [name for name in ids if name != case.id]
            field = f"cases[{index}].cycle.other"
            problems.append(unknown_name(field, "other case", other, others))
        elif other is not None and cases[ids.index(other)].supports:
            sentence = f"names {other!r}, a case on supports, which comes once; name another case"
            problems.append(Problem(f"cases[{index}].cycle.other", sentence))
        elif other is not None and is_sustained(cases[ids.index(other)]):
            sentence = f"names {other!r}, a preload, which acts throughout; name another case"
            problems.append(Problem(f"cases[{index}].cycle.other", sentence))
    if problems:
        raise InputError(*problems)


def told_apart(cases: Sequence[PlacedCase]) -> tuple[PlacedCase, ...]:
    """Return cases of which no two have one title: those that do have their id beside it."""
    titles = Counter(one.case.title for one in cases)
    return tuple(_with_id(one) if titles[one.case.title] > 1 else one for one in cases)


def _with_id(placed: PlacedCase) -> PlacedCase:
    title = f"{placed.case.title} ({placed.case.id})"
    return replace(placed, case=replace(placed.case, title=title))


def is_reversed(case: Case) -> bool:
    """Return whether the load comes with its reverse: a cycle with no other end, not steady."""
    return case.cycle is not None and case.cycle.other is None and not case.cycle.preload


def is_sustained(case: Case) -> bool:
    """Return whether the load acts throughout, under the repeated ones: a preload of a cycle."""
    return case.cycle is not None and case.cycle.preload


def _case_problems(case: Case) -> Iterator[Problem]:
    """Yield what is wrong with a case apart from its loads."""
    if not re.fullmatch(NAME_PATTERN, case.id) or len(case.id) > NAME_LENGTH:
        yield Problem(
            "id",
            f"{case.id!r} names files; use at most {NAME_LENGTH} lower-case letters, digits, dots, "
            "dashes and underscores",
        )
    if case.axes not in AXES:
        yield unknown_name("axes", "set of axes", case.axes, AXES)
    if not case.loads and not case.ram_force_n:
        yield Problem("loads", "holds no load; give at least one")
    if case.supports and case.cycle:
        sentence = (
            "stands beside supports, whose contact is that of a load that comes once; drop it"
        )
        yield Problem("cycle", sentence)
    found = (
        [] if not case.ram_force_n else [number_problem("force_n", case.ram_force_n, RAM_LIMITS)]
    )
    found += [number_problem("steerer_angle_deg", case.steerer_angle_deg, STEERER_LIMITS)]
    if case.cycle and case.cycle.cycles is not None:
        found.append(number_problem("cycle.cycles", case.cycle.cycles, CYCLES_LIMITS))
    if case.cycle and case.cycle.preload and case.cycle.other:
        yield Problem(
            "cycle.preload", "makes the load steady, without another end; drop one of both"
        )
    yield from (problem for problem in found if problem)
