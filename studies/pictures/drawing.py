"""Draws surfaces with pyvista, off screen, where OpenGL can be used.

Without usable OpenGL the library ends the whole process, with nothing to catch. So a child
process tries first, in the ways that a machine without a display may offer.
"""

import os
import subprocess
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import numpy as np

from geometry.arrays import Floats
from geometry.errors import refuse
from studies.pictures.palette import PAPER, ramp, written
from studies.pictures.scene import AMBIENT, Surface, View, lit, view_from
from studies.pictures.views import RIDER

WINDOW = "VTK_DEFAULT_OPENGL_WINDOW"
NO_DISPLAY = ("vtkEGLRenderWindow", "vtkOSOpenGLRenderWindow")
PATIENCE_S = 30
WINDOW_DOTS = (1024, 768)

PROBE = """
import pyvista
plotter = pyvista.Plotter(off_screen=True, window_size=(64, 64))
plotter.add_mesh(pyvista.Sphere())
assert plotter.screenshot(return_img=True).std() > 0
"""


@cache
def usable_window() -> str | None:
    """Return the setting with which OpenGL works here ("" for the default), None if none does."""
    given = os.environ.get(WINDOW)
    # where no display is named the default would only complain of it
    headless = sys.platform == "linux" and not os.environ.get("DISPLAY")
    ways = (*NO_DISPLAY, "") if headless else ("", *NO_DISPLAY)
    for way in (given,) if given else ways:
        if _works(way):
            return way
    return None


def _works(way: str) -> bool:
    settings = {**os.environ, **({WINDOW: way} if way else {})}
    try:
        probe = subprocess.run(  # noqa: S603 our own text, run by our own interpreter
            [sys.executable, "-c", PROBE],
            env=settings,
            timeout=PATIENCE_S,
            capture_output=True,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return False
    return probe.returncode == 0


def import_once() -> None:
    """Import the library, so that copies of this process need not."""
    import pyvista  # noqa: F401


def draw_shaded(surfaces: Sequence[Surface], view: View, size: tuple[int, int]) -> Floats:
    """Return the picture (height, width, 3) in [0, 1]; only after `usable_window` found a way."""
    import pyvista

    way = usable_window()
    if way:
        os.environ[WINDOW] = way
    plotter = pyvista.Plotter(off_screen=True, window_size=list(size), lighting="none")
    plotter.set_background(PAPER)
    for surface in surfaces:
        corners, colours = lit(surface, view)
        # each piece has its own corners, so that it is flat and its colour exact
        pieces = np.arange(4 * len(corners)).reshape(-1, 4)
        faces = np.column_stack([np.full(len(pieces), 4), pieces])
        drawn = pyvista.PolyData(corners.reshape(-1, 3), faces.ravel())
        drawn.cell_data["colour"] = (255 * colours).astype(np.uint8)
        plotter.add_mesh(drawn, scalars="colour", rgb=True, lighting=False, opacity=surface.opacity)
    _aim(plotter, view)
    plotter.enable_anti_aliasing("ssaa")
    image = plotter.screenshot(return_img=True)
    plotter.close()
    return np.asarray(image)[..., :3] / 255.0


def show_fields(path: Path, title: str) -> None:
    """Open a window with the von Mises stress of a .vtu file, and return when it is closed.

    Raises:
        InputError: There is no display, or no OpenGL that can be used.
    """
    displays = os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    # what works without a display shows no window
    if (sys.platform == "linux" and not displays) or usable_window() in (None, *NO_DISPLAY):
        raise refuse("--vtk", "needs a display with OpenGL; open the page instead")
    import pyvista

    plotter = pyvista.Plotter(title=title, window_size=list(WINDOW_DOTS))
    plotter.set_background(PAPER)
    colours = [written(colour) for colour in ramp(np.linspace(0, 1, 256))]
    fields = pyvista.read(path)
    # a line of its own below the title, or it stands on the numbers
    bar = {"title": "von Mises stress, MPa\n", "fmt": "%.0f"}
    light = {"ambient": AMBIENT, "diffuse": 1 - AMBIENT}
    plotter.add_mesh(fields, scalars="von_mises_mpa", cmap=colours, scalar_bar_args=bar, **light)
    _aim(plotter, view_from(RIDER, np.asarray(fields.points), WINDOW_DOTS, (60, 160)))
    plotter.show()


def _aim(plotter: object, view: View) -> None:
    camera = plotter.camera  # type: ignore[attr-defined]
    away = 20 * view.half_height_mm
    camera.focal_point = tuple(view.centre_mm)
    camera.position = tuple(view.centre_mm + away * view.towards)
    camera.up = tuple(view.up)
    camera.enable_parallel_projection()
    camera.parallel_scale = view.half_height_mm
    camera.clipping_range = (away / 100, 4 * away)
