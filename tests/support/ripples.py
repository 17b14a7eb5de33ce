"""Half a slice of a long rippled tube, from a place where the wall is in to the next one out."""

from collections.abc import Callable

from fea.collapse.imperfection import Stretch, half_wave_mm, ripple
from geometry.arrays import Floats
from support.blocks import Block
from support.pure_bending import half_slice
from support.systems import metal
from support.tubes import straight_bar

LONG, AWAY = 20, 4
"""Half waves in the bar that the ripples are taken from, and from its clamp to the slice."""


def rippled_slice(
    mean_radius: float, wall: float, ratio: float, percent: float, counts: tuple[int, int, int]
) -> Block:
    """Return half a slice, half a wave long, with ripples of so many percent of the wall."""
    out, length = ripples(mean_radius, wall, ratio, percent)
    return half_slice(mean_radius, wall, length, counts, out)


def ripples(
    mean_radius: float, wall: float, ratio: float, percent: float
) -> tuple[Callable[[Floats], Floats], float]:
    """Return how far out the wall is over z, and the half wave."""
    waves = LONG * 2 * (mean_radius * wall) ** 0.5
    bar = straight_bar(waves, 2 * mean_radius + wall, wall, metal(1.0, ratio))
    rippling = (Stretch(0.0, waves),)
    half = float(half_wave_mm(bar, bar.line.breaks_mm[:1])[0])
    return lambda z: percent / 100 * wall * ripple(bar, rippling, AWAY * half + z), half
