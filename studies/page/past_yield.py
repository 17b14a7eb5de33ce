"""A case past yield on the page: its path in sentences, two graphs and two tables."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from studies.page.graph import Graph
from studies.page.middle_graphs import middle_graphs
from studies.page.path_answers import collapse_words
from studies.page.path_graphs import gauge_graphs, path_graphs, places_apart
from studies.page.path_steps import (
    deflection_name,
    deflection_words,
    either,
    largest,
    load_words,
    read_off,
)
from studies.records.case import CaseRecord
from studies.records.collapse import CollapseRecord, UnloadingRecord


@dataclass(frozen=True)
class ReadOff:
    """A load read off the curve.

    Attributes:
        name: Of which point.
        factor: Of the case's load, None where the path ends before.
        load: In words.
        deflection: Deflection there, in words.
    """

    name: str
    factor: float | None
    load: str
    deflection: str


@dataclass(frozen=True)
class Unloaded:
    """A load and its unloading, in words."""

    factor: float
    load: str
    deflection: str
    permanent_set: str
    allowed: str


@dataclass(frozen=True)
class PastYield:
    """What the page shows of a path.

    Attributes:
        words: Sentences, that on the collapse first.
        graphs: Load, and plastic strain below it, against one deflection.
        gauges: Load against what gauges read.
        middle: What the middle of a bent tube does against its curvature.
        read_off: Loads read off the curve.
        unloaded: Loads with an unloading each.
        note: Whether several load points move alike, empty for one.
        deflection: What a deflection is called: that, or a rotation.
    """

    words: tuple[str, ...]
    graphs: tuple[Graph, ...]
    gauges: tuple[Graph, ...]
    middle: tuple[Graph, ...]
    read_off: tuple[ReadOff, ...]
    unloaded: tuple[Unloaded, ...]
    note: str
    deflection: str


def past_yield(case: CaseRecord) -> PastYield | None:
    """Return what the page shows of a case past yield, None without a path."""
    collapse = case.collapse
    if collapse is None:
        return None
    first = collapse_words(collapse)
    return PastYield(
        words=(first, *(one for one in collapse.text if one != first)),
        graphs=path_graphs(collapse),
        gauges=gauge_graphs(collapse),
        middle=middle_graphs(collapse),
        read_off=tuple(_read_off(collapse)),
        unloaded=tuple(_unloaded(collapse, level) for level in collapse.unloadings),
        note=_note(collapse),
        deflection=deflection_name(collapse),
    )


def path_cautions(cases: Sequence[CaseRecord]) -> list[str]:
    """Return the cautions of all paths, each once; one that not all have names its case."""
    paths = [(case.title, case.collapse.cautions) for case in cases if case.collapse]
    found: dict[str, None] = {}
    for title, cautions in paths:
        for line in cautions:
            shared = all(line in others for _, others in paths)
            found[line if shared else f"'{title}': {line}"] = None
    return list(found)


def _note(collapse: CollapseRecord) -> str:
    pushed = [place for place in collapse.places if place.displacement_along_force_mm]
    if len(pushed) < 2 or collapse.by_ram or places_apart(collapse):
        return ""
    return f"All {len(pushed)} load points have the same displacement along their forces."


def _read_off(collapse: CollapseRecord) -> Iterator[ReadOff]:
    for one in (*read_off(collapse), largest(collapse)):
        name = f"{one.name}: {one.rule}" if one.rule else one.name
        yield ReadOff(
            name,
            one.factor,
            load_words(collapse, one.factor),
            deflection_words(collapse, one.deflection),
        )


def _unloaded(collapse: CollapseRecord, level: UnloadingRecord) -> Unloaded:
    deflection, permanent_set = (
        either(level.deflection_mm, level.rotation_deg),
        either(level.permanent_set_mm, level.permanent_set_deg),
    )
    return Unloaded(
        level.load_factor,
        load_words(collapse, level.load_factor),
        deflection_words(collapse, deflection) if level.reached else "not reached",
        deflection_words(collapse, permanent_set),
        "" if level.limit_mm is None else f"{level.limit_mm:g} mm",
    )
