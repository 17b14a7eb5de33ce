"""The set-up of a case on supports, drawn to scale from the side: bar, clamp or ram, supports."""

from collections.abc import Iterator, Sequence
from itertools import chain

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm
from geometry.centreline import locate
from loadcases.supports import HOLDING, ON_ENDS, PlacedSupport
from studies.assessment.acting import own_count
from studies.assessment.run import CaseRun, StudyRun
from studies.assessment.supports import SupportAnswer
from studies.pictures.free_words import with_free_words
from studies.pictures.lettering import number_words
from studies.pictures.line_drawing import (
    Anchor,
    LineDrawing,
    Part,
    Stroke,
    Words,
    arrow,
    box,
    circle,
    dimension,
    ground,
)
from studies.pictures.set_up_symbols import (
    END_ON,
    LEAST_RADIUS,
    Symbol,
    held,
    reach_mm,
    standing,
    symbol,
)
from studies.pictures.set_up_view import (
    SHEET,
    Frame,
    SetUpView,
    from_where,
    on_sheet,
    seen,
    silhouette,
    view_of,
)
from studies.records.places import on_ruler

ARROW, STEM = 62.0, 20.0
"""Length of a force's arrow, and of the ram's rod above the clamp."""

BED_BEYOND = 36.0
"""What the bed is longer than the distance of its supports, on either side."""

BLOCK_MM = 6.0
"""What the clamp's block is thicker than the tube on either side."""

TICK = np.array([0.0, 4.0])
"""Half of the stroke at either end of the ruler."""

RULERS_MM = (200.0, 100.0, 50.0, 20.0, 10.0)

BEAM, BEYOND = 14.0, 46.0
"""Height of the block over a ram's supports, and its length beyond them."""

READ_HERE = ("travel is read here, against the bed", "travel, read here", "travel")
"""Beside the dial on a ram: the first that has room."""

Block = tuple[Floats, Floats]


def set_up_drawing(run: StudyRun, case: CaseRun, frame: Frame = SHEET) -> LineDrawing | None:
    """Return the drawing of a case's set-up, None for a case without supports."""
    if case.supports is None:
        return None
    view = case_view(run, case, frame)
    parts = tuple(set_up_parts(run, case, view))
    return with_free_words(LineDrawing(frame.width, view.height, parts), frame.size)


def case_view(run: StudyRun, case: CaseRun, frame: Frame = SHEET) -> SetUpView:
    """Return the view of a case's set-up, with room for its supports."""
    bar = run.study.bar
    below, above = (reach_mm(bar, one) for one in _sides(case))
    return view_of(bar, case.placed, below, above, frame)


def set_up_parts(run: StudyRun, case: CaseRun, view: SetUpView) -> Iterator[Part]:
    """Yield bar, clamp or ram, supports and loads in a view; without supports clamp and loads."""
    bar = run.study.bar
    below, above = ([symbol(bar, view, one) for one in side] for side in _sides(case))
    block = _block(run, view) if run.study.clamp.holds else _beam_of(above)
    ram_n = case.placed.case.ram_force_n
    yield silhouette(bar, view)
    yield from _clamp(block, by_ram=ram_n > 0) if block else ()
    yield from chain.from_iterable(one.parts for one in above)
    yield from _supports(below, by_ram=ram_n > 0) if below else ()
    yield from _ram(view, block, ram_n) if ram_n and block else _loads(bar, view, case)
    if case.supports:
        symbols = [symbol(bar, view, one) for one in case.placed.supports]
        yield from _dimension(view, symbols)
        yield from _names(case, case.supports, view, symbols)
    yield from _ends(bar, view)
    yield from _ruler(view)


def _sides(case: CaseRun) -> tuple[list[PlacedSupport], list[PlacedSupport]]:
    """Return the supports below the bar, and those of a ram above it."""
    supports = case.placed.supports
    return [one for one in supports if not one.of_ram], [one for one in supports if one.of_ram]


