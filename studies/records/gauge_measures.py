"""What gauges read, as measures of a case like any other."""

from collections.abc import Iterable

from loadcases.gauges import GaugeKind
from studies.records.case import CaseRecord
from studies.records.measures import Measure

_SUFFIX: dict[GaugeKind, str] = {"dial": "mm", "strain": "um_per_m"}
_UNIT: dict[GaugeKind, str] = {"dial": "mm", "strain": "µm/m"}
_DECIMALS: dict[GaugeKind, int] = {"dial": 3, "strain": 0}


def gauge_measure(name: str, kind: GaugeKind) -> Measure:
    """Return the measure of a gauge; its key is `gauge:`, the gauge's name, and its unit.

    Which way a reading is better is for the user to say.
    """

    def read(case: CaseRecord) -> float | None:
        found = (one.reading for one in case.gauges if (one.name, one.kind) == (name, kind))
        return next(found, None)

    key, words = gauge_key(name, kind), f"{name}, {_UNIT[kind]}"
    return Measure(key, words, _DECIMALS[kind], "", read)


def gauge_key(name: str, kind: GaugeKind) -> str:
    """Return the key of a gauge's measure."""
    return f"gauge:{name}_{_SUFFIX[kind]}"


def gauge_measures_of(cases: Iterable[CaseRecord | None]) -> tuple[Measure, ...]:
    """Return a measure for each gauge that any of some cases reads, in order of appearance."""
    gauges = dict.fromkeys((one.name, one.kind) for case in cases if case for one in case.gauges)
    return tuple(gauge_measure(*each) for each in gauges)
