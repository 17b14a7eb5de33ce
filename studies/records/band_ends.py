"""How the changes by single inputs add up to a band.

An input that is put to both ends of its interval tells what it leaves to either side, any other the
same to both by its mirror image. Inputs are independent, so squares add up.

Source: JCGM 100:2008, law of propagation of uncertainty, from memory.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from geometry.arrays import Floats
from loadcases.uncertainty import Input

Sides = Mapping[Input, Floats]


def sides(inputs: Sequence[Input], changes: Sequence[Floats]) -> tuple[Sides, Sides]:
    """Return what each input leaves downwards and upwards (n,), both positive.

    Args:
        inputs: Which was moved, one for each change.
        changes: (n,) of each.

    Source: module docstring.
    """
    down, up = dict[Input, Floats](), dict[Input, Floats]()
    for name in dict.fromkeys(inputs):
        own = [change for one, change in zip(inputs, changes, strict=True) if one == name]
        both = own if len(own) > 1 else [own[0], -own[0]]
        down[name] = np.maximum(0.0, np.max([-one for one in both], axis=0))
        up[name] = np.maximum(0.0, np.max(both, axis=0))
    return down, up


def joined(parts: Sides) -> Floats:
    """Return the root of the sum of squares of what all inputs leave (n,).

    Source: module docstring.
    """
    result: Floats = np.sqrt(np.sum([part**2 for part in parts.values()], axis=0))
    return result
