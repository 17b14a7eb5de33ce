"""Pictures of a sheet dot for dot, and the sheet as a file."""

from pathlib import Path

import numpy as np
from matplotlib.artist import Artist
from matplotlib.backend_bases import RendererBase
from matplotlib.backends.backend_agg import FigureCanvasAgg

from geometry.arrays import Flags, Floats
from studies.pictures.palette import PAPER, rgb

COMPRESSION = 3
"""zlib's level: the usual 6 takes twice the time for files a sixth smaller."""

INKED = 0.03
"""A dot is drawn on where a colour differs so much from that of the paper, of 0 to 1."""


class DotForDot(Artist):
    """A picture as it is: what axes show as an image is resampled, at ten times the cost."""

    def __init__(self, picture: Floats, left: int, bottom: int) -> None:
        """Take a picture (height, width, 3) in [0, 1] and where it stands on the sheet, in dots."""
        super().__init__()
        self.picture, self.at = picture, (left, bottom)

    def draw(self, renderer: RendererBase) -> None:
        """Copy the dots."""
        levels = np.rint(255 * np.clip(self.picture[::-1], 0, 1)).astype(np.uint8)
        dots = np.dstack([levels, np.full(levels.shape[:2], 255, dtype=np.uint8)])
        context = renderer.new_gc()
        renderer.draw_image(context, *self.at, dots)
        context.restore()


def drawn_on(picture: Floats) -> Flags:
    """Return (height, width): where a picture differs from the paper."""
    apart = np.abs(picture - rgb(PAPER)) > INKED
    result: Flags = apart[..., 0] | apart[..., 1] | apart[..., 2]
    return result


def write_png(canvas: FigureCanvasAgg, path: Path) -> None:
    """Write a sheet to disk."""
    canvas.print_png(path, pil_kwargs={"compress_level": COMPRESSION})
