"""What a sweep varies and the designs that come of it, in one fixed order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod
from typing import Any

import numpy as np

from geometry.errors import InputError, Problem, refuse
from studies.study_file.changes import Change, Value, merged, number_at
from studies.study_file.format.sweep_tables import PlanTable, SweepTable
from studies.study_file.format.values import Acts, Mode
from studies.study_file.format.wording import key_path
from studies.study_file.key_places import Parts, places
from studies.study_file.key_words import words_of
from studies.sweeps.sampling import Distribution, distribution_of, samples

MOST_DESIGNS = 10_000


@dataclass(frozen=True)
class Axis:
    """One thing that varies.

    Attributes:
        path: As written, or the one place that varies by itself.
        label: What it is in words, with its unit.
        acts_as: Whether its values replace, multiply or are added to what is written.
        values: In order; empty for a distribution.
        distribution: What values are drawn from, None for a list of them.
        written: What the study says there, where it is one number, None elsewhere.
    """

    path: str
    label: str
    acts_as: Acts
    values: tuple[Value, ...]
    distribution: Distribution | None
    written: float | None

    @property
    def name(self) -> str:
        """Return its key in tables for programs."""
        word = {"value": "", "factor": " (factor)", "shift": " (added)"}[self.acts_as]
        return f"{self.path}{word}"


@dataclass(frozen=True)
class Plan:
    """The designs of a sweep.

    Attributes:
        axes: What varies.
        mode: How values are combined.
        values: One tuple a design, in the axes' order; the order is that of the design numbers.
        seed: Of the samples, None where nothing was drawn.
        sampler: How samples were drawn, empty where nothing was.
        base: Samples behind each Sobol index, 0 where they are not laid out for them.
    """

    axes: tuple[Axis, ...]
    mode: Mode
    values: tuple[tuple[Value, ...], ...]
    seed: int | None
    sampler: str
    base: int

    def changes(self, number: int) -> tuple[Change, ...]:
        """Return what makes design `number` (counted from 0) of the study."""
        pairs = zip(self.axes, self.values[number], strict=True)
        return tuple(Change(axis.path, axis.acts_as, value) for axis, value in pairs)


def plan_of(table: Mapping[str, Any], sweeps: Sequence[SweepTable], given: PlanTable) -> Plan:
    """Return the designs that a study's sweeps come to.

    Args:
        table: What the study file holds.
        sweeps: What varies.
        given: How to go through it.

    Raises:
        InputError: Nothing varies, a path names no key, or the axes do not go together.
    """
    if not sweeps:
        sentence = "is missing; give --set PATH=VALUE,VALUE,... or a table [[sweep]] in the study"
        raise refuse("sweep", sentence)
    axes = _axes(table, sweeps)
    mode = given.mode or ("sampled" if any(a.distribution for a in axes) else "grid")
    _check_mode(axes, mode)
    if mode == "sampled":
        return _sampled(axes, given)
    values = _combined(axes, mode)
    return Plan(axes, mode, values, None, "", 0)


def merged_by(table: Mapping[str, Any], axes: Sequence[Axis]) -> tuple[str, ...]:
    """Return a sentence for each axis whose values take the place of differing numbers."""
    found = (merged(table, axis.path) for axis in axes if axis.acts_as == "value")
    return tuple(sentence for sentence in found if sentence)


def _axes(table: Mapping[str, Any], sweeps: Sequence[SweepTable]) -> tuple[Axis, ...]:
    axes: list[Axis] = []
    problems: list[Problem] = []
    for sweep in sweeps:
        try:
            axes += _axes_of(table, sweep)
        except InputError as error:
            problems += error.problems
    paths = [axis.path for axis in axes]
    twice = sorted({path for path in paths if paths.count(path) > 1})
    problems += [Problem(path, "varies twice; keep one of the two") for path in twice]
    if problems:
        raise InputError(*problems)
    return tuple(axes)


def _axes_of(table: Mapping[str, Any], sweep: SweepTable) -> list[Axis]:
    found = places(table, sweep.path)
    acts = "factor" if sweep.scale is not None else sweep.acts_as
    if acts != "value":
        for place in found:
            number_at(table, place)
    values, drawn = _values(sweep), distribution_of(sweep)
    groups = [(key_path(at), (at,)) for at in found] if sweep.each else [(sweep.path, found)]
    return [
        Axis(path, words_of(table, path, acts), acts, values, drawn, written_at(table, at))
        for path, at in groups
    ]


def written_at(table: Mapping[str, Any], found: Sequence[Parts]) -> float | None:
    """Return the one number that stands at all places, None where there are several or none."""
    try:
        numbers = {number_at(table, place) for place in found}
    except InputError:
        return None
    return numbers.pop() if len(numbers) == 1 else None


def _values(sweep: SweepTable) -> tuple[Value, ...]:
    if sweep.linspace:
        ends = sweep.linspace
        return tuple(float(v) for v in np.linspace(ends.from_, ends.to, ends.count))
    return sweep.values or sweep.scale or ()


def _check_mode(axes: Sequence[Axis], mode: Mode) -> None:
    """Refuse distributions in a list of values, and lists of values among samples."""
    for axis in axes:
        if mode == "sampled" and axis.distribution is None:
            sentence = "has values and no distribution; a sampled sweep draws from uniform, normal"
            raise refuse(axis.path, f"{sentence} or truncated, so give one or sweep it by itself")
        if mode != "sampled" and axis.distribution:
            sentence = f"has a distribution, from which a {mode} sweep takes no values; give values"
            raise refuse(axis.path, f"{sentence} or use mode sampled")


def _combined(axes: Sequence[Axis], mode: Mode) -> tuple[tuple[Value, ...], ...]:
    counts = [len(axis.values) for axis in axes]
    if mode == "paired" and len(set(counts)) > 1:
        counts_text = ", ".join(f"{axis.path} {len(axis.values)}" for axis in axes)
        raise refuse(
            "plan.mode", f"is paired, but the axes have unequal numbers of values: {counts_text}"
        )
    count = prod(counts) if mode == "grid" else counts[0]
    _check_count(count)
    columns = [axis.values for axis in axes]
    return tuple(product(*columns) if mode == "grid" else zip(*columns, strict=True))


def _sampled(axes: tuple[Axis, ...], given: PlanTable) -> Plan:
    drawn = [axis.distribution for axis in axes if axis.distribution]
    _check_count(given.designs * (len(axes) + 2) if given.sobol_indices else given.designs)
    rows = samples(drawn, given)
    values = tuple(tuple(float(value) for value in row) for row in rows)
    base = given.designs if given.sobol_indices else 0
    sampler = "sobol" if given.sobol_indices else given.sampler
    return Plan(axes, "sampled", values, given.seed, sampler, base)


def _check_count(count: int) -> None:
    if count > MOST_DESIGNS:
        sentence = f"come to {count} designs; the limit is {MOST_DESIGNS}, so take fewer values"
        raise refuse("sweep", f"the axes {sentence}")
