"""One input fitted by itself to a record: against powers whose answer is known."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pytest
from numpy.random import Generator

from loadcases.uncertainty import Input
from studies.bench.against import Compared
from studies.bench.calibration import Calibration, calibrated
from studies.bench.interval import Measured
from studies.records.band import BandRecord, VariedRecord

VALUES = {"stiffness": 180.0, "offset_load 1": 4200.0, "limit_load": 5100.0}
POWERS: Mapping[Input, tuple[float, float, float]] = {
    "wall": (1.0, 1.3, 1.4),
    "proof stress": (0.0, 0.9, 1.0),
    "modulus": (1.0, 0.1, 0.0),
}
"""Of the three figures in each input: of the kind that a bent bar has."""

WITHIN: Mapping[Input, float] = {"wall": 0.05, "proof stress": 0.10, "modulus": 0.02}


def band(within: Mapping[Input, float]) -> BandRecord:
    """Return the band of a path whose inputs were moved to the ends of their intervals."""
    return varied([(name, 1 + width) for name, width in within.items()])


def varied(inputs: Sequence[tuple[Input, float]]) -> BandRecord:
    """Return a band of inputs and factors on them."""
    paths = [
        VariedRecord(input=name, factor=factor, evidence="", load_n=[], figures={})
        for name, factor in inputs
    ]
    return BandRecord.model_construct(varied=paths)


def rows(
    measured: Mapping[str, float],
    share: float,
    friction: float = 0.0,
    within: Mapping[Input, float] = WITHIN,
) -> list[Compared]:
    """Return a record beside the prediction, within shares of each figure by itself, and of all."""
    return [
        Compared(
            key,
            "N/mm" if key == "stiffness" else "N",
            Measured(measured[key], {"fit": share * value, "friction": friction * value}),
            value,
            tuple(moved(name, 1 + width)[key] for name, width in within.items()),
            (0.9 * value, 1.1 * value),
        )
        for key, value in VALUES.items()
        if key in measured
    ]


def fitted(
    measured: Mapping[str, float], share: float = 0.005, within: Mapping[Input, float] = WITHIN
) -> Calibration:
    """Return the calibration of a record."""
    found = calibrated(rows(measured, share, 0.0, within), band(within), block=False)
    assert found
    return found


def moved(name: Input, factor: float) -> dict[str, float]:
    """Return the figures of a bar whose input is another."""
    return {
        key: value * factor**power
        for (key, value), power in zip(VALUES.items(), POWERS[name], strict=True)
    }


@pytest.mark.parametrize("name", list(POWERS))
@pytest.mark.parametrize("share", [-0.8, 0.5, 1.2])
def test_the_input_that_was_moved_is_found(name: Input, share: float) -> None:
    """Its chi2 is nothing, and it comes first, the others kept near their values."""
    factor = 1 + share * WITHIN[name]
    found = fitted(moved(name, factor), within={name: WITHIN[name]} | dict(WITHIN))
    one = next(one for one in found.fits if one.input == name)
    assert one.factor == pytest.approx(factor, rel=2e-3)
    assert one.chi2 < 0.05
    assert one.between[0] is None or one.between[0] < factor
    assert one.between[1] is None or one.between[1] > factor


def test_stiffness_alone_tells_no_input_from_another() -> None:
    """Wall and modulus explain it alike; the proof stress moves nothing, and is not determined."""
    found = fitted({"stiffness": 0.96 * VALUES["stiffness"]})
    assert {"wall", "modulus"} <= set(found.alike)
    proof = next(one for one in found.fits if one.input == "proof stress")
    assert not proof.determined
    rig = found.rig_mm_per_n
    assert rig
    assert rig.value == pytest.approx((1 / 0.96 - 1) / VALUES["stiffness"])


def test_three_figures_tell_strength_from_modulus() -> None:
    """A soft bar of full strength is no weak one."""
    found = fitted(moved("modulus", 0.94), share=0.004)
    assert found.fits[0].input == "modulus"
    assert "proof stress" not in found.alike
    strong = fitted(moved("proof stress", 1.12), share=0.004)
    assert strong.fits[0].input == "proof stress"
    assert "modulus" not in strong.alike


def test_a_block_leaves_no_give_of_the_rig() -> None:
    """Nor is there one where the record is stiffer."""
    softer = rows({"stiffness": 170.0}, 0.01)
    known = calibrated(softer, band(WITHIN), block=True)
    stiffer = calibrated(rows({"stiffness": 190.0}, 0.01), band(WITHIN), block=False)
    assert known
    assert known.rig_mm_per_n is None
    assert stiffer
    assert stiffer.rig_mm_per_n is None


def test_without_band_or_load_there_is_none() -> None:
    """A permanent set alone calibrates nothing."""
    assert calibrated(rows({"stiffness": 170.0}, 0.01), None, block=False) is None
    assert calibrated([], band(WITHIN), block=False) is None


def test_ends_of_a_clamps_stiffness_are_followed_between_them() -> None:
    """Softer and stiffer by other shares: straight in the logarithm of the factor to either."""
    ends = {1 / 3: 0.93, 3.0: 1.03}
    held = varied([("clamp stiffness", factor) for factor in ends])
    others = tuple(share * VALUES["stiffness"] for share in ends.values())
    for factor, share in ends.items():
        value = VALUES["stiffness"] * share**0.5
        one = replace(rows({"stiffness": value}, 1e-3)[0], others=others)
        found = calibrated([one], held, block=False)
        assert found
        assert found.fits[0].factor == pytest.approx(factor**0.5, rel=0.02)


def test_intervals_hold_the_truth() -> None:
    """Of 400 random bars and records: wall and proof stress within theirs in at least 93 of 100.

    All inputs are drawn from their intervals, the record's figures from theirs, friction of the
    seals one for all. Interval of 95 %; 93 leaves two standard deviations of 400 draws.
    """
    rng = np.random.default_rng(77)
    held = {name: [_held(rng, name) for _ in range(400)] for name in ("wall", "proof stress")}
    for name, found in held.items():
        assert np.mean(found) > 0.93, name
        assert np.mean(found) < 0.995, name


def _held(rng: Generator, name: Input) -> bool:
    share, friction = 0.01, 0.01
    # the fitted input may be anything; the others are drawn from their intervals
    inputs = {one: 1 + WITHIN[one] / 2 * rng.standard_normal() for one in POWERS}
    inputs[name] = float(rng.uniform(0.9, 1.1))
    whole = 1 + friction * rng.standard_normal()
    measured = {}
    for number, (key, value) in enumerate(VALUES.items()):
        power = np.prod([inputs[one] ** POWERS[one][number] for one in POWERS])
        measured[key] = float(value * (power * whole + share * rng.standard_normal()))
    found = calibrated(rows(measured, share, friction), band(WITHIN), block=False)
    assert found
    one = next(one for one in found.fits if one.input == name)
    low, high = one.between
    return (low is None or low <= inputs[name]) and (high is None or inputs[name] <= high)
