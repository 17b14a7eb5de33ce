"""What a picture shows, before anything draws it: coloured surfaces, a view, labels.

Pictures are parallel projections, so a place in space has a plain place on paper, and both
ways of drawing (with and without a graphics library) make the same picture.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fea.solid.element import quad8
from geometry.arrays import Floats, Ints
from geometry.mesh import TubeMesh
from geometry.vectors import unit
from studies.pictures.palette import ramp

SPLIT, CLOSE_SPLIT, WALL_SPLIT = 3, 10, 4
"""Each element face is drawn as so many flat pieces each way, so that tubes are round."""

LINE_SHARE = 0.022
"""Width of an element edge as drawn, in elements."""

AMBIENT = 0.72
"""Share of a surface's colour that does not depend on its direction: the legend must hold."""


@dataclass(frozen=True, eq=False)
class Surface:
    """Four-cornered pieces of a surface.

    Attributes:
        points_mm: (n, 3) corners.
        pieces: (m, 4) numbers of corners.
        colours: (n, 3) sRGB of each corner.
        opacity: 0 to 1.
    """

    points_mm: Floats
    pieces: Ints
    colours: Floats
    opacity: float = 1.0


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


Draw = Callable[[Sequence[Surface], View, tuple[int, int]], Floats]
"""What makes a picture (height, width, 3) of surfaces, of so many dots: width and height."""


@dataclass(frozen=True, eq=False)
class Pane:
    """A view in a rectangle of the sheet.

    Attributes:
        view: What is seen.
        left: Left edge in dots from the left of the sheet.
        bottom: Lower edge in dots from the bottom of the sheet.
        size: Width and height in dots.
    """

    view: View
    left: int
    bottom: int
    size: tuple[int, int]

    @property
    def dots_per_mm(self) -> float:
        """Return the scale."""
        return self.size[1] / (2 * self.view.half_height_mm)


def view_from(
    direction: Floats, points_mm: Floats, size: tuple[int, int], room: tuple[int, int]
) -> View:
    """Return the view along -`direction` in which all points just fit.

    Args:
        direction: (3,) from the bar to the eye; not vertical.
        points_mm: (n, 3) what must be seen.
        size: Width and height of the picture in dots.
        room: Dots to keep free at the sides, and above and below.
    """
    towards = unit(np.asarray(direction, dtype=float))
    right = unit(np.cross([0.0, 0.0, 1.0], towards))
    return fitted(View(np.zeros(3), right, np.cross(towards, right), 1.0), points_mm, size, room)


def fitted(view: View, points_mm: Floats, size: tuple[int, int], room: tuple[int, int]) -> View:
    """Return a view moved and scaled so that all points just fit; arguments as `view_from`."""
    seen = points_mm @ np.stack([view.right, view.up, view.towards], axis=-1)
    middle = (seen.min(axis=0) + seen.max(axis=0)) / 2
    centre = middle @ np.stack([view.right, view.up, view.towards])
    wide, high = np.ptp(seen[:, 0]), np.ptp(seen[:, 1])
    mm_per_dot = max(wide / (size[0] - 2 * room[0]), high / (size[1] - 2 * room[1]))
    return View(centre, view.right, view.up, float(size[1] * mm_per_dot / 2))


def in_dots(pane: Pane, places_mm: Floats) -> Floats:
    """Return (..., 2): where places (..., 3) are on the sheet, in dots from its bottom left."""
    seen = np.asarray(places_mm) - pane.view.centre_mm
    x = seen @ pane.view.right * pane.dots_per_mm + pane.left + pane.size[0] / 2
    y = seen @ pane.view.up * pane.dots_per_mm + pane.bottom + pane.size[1] / 2
    return np.stack([x, y], axis=-1)


def surface_of(
    mesh: TubeMesh,
    faces: Ints,
    points_mm: Floats,
    shares: Floats,
    quads: Ints | None = None,
    split: int = SPLIT,
) -> Surface:
    """Return element faces as a smooth surface, coloured by a quantity.

    The quantity is interpolated within elements as the mesh does, and then coloured.

    Args:
        mesh: The mesh.
        faces: (Q, 8) node numbers of its outer or inner surface.
        points_mm: (N, 3) places of the nodes, moved or not.
        shares: (P,) quantity at the nodes of the sheet, 0 to 1 along the ramp.
        quads: Which elements to draw; all where it is None.
        split: Flat pieces each way.
    """
    chosen = np.arange(len(faces)) if quads is None else quads
    corners = within_quads(points_mm, faces[chosen], split)
    colours = ramp(within_quads(shares, mesh.sheet.quads[chosen], split))
    pieces = _grid_pieces(len(chosen), split + 1, split + 1)
    return Surface(corners.reshape(-1, 3), pieces, colours.reshape(-1, 3))


def within_quads(values: Floats, quads: Ints, split: int) -> Floats:
    """Return (n, q, ...): values (P, ...) interpolated at the corners of each quad's pieces."""
    steps = np.linspace(0, 1, split + 1)
    shapes = quad8(np.array([[a, b] for b in steps for a in steps])).values
    result: Floats = np.einsum("qk,nk...->nq...", shapes, values[quads], optimize=True)
    return result


