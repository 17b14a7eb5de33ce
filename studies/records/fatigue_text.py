"""A fatigue record in words: what its range says, and its factors and lives with both ends."""

from fea.fatigue.curve import GREATEST_LIFE
from fea.fatigue.result import Decision
from studies.records.fatigue import FatigueRecord, FatigueSiteRecord
from studies.records.places import grouped, rounded_cycles

BRIEF = {
    Decision.NO_CRACK: "no crack expected, to be tested",
    Decision.CRACK: "crack expected",
    Decision.OPEN: "not decided",
}


def decision_text(fatigue: FatigueRecord) -> str:
    """Return what the range says of the cycles required, as a sentence."""
    within = f"within {grouped(fatigue.cycles)} cycles"
    if fatigue.decided is None:
        return f"Fatigue not judged, {within}."
    return {
        Decision.NO_CRACK: f"No crack expected {within} even at the careful end; test it.",
        Decision.CRACK: f"A crack is expected {within} even at the favourable end.",
        Decision.OPEN: f"Not decided by this model {within}; test it.",
    }[Decision(fatigue.decided)]


def brief_decision(fatigue: FatigueRecord) -> str:
    """Return the same in a few words."""
    return BRIEF[Decision(fatigue.decided)] if fatigue.decided else "not judged"


def factor_text(one: FatigueRecord | FatigueSiteRecord) -> str:
    """Return the range of a factor: `0.95 to 1.46 x load`."""
    if one.factor_range is None:
        return "no factor given"
    low, high = (f"{end:.2f}" for end in one.factor_range)
    return f"{low} to {high} x load" if low != high else f"{low} x load"


def life_text(one: FatigueRecord | FatigueSiteRecord) -> str:
    """Return the range of a life: `60 000 to 2 300 000 cycles (middle 520 000)`, or why none."""
    if one.life_range_cycles is None or one.life_cycles is None:
        return "not computed: no life curve of this material"
    low, high = one.life_range_cycles
    if low == high:
        return f"{_cycles(low)} cycles"
    middle = f" (middle {_cycles(one.life_cycles)})"
    return f"{_cycles(low)} to {_cycles(high)} cycles{middle}"


def brief_life(one: FatigueRecord | FatigueSiteRecord) -> str:
    """Return the range of a life without its middle: `60 000 to 2 300 000`, or that it has none."""
    return life_text(one).partition(" cycles")[0].partition(":")[0]


def _cycles(cycles: float) -> str:
    if cycles == 0:
        return "under 1 000"
    return f"over {grouped(GREATEST_LIFE)}" if cycles >= GREATEST_LIFE else rounded_cycles(cycles)
