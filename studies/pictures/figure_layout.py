"""The sheet round a picture: title, words at places, legend, caution; 1600 x 900 dots.

Everything is placed in dots from the bottom left. Words are set large enough to be read on a
sheet printed or shown at half its size.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from textwrap import shorten, wrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.ticker import MaxNLocator

from geometry.arrays import Flags, Floats
from studies.pictures.dots import DotForDot, drawn_on, write_png
from studies.pictures.labels import Box, Label, nearest_in, place_labels
from studies.pictures.palette import FAINT, INK, PAPER, ramp

WIDTH, HEIGHT, DOTS = 1600, 900, 100
PICTURE = Box(0, 156, 1600, 768)
"""Where panels stand."""

EDGE, LEGEND_WIDTH, NOTES_LEFT = 48, 600, 760
TITLE, WORDS, SMALL = 30, 20, 17
"""Sizes of type in dots."""

CAUTION = (
    "Linear elastic model; not a proof of strength. Physical tests and local rules decide: see "
    "the cautions in results.json."
)

BEYOND_LEFT, NOTE_SIGNS, WIDE_NOTE_SIGNS = 0.87, 76, 158
"""Share of the scale up to which its numbers stand clear of the last one; letters in a note's line
beside a scale, and where there is none."""

ROOT_TICKS = (0.0, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
TICK_GAP = 0.085
"""Numbers of a scale by the root, as far as they stand this share of it apart."""


@dataclass(frozen=True)
class Mark:
    """Words at a place.

    Attributes:
        at: What they name, in dots.
        words: The label.
        bounds: Where the words must stay.
        towards: Preferred direction of the words; None for any.
        colour: Of words and line.
        line: Whether a line leads from the place to the words.
        ring: Whether a ring is drawn round the place.
    """

    at: tuple[float, float]
    words: str
    bounds: Box
    towards: tuple[float, float] | None = None
    colour: str = INK
    line: bool = True
    ring: bool = False


@dataclass(frozen=True, eq=False)
class Arrow:
    """An arrow along places (n, 2) in dots; its head is at the last."""

    path: Floats
    colour: str


@dataclass(frozen=True, eq=False)
class Panel:
    """A picture (height, width, 3) at a place, with a caption in its upper left corner."""

    picture: Floats
    left: int
    bottom: int
    caption: str = ""


@dataclass(frozen=True)
class Legend:
    """The colour scale from 0 to `end`; values in `ticked` get a mark across it.

    Where it goes `by_root` small values have more of it; where it is `open` it ends before they do.
    """

    title: str
    end: float
    ticked: tuple[float, ...] = ()
    by_root: bool = False
    open: bool = False

    def share(self, value: Floats) -> Floats:
        """Return where values (...,) stand on the ramp, 0 to 1."""
        share: Floats = np.clip(np.asarray(value, dtype=float) / self.end, 0.0, 1.0)
        return np.sqrt(share) if self.by_root else share


@dataclass(frozen=True, eq=False)
class Sheet:
    """A picture and everything round it; notes stand beside the legend, if there is one."""

    title: str
    subtitle: str
    panels: tuple[Panel, ...]
    marks: tuple[Mark, ...]
    arrows: tuple[Arrow, ...]
    legend: Legend | None
    notes: tuple[str, ...] = ()
    caution: str = CAUTION


def write_sheet(sheet: Sheet, path: Path) -> None:
    """Write a sheet as a PNG."""
    canvas, axes = blank_sheet()
    captions = [_draw_panel(axes, panel) for panel in sheet.panels]
    _write_lines(axes, sheet)
    for arrow in sheet.arrows:
        _draw_arrow(axes, arrow)
    if sheet.legend:
        _write_legend(canvas.figure, axes, sheet.legend)
    taken = [_extent(canvas, text) for text in captions if text.get_text()]
    _write_marks(axes, canvas, sheet, taken)
    write_png(canvas, path)


def blank_sheet() -> tuple[FigureCanvasAgg, Axes]:
    """Return an empty sheet, its axes in dots."""
    figure = Figure(figsize=(WIDTH / DOTS, HEIGHT / DOTS), dpi=DOTS, facecolor=PAPER)
    axes = figure.add_axes((0, 0, 1, 1), xlim=(0, WIDTH), ylim=(0, HEIGHT))
    axes.axis("off")
    return FigureCanvasAgg(figure), axes


def number_words(value: float) -> str:
    """Return a number with three significant digits, whole from 100 on: `7.79`, `18.5`, `984`."""
    if value == 0 or abs(value) >= 99.95:
        return f"{value:.0f}"
    decimals = 2 - int(np.floor(np.log10(abs(value))))
    return f"{value:.{min(decimals, 4)}f}"


def _draw_panel(axes: Axes, panel: Panel) -> Text:
    axes.add_artist(DotForDot(panel.picture, panel.left, panel.bottom))
    high = panel.picture.shape[0]
    return write(axes, panel.left + EDGE, panel.bottom + high - 26, panel.caption, FAINT, 18)


def write(axes: Axes, x: float, y: float, words: str, colour: str, size: float) -> Text:
    """Write words from a place on, in type of `size` dots."""
    # a dollar sign in a title is no formula
    return axes.text(x, y, words, color=colour, size=size * 72 / DOTS, parse_math=False)


def _write_lines(axes: Axes, sheet: Sheet) -> None:
    """Write title, subtitle, notes and caution, each wrapped to its room."""
    title = wrap(shorten(sheet.title, 150, placeholder=" …"), 80)
    size = TITLE if len(title) == 1 else 25
    for row, words in enumerate(title):
        text = write(axes, EDGE, 846 - 33 * row + 12 * (len(title) - 1), words, INK, size)
        text.set_fontweight("bold")
    top = 811 if len(title) == 1 else 795
    subtitle = wrap(sheet.subtitle, 142)[:2]
    for row, words in enumerate(subtitle):
        write(axes, EDGE, top - 26 * row, words, INK, WORDS if len(subtitle) == 1 else 19)
    for row, words in enumerate(_notes(sheet)):
        write(axes, NOTES_LEFT if sheet.legend else EDGE, 122 - 28 * row, words, INK, 19)
    write(axes, EDGE, 22, sheet.caution, FAINT, SMALL)


def _notes(sheet: Sheet) -> list[str]:
    signs = NOTE_SIGNS if sheet.legend else WIDE_NOTE_SIGNS
    return [line for note in sheet.notes for line in wrap(note, signs)][:3]


def _draw_arrow(axes: Axes, arrow: Arrow) -> None:
    axes.plot(*arrow.path[:-1].T, color=arrow.colour, linewidth=2.6, solid_capstyle="round")
    style = {"arrowstyle": "-|>", "color": arrow.colour, "linewidth": 2.6, "mutation_scale": 24}
    style |= {"shrinkA": 0, "shrinkB": 0}
    axes.annotate("", xy=tuple(arrow.path[-1]), xytext=tuple(arrow.path[-2]), arrowprops=style)


def _write_marks(axes: Axes, canvas: FigureCanvasAgg, sheet: Sheet, taken: list[Box]) -> None:
    texts = [write(axes, 0, 0, mark.words, mark.colour, WORDS) for mark in sheet.marks]
    labels = [
        _label(mark, _extent(canvas, text)) for mark, text in zip(sheet.marks, texts, strict=True)
    ]
    kept_free = np.array([*taken, *_kept_free(sheet)], dtype=float)
    boxes = place_labels(labels, kept_free, _drawn(sheet.panels))
    for mark, text, box in zip(sheet.marks, texts, boxes, strict=True):
        text.set(position=box[:2], verticalalignment="bottom")
        text.set_bbox({"facecolor": PAPER, "edgecolor": "none", "alpha": 0.8, "pad": 2})
        _draw_pointer(axes, mark, nearest_in(box, mark.at))


def _label(mark: Mark, box: Box) -> Label:
    size = box.right - box.left, box.top - box.bottom
    return Label(mark.at, size, mark.towards, mark.bounds, alone=not mark.line)


def _draw_pointer(axes: Axes, mark: Mark, end: Floats) -> None:
    """Draw the ring round a marked place and the line from there to its words."""
    if mark.ring:
        for colour, width in ((PAPER, 4), (mark.colour, 1.8)):
            axes.plot(*mark.at, "o", ms=11, mfc="none", mec=colour, mew=width)
    if not mark.line:
        return
    start = np.array(mark.at)
    length = float(np.linalg.norm(end - start))
    if mark.ring and length > 0:
        start = start + (end - start) * min(8 / length, 1)
    for colour, width in ((PAPER, 2.8), (mark.colour, 1.2)):
        axes.plot(*np.stack([start, end]).T, color=colour, linewidth=width)


def _extent(canvas: FigureCanvasAgg, text: Text) -> Box:
    extent = text.get_window_extent(canvas.get_renderer())
    return Box(extent.x0, extent.y0, extent.x1, extent.y1)


def _kept_free(sheet: Sheet) -> list[Box]:
    """Return boxes round marked places and along arrows, where no words may stand."""
    spots = [np.array(mark.at) for mark in sheet.marks if mark.ring]
    for arrow in sheet.arrows:
        for a, b in pairwise(arrow.path):
            spots += list(np.linspace(a, b, 1 + int(np.linalg.norm(b - a) / 12)))
    return [Box(x - 11, y - 11, x + 11, y + 11) for x, y in spots]


def _drawn(panels: Sequence[Panel]) -> Flags:
    """Return (height, width): which dots of the sheet panels draw on, row 0 at the bottom."""
    drawn = np.zeros((HEIGHT, WIDTH), dtype=bool)
    for panel in panels:
        high, wide = panel.picture.shape[:2]
        inked = drawn_on(panel.picture)[::-1]
        drawn[panel.bottom : panel.bottom + high, panel.left : panel.left + wide] |= inked
    return drawn


def _write_legend(figure: Figure, axes: Axes, legend: Legend) -> None:
    place = (EDGE / WIDTH, 88 / HEIGHT, LEGEND_WIDTH / WIDTH, 22 / HEIGHT)
    bar = figure.add_axes(place)
    bar.imshow(ramp(np.linspace(0, 1, 512))[None], extent=(0, 1, 0, 1), aspect="auto")
    ticks = [*_ticks(legend), legend.end]
    end = number_words(legend.end) + (" or more" if legend.open else "")
    bar.set_xticks(legend.share(np.array(ticks)), [*(f"{tick:g}" for tick in ticks[:-1]), end])
    bar.set(yticks=[], xlim=(0, 1))
    bar.tick_params(labelsize=18 * 72 / DOTS, colors=INK, length=5)
    for spine in bar.spines.values():
        spine.set_visible(False)
    write(axes, EDGE, 122, legend.title, INK, 19)
    for value in legend.ticked:
        bar.axvline(float(legend.share(np.array(value))), color=PAPER, linewidth=4)
        bar.axvline(float(legend.share(np.array(value))), color=INK, linewidth=2)


def _ticks(legend: Legend) -> list[float]:
    """Return the values with a number below the scale, but for its end."""
    clear = BEYOND_LEFT - (0.06 if legend.open else 0.0)
    if not legend.by_root:
        values = [float(tick) for tick in MaxNLocator(5).tick_values(0, legend.end) if tick >= 0]
        return [value for value in values if value < clear * legend.end]
    kept = [0.0]
    for value in ROOT_TICKS[1:]:
        at, last = legend.share(np.array([value, kept[-1]]))
        if at < clear and at - last >= TICK_GAP:
            kept.append(value)
    return kept
