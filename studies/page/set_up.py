"""The drawing of a set-up as the template draws it: paths and words with y downwards."""

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.arrays import Floats
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures.line_drawing import LOOKS, Anchor, Area, LineDrawing, Stroke
from studies.pictures.set_up import set_up_drawing, set_up_words


@dataclass(frozen=True)
class DrawnPath:
    """A path, its colours and the width of its line; an area's line lies outside of it."""

    d: str
    line: str
    width: float
    fill: str


@dataclass(frozen=True)
class DrawnWords:
    """Words at a place, where they begin, have their middle or end, and their colour."""

    x: float
    y: float
    text: str
    anchor: Anchor
    colour: str


@dataclass(frozen=True)
class SetUp:
    """A set-up ready to draw.

    Attributes:
        words: What it shows, and from where.
        width: In the page's units.
        height: Likewise.
        paths: Lines and areas, in their order.
        texts: Words, above them.
    """

    words: str
    width: float
    height: float
    paths: tuple[DrawnPath, ...]
    texts: tuple[DrawnWords, ...]


def set_up(run: StudyRun, case: CaseRun) -> SetUp | None:
    """Return the drawing of a case's set-up, None for a case without supports."""
    drawing = set_up_drawing(run, case)
    return drawn_set_up(drawing, set_up_words(run, case)) if drawing else None


def drawn_set_up(drawing: LineDrawing, words: str) -> SetUp:
    """Return a drawing of a set-up as the template draws it."""
    paths, texts = tuple(_paths(drawing)), tuple(_texts(drawing))
    return SetUp(words, drawing.width, drawing.height, paths, texts)


def _paths(drawing: LineDrawing) -> Iterator[DrawnPath]:
    for part in drawing.parts:
        look = LOOKS[part.style]
        if isinstance(part, Stroke):
            yield DrawnPath(_path(part.places, drawing.height), look.line, look.width, "none")
        elif isinstance(part, Area):
            outlines = (f"{_path(one, drawing.height)}Z" for one in part.outlines)
            yield DrawnPath("".join(outlines), look.line, 2 * look.width, look.fill)


def _texts(drawing: LineDrawing) -> Iterator[DrawnWords]:
    for part in drawing.parts:
        if not isinstance(part, Stroke | Area):
            colour = LOOKS[part.style].line
            yield DrawnWords(part.x, drawing.height - part.y, part.text, part.anchor, colour)


def _path(places: Floats, height: float) -> str:
    return "M" + "L".join(f"{x:.2f} {height - y:.2f}" for x, y in places)
