"""Arrays as a page carries them, read back as its script reads them."""

import base64
import zlib
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from studies.page.packing import STEPS, packed_reals, packed_whole, reals_in


def unpacked(packed: dict[str, Any]) -> np.ndarray:
    """Return (rows, columns) by the steps of web/decode.js, written again from its description."""
    shuffled = np.frombuffer(zlib.decompress(base64.b64decode(packed["data"])), dtype=np.uint8)
    parts = shuffled.reshape(packed["bytes"], -1).astype(np.uint64)
    whole = sum(part << np.uint64(8 * place) for place, part in enumerate(parts))
    changes = np.asarray(whole).reshape(packed["columns"], packed["rows"])
    values = np.cumsum(changes, axis=1, dtype=np.uint64) % 256 ** packed["bytes"]
    if "low" in packed:
        values = np.array(packed["low"])[:, None] + np.array(packed["step"])[:, None] * values
    return values.T


FINITE = st.floats(-1e6, 1e6, allow_nan=False)


@given(arrays(np.float64, st.tuples(st.integers(1, 40), st.integers(1, 4)), elements=FINITE))
def test_reals_come_back_within_half_a_step(values: np.ndarray) -> None:
    """No value of any column is off by more than half a step, and the ends are exact."""
    read = unpacked(packed_reals(values))
    assert read.shape == values.shape
    off = np.abs(read - values).max(axis=0)
    assert (off <= np.ptp(values, axis=0) / STEPS / 2 * (1 + 1e-6) + 1e-9).all()
    assert read.min(axis=0) == pytest.approx(values.min(axis=0), abs=1e-9)


@given(arrays(np.float64, st.tuples(st.integers(1, 40), st.integers(1, 4)), elements=FINITE))
def test_reals_are_read_here_as_by_the_page(values: np.ndarray) -> None:
    """A comparison draws from what a page carries: the same numbers as by the description."""
    packed = packed_reals(values)
    assert reals_in(packed) == pytest.approx(unpacked(packed), rel=1e-12, abs=1e-9)


@given(arrays(np.float64, st.integers(2, 40), elements=st.floats(-1, 1)), st.floats(1e-4, 0.1))
def test_nothing_finer_than_asked_is_stored(values: np.ndarray, finest: float) -> None:
    """What comes back is off by half the finest step at most, in whole such steps."""
    packed = packed_reals(values, finest)
    assert packed["step"][0] >= finest
    off = np.abs(unpacked(packed)[:, 0] - values).max()
    assert off <= max(finest, np.ptp(values) / STEPS) / 2 * (1 + 1e-6)


@given(
    arrays(
        np.int64,
        st.tuples(st.integers(1, 40), st.integers(1, 8)),
        elements=st.integers(0, 2**32 - 1),
    )
)
def test_whole_numbers_come_back_exactly(values: np.ndarray) -> None:
    """Nothing is lost of whole numbers, whatever jumps from one to the next."""
    assert (unpacked(packed_whole(values)) == values).all()


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
def test_what_is_not_finite_is_refused(bad: float) -> None:
    """JSON has no word for it, and a browser would draw nothing."""
    with pytest.raises(ValueError, match="finite"):
        packed_reals(np.array([0.0, bad]))
