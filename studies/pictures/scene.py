"""What a picture shows, before anything draws it: coloured faces, a view, labels.

Pictures are parallel projections, so a place in space has a plain place on paper, and both
ways of drawing (with and without a graphics library) give the same picture.
"""

from dataclasses import dataclass

import numpy as np

from fea.element import quad8
from geometry.arrays import Floats, Ints
from geometry.mesh import TubeMesh
from geometry.vectors import unit

SPLIT, CLOSE_SPLIT = 3, 10
"""Each element face is drawn as so many flat pieces each way, so that tubes look round."""

AMBIENT = 0.72
"""Share of a face's colour that does not depend on where it looks: the legend must hold."""


@dataclass(frozen=True, eq=False)
class Skin:
    """Four-cornered pieces of a surface.

    Attributes:
        points_mm: (n, 3) corners.
        pieces: (m, 4) numbers of corners.
        colours: (n, 3) sRGB of each corner.
        opacity: 0 to 1.
        edges: (k, p, 3) lines drawn on it, such as element edges.
    """

    points_mm: Floats
    pieces: Ints
    colours: Floats
    opacity: float = 1.0
    edges: Floats | None = None


@dataclass(frozen=True, eq=False)
class View:
    """A parallel projection.

    Attributes:
        centre_mm: (3,) what is in the middle of the picture.
        right: (3,) unit vector to the right of the picture.
        up: (3,) unit vector up the picture.
        half_height_mm: Half of what is seen from bottom to top.
    """

    centre_mm: Floats
    right: Floats
    up: Floats
    half_height_mm: float

    @property
    def towards(self) -> Floats:
        """Return the unit vector from the picture to the eye (3,)."""
        return np.cross(self.right, self.up)


def view_from(direction: Floats, points_mm: Floats, aspect: float, fill: float = 0.9) -> View:
    """Return the view along -`direction` in which all points fill the picture.

    Args:
        direction: (3,) from the bar to the eye; not vertical.
        points_mm: (n, 3) what must be seen.
        aspect: Width over height of the picture.
        fill: Share of the picture that they may fill.
    """
    towards = unit(np.asarray(direction, dtype=float))
    right = unit(np.cross([0.0, 0.0, 1.0], towards))
    up = np.cross(towards, right)
    across, along = points_mm @ right, points_mm @ up
    middle = right * (across.min() + np.ptp(across) / 2) + up * (along.min() + np.ptp(along) / 2)
    middle = middle + towards * float((points_mm @ towards).mean())
    half = max(np.ptp(along) / 2, np.ptp(across) / 2 / aspect) / fill
    return View(middle, right, up, float(half))


def on_paper(view: View, places_mm: Floats, aspect: float) -> Floats:
    """Return (..., 2): places in shares of the picture, (0, 0) bottom left, (1, 1) top right."""
    seen = np.asarray(places_mm) - view.centre_mm
    x = seen @ view.right / (view.half_height_mm * aspect)
    y = seen @ view.up / view.half_height_mm
    return np.stack([(1 + x) / 2, (1 + y) / 2], axis=-1)


def skin_of(
    mesh: TubeMesh,
    faces: Ints,
    points_mm: Floats,
    colours: Floats,
    quads: Ints | None = None,
    split: int = SPLIT,
) -> Skin:
    """Return element faces as a smooth skin.

    Args:
        mesh: The mesh.
        faces: (Q, 8) node numbers of its outer face or bore.
        points_mm: (N, 3) places of the nodes, moved or not.
        colours: (P, 3) sRGB at the nodes of the sheet.
        quads: Which elements to draw; all where it is None.
        split: Flat pieces each way.
    """
    chosen = np.arange(len(faces)) if quads is None else quads
    steps = np.linspace(0, 1, split + 1)
    places = np.array([[a, b] for b in steps for a in steps])
    values = quad8(places).values
    corners = values @ points_mm[faces[chosen]]
    shades = np.clip(values @ colours[mesh.sheet.quads[chosen]], 0.0, 1.0)
    row = split + 1
    piece = np.array([0, 1, row + 1, row])
    first = np.array([b * row + a for b in range(split) for a in range(split)])
    each = len(places) * np.arange(len(chosen))
    pieces = (each[:, None, None] + first[:, None] + piece).reshape(-1, 4)
    rim = np.concatenate([np.arange(row), row * np.arange(1, row) + split])
    return Skin(corners.reshape(-1, 3), pieces, shades.reshape(-1, 3), edges=corners[:, rim])


def plain_colours(mesh: TubeMesh, colour: Floats) -> Floats:
    """Return one colour for every node of the sheet (P, 3)."""
    return np.tile(colour, (len(mesh.sheet.nodes), 1))


def lit(skin: Skin, view: View) -> tuple[Floats, Floats]:
    """Return (m, 4, 3) corners and (m, 3) colours of a skin's pieces, lit from the eye."""
    corners = skin.points_mm[skin.pieces]
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    size = np.linalg.norm(normal, axis=1, keepdims=True)
    facing = np.abs((normal / np.where(size > 0, size, 1.0)) @ view.towards)
    light = AMBIENT + (1 - AMBIENT) * facing
    return corners, skin.colours[skin.pieces].mean(axis=1) * light[:, None]
