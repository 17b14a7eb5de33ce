"""A tube in pure bending as one section that flattens: written for the tests, shares nothing.

The middle line of the section moves by w outward and v along, both as sums of harmonics; normals
stay normal and as long as they are, plane sections stay plane. A point at height y above the axis
stretches along the tube by 1 + k y and round it by the ratio of its arcs. Strains are logarithmic,
the wall is in plane stress, the metal flows by von Mises with isotropic hardening. Virtual work of
a unit of length gives the harmonics at each curvature k, and the moment as what does work on it.

Source: after Kyriakides & Shaw, Int. J. Solids Struct. 18 (1982) 957-973, from memory; their
small-strain kinematics are replaced by the arcs themselves.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats

HARMONICS, ROUND, THROUGH = 8, 40, 6
COMPLEX_STEP, DIFFERENCE = 1e-30, 1e-7


@dataclass(frozen=True)
class Tube:
    """A tube of a metal with strain = stress/E + 0.002 (stress/F02)^n, true and logarithmic."""

    mean_radius: float
    wall: float
    youngs_mpa: float
    ratio: float
    proof_mpa: float
    exponent: float


@dataclass(frozen=True, eq=False)
class Memory:
    """Plastic strain along, round and equivalent at the points of the half ring."""

    along: Floats
    round: Floats
    equivalent: Floats


@dataclass(frozen=True, eq=False)
class _Rule:
    """Places round the half ring, through the wall, and the area that each pair stands for."""

    theta: Floats
    z: Floats
    area: Floats


def moments(tube: Tube, curvatures: Sequence[float]) -> Iterator[tuple[float, float]]:
    """Yield moment of the whole section and loss of height over mean diameter at each curvature."""
    rule = _rule(tube)
    shape = np.zeros(2 * HARMONICS + 1)
    none = np.zeros((ROUND, THROUGH))
    memory = Memory(none, none, none)
    for curvature in curvatures:
        shape = _balanced(tube, rule, shape, curvature, memory)
        strains = _strains(tube, rule, shape, curvature)
        stress, memory = _flowed(tube, strains, memory)
        raised = _slope(lambda k, c=shape: _strains(tube, rule, c, k), curvature)
        moment = 2 * float(np.sum(rule.area * (stress[0] * raised[0] + stress[1] * raised[1])))
        yield moment, _flattening(tube, shape)


def _rule(tube: Tube) -> _Rule:
    x, wx = np.polynomial.legendre.leggauss(THROUGH)
    z = tube.wall / 2 * x
    theta = (np.arange(ROUND) + 0.5) * np.pi / ROUND
    area = np.outer(np.full(ROUND, np.pi / ROUND), tube.wall / 2 * wx * (tube.mean_radius + z))
    return _Rule(theta, z, area)


def _strains(
    tube: Tube, rule: _Rule, shape: Floats, curvature: float | complex
) -> tuple[Floats, Floats]:
    """Return the logarithmic strains along and round at (ROUND, THROUGH) points."""
    n, theta = np.arange(HARMONICS + 1), rule.theta[:, None]
    a, b = shape[: HARMONICS + 1], np.append(0.0, shape[HARMONICS + 1 :])
    cos, sin = np.cos(n * theta), np.sin(n * theta)
    out = [tube.mean_radius + cos @ a, -(sin * n) @ a, -(cos * n**2) @ a]
    side = [sin @ b, (cos * n) @ b, -(sin * n**2) @ b]
    c, s = np.cos(rule.theta), np.sin(rule.theta)
    # in the turning axes (out, along): place, its slope and its bend over theta
    slope = out[1] - side[0], out[0] + side[1]
    bend = out[2] - 2 * side[1] - out[0], side[2] + 2 * out[1] - side[0]
    length = np.sqrt(slope[0] ** 2 + slope[1] ** 2)
    turn = (slope[0] * bend[1] - slope[1] * bend[0]) / length**2
    height = out[0] * c - side[0] * s
    # outward normal: the slope turned back by a right angle
    normal = (slope[1] * c + slope[0] * s) / length
    along = 1 + curvature * (height[:, None] + np.outer(normal, rule.z))
    arc = (length[:, None] + np.outer(turn, rule.z)) / (tube.mean_radius + rule.z)
    return np.log(along), np.log(arc)


def _balanced(tube: Tube, rule: _Rule, shape: Floats, curvature: float, memory: Memory) -> Floats:
    for _ in range(30):
        left = _unbalanced(tube, rule, shape, curvature, memory)
        matrix = np.empty((len(shape), len(shape)))
        for i in range(len(shape)):
            step = np.zeros_like(shape)
            step[i] = DIFFERENCE
            more = _unbalanced(tube, rule, shape + step, curvature, memory)
            less = _unbalanced(tube, rule, shape - step, curvature, memory)
            matrix[:, i] = (more - less) / (2 * DIFFERENCE)
        change = np.linalg.solve(matrix, -left)
        shape = shape + change
        if np.abs(change).max() < 1e-9 * tube.mean_radius:
            return shape
    raise ArithmeticError("the ring does not come to balance")


def _unbalanced(tube: Tube, rule: _Rule, shape: Floats, curvature: float, memory: Memory) -> Floats:
    stress, _ = _flowed(tube, _strains(tube, rule, shape, curvature), memory)
    forces = np.empty_like(shape)
    for i in range(len(shape)):
        step = np.zeros(len(shape), dtype=complex)
        step[i] = 1j * COMPLEX_STEP
        moved = [part.imag / COMPLEX_STEP for part in _strains(tube, rule, shape + step, curvature)]
        forces[i] = np.sum(rule.area * (stress[0] * moved[0] + stress[1] * moved[1]))
    return forces


def _slope(strains, curvature: float) -> list[Floats]:
    return [part.imag / COMPLEX_STEP for part in strains(curvature + 1j * COMPLEX_STEP)]


def _flowed(
    tube: Tube, strains: tuple[Floats, Floats], memory: Memory
) -> tuple[tuple[Floats, Floats], Memory]:
    """Return plane stress along and round, by sum and difference, and the new memory."""
    E, nu = tube.youngs_mpa, tube.ratio
    first, second = strains[0] - memory.along, strains[1] - memory.round
    sums, differences = E / (1 - nu) * (first + second), E / (1 + nu) * (first - second)

    def size(step: Floats) -> tuple[Floats, Floats, Floats]:
        """Return sum, difference and von Mises stress after a plastic step times 1/q."""
        total = sums / (1 + E / (2 * (1 - nu)) * step)
        apart = differences / (1 + 3 * E / (2 * (1 + nu)) * step)
        return total, apart, np.sqrt((total**2 + 3 * apart**2) / 4)

    # the step over q, between none and more than enough, by halving
    low = np.zeros_like(sums)
    high = 2 * np.abs(first) + 2 * np.abs(second) + 1e-12
    high = high / (1e-6 * tube.proof_mpa)
    for _ in range(90):
        middle = (low + high) / 2
        *_, q = size(middle)
        plastic = memory.equivalent + middle * q
        over = q > tube.proof_mpa * (plastic / 0.002) ** (1 / tube.exponent)
        low, high = np.where(over, middle, low), np.where(over, high, middle)
    total, apart, q = size(low)
    grown = Memory(
        memory.along + low * (total / 4 + 3 * apart / 4),
        memory.round + low * (total / 4 - 3 * apart / 4),
        memory.equivalent + low * q,
    )
    return ((total + apart) / 2, (total - apart) / 2), grown


def _flattening(tube: Tube, shape: Floats) -> float:
    signs = (-1.0) ** np.arange(HARMONICS + 1)
    out = shape[: HARMONICS + 1]
    return float(-(out.sum() + (signs * out).sum()) / (2 * tube.mean_radius))
