"""The sheet round a picture: title, legend, labels, caution; 1600 x 900 dots."""

from dataclasses import dataclass
from pathlib import Path
from textwrap import shorten
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from geometry.arrays import Floats
from studies.pictures.palette import FAINT, INK, PAPER, ramp

WIDTH, HEIGHT, DOTS = 1600, 900, 100
PICTURE = (0.0, 0.15, 1.0, 0.70)
"""Left, bottom, width and height of the picture on the sheet, in shares."""

CAUTION = (
    "Linear elastic model, no proof of strength. Physical tests and local rules decide; "
    "cautions stand in results.json."
)


@dataclass(frozen=True)
class Label:
    """Words at a place of the picture.

    Attributes:
        at: Place in shares of the picture.
        words: What is said.
        offset: From the place to the words, in dots, right and up.
        colour: Of words and line.
        arrow: Whether the line is an arrow that ends at the place.
    """

    at: tuple[float, float]
    words: str
    offset: tuple[float, float]
    colour: str = INK
    arrow: bool = False


@dataclass(frozen=True)
class Sheet:
    """Everything round a picture.

    Attributes:
        title: First line.
        subtitle: Second line.
        labels: Words in the picture.
        legend: Title and end of the colour scale from 0, None where colours mean nothing.
    """

    title: str
    subtitle: str
    labels: tuple[Label, ...] = ()
    legend: tuple[str, float] | None = None


def picture_size() -> tuple[int, int]:
    """Return width and height of the picture on the sheet, in dots."""
    return round(WIDTH * PICTURE[2]), round(HEIGHT * PICTURE[3])


def write_sheet(sheet: Sheet, picture: Floats, path: Path) -> None:
    """Write a picture (height, width, 3) with everything round it as a PNG."""
    figure = Figure(figsize=(WIDTH / DOTS, HEIGHT / DOTS), dpi=DOTS, facecolor=PAPER)
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_axes(PICTURE)
    axes.imshow(picture, extent=(0, 1, 0, 1), aspect="auto", interpolation="lanczos")
    axes.axis("off")
    for label in sheet.labels:
        _write_label(axes, label)
    figure.text(0.03, 0.93, shorten(sheet.title, 90), size=21, color=INK, weight="bold")
    figure.text(0.03, 0.885, shorten(sheet.subtitle, 150), size=13.5, color=INK)
    figure.text(0.03, 0.022, CAUTION, size=10.5, color=FAINT)
    if sheet.legend:
        _write_legend(figure, *sheet.legend)
    canvas.print_png(path)


def _write_label(axes: Axes, label: Label) -> None:
    line: dict[str, Any] = {
        "arrowstyle": "-|>" if label.arrow else "-",
        "color": label.colour,
        "shrinkB": 0,
    }
    line |= {"linewidth": 2.6, "mutation_scale": 22} if label.arrow else {"linewidth": 1.1}
    axes.annotate(
        label.words,
        xy=label.at,
        xytext=(label.offset[0] * 72 / DOTS, label.offset[1] * 72 / DOTS),
        textcoords="offset points",
        size=13.5,
        color=label.colour,
        ha="center",
        va="bottom" if label.offset[1] > 0 else "top",
        arrowprops=line,
        bbox={"boxstyle": "round,pad=0.25", "facecolor": PAPER, "edgecolor": "none", "alpha": 0.85},
        annotation_clip=False,
    )


def _write_legend(figure: Figure, title: str, end: float) -> None:
    axes = figure.add_axes((0.03, 0.085, 0.36, 0.026))
    axes.imshow(ramp(np.linspace(0, 1, 512))[None], extent=(0, end, 0, 1), aspect="auto")
    axes.set(yticks=[], title="")
    axes.tick_params(labelsize=12, colors=INK, length=4)
    axes.set_title(title, loc="left", size=12.5, color=INK, pad=6)
    for spine in axes.spines.values():
        spine.set_visible(False)


def towards_bottom(at: tuple[float, float]) -> tuple[float, float]:
    """Return the offset of wide words that stand at the bottom of the picture, near `at`."""
    width, height = picture_size()
    goal = min(max(at[0], 0.3), 0.7), 0.12
    return (goal[0] - at[0]) * width, (goal[1] - at[1]) * height
