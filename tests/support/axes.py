"""Numbers read off a drawn axis."""

from collections.abc import Sequence

import numpy as np

from studies.page.chart import Tick


def read_off(ticks: Sequence[Tick], places: Sequence[float]) -> np.ndarray:
    """Return the values at places of a drawing, by the words of an axis's ends alone."""
    ends = ticks[0], ticks[-1]
    values = [float(tick.words.replace("\u2212", "-")) for tick in ends]
    share = (np.array(places) - ends[0].at) / (ends[1].at - ends[0].at)
    return values[0] + share * (values[1] - values[0])
