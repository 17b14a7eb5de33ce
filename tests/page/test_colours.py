"""Colours that tell sizes and signs in grey print and to colour-blind eyes."""

import re
from importlib.resources import files

import numpy as np
import pytest

from studies.pictures.palette import ramp, rgb, signed_ramp

LEAST_CONTRAST = 4.5
"""Of text to what is behind it; WCAG 2.2, 1.4.3, from memory, unverified."""


def _luminance(colours: np.ndarray) -> np.ndarray:
    """Return relative luminance of sRGB (..., 3); sRGB, IEC 61966-2-1."""
    linear = np.where(colours <= 0.04045, colours / 12.92, ((colours + 0.055) / 1.055) ** 2.4)
    return linear @ np.array([0.2126, 0.7152, 0.0722])


def _lightness(colours: np.ndarray) -> np.ndarray:
    """Return CIE L* of sRGB (..., 3)."""
    y = _luminance(colours)
    return np.where(y > (6 / 29) ** 3, 116 * np.cbrt(y) - 16, y * (29 / 3) ** 3)


def _contrast(first: str, second: str) -> float:
    low, high = sorted(float(_luminance(rgb(colour))) for colour in (first, second))
    return (high + 0.05) / (low + 0.05)


def _rules() -> str:
    return (files("studies.page.web") / "page.css").read_text(encoding="utf-8")


@pytest.mark.parametrize("shares", [np.linspace(0, 1, 50), np.linspace(0, -1, 50)])
def test_size_is_lightness_on_both_sides(shares: np.ndarray) -> None:
    """Away from zero the signed ramp darkens evenly: within a unit of a straight line."""
    lightness = _lightness(signed_ramp(shares))
    straight = np.linspace(lightness[0], lightness[-1], len(shares))
    assert (np.diff(lightness) < 0).all()
    assert np.abs(lightness - straight).max() < 2.5


def test_both_signs_are_equally_dark() -> None:
    """A compression reads as large as a tension of its size."""
    share = np.linspace(0, 1, 20)
    off = _lightness(signed_ramp(share)) - _lightness(signed_ramp(-share))
    assert np.abs(off).max() < 3


def test_the_sign_is_in_blue_against_yellow() -> None:
    """Red-green blind eyes keep that difference: blue less red and green changes its sign."""
    ends = signed_ramp(np.array([-1.0, -0.5, 0.5, 1.0]))
    warmth = ends[:, :2].mean(axis=1) - ends[:, 2]
    assert (warmth[:2] > 0.1).all()
    assert (warmth[2:] < -0.1).all()


def test_the_plain_ramp_darkens_all_the_way() -> None:
    """More is darker, in print too."""
    assert (np.diff(_lightness(ramp(np.linspace(0, 1, 100)))) < 0).all()


def test_designs_differ_by_more_than_colour() -> None:
    """Each design's line has dashes of its own, and its tag's white letter can be read."""
    rules = _rules()
    own = dict(re.findall(r"\.design-([A-H]) \{ --own: (#[0-9a-f]{6}); \}", rules))
    assert sorted(own) == list("ABCDEFGH")
    for colour in own.values():
        assert _contrast(colour, "#ffffff") >= LEAST_CONTRAST
    dashes = re.findall(r"\.line\.design-[B-H] \{ stroke-dasharray: ([\d ]+); \}", rules)
    assert len(set(dashes)) == 7


@pytest.mark.parametrize("name", ["ink", "faint", "load", "accent"])
def test_text_can_be_read_on_screen_and_on_paper(name: str) -> None:
    """On the page's own ground and on white."""
    found = re.search(rf"--{name}: (#[0-9a-f]{{6}})", _rules())
    assert found
    for ground in ("#fbfaf7", "#ffffff"):
        assert _contrast(found[1], ground) >= LEAST_CONTRAST
