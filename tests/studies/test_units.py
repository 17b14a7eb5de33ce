"""Inch units beside SI in words: factors, digits, what is a quantity and what is none."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fea.fatigue.curve import MPA_PER_KSI
from studies.records.units import (
    COUNTERPARTS,
    beside,
    counterpart,
    counterparts,
    replaced,
    unit_at_end,
)

ONE = {
    "mm": 25.4, "mm²": 645.16, "mm³": 16387.064, "mm⁴": 416231.4256, "cm³": 16.387064,
    "N": 4.4482216152605, "kN": 4.4482216152605e-3, "MPa": MPA_PER_KSI, "GPa": MPA_PER_KSI / 1000,
    "N/mm": 0.17512683524647636, "N/mm³": 2.71447137526e-4, "N·m": 1.3558179483314,
    "N m": 1.3558179483314, "mm/kN": 25400 / 4.4482216152605, "1/m": 1 / 0.3048,
    "g": 28.349523125, "kg": 0.45359237,
}  # fmt: skip
"""One inch unit in SI; N·m and N/mm as NIST SP 811 prints them, from memory, unverified."""


def test_factors_are_those_of_the_units() -> None:
    """Every unit has one, to the digits that are known of it."""
    assert set(ONE) == set(COUNTERPARTS)
    for unit, (_, factor) in COUNTERPARTS.items():
        assert factor == pytest.approx(ONE[unit], rel=1e-6)


numbers = st.builds(
    lambda value, decimals: f"{value:.{decimals}f}",
    st.floats(-1e6, 1e6),
    st.integers(0, 5),
)


@given(numbers, st.sampled_from(sorted(COUNTERPARTS)))
def test_a_counterpart_agrees_within_its_last_digit(number: str, unit: str) -> None:
    """And has as many significant digits as the figure, at least three."""
    other = counterpart(number, unit)
    bare = other.replace(" ", "").lstrip("+")
    decimals = len(bare.partition(".")[2])
    exact = float(number) / ONE[unit]
    figures = len(re.sub(r"\D", "", number).lstrip("0"))
    last = 10**-decimals if "." in bare else 10 ** max(0, len(bare.lstrip("-")) - max(3, figures))
    assert abs(float(bare) - exact) <= 0.5001 * last + 2e-6 * abs(exact)
    if float(number) != 0:
        digits = re.sub(r"\D", "", bare).lstrip("0")
        assert max(3, figures) <= len(digits) or "." not in bare


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("peak 362 MPa at", "peak 362 MPa (52.5 ksi) at"),
        ("right 93 to 222 mm, underside", "right 93 to 222 mm (3.66 to 8.74 in), underside"),
        ("220 and 280 N, then", "220 and 280 N (49.5 and 62.9 lbf), then"),
        ("force (0, 0, -1000) N; d", "force (0, 0, -1000) N (0, 0, -224.8 lbf); d"),
        ("blended over ±5 mm", "blended over ±5 mm (±0.197 in)"),
        ("wall 1.600 ± 0.020 mm", "wall 1.600 ± 0.020 mm (0.06299 ± 0.000787 in)"),
        ("-0.50 mm, +1.25 mm", "-0.50 mm (-0.0197 in), +1.25 mm (+0.0492 in)"),
        ("5 N·m, 60 N m", "5 N·m (3.69 lbf·ft), 60 N m (44.3 lbf·ft)"),
        ("69.5 N/mm; 297 g", "69.5 N/mm (397 lbf/in); 297 g (10.5 oz)"),
        ("0 mm", "0 mm (0 in)"),
    ],
)
def test_a_quantity_has_its_counterpart_behind_it(text: str, said: str) -> None:
    """Numbers, ranges, vectors and signs."""
    assert beside(text) == said


@pytest.mark.parametrize(
    "text",
    [
        "case 1, 100 000 cycles", "D/t 14.5", "four M5", "TBIS 4210-5:2016, cl. 4.3",
        "0.2 % strain", "18 deg forward", "3 Nails", "12 mmHg", "2.4e3 x load",
        "bar 60", "900 µm/m", "v5 N",
    ],
)  # fmt: skip
def test_what_is_no_quantity_stays(text: str) -> None:
    """Words that begin like a unit, units that both systems share, names with numbers."""
    assert beside(text) == text


def test_cells_and_heads() -> None:
    """A cell of numbers, a label's unit, a place below a place."""
    assert counterparts("0  0  -1000", "N") == "0  0  -224.8"
    assert counterparts("R 142.0", "mm") == "R 5.591"
    assert replaced("right 142 mm, underside") == "right 5.59 in, underside"
    assert [unit_at_end(one) for one in ("along tube\nmm", "x mm", "mm", "wall", "I\nmm⁴")] == [
        "mm", "mm", "mm", None, "mm⁴",
    ]  # fmt: skip
