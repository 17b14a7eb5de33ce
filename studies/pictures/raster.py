"""Small pictures as texts that a page carries."""

from base64 import b64encode
from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image

from geometry.arrays import Floats
from studies.pictures.palette import ramp

LEVELS = 128
"""Colours of a map: each half a unit of lightness from the next, which no eye tells apart."""

QUALITY = 80


def map_uri(shares: Floats) -> str:
    """Return a map (rows, columns) of shares, 0 to 1 along the ramp, as a data: address."""
    levels = np.rint(np.clip(shares, 0, 1) * (LEVELS - 1)).astype(np.uint8)
    picture = Image.fromarray(levels, mode=None).convert("P")
    picture.putpalette(_bytes(ramp(np.linspace(0, 1, LEVELS))))
    return _uri(picture, "png", optimize=True)


def flat_uri(kinds: Floats, colours: Floats) -> str:
    """Return a map (rows, columns) of kinds, numbers of colours (k, 3), as a data: address."""
    picture = Image.fromarray(np.asarray(kinds, dtype=np.uint8)).convert("P")
    picture.putpalette(_bytes(colours))
    return _uri(picture, "png", optimize=True)


def drawn_uri(colours: Floats) -> str:
    """Return a drawing (rows, columns, 4) in red, green, blue and cover, 0 to 1, likewise."""
    whole = np.rint(np.clip(colours, 0, 1) * 255).astype(np.uint8)
    return _uri(Image.fromarray(whole), "webp", quality=QUALITY, method=4)


def still_uri(path: Path, width: int) -> tuple[str, tuple[int, int]]:
    """Return a picture from disk, made smaller for a page, as a data: address, and its size."""
    with Image.open(path) as found:
        size = width, round(found.height * width / found.width)
        picture = found.convert("RGB").resize(size, Image.Resampling.LANCZOS)
    return _uri(picture, "webp", quality=QUALITY, method=4), size


def _bytes(colours: Floats) -> list[int]:
    whole: list[int] = np.rint(np.asarray(colours) * 255).astype(int).ravel().tolist()
    return whole


def _uri(picture: Image.Image, kind: str, **options: float) -> str:
    file = BytesIO()
    picture.save(file, kind, **options)
    return f"data:image/{kind};base64,{b64encode(file.getvalue()).decode('ascii')}"
