"""What the page says of a case past yield: its path in sentences, two graphs and two tables."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from studies.page.beyond_answers import collapse_words
from studies.page.graph import Graph
from studies.page.path_graphs import path_graphs, places_apart
from studies.page.path_steps import (
    either,
    largest,
    load_words,
    move_name,
    move_words,
    read_off,
)
from studies.records.case import CaseRecord
from studies.records.collapse import CollapseRecord, UnloadingRecord


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
class Unloaded:
    """A load that was taken off again, in words."""

    factor: float
    load: str
    move: str
    permanent_set: str
    allowed: str


@dataclass(frozen=True)
class PastYield:
    """What the page shows of a path.

    Attributes:
        words: Sentences, that on the collapse first.
        graphs: Load, and plastic strain below it, against one deflection.
        read_off: Loads read off the curve.
        unloaded: Loads that were taken off again.
        note: How the places of several loads move, empty for one.
        move: What a deflection is called: that, or a turn.
    """

    words: tuple[str, ...]
    graphs: tuple[Graph, ...]
    read_off: tuple[ReadOff, ...]
    unloaded: tuple[Unloaded, ...]
    note: str
    move: str


def past_yield(case: CaseRecord) -> PastYield | None:
    """Return what the page says of a case past yield, None where no path was walked."""
    told = case.collapse
    if told is None:
        return None
    first = collapse_words(told)
    return PastYield(
        words=(first, *(one for one in told.text if one != first)),
        graphs=path_graphs(told),
        read_off=tuple(_read_off(told)),
        unloaded=tuple(_unloaded(told, level) for level in told.unloadings),
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
    pushed = [place for place in told.places if place.displacement_along_force_mm]
    if len(pushed) < 2 or places_apart(told):
        return ""
    return f"All {len(pushed)} load points have the same displacement along their forces."


def _read_off(told: CollapseRecord) -> Iterator[ReadOff]:
    for one in (*read_off(told), largest(told)):
        name = f"{one.name}: {one.rule}" if one.rule else one.name
        yield ReadOff(name, one.factor, load_words(told, one.factor), move_words(told, one.move))


def _unloaded(told: CollapseRecord, level: UnloadingRecord) -> Unloaded:
    move, permanent_set = (
        either(level.deflection_mm, level.rotation_deg),
        either(level.permanent_set_mm, level.permanent_set_deg),
    )
    return Unloaded(
        level.load_factor,
        load_words(told, level.load_factor),
        move_words(told, move) if level.reached else "not carried",
        move_words(told, permanent_set),
        "" if level.limit_mm is None else f"{level.limit_mm:g} mm",
    )
