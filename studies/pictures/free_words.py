"""Words of a line drawing moved off each other, off what is drawn, and into its frame.

Each stays where it was put if it can; else it goes to the nearest free place, and a thin line leads
there from where it was if that is far.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Flags, Floats
from studies.pictures.labels import Box, drawn_share, nearest_in, overlaps, summed
from studies.pictures.lettering import ASCENT, DESCENT, width_of
from studies.pictures.line_drawing import Anchor, Area, LineDrawing, Part, Stroke, Words

BEGINS: dict[Anchor, float] = {"start": 0.0, "middle": 0.5, "end": 1.0}
"""Share of their width by which words begin left of their place."""

APART = np.array([-7.0, -1.5, 7.0, 1.5])
"""By how much the box that must be free is larger than the words."""

EDGE = 8.0
"""Least distance from the frame."""

MEASURED = 50.0
"""Size of type at which words are measured: a small one is rounded to whole dots."""

CLEAR = 0.004
"""Share of words over what is drawn that still counts as beside it."""

ON_DRAWING, UPRIGHT = 300.0, 1.4
"""Cost of standing on the drawing, and of a way up or down over one aside, in units."""

STEPS, FAR = (8.0, 4.0), 34.0
"""Between places that are tried; what is moved farther is led to."""


@dataclass(frozen=True, eq=False)
class Block:
    """Lines of words that move together: their numbers among the parts, and their box (4,)."""

    numbers: tuple[int, ...]
    box: Floats


def with_free_words(drawing: LineDrawing, size: float) -> LineDrawing:
    """Return a drawing whose words, of a size of type, are free of each other and of its lines."""
    parts, sums = list(drawing.parts), summed(drawn_mask(drawing))
    frame = Box(EDGE, EDGE, drawing.width - EDGE, drawing.height - EDGE)
    taken = [_box(one, size) for one in parts if isinstance(one, Words) and one.fixed]
    lines: list[Part] = []
    for block in _blocks(parts, size):
        shift = _shift(block.box, np.array(taken).reshape(-1, 4), sums, frame)
        box = block.box + np.tile(shift, 2)
        taken.append(box)
        lines += _led(parts[block.numbers[0]], box, shift)
        for number in block.numbers:
            parts[number] = _moved(parts[number], shift)
    return replace(drawing, parts=(*lines, *parts))


def words_box(one: Words, size: float) -> Box:
    """Return the box that words take."""
    return Box(*(float(edge) for edge in _box(one, size)))


def _box(one: Words, size: float) -> Floats:
    wide = width_of(one.text, MEASURED) * size / MEASURED
    left = one.x - BEGINS[one.anchor] * wide
    return np.array([left, one.y - DESCENT * size, left + wide, one.y + ASCENT * size])


def _blocks(parts: Sequence[Part], size: float) -> Iterator[Block]:
    """Yield the words that may move, those of one thing together."""
    numbers = list[int]()
    for number, one in enumerate(parts):
        if not isinstance(one, Words) or one.fixed:
            continue
        if numbers and not _continues(parts[numbers[-1]], one, size):
            yield _block(parts, numbers, size)
            numbers = []
        numbers.append(number)
    if numbers:
        yield _block(parts, numbers, size)


def _continues(before: Part, one: Words, size: float) -> bool:
    """Return whether words are the next line of others."""
    if not isinstance(before, Words) or before.style != one.style or before.x != one.x:
        return False
    return 0 < before.y - one.y < 1.5 * size


def _block(parts: Sequence[Part], numbers: Sequence[int], size: float) -> Block:
    words = [one for one in (parts[number] for number in numbers) if isinstance(one, Words)]
    boxes = np.array([_box(one, size) for one in words])
    return Block(tuple(numbers), np.append(boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))


def _shift(box: Floats, taken: Floats, sums: Floats, frame: Box) -> Floats:
    """Return the least way (2,) to a place that is free, and off the drawing if there is one."""
    shifts = _shifts(box, frame)
    boxes = box + np.tile(shifts, 2)
    free = overlaps(boxes + APART, taken).sum(axis=1) == 0
    share = drawn_share(boxes + APART, sums)
    way = np.hypot(shifts[:, 0], UPRIGHT * shifts[:, 1])
    cost = way + np.where(share > CLEAR, ON_DRAWING * (1 + share), 0.0)
    result: Floats = shifts[int(np.argmin(np.where(free, cost, np.inf)))]
    return result


def _shifts(box: Floats, frame: Box) -> Floats:
    """Return ways (m, 2) on which a box stays in a frame: first of all, the least into it."""
    low = np.array(frame[:2]) - box[:2]
    high = np.maximum(np.array(frame[2:]) - box[2:], low)
    into = np.clip(0.0, low, high)
    across, upright = (
        np.concatenate([[at], np.arange(a, b + 1e-9, step)])
        for at, a, b, step in zip(into, low, high, STEPS, strict=True)
    )
    return np.stack(np.meshgrid(across, upright), axis=-1).reshape(-1, 2)


def _led(first: Part, box: Floats, shift: Floats) -> Iterator[Stroke]:
    # the names of the bar's ends need none
    if isinstance(first, Words) and first.style != "faint" and float(np.hypot(*shift)) > FAR:
        start = np.array([first.x, first.y])
        yield Stroke(np.stack([start, nearest_in(box, (first.x, first.y))]), "faint")


def _moved(one: Part, shift: Floats) -> Part:
    if not isinstance(one, Words):
        return one
    return replace(one, x=one.x + float(shift[0]), y=one.y + float(shift[1]))


def drawn_mask(drawing: LineDrawing) -> Flags:
    """Return (height, width): where lines and areas are, a row and a column a unit, from below."""
    mask = np.zeros((int(np.ceil(drawing.height)) + 1, int(np.ceil(drawing.width)) + 1), dtype=bool)
    for one in drawing.parts:
        if isinstance(one, Words) or one.style == "paper":
            continue
        outlines = one.outlines if isinstance(one, Area) else (one.places,)
        for outline in outlines:
            x, y = _covered(np.asarray(outline), filled=isinstance(one, Area)).T
            inside = (x >= 0) & (y >= 0) & (x < mask.shape[1]) & (y < mask.shape[0])
            mask[y[inside], x[inside]] = True
    return mask


def _covered(outline: Floats, *, filled: bool) -> Floats:
    """Return units (m, 2) along a line; of a convex outline those within as well."""
    ends = np.roll(outline, -1, axis=0) if filled else outline[1:]
    starts = outline[: len(ends)]
    longest = max(float(np.linalg.norm(ends - starts, axis=1).max()), 1.0)
    share = np.linspace(0, 1, 2 + int(longest))[:, None, None]
    along = ((1 - share) * starts + share * ends).reshape(-1, 2)
    if filled:
        middle = outline.mean(axis=0)
        reach = float(np.abs(outline - middle).max())
        inwards = np.linspace(0, 1, 2 + int(reach))[:, None, None]
        along = (middle + inwards * (along - middle)).reshape(-1, 2)
    return np.floor(along).astype(int)
