"""One ladder of limits for all designs, whose marks are the designs' letters."""

from collections.abc import Sequence
from dataclasses import dataclass

from studies.page.ladder import Ladder, Rung, ladders
from studies.records.case import CaseRecord, ResultsRecord


@dataclass(frozen=True)
class LimitBeside:
    """A kind of limit.

    Attributes:
        number: From 1, the nearest of any design first.
        name: Of the limit.
        gloss: Its meaning in a few words.
        rungs: Numbers of the designs that have it, from 0, each with its rung.
    """

    number: int
    name: str
    gloss: str
    rungs: tuple[tuple[int, Rung], ...]


@dataclass(frozen=True)
class LaddersBeside:
    """Limits of all designs on one axis.

    Attributes:
        limits: The nearest of any design first.
        axis: Ticks and the place of the load, as of each design's own ladder.
        shared: Whether only cases that all designs have are shown.
    """

    limits: tuple[LimitBeside, ...]
    axis: Ladder
    shared: bool


def shared_ids(designs: Sequence[ResultsRecord]) -> list[str]:
    """Return the ids of the cases that all designs have, in the first one's order."""
    others = [{case.id for case in design.cases} for design in designs]
    return [case.id for case in designs[0].cases if all(case.id in ids for ids in others)]


def with_cases(design: ResultsRecord, ids: Sequence[str]) -> ResultsRecord:
    """Return a design with some of its cases, in that order."""
    cases: dict[str, CaseRecord] = {case.id: case for case in design.cases}
    return design.model_copy(update={"cases": [cases[id_] for id_ in ids]})


def limits_beside(designs: Sequence[ResultsRecord]) -> LaddersBeside:
    """Return the ladder of the cases that all have, of all cases where they share none."""
    ids = shared_ids(designs)
    found = ladders([with_cases(one, ids) for one in designs] if ids else designs)
    every = [(k, rung) for k, one in enumerate(found) for rung in one.rungs]
    nearest = sorted(every, key=lambda pair: (int(pair[1].tag), pair[1].at))
    glosses = {rung.name: rung.gloss for _, rung in nearest}
    limits = [
        LimitBeside(number, name, gloss, tuple(one for one in every if one[1].name == name))
        for number, (name, gloss) in enumerate(glosses.items(), start=1)
    ]
    return LaddersBeside(tuple(limits), found[0], shared=bool(ids))
