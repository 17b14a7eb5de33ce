"""Names for the array types that every package passes around."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]
Ints = NDArray[np.integer[Any]]
Flags = NDArray[np.bool_]
