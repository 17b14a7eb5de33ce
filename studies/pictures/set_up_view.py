"""The side view of a case on supports: its plane, the bar's outline in it, and the scale."""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm
from geometry.centreline import locate
from geometry.vectors import unit
from loadcases.case import PlacedCase
from studies.pictures.line_drawing import LETTER, LINE, Area


@dataclass(frozen=True)
class Frame:
    """The room of a drawing, in its units.

    Attributes:
        width: Of the drawing.
        side: Kept free of the bar on either side, for words.
        above: Likewise, for arrows.
        below: Likewise, for dimensions and names.
        most_high: Height of the bar.
        letter: Width of a letter.
        line: Height of a line of words.
        tags: Of `below`, kept between bar and dimensions for tags of places.
        scale_on_top: Whether the length to scale stands in the upper corner, not in the lower one.
    """

    width: float = 1000.0
    side: float = 120.0
    above: float = 120.0
    below: float = 104.0
    most_high: float = 190.0
    letter: float = LETTER
    line: float = LINE
    tags: float = 0.0
    scale_on_top: bool = False

    @property
    def size(self) -> float:
        """Return the size of type."""
        return self.letter / LETTER_SHARE

    @property
    def dimensions(self) -> float:
        """Return the height at which dimensions stand."""
        return self.below - self.tags - 28


SHEET = Frame()

LETTER_SHARE = 0.55
"""Width of a letter over its size of type."""

STEP_MM, RING = 3.0, 24
"""Distance of places along the bar, and number of places round an end."""

EDGE_ON = 0.05
"""Share of a tangent in the plane below which the tube is seen end on."""


@dataclass(frozen=True, eq=False)
class SetUpView:
    """A plane and its scale.

    Attributes:
        right: (3,) what is drawn to the right, in bar axes.
        up: (3,) what is drawn upwards.
        scale: Units of the drawing a mm.
        origin: (2,) where the bar's origin is drawn.
        height: Of the drawing.
        frame: Its room.
    """

    right: Floats
    up: Floats
    scale: float
    origin: Floats
    height: float
    frame: Frame

    @property
    def towards(self) -> Floats:
        """Return (3,): the direction to the eye."""
        return np.asarray(np.cross(self.right, self.up))


def view_of(
    bar: Bar, case: PlacedCase, below_mm: float, above_mm: float = 0.0, frame: Frame = SHEET
) -> SetUpView:
    """Return the view of a case's plane, with room for what is under the bar and above it."""
    up = upwards(case)
    across = np.eye(3)[0] if abs(up[0]) < 0.9 else np.eye(3)[1]
    right = unit(across - (across @ up) * up)
    flat = _in_plane(_outline_mm(bar), right, up)
    (left, low), (most, high) = flat.min(axis=0), flat.max(axis=0)
    low, high = low - below_mm, high + above_mm
    wide = frame.width - 2 * frame.side
    scale = float(min(wide / (most - left), frame.most_high / (high - low)))
    middle = (left + most) / 2
    origin = np.array([frame.width / 2 - scale * middle, frame.below - scale * low])
    height = frame.above + scale * (high - low) + frame.below
    return SetUpView(right, up, scale, origin, float(height), frame)


def upwards(case: PlacedCase) -> Floats:
    """Return (3,): up in the drawing, against the ram, or as the supports mostly press."""
    ways = np.array(
        [one.direction for one in case.supports if one.kind != "pin" and not one.of_ram]
    )
    total = ways.sum(axis=0) if len(ways) else np.zeros(3)
    # upward unless it is plainly another way: a drawing turned for one slider is hard to read
    return unit(total) if case.case.ram_force_n else np.array([0.0, 0.0, 1.0])


def on_sheet(view: SetUpView, places_mm: Floats) -> Floats:
    """Return places (..., 3) on the drawing, (..., 2)."""
    return view.origin + view.scale * _in_plane(places_mm, view.right, view.up)


def seen(view: SetUpView, vector: Floats) -> Floats:
    """Return (2,): what of a vector (3,) lies in the plane."""
    return _in_plane(vector, view.right, view.up)


def from_where(view: SetUpView) -> str:
    """Return from where the bar is seen, by the rider's directions."""
    names = (("the left", "the right"), ("behind", "the front"), ("below", "above"))
    axis = int(np.argmax(np.abs(view.towards)))
    return names[axis][int(view.towards[axis] > 0)]


def silhouette(bar: Bar, view: SetUpView) -> Area:
    """Return the outline of the tube: pieces between cross-sections, and its two ends."""
    frame, radius = locate(bar.line, _stations_mm(bar)), _radius_mm(bar)
    middle = on_sheet(view, frame.position_mm)
    along = _in_plane(frame.tangent, view.right, view.up)
    long = np.maximum(np.linalg.norm(along, axis=-1, keepdims=True), EDGE_ON)
    aside = view.scale * radius[:, None] * along[:, ::-1] * [-1, 1] / long
    upper, lower = middle + aside, middle - aside
    quads = np.stack([lower[:-1], lower[1:], upper[1:], upper[:-1]], axis=1)
    ends = [on_sheet(view, ring) for ring in _rings_mm(bar)]
    return Area(tuple(_turned(one) for one in (*quads, *ends)), "tube")


def _turned(outline: Floats) -> Floats:
    """Return an outline counter-clockwise, so that no two of them make a hole."""
    x, y = outline.T
    return outline if x @ np.roll(y, -1) >= y @ np.roll(x, -1) else outline[::-1]


def _stations_mm(bar: Bar) -> Floats:
    low, high = bar.line.left_end_mm, bar.line.right_end_mm
    return np.linspace(low, high, 2 + int((high - low) / STEP_MM))


def _radius_mm(bar: Bar) -> Floats:
    return np.asarray(nominal_od_mm(bar, _stations_mm(bar))) / 2


def _rings_mm(bar: Bar) -> Floats:
    """Return (2, n, 3): the edges of both ends."""
    s = np.array([bar.line.left_end_mm, bar.line.right_end_mm])
    frame, radius = locate(bar.line, s), np.asarray(nominal_od_mm(bar, s)) / 2
    turn = np.linspace(0, 2 * np.pi, RING, endpoint=False)[:, None]
    round_ = np.cos(turn) * frame.top[:, None] + np.sin(turn) * frame.front[:, None]
    return np.asarray(frame.position_mm[:, None] + radius[:, None, None] * round_)


def _outline_mm(bar: Bar) -> Floats:
    """Return (n, 3): places that bound the tube, a ball of its radius about each place along it."""
    frame, radius = locate(bar.line, _stations_mm(bar)), _radius_mm(bar)
    ways = np.stack([np.zeros_like(frame.top), frame.top, -frame.top, frame.front, -frame.front])
    return np.asarray((frame.position_mm + radius[:, None] * ways).reshape(-1, 3))


def _in_plane(places: Floats, right: Floats, up: Floats) -> Floats:
    return np.asarray(np.stack([places @ right, places @ up], axis=-1))