def _supports(symbols: Sequence[Symbol], *, by_ram: bool) -> Iterator[Part]:
    """Yield supports on the bed of a ram, or each on a ground of its own."""
    if not by_ram:
        for one in symbols:
            yield from held(one)
        return
    below = min(float(one.foot[1]) for one in symbols)
    across = [float(one.foot[0]) for one in symbols]
    left, right = min(across) - BED_BEYOND, max(across) + BED_BEYOND
    yield from ground(np.array([left, below]), np.array([right, below]))
    for one in symbols:
        yield from standing(one, below)


def _clamp(block: Block, *, by_ram: bool) -> Iterator[Part]:
    """Yield the clamp's block, or that of a ram; without a ram it is what stands still."""
    low, high = block
    if not by_ram:
        yield from ground(np.array([high[0] + 10, high[1]]), np.array([low[0] - 10, high[1]]))
    yield box(low, high, "clamp")
    middle = float(low[0] + high[0]) / 2
    for y in (low[1], high[1]):
        yield Stroke(np.array([[middle, y - 5], [middle, y + 5]]), "faint")


def _beam_of(ram: Sequence[Symbol]) -> Block | None:
    """Return the corners of the block over the supports of a ram, None without any."""
    if not ram:
        return None
    feet = np.array([one.foot for one in ram])
    return feet.min(axis=0) - np.array([BEYOND, 0.0]), feet.max(axis=0) + np.array([BEYOND, BEAM])


def _block(run: StudyRun, view: SetUpView) -> Block:
    """Return the lower left and upper right corner of the clamp's block."""
    half_mm = float(nominal_od_mm(run.study.bar, np.array(0.0))) / 2 + BLOCK_MM
    reach = view.scale * np.array([run.study.clamp.width_mm / 2, half_mm])
    centre = on_sheet(view, np.zeros(3))
    return centre - reach, centre + reach


def _ram(view: SetUpView, block: Block, force_n: float) -> Iterator[Part]:
    """Yield the ram on its block with its force, and the dial that reads its travel."""
    low, high = block
    middle, top = float(low[0] + high[0]) / 2, float(high[1])
    half = max(0.22 * float(high[0] - low[0]), 5.0)
    rod = np.array([middle - half, top]), np.array([middle + half, top + STEM])
    yield box(*rod, "clamp")
    tip = np.array([middle, top + STEM + 2])
    yield from arrow(tip + np.array([0, ARROW]), tip, "load")
    words = f"ram {number_words(force_n)} N"
    yield Words(middle, float(tip[1]) + ARROW + 6, words, "middle", "load")
    foot = np.array([float(high[0]) - 3, top])
    face = foot + np.array([0, 34])
    yield Stroke(np.stack([foot, face]), "words")
    yield circle(face, 11, "part")
    yield Stroke(np.stack([face, face + np.array([5, 7])]), "words")
    x, room = float(face[0]) + 17, view.frame.width - float(face[0]) - 17
    words = next((one for one in READ_HERE if view.frame.letter * len(one) < room), READ_HERE[-1])
    yield Words(x, float(face[1]) - 4, words, "start")


def _loads(bar: Bar, view: SetUpView, case: CaseRun) -> Iterator[Part]:
    """Yield the case's own loads; one seen end on is a circle with a dot or a cross."""
    for load in case.placed.loads[: own_count(case.placed, case.supports)]:
        at = on_sheet(view, locate(bar.line, np.array(load.at_mm)).position_mm)
        radius = view.scale * float(nominal_od_mm(bar, np.array(load.at_mm))) / 2
        force = np.array(load.force_n)
        size = float(np.linalg.norm(force))
        tail = at + np.array([0, radius + 4])
        if size:
            flat, words = seen(view, force / size), f"{number_words(size)} N"
            long = float(np.linalg.norm(flat))
            if long > END_ON:
                tip = at - radius * flat / long
                tail = tip - ARROW * flat
                yield from arrow(tail, tip, "load")
            else:
                yield from _end_on(at, towards=float(view.towards @ force) > 0)
            yield from _aside(tail, f"{words} at {on_ruler(load.at_mm)}")
        if any(load.moment_nmm):
            moment = float(np.linalg.norm(load.moment_nmm)) / 1000
            words = f"{number_words(moment)} N·m at {on_ruler(load.at_mm)}"
            yield from _aside(tail, words)


