"""What collides on a sheet, or leaves it, read off its layout."""

from collections.abc import Iterator

import numpy as np

from studies.pictures.figure_layout import WIDTH, Layout, Sheet, kept_free_by, layout_of
from studies.pictures.labels import Box, overlaps
from studies.pictures.lettering import box_of

TOUCHING = 1.0
"""Square dots that boxes may share: rounding."""


def faults(sheet: Sheet) -> list[str]:
    """Return what collides on a sheet, and what leaves it."""
    layout = layout_of(sheet)
    words = list(worded(layout))
    shapes = [("mark", box) for box in kept_free_by(sheet)]
    shapes += [("scale", layout.scale)] if layout.scale else []
    return [*_collisions(words, shapes), *_outside(layout, words)]


def worded(layout: Layout) -> Iterator[tuple[str, Box]]:
    """Yield all words with the box that they take; those of a mark are one."""
    yield from ((one.words, box_of(one)) for one in layout.lettering)
    for placed in layout.placed:
        yield placed.mark.words, Box(*(float(edge) for edge in placed.box))


def _collisions(words: list[tuple[str, Box]], shapes: list[tuple[str, Box]]) -> Iterator[str]:
    boxes = np.array([box for _, box in words])
    every = np.array([box for _, box in (*words, *shapes)])
    shared = overlaps(boxes, every)
    for row, column in np.argwhere(np.triu(shared, 1) > TOUCHING):
        yield f"{words[row][0]!r} and {(*words, *shapes)[column][0]!r}"


def _outside(layout: Layout, words: list[tuple[str, Box]]) -> Iterator[str]:
    for text, box in words:
        inside = box.left >= 0 and box.right <= WIDTH
        if not (inside and box.bottom >= layout.lowest and box.top <= layout.highest):
            yield f"{text!r} leaves the sheet"
