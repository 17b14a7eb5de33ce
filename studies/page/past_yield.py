"""What the page says of a case past yield: its path in sentences, two graphs and two tables."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fea.collapse.reading import YIELD_STRAIN
from studies.collapse.records import CollapseRecord
from studies.page.beyond_answers import collapse_words
from studies.page.graph import Graph
from studies.page.path_graphs import offset_places, path_graphs, places_apart, torn_place
from studies.page.path_steps import (
    UP,
    leg_end,
    limit_move,
    load_words,
    move_name,
    move_words,
    moves,
    where_strained,
)
from studies.records import CaseRecord


@dataclass(frozen=True)
class ReadOff:
    """A load read off the curve.

    Attributes:
        name: Of which point.
        factor: Of the case's load, None where the path does not come so far.
        load: In words.
        move: Deflection there, in words.
    """

    name: str
    factor: float | None
    load: str
    move: str


@dataclass(frozen=True)
class Taken:
    """A load that was taken away again, in words."""

    factor: float
    load: str
    move: str
    stays: str
    allowed: str


@dataclass(frozen=True)
class PastYield:
    """What the page shows of a path.

    Attributes:
        words: Sentences, that on the collapse first.
        graphs: Load, and plastic strain below it, against one deflection.
        read_off: Loads read off the curve.
        taken: Loads that were taken away again.
        note: How the places of several loads move, empty for one.
        move: What a deflection is called: that, or a turn.
    """

    words: tuple[str, ...]
    graphs: tuple[Graph, ...]
    read_off: tuple[ReadOff, ...]
    taken: tuple[Taken, ...]
    note: str
    move: str


def past_yield(case: CaseRecord) -> PastYield | None:
    """Return what the page says of a case past yield, None where no path was walked."""
    told = case.collapse
    if told is None:
        return None
    first = collapse_words(told)
    return PastYield(
        words=(first, *(one for one in told.words if one != first)),
        graphs=path_graphs(case, told),
        read_off=tuple(_read_off(told)),
        taken=tuple(_taken(told, number) for number in range(len(told.levels))),
        note=_note(told),
        move=move_name(told),
    )


def beyond_cautions(cases: Sequence[CaseRecord]) -> list[str]:
    """Return the cautions of all paths, each once; what not all have names its case."""
    paths = [(case.title, case.collapse.cautions) for case in cases if case.collapse]
    found: dict[str, None] = {}
    for title, cautions in paths:
        for line in cautions:
            shared = all(line in others for _, others in paths)
            found[line if shared else f"'{title}': {line}"] = None
    return list(found)


def _note(told: CollapseRecord) -> str:
    pushed = [place for place in told.places if place.along_force_mm]
    if len(pushed) < 2 or places_apart(told):
        return ""
    return f"The places of all {len(pushed)} loads move alike along their forces."


def _read_off(told: CollapseRecord) -> Iterator[ReadOff]:
    def told_of(name: str, factor: float | None, move: float | None) -> ReadOff:
        return ReadOff(name, factor, load_words(told, factor), move_words(told, move))

    first, torn = where_strained(told, YIELD_STRAIN), torn_place(told)
    yield told_of("first yield: 0.2 % plastic strain", told.first_yield_factor, first and first[0])
    for rule, (name, factor, move) in zip(told.offsets, offset_places(told), strict=True):
        yield told_of(f"{name}: {rule.rule}" if "%" in rule.rule else name, factor, move)
    yield told_of("limit: the load falls after it", told.limit_factor, limit_move(told))
    yield told_of("elongation used up", told.torn_factor, torn and torn[0])
    largest = float(moves(told)[int(np.argmax(told.curve.load_factor))])
    yield told_of("largest load of the whole path", told.most_factor, largest)


def _taken(told: CollapseRecord, number: int) -> Taken:
    level, top = told.levels[number], leg_end(told, 3 * number + UP)
    move = float(moves(told)[top]) if level.reached and top is not None else None
    stays = level.set_deg if level.set_mm is None else level.set_mm
    return Taken(
        level.load_factor,
        load_words(told, level.load_factor),
        move_words(told, move) if level.reached else "not carried",
        move_words(told, stays),
        "" if level.limit_mm is None else f"{level.limit_mm:g} mm",
    )
