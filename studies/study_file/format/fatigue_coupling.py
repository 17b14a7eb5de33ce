"""From the fatigue tables of a study to the inputs of the assessment."""

from collections.abc import Iterable

from loadcases.fatigue_inputs import (
    CLAMP_EDGE_SOURCE,
    OWN_FATIGUE_SOURCE,
    RELIABILITY_SOURCE,
    FatigueInputs,
    SpectrumEntry,
)
from studies.study_file.format.study_tables import FatigueTable, SpectrumTable


def fatigue_inputs_of(table: FatigueTable, spectrum: Iterable[SpectrumTable]) -> FatigueInputs:
    """Return the inputs of the tables; what is left out keeps the source of its default."""
    given = table.model_fields_set
    edge_given, reliability_given = "clamp_edge_factor" in given, "reliability_factor" in given
    return FatigueInputs(
        clamp_edge_factor=table.clamp_edge_factor,
        clamp_edge_source=OWN_FATIGUE_SOURCE if edge_given else CLAMP_EDGE_SOURCE,
        reliability_factor=table.reliability_factor,
        reliability_source=OWN_FATIGUE_SOURCE if reliability_given else RELIABILITY_SOURCE,
        spectrum=tuple(map(spectrum_entry_of, spectrum)),
    )


def spectrum_entry_of(table: SpectrumTable) -> SpectrumEntry:
    """Return a stage of the spectrum."""
    return SpectrumEntry(table.case, table.cycles, table.scale)
