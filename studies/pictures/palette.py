"""The colours of every picture: one sequential ramp and a few of our own for marks.

The ramp is linear in lightness from pale to dark (CIE L* 92 to 22), so it reads in grey print
and by colour-blind eyes, while hue runs from sage over teal and blue to plum.

Source: CIE 1976 L*a*b*, D65, and sRGB (IEC 61966-2-1); constants from memory, checked by test.
"""

from functools import cache

import numpy as np
from scipy.interpolate import CubicSpline

from geometry.arrays import Floats

PAPER, INK, FAINT = "#fbfaf7", "#20242b", "#6b7078"
LOAD, SLEEVE, GHOST, LINE = "#b4471c", "#9aa0a8", "#c9c6bd", "#8d9096"
REACTION = "#2458a6"
"""Of supports: blue beside the loads' brown, which colour-blind eyes tell apart too."""
BAND = "#e3d9c8"
"""Of what inputs leave of a path, at 95 %: pale, for lines lie on it."""
BESIDE = "#2f6d4f"
"""Of a second curve beside a graph's own."""

LIGHTNESS = (92.0, 22.0)
STOPS = (0.0, 0.5, 1.0)
CHROMA = (14.0, 30.0, 34.0)
HUE_DEG = (150.0, 228.0, 330.0)

RAMP_STEPS = 2**12
"""Far finer than the 256 levels of a screen."""

SIGNED_LIGHTNESS, SIGNED_CHROMA = (95.0, 36.0), 36.0
SIGNED_HUE_DEG = (55.0, 258.0)
"""Hues of what is below and above zero: compression and tension."""

WHITE = np.array([0.95047, 1.0, 1.08883])
XYZ_TO_RGB = np.array(
    [
        [3.2404542, -1.5371385, -0.4985314],
        [-0.9692660, 1.8760108, 0.0415560],
        [0.0556434, -0.2040259, 1.0572252],
    ]
)


def ramp(share: Floats) -> Floats:
    """Return sRGB colours (..., 3) in [0, 1] of shares (...,) from 0 (pale) to 1 (dark)."""
    share = np.clip(np.asarray(share, dtype=float), 0.0, 1.0)
    result: Floats = _ramp()[np.rint(share * RAMP_STEPS).astype(int)]
    return result


@cache
def _ramp() -> Floats:
    """Return (RAMP_STEPS + 1, 3): the colours from 0 to 1."""
    share = np.linspace(0, 1, RAMP_STEPS + 1)
    # smooth in between, or the eye sees bands at the stops
    hue = np.radians(CubicSpline(STOPS, HUE_DEG)(share))
    chroma = CubicSpline(STOPS, CHROMA)(share)
    lightness = LIGHTNESS[0] + (LIGHTNESS[1] - LIGHTNESS[0]) * share
    return lab_to_rgb(np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1))


def signed_ramp(share: Floats) -> Floats:
    """Return sRGB colours (..., 3) of shares from -1 (brown) over 0 (pale) to 1 (blue).

    Lightness falls evenly and alike to both sides, so size reads in grey and hue is the sign.
    """
    share = np.clip(np.asarray(share, dtype=float), -1.0, 1.0)
    size = np.abs(share)
    lightness = SIGNED_LIGHTNESS[0] + (SIGNED_LIGHTNESS[1] - SIGNED_LIGHTNESS[0]) * size
    chroma = SIGNED_CHROMA * np.sin(np.pi / 2 * np.minimum(1.4 * size, 1.0))
    hue = np.radians(np.where(share < 0, *SIGNED_HUE_DEG))
    return lab_to_rgb(np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1))


def lab_to_rgb(lab: Floats) -> Floats:
    """Return sRGB colours (..., 3) of CIE L*a*b* colours (..., 3), clipped to what screens show."""
    base = (lab[..., 0] + 16) / 116
    f = np.stack([base + lab[..., 1] / 500, base, base - lab[..., 2] / 200], axis=-1)
    xyz = WHITE * np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29))
    linear = np.clip(xyz @ XYZ_TO_RGB.T, 0.0, 1.0)
    result: Floats = np.where(
        linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055
    )
    return result


def written(colour: Floats) -> str:
    """Return a colour (3,) in [0, 1] as #rrggbb."""
    return "#" + "".join(f"{round(255 * float(part)):02x}" for part in colour)


def rgb(colour: str) -> Floats:
    """Return (3,) in [0, 1] of a colour written #rrggbb."""
    return np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