def _end_on(at: Floats, *, towards: bool) -> Iterator[Part]:
    """Yield the sign of a force towards the eye, or away from it."""
    yield circle(at, 7, "part")
    if towards:
        yield circle(at, 2.5, "load")
        return
    for way in (np.array([5.0, 5.0]), np.array([5.0, -5.0])):
        yield Stroke(np.stack([at - way, at + way]), "load")


def _aside(tail: Floats, words: str) -> Iterator[Part]:
    """Yield words beyond an arrow's tail."""
    yield Words(float(tail[0]), float(tail[1]) + 6, words, "middle", "load")


def _dimension(view: SetUpView, symbols: Sequence[Symbol]) -> Iterator[Part]:
    """Yield the span of the outermost supports, straight between where they touch."""
    at = sorted((one.at for one in symbols), key=lambda place: float(place[0]))
    left, right = float(at[0][0]), float(at[-1][0])
    if right - left > 1:
        words = f"{(right - left) / view.scale:.1f} mm"
        top = min(float(one.foot[1]) for one in symbols) - 12
        frame = view.frame
        yield from dimension(left, right, frame.dimensions, top, words, frame.letter)


def _names(
    case: CaseRun, answer: SupportAnswer, view: SetUpView, symbols: Sequence[Symbol]
) -> Iterator[Part]:
    """Yield the supports with what they press, under the dimension."""
    frame = view.frame
    for number, one in enumerate(symbols):
        for row, text in enumerate(_words(case, answer, number)):
            y = frame.dimensions - 22 - row * frame.line
            yield Words(float(one.at[0]), y, text, "middle", "reaction")


def _words(case: CaseRun, answer: SupportAnswer, number: int) -> tuple[str, str]:
    """Return a support with its place, and its reaction."""
    support, found = case.placed.supports[number], answer.reactions
    wrench, push = found.wrenches[number][:3], found.pushes[number][:3]
    at_end = f"{support.kind}, {support.side} end"
    name = f"{support.kind} of the ram" if support.of_ram else support.kind
    where = at_end if support.kind in ON_ENDS else f"{name}, {on_ruler(support.at_mm)}"
    if not wrench.any():
        return where, "does not touch"
    if support.kind in HOLDING:
        return where, f"reaction {float(np.linalg.norm(wrench)):.0f} N"
    rubs = float(np.linalg.norm(wrench - push))
    friction = f", friction {rubs:.0f} N" if rubs >= 0.5 else ""
    return where, f"reaction {float(np.linalg.norm(push)):.0f} N{friction}"


def _ends(bar: Bar, view: SetUpView) -> Iterator[Part]:
    """Yield the names of the bar's ends, outside of them."""
    line, sides = bar.line, ("left", "right")
    places = on_sheet(
        view, locate(line, np.array([line.left_end_mm, line.right_end_mm])).position_mm
    )
    for name, (x, y) in zip(sides, places, strict=True):
        outside = 1.0 if x > places[:, 0].mean() else -1.0
        anchor: Anchor = "start" if outside > 0 else "end"
        reach = view.scale * float(nominal_od_mm(bar, np.array(0.0))) / 2 + LEAST_RADIUS
        yield Words(float(x) + outside * reach, float(y) + 14, f"rider's {name}", anchor, "faint")


def _ruler(view: SetUpView) -> Iterator[Part]:
    """Yield a length to scale."""
    length = next((one for one in RULERS_MM if one * view.scale <= 120), RULERS_MM[-1])
    y = view.height - 16.0 if view.frame.scale_on_top else 12.0
    start, end = np.array([24.0, y]), np.array([24.0 + view.scale * length, y])
    yield Stroke(np.stack([start, end]), "ground")
    for at in (start, end):
        yield Stroke(np.stack([at - TICK, at + TICK]), "ground")
    yield Words(float(end[0]) + 8, y - 4, f"{length:g} mm", "start", "faint")


def set_up_words(run: StudyRun, case: CaseRun) -> str:
    """Return what the drawing of a set-up shows, and from where."""
    view = view_of(run.study.bar, case.placed, 0.0)
    shown = "bar, clamp" if run.study.clamp.holds else "bar"
    return (
        f"side view from {from_where(view)}; {shown} and places to scale, "
        "supports and ram as symbols"
    )
