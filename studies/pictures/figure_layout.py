"""The sheet round a picture, as records, and where everything on it stands; nothing is drawn here.

Places are in dots, right and up from the lower left corner of where panels stand; what is below
has negative heights. A sheet is 1200 dots wide and as high as it needs. Its least type is 2.2 % of
its width, so that it is read on a phone of 390 dots.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from textwrap import shorten

import numpy as np

from geometry.arrays import Flags, Floats
from studies.pictures.colour_scale import Legend, numbers, scale_box
from studies.pictures.dots import drawn_on
from studies.pictures.labels import Box, Label, nearest_in, place_labels
from studies.pictures.lettering import (
    LEADING,
    Lettering,
    box_of,
    lines_below,
    size_of,
    wrapped,
)
from studies.pictures.palette import FAINT, INK

WIDTH = 1200
PICTURE = Box(0, 0, WIDTH, 760)
"""Where panels stand, at most."""

EDGE = 40
TITLE, LOWER_TITLE, WORDS, SMALL = 42, 36, 28, 27
"""Sizes of type in dots: of a title in one line, of one in more, and of everything else."""

LEAST_SHARE = 0.022
"""Of the least type over a sheet's width."""

CAUTION = (
    "Linear elastic model; not a proof of strength. Physical tests and local rules decide: see "
    "the cautions in results.json."
)

MARGIN, GAP = 22, 14
"""Dots at top and bottom of a sheet, and between its parts."""

RING, ALONG_ARROW = 16, 11
"""Half the width of what is kept free of words round a marked place, and along an arrow."""

MOST_WIDE = 440
"""Dots of a line of a mark's words."""

FAR_FROM = 42
"""Dots from a place beyond which a line leads to its words."""

MOST_NOTES = 5
"""Lines."""


@dataclass(frozen=True)
class Mark:
    """Words at a place; without words a ring alone.

    Attributes:
        at: What they name, in dots.
        words: The label.
        bounds: Where the words must stay.
        towards: Preferred direction of the words; None for any.
        colour: Of words and line.
        line: Whether a line always leads from the place to the words, not only to far ones.
        ring: Whether a ring is drawn round the place.
        ring_colour: Of the ring, where it is another one.
        hidden: Whether the ring is broken: the place is behind what is drawn.
    """

    at: tuple[float, float]
    words: str
    bounds: Box
    towards: tuple[float, float] | None = None
    colour: str = INK
    line: bool = True
    ring: bool = False
    ring_colour: str = ""
    hidden: bool = False


@dataclass(frozen=True, eq=False)
class Arrow:
    """An arrow along places (n, 2) in dots; its head is at the last."""

    path: Floats
    colour: str


@dataclass(frozen=True, eq=False)
class Panel:
    """A picture (height, width, 3) at a place, with a caption above it."""

    picture: Floats
    left: int
    bottom: int
    caption: str = ""


@dataclass(frozen=True, eq=False)
class Sheet:
    """A picture and everything round it: title above, scale, notes and caution below.

    `lettering` stands where it is; `top` is the height of what no panel draws.
    """

    title: str
    subtitle: str
    panels: tuple[Panel, ...]
    marks: tuple[Mark, ...]
    arrows: tuple[Arrow, ...]
    legend: Legend | None
    notes: tuple[str, ...] = ()
    caution: str = CAUTION
    lettering: tuple[Lettering, ...] = ()
    top: float = 0.0


@dataclass(frozen=True, eq=False)
class Placed:
    """A mark whose words have a place.

    Attributes:
        mark: The mark.
        box: (4,) where its words stand, as `Box`.
        lines: The words, from above.
        end: (2,) where a line from the place ends; None without a line.
    """

    mark: Mark
    box: Floats
    lines: tuple[Lettering, ...]
    end: Floats | None


@dataclass(frozen=True, eq=False)
class Layout:
    """Where everything stands.

    Attributes:
        lowest: Height of the lower edge, negative.
        highest: Height of the upper edge.
        lettering: All words but those of marks.
        placed: The marks that have words.
        scale: The box of the colour scale, None without one.
    """

    lowest: float
    highest: float
    lettering: tuple[Lettering, ...]
    placed: tuple[Placed, ...]
    scale: Box | None


def layout_of(sheet: Sheet) -> Layout:
    """Return where everything of a sheet stands."""
    captions = [line for panel in sheet.panels for line in _caption(panel)]
    tops = [one.bottom + one.picture.shape[0] for one in sheet.panels]
    top = max([sheet.top, *tops, *(box_of(one).top for one in captions)])
    head = _head(sheet, top)
    foot, scale = _foot(sheet)
    fixed = [*head, *foot, *captions, *sheet.lettering]
    placed = _placed(sheet, [box_of(one) for one in fixed], top)
    lowest = min([0.0, *(box_of(one).bottom for one in foot)]) - MARGIN
    highest = max([top, *(box_of(one).top for one in head)]) + MARGIN
    return Layout(lowest, highest, tuple(fixed), tuple(placed), scale)