def edges_of(faces: Ints, points_mm: Floats, split: int) -> Surface:
    """Return narrow strips along the edges of element faces (n, 8), uncoloured.

    Strips and not lines, so that both ways of drawing hide the same ones.
    """
    along, across = np.linspace(0, 1, split + 1), (0.0, LINE_SHARE)
    first = np.array([[a, b] for b in across for a in along])
    values = np.stack([quad8(first).values, quad8(first[:, ::-1]).values])
    corners = np.einsum("spk,nkj->nspj", values, points_mm[faces])
    pieces = _grid_pieces(2 * len(faces), 2, split + 1)
    return Surface(corners.reshape(-1, 3), pieces, np.zeros((corners.size // 3, 3)))


def wall_of(
    mesh: TubeMesh, points_mm: Floats, shares: tuple[Floats, Floats], quads: Ints, split: int
) -> Surface:
    """Return the metal seen where a set of elements ends, from inner to outer surface.

    Args:
        mesh: The mesh.
        points_mm: (N, 3) places of the nodes.
        shares: Quantity at the nodes of the sheet on inner and outer surface; linear
            between them.
        quads: The set of elements.
        split: Flat pieces along an element's edge.
    """
    which, edge = _rim_edges(mesh, quads)
    faces = mesh.inner, mesh.outer
    sides = [points_mm[face[which[:, None], edge]] for face in faces]
    return wall_between(
        sides, [side[mesh.sheet.quads[which[:, None], edge]] for side in shares], split
    )


def wall_between(edges_mm: Sequence[Floats], shares: Sequence[Floats], split: int) -> Surface:
    """Return the metal between edges on the inner surface and edges on the outer surface.

    Args:
        edges_mm: Of each surface, (k, 3, 3) one end, middle and other end of its edges.
        shares: Of each surface, (k, 3) the quantity there.
        split: Flat pieces along an edge.
    """
    values = along_edge(split)
    sides = [values @ edges for edges in edges_mm]
    shades = [side @ values.T for side in shares]
    through = np.linspace(0, 1, WALL_SPLIT + 1)[:, None]
    corners = (1 - through[..., None]) * sides[0][:, None] + through[..., None] * sides[1][:, None]
    colours = ramp((1 - through) * shades[0][:, None] + through * shades[1][:, None])
    pieces = _grid_pieces(len(sides[0]), WALL_SPLIT + 1, split + 1)
    return Surface(corners.reshape(-1, 3), pieces, colours.reshape(-1, 3))


def along_edge(split: int) -> Floats:
    """Return (split + 1, 3): weights of an edge's two ends and its middle, in order along it."""
    x = np.linspace(0, 1, split + 1)
    return np.stack([(1 - x) * (1 - 2 * x), 4 * x * (1 - x), x * (2 * x - 1)], axis=-1)


def painted(surface: Surface, colour: Floats, opacity: float = 1.0) -> Surface:
    """Return a surface in one colour (3,)."""
    return Surface(
        surface.points_mm, surface.pieces, np.tile(colour, (len(surface.points_mm), 1)), opacity
    )


def moved(surface: Surface, shift_mm: Floats) -> Surface:
    """Return a surface shifted by (3,)."""
    return Surface(surface.points_mm + shift_mm, surface.pieces, surface.colours, surface.opacity)


def _rim_edges(mesh: TubeMesh, quads: Ints) -> tuple[Ints, Ints]:
    """Return (k,) elements and (k, 3) local nodes of the edges that belong to one of them only."""
    local = np.array([[0, 4, 1], [1, 5, 2], [2, 6, 3], [3, 7, 0]])
    middles = mesh.sheet.quads[quads][:, local[:, 1]]
    _, where, count = np.unique(middles, return_inverse=True, return_counts=True)
    element, side = np.nonzero(count[where].reshape(middles.shape) == 1)
    return quads[element], local[side]


def _grid_pieces(count: int, rows: int, columns: int) -> Ints:
    """Return the pieces of `count` grids of corners, stored row by row."""
    first = np.arange(rows * columns).reshape(rows, columns)[:-1, :-1].ravel()
    piece = np.array([0, 1, columns + 1, columns])
    start = rows * columns * np.arange(count)
    pieces: Ints = start[:, None, None] + first[:, None] + piece
    return pieces.reshape(-1, 4)


def lit(surface: Surface, view: View) -> tuple[Floats, Floats]:
    """Return (m, 4, 3) corners and (m, 3) colours of a surface's pieces, lit from the eye."""
    corners = surface.points_mm[surface.pieces]
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    size = np.linalg.norm(normal, axis=1, keepdims=True)
    facing = np.abs((normal / np.where(size > 0, size, 1.0)) @ view.towards)
    light = AMBIENT + (1 - AMBIENT) * facing
    return corners, surface.colours[surface.pieces].mean(axis=1) * light[:, None]
