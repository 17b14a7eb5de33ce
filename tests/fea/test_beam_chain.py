"""The beam against another method: a fine chain of straight elements in global coordinates.

Nothing is shared but the bar's shape: 12 x 12 stiffnesses of straight uniform Timoshenko elements,
laid along chords, assembled and solved as a band. Its error falls with the square of the length.
"""

from itertools import pairwise

import numpy as np
import pytest
from scipy.linalg import solveh_banded

from fea.beam.pipe_bend import flexibility_factor
from fea.beam.statics import solve_beam
from geometry.arrays import Floats
from geometry.bar import Bar, BarSpec, build_bar, nominal_od_mm, nominal_wall_mm, smooth_breaks_mm
from geometry.bend_effects import BendEffects
from geometry.bend_table import Polyline
from geometry.centreline import curvature_at, locate
from geometry.material import Material
from geometry.section import Station
from geometry.source import Source
from loadcases.clamp import Clamp, ClampModel
from loadcases.load import PlacedLoad

E, NU = 71e3, 0.33
G = E / (2 * (1 + NU))
METAL = Material("test-metal", "For tests", E, NU, 2796.0, 455.0, 531.0, Source("derived", "tests"))
STATIONS = (Station(0, 31.8, 2.2), Station(40, 31.8, 2.2), Station(110, 22.2, 1.8))
LOADS = {235.0: (90.0, -60.0, -500.0, 2e4, 1e4, -3e4), -180.0: (0.0, 200.0, 300.0, 0.0, 0.0, 1e4)}


def bent_bar() -> Bar:
    """Return a tapered bar bent in three dimensions, its halves unlike each other."""
    right = Polyline(((0, 0, 0), (60, 0, 0), (150, -30, 60), (340, -90, 40)), (90, 60))
    left = Polyline(((0, 0, 0), (80, 0, 0), (170, 50, 50), (300, 10, 60)), (60, 75))
    effects = BendEffects(wall_change=False)
    return build_bar(BarSpec("test", right, STATIONS, METAL, left=left, effects=effects))


def straight_element(length: float, od: float, wall: float, factor: float) -> Floats:
    """Return the 12 x 12 stiffness along x, with Przemieniecki's shear parameter."""
    inner = od - 2 * wall
    area, inertia = np.pi * (od**2 - inner**2) / 4, np.pi * (od**4 - inner**4) / 64
    m2 = (inner / od) ** 2
    kappa = 6 * (1 + NU) * (1 + m2) ** 2 / ((7 + 6 * NU) * (1 + m2) ** 2 + (20 + 12 * NU) * m2)
    bend = E * inertia / factor
    phi = 12 * bend / (kappa * G * area * length**2)
    k = np.zeros((12, 12))
    for first, stiffness in ((0, E * area / length), (3, G * 2 * inertia / length)):
        k[np.ix_([first, first + 6], [first, first + 6])] = stiffness * np.array([[1, -1], [-1, 1]])
    for places, sign in (([1, 5, 7, 11], 1.0), ([2, 4, 8, 10], -1.0)):
        a, b, c, d = 12, sign * 6 * length, (4 + phi) * length**2, (2 - phi) * length**2
        block = np.array([[a, b, -a, b], [b, c, -b, d], [-a, -b, a, -b], [b, d, -b, c]])
        k[np.ix_(places, places)] = block * bend / ((1 + phi) * length**3)
    return k