def _head(sheet: Sheet, top: float) -> list[Lettering]:
    """Return title and subtitle, each wrapped, above a height."""
    wide = WIDTH - 2 * EDGE
    words = shorten(sheet.title, 150, placeholder=" …")
    lines = wrapped(words, TITLE, wide, bold=True)
    size = TITLE if len(lines) == 1 else LOWER_TITLE
    lines = wrapped(words, size, wide, 3, bold=True)
    below = wrapped(sheet.subtitle, WORDS, wide, 4)
    start = top + GAP + LEADING * WORDS * len(below)
    title_top = start + 8 + LEADING * size * len(lines)
    return [
        *lines_below(lines, title_top, size, INK, left=EDGE, bold=True),
        *lines_below(below, start, WORDS, INK, left=EDGE),
    ]


def _foot(sheet: Sheet) -> tuple[list[Lettering], Box | None]:
    """Return scale, notes and caution under each other, below the panels."""
    words, scale, top = list[Lettering](), None, -float(GAP)
    if sheet.legend:
        scale = scale_box(EDGE, top, WIDTH - 2 * EDGE, WORDS)
        words += lines_below([sheet.legend.title], top, WORDS, INK, left=EDGE)
        words += numbers(sheet.legend, scale, SMALL)
        top = min(box_of(one).bottom for one in words) - GAP
    wide = WIDTH - 2 * EDGE
    notes = [line for note in sheet.notes for line in wrapped(note, WORDS, wide)][:MOST_NOTES]
    words += lines_below(notes, top, WORDS, INK, left=EDGE)
    top -= LEADING * WORDS * len(notes) + (GAP if notes else 0)
    words += lines_below(wrapped(sheet.caution, SMALL, wide), top, SMALL, FAINT, left=EDGE)
    return words, scale


def _caption(panel: Panel) -> list[Lettering]:
    """Return a panel's caption, above it."""
    high, wide = panel.picture.shape[:2]
    lines = wrapped(panel.caption, SMALL, wide - EDGE - GAP, 2)
    top = panel.bottom + high + LEADING * SMALL * len(lines)
    return lines_below(lines, top, SMALL, FAINT, left=panel.left + EDGE)


def _placed(sheet: Sheet, taken: Sequence[Box], top: float) -> list[Placed]:
    named = [(mark, _lines(mark)) for mark in sheet.marks if mark.words]
    labels = [
        Label(mark.at, size_of(lines, WORDS), mark.towards, mark.bounds, alone=not mark.line)
        for mark, lines in named
    ]
    kept_free = np.array([*taken, *kept_free_by(sheet)], dtype=float).reshape(-1, 4)
    frame = Box(MARGIN, 0, WIDTH - MARGIN, top)
    boxes = place_labels(labels, kept_free, _drawn(sheet.panels, top), frame)
    return [_with_words(*one, box) for one, box in zip(named, boxes, strict=True)]


def _lines(mark: Mark) -> list[str]:
    """Return the words of a mark in lines that are not too long for its bounds."""
    wide = min(MOST_WIDE, mark.bounds.right - mark.bounds.left)
    return [line for part in mark.words.split("\n") for line in wrapped(part, WORDS, wide)]


def _with_words(mark: Mark, lines: list[str], box: Floats) -> Placed:
    left, top = float(box[0]), float(box[3])
    words = lines_below(lines, top, WORDS, mark.colour, left=left)
    end = nearest_in(box, mark.at)
    led = mark.line or float(np.linalg.norm(end - mark.at)) > FAR_FROM
    return Placed(mark, box, tuple(words), end if led else None)


def kept_free_by(sheet: Sheet) -> list[Box]:
    """Return boxes round marked places and along arrows, where no words may stand."""
    spots = [(np.array(mark.at), RING) for mark in sheet.marks if mark.ring]
    for arrow in sheet.arrows:
        for a, b in pairwise(arrow.path):
            along = np.linspace(a, b, 1 + int(np.linalg.norm(b - a) / 12))
            spots += [(one, ALONG_ARROW) for one in along]
    return [Box(x - half, y - half, x + half, y + half) for (x, y), half in spots]


def _drawn(panels: Sequence[Panel], top: float) -> Flags:
    """Return (height, width): which dots of the sheet panels draw on, row 0 at their bottom."""
    drawn = np.zeros((int(np.ceil(top)), WIDTH), dtype=bool)
    for panel in panels:
        high, wide = panel.picture.shape[:2]
        inked = drawn_on(panel.picture)[::-1]
        drawn[panel.bottom : panel.bottom + high, panel.left : panel.left + wide] |= inked
    return drawn
