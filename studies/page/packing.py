"""Arrays as short texts that a page carries: quantised, differenced, shuffled, deflated, base64.

A column of reals becomes whole steps of (largest - smallest)/65535 above the smallest, so a value
read back is off by half a step at most; nothing is lost of whole numbers. Neighbouring nodes have
neighbouring values, so their differences are small; with the high bytes of all of them put before
the low ones, deflate finds long runs. `web/decode.js` reads them, and `reals_in` here.
"""

import zlib
from base64 import b64decode, b64encode
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Floats, Ints

STEPS = 65535
"""Steps of a quantised column: 16 bits."""

DEFLATED = 7
"""Level of deflate. 9 takes four times as long, for 0.3 % of the size."""


def packed_reals(values: Floats, finest: float = 0.0) -> dict[str, Any]:
    """Return reals (n,) or (n, k) as JSON can hold them, 16 bits each.

    The keys: `rows`, `columns`; `low` and `step` of each column; `bytes` a number; `data`.

    Args:
        values: The reals.
        finest: Finest step that is shown; what needs fewer than 16 bits packs better.

    Raises:
        ValueError: A value is not finite.
    """
    table = np.asarray(values, dtype=np.float64).reshape(len(values), -1)
    if not np.isfinite(table).all():
        raise ValueError("a page can hold finite numbers only")
    low, high = table.min(axis=0), table.max(axis=0)
    # a span too small to be divided counts as none
    step = np.maximum((high - low) / STEPS, finest)
    step = np.where(step > 0, step, 1.0)
    whole = np.rint((table - low) / step).astype(np.uint16)
    return {"low": low.tolist(), "step": step.tolist(), **_packed(whole)}


def packed_whole(values: Ints) -> dict[str, Any]:
    """Return whole numbers from 0 to 2^32 - 1, (n,) or (n, k), as JSON can hold them."""
    return _packed(np.asarray(values).reshape(len(values), -1).astype(np.uint32))


def reals_in(packed: Mapping[str, Any]) -> Floats:
    """Return (rows, columns): reals that `packed_reals` packed, off by half a step at most."""
    kind = np.dtype(f"<u{packed['bytes']}")
    shuffled = np.frombuffer(zlib.decompress(b64decode(packed["data"])), dtype=np.uint8)
    changes = np.ascontiguousarray(shuffled.reshape(packed["bytes"], -1).T).view(kind)
    whole = np.cumsum(changes.reshape(packed["columns"], packed["rows"]), axis=1, dtype=kind)
    values: Floats = np.array(packed["low"]) + np.array(packed["step"]) * whole.T
    return values


def _packed(whole: NDArray[Any]) -> dict[str, Any]:
    rows, columns = whole.shape
    down = whole.T
    # unsigned differences wrap round, and so does the sum that undoes them
    changes = np.diff(down, axis=1, prepend=np.zeros((columns, 1), dtype=whole.dtype))
    little = np.ascontiguousarray(changes.astype(whole.dtype.newbyteorder("<")))
    shuffled = little.view(np.uint8).reshape(-1, whole.itemsize).T
    deflated = zlib.compress(np.ascontiguousarray(shuffled).tobytes(), DEFLATED)
    text = b64encode(deflated).decode("ascii")
    return {"rows": rows, "columns": columns, "bytes": whole.itemsize, "data": text}