def turned(local: Floats, axes: Floats) -> Floats:
    """Return a stiffness in bar axes; `axes` rows are the local axes."""
    big = np.kron(np.eye(len(local) // 3), axes)
    return big.T @ local @ big


def chain_nodes(bar: Bar, clamp: Clamp, pieces: int) -> Floats:
    """Return nodes at every break, clamp edge and load, and `pieces` elements between them."""
    edges = [clamp.from_mm, clamp.to_mm]
    coarse = np.unique(np.concatenate([smooth_breaks_mm(bar), edges, [*LOADS]]))
    between = [np.linspace(a, b, pieces, endpoint=False) for a, b in pairwise(coarse)]
    return np.append(np.concatenate(between), coarse[-1])


def bend_factors(bar: Bar, s: Floats, od: Floats, wall: Floats) -> Floats:
    """Return K in arcs and 1 on straights."""
    curvature = curvature_at(bar.line, s)
    h = wall / np.maximum(curvature, 1e-9) / ((od - wall) / 2) ** 2
    return np.where(curvature > 0, flexibility_factor(h, NU), 1.0)


def chain_motion(bar: Bar, clamp: Clamp, flexible: bool, pieces: int) -> list[Floats]:
    """Return the motion (6,) at each load's place."""
    s = chain_nodes(bar, clamp, pieces)
    middle = (s[1:] + s[:-1]) / 2
    position, frame = locate(bar.line, s).position_mm, locate(bar.line, middle)
    od, wall = nominal_od_mm(bar, middle), nominal_wall_mm(bar, middle)
    factor = bend_factors(bar, middle, od, wall) if flexible else np.ones(len(middle))
    band = np.zeros((12, 6 * len(s)))
    for i, chord in enumerate(np.diff(position, axis=0)):
        length = float(np.linalg.norm(chord))
        front = frame.front[i] - chord * (chord @ frame.front[i]) / length**2
        axes = np.array([chord / length, front, np.cross(chord / length, front)])
        axes[1:] /= np.linalg.norm(front)
        add(band, i, turned(straight_element(length, od[i], wall[i], factor[i]), axes))
    hold(band, bar, clamp, s)
    loads = np.zeros(6 * len(s))
    for place, wrench in LOADS.items():
        at = np.searchsorted(s, place)
        loads[6 * at : 6 * at + 6] += wrench
    motion = solveh_banded(band, loads, lower=True).reshape(-1, 6)
    return [motion[np.searchsorted(s, place)] for place in LOADS]


def add(band: Floats, node: int, matrix: Floats) -> None:
    """Add a matrix to the lower band from a node on."""
    for row in range(len(matrix)):
        for column in range(row + 1):
            band[row - column, 6 * node + column] += matrix[row, column]


def hold(band: Floats, bar: Bar, clamp: Clamp, s: Floats) -> None:
    """Add the clamp: springs by the trapezoidal rule, or stops that are next to rigid."""
    share = np.zeros(len(s))
    inside = np.flatnonzero((s >= clamp.from_mm) & (s <= clamp.to_mm))
    steps = np.diff(s[inside])
    share[inside[:-1]] += steps / 2
    share[inside[1:]] += steps / 2
    frame, radius = locate(bar.line, s), nominal_od_mm(bar, s) / 2
    for i in inside:
        along = 2 * np.pi * radius[i] * clamp.tangential_n_per_mm3 * share[i]
        across = along / 2 * (1 + clamp.normal_n_per_mm3 / clamp.tangential_n_per_mm3)
        turn = along * radius[i] ** 2
        spring = np.diag([along, across, across, turn, turn / 2, turn / 2])
        if clamp.model == "rigid":
            spring = np.eye(6) * 1e14
        axes = np.array([frame.tangent[i], frame.front[i], frame.top[i]])
        add(band, int(i), turned(spring, axes))


@pytest.mark.parametrize("flexible", [False, True])
@pytest.mark.parametrize("clamp_model", ["rigid", "elastic"])
def test_curved_beam_against_straight_chain(clamp_model: ClampModel, flexible: bool) -> None:
    """The chain's error falls by four when its length is halved, towards the curved beam."""
    bar, clamp = bent_bar(), Clamp(46.0, clamp_model)
    loads = [
        PlacedLoad("right" if s > 0 else "left", s, wrench[:3], wrench[3:], 1e-3)
        for s, wrench in LOADS.items()
    ]
    result = solve_beam(bar, clamp, [loads], flexible)[0]
    frame = np.hstack([result.displacement_mm, result.rotation_rad])
    coarse, fine = (np.array(chain_motion(bar, clamp, flexible, n)) for n in (12, 24))
    size = np.linalg.norm(frame.reshape(-1, 2, 3), axis=2).repeat(3, axis=1)
    errors = [np.abs((motion - frame) / size).max() for motion in (coarse, fine)]
    assert errors[0] / errors[1] == pytest.approx(4.0, abs=0.6)
    # what is left after extrapolation is the beam's own error: lumped springs in the elastic clamp
    best = fine + (fine - coarse) / 3
    assert np.abs((best - frame) / size).max() < (4e-6 if clamp_model == "rigid" else 5e-5)
