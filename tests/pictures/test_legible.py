"""Pictures are read in grey and on a phone: sizes of type, contrast, words of scales, shapes."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from studies.pictures import figures, palette
from studies.pictures.colour_scale import Legend, end_words, numbers, scale_box
from studies.pictures.figure_layout import LEAST_SHARE, SMALL, WIDTH, WORDS, layout_of
from studies.pictures.figures import draw_figures
from studies.pictures.lettering import box_of, width_of, wrapped
from studies.pictures.palette import PAPER, ramp, rgb
from studies.pictures.pieces import BROKEN, DOTTED, ring
from studies.pictures.stress import ABOVE_THE_END, stress_legend
from support.kept_sheets import keeping
from support.paths import short_run

PHONE_DOTS, LEAST_ON_PHONE = 390, 8.5
"""Width of a picture on a phone, and the least size of type there; our own choice."""

LEAST_CONTRAST = 4.5
"""Of text to what is behind it; WCAG 2.2, 1.4.3, from memory, unverified."""


def _luminance(colour: np.ndarray) -> float:
    """Return relative luminance of sRGB (3,); IEC 61966-2-1."""
    linear = np.where(colour <= 0.04045, colour / 12.92, ((colour + 0.055) / 1.055) ** 2.4)
    return float(linear @ np.array([0.2126, 0.7152, 0.0722]))


def _contrast(colour: str) -> float:
    return (_luminance(rgb(PAPER)) + 0.05) / (_luminance(rgb(colour)) + 0.05)


def test_all_words_of_a_run_are_large_and_dark_enough(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At the width of a phone, and to the paper that is behind them."""
    kept = keeping(monkeypatch)
    monkeypatch.setenv("BARWRIGHT_PICTURES", "plain")
    monkeypatch.setattr(figures, "draw_plain", kept.draw)
    draw_figures(short_run(), tmp_path)
    layouts = [layout_of(sheet) for sheet in kept.sheets.values()]
    lines = [line for one in layouts for line in one.lettering]
    lines += [line for one in layouts for placed in one.placed for line in placed.lines]
    assert len(lines) > 80
    assert min(line.size for line in lines) / WIDTH * PHONE_DOTS >= LEAST_ON_PHONE
    assert min(_contrast(line.colour) for line in lines) >= LEAST_CONTRAST


def test_the_least_type_is_the_rule() -> None:
    """Axes of graphs are set in it too."""
    assert min(SMALL, WORDS) / WIDTH >= LEAST_SHARE
    assert LEAST_SHARE * PHONE_DOTS >= LEAST_ON_PHONE


@pytest.mark.parametrize("name", ["INK", "FAINT", "LOAD", "REACTION", "BESIDE"])
def test_colours_of_words_read_on_paper(name: str) -> None:
    """Loads, reactions and second curves have words in their own colour."""
    assert _contrast(getattr(palette, name)) >= LEAST_CONTRAST


@pytest.mark.parametrize(
    ("end", "beyond", "words"),
    [
        (1.0, True, "1 or more"),
        (1.0, False, "1"),
        (380.4, False, "380"),
        (9.531, True, "9.53 or more"),
        (0.25, False, "0.25"),
    ],
)
def test_a_scale_that_ends_early_says_so(end: float, beyond: bool, words: str) -> None:
    """And one that ends at the largest value has its number alone."""
    assert end_words(end, beyond=beyond) == words


@pytest.mark.parametrize(("largest", "is_open"), [(0.9, False), (1.0, False), (1.2, True)])
def test_a_scale_of_stress_is_open_where_stress_is_above_the_peak(
    largest: float,
    is_open: bool,
) -> None:
    """As in load bands and at clamp edges, which the peak leaves out; a note says so."""
    run = short_run()
    legend, notes = stress_legend(run, run.cases[0], "MPa", np.array([0.1, largest]))
    assert legend.open == is_open
    assert (ABOVE_THE_END in notes) == is_open


def test_rings_are_told_apart_by_their_dashes() -> None:
    """In grey print: whole at clamp edges, broken at load bands, dotted at supports."""
    run = short_run()
    whole, broken, dotted = (ring(run, 0.0, "#000000", dash=n) for n in (72, BROKEN, DOTTED))
    assert len(whole.pieces) == 2 * len(broken.pieces) == 2 * len(dotted.pieces)
    assert BROKEN == 2 * DOTTED


@pytest.mark.parametrize("end", [0.00123, 0.5, 1.0, 8.86, 99.97, 380.0, 12345.0])
@pytest.mark.parametrize("by_root", [True, False])
@pytest.mark.parametrize("is_open", [True, False])
def test_numbers_of_a_scale_stand_apart(end: float, by_root: bool, is_open: bool) -> None:
    """At least nought and the end, within the scale, none on another."""
    box = scale_box(40, 0, 1120, WORDS)
    boxes = sorted(
        box_of(one) for one in numbers(Legend("", end, (), by_root, is_open), box, SMALL)
    )
    assert len(boxes) >= 2
    assert boxes[0].left >= box.left
    assert boxes[-1].right <= box.right + 1e-6
    assert all(a.right < b.left for a, b in pairwise(boxes))


def test_lines_fit_and_keep_units_with_their_numbers() -> None:
    """Long words are broken, and what is too long ends in an ellipsis."""
    lines = wrapped("strain limit (elongation): 2250 N", WORDS, 440)
    assert lines[-1].endswith("2250\u00a0N")
    assert max(width_of(line, WORDS) for line in wrapped("W" * 300, WORDS, 500)) <= 500
    cut = wrapped("word " * 90, WORDS, 500, 2)
    assert len(cut) == 2
    assert cut[1].endswith("…")
    assert max(width_of(line, WORDS) for line in cut) <= 500


def test_the_ramp_is_told_apart_in_grey() -> None:
    """As a printer greys it (ITU-R BT.601 weights, from memory, unverified): ever darker."""
    grey = ramp(np.linspace(0, 1, 256)) @ np.array([0.299, 0.587, 0.114])
    assert (np.diff(grey) < 0).all()
    assert grey[0] - grey[-1] > 0.6
