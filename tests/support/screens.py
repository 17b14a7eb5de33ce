"""Screens as small grey pictures, and how far two of them are apart."""

from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from geometry.arrays import Floats

SIZE = {"desk": (1280, 900), "phone": (390, 844), "paper": (718, 1040)}
"""Width and height in CSS px; paper is A4 without its margins, at 96 dots an inch."""

REFERENCE_WIDTH = 320
BLOCKS_ACROSS = 20

READY_FOR_PAPER = "dispatchEvent(new Event('beforeprint'))"


def screen(open_page: Any, path: Path, medium: str) -> bytes:
    """Return the first screen of a page, or the first sheet as printed, as PNG."""
    width, height = SIZE[medium]
    page = open_page(path, width=width, height=height, touch=medium == "phone")
    if medium == "paper":
        page.emulate_media(media="print")
        page.evaluate(READY_FOR_PAPER)
    page.wait_for_timeout(300)
    # what was made when and by which version differs from day to day
    page.add_style_tag(content=".made { visibility: hidden !important; }")
    return bytes(page.screenshot(clip={"x": 0, "y": 0, "width": width, "height": height}))


def reference(png: bytes) -> bytes:
    """Return a screen as it is kept: 320 dots wide, 16 greys, PNG."""
    picture = Image.open(BytesIO(png)).convert("L")
    high = round(REFERENCE_WIDTH * picture.height / picture.width)
    small = picture.resize((REFERENCE_WIDTH, high), Image.Resampling.BOX)
    out = BytesIO()
    small.quantize(16).save(out, "PNG", optimize=True)
    return out.getvalue()


def blocks(png: bytes) -> Floats:
    """Return mean lightness 0 to 255 of equal squares, 20 across."""
    picture = Image.open(BytesIO(png)).convert("L")
    high = round(BLOCKS_ACROSS * picture.height / picture.width)
    small = picture.resize((BLOCKS_ACROSS, high), Image.Resampling.BOX)
    return np.asarray(small, dtype=float)


def apart(one: bytes, other: bytes) -> tuple[float, float]:
    """Return the largest and the mean difference of two screens' squares, 0 to 255."""
    gap = np.abs(blocks(one) - blocks(other))
    return float(gap.max()), float(gap.mean())
