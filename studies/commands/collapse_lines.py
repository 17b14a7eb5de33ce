"""The lines of `barwright collapse` on paths past yield."""

from collections.abc import Iterator, Sequence

from studies.records.case import CaseRecord


def collapse_lines(case: CaseRecord) -> Iterator[str]:
    """Yield what a case's path says; nothing where it has none."""
    path = case.collapse
    if path is None:
        return
    yield (
        f"Past yield, elastic-plastic, large displacements (mesh {path.mesh_level}, {path.layers} "
        f"layers, solver {path.solver}):"
    )
    yield from (f"  {line}" for line in path.text)
    yield f"  {path.ended}"
    yield f"  {path.flow_curve}"


def path_cautions(cases: Sequence[CaseRecord]) -> list[str]:
    """Return the cautions of all paths, each once."""
    every = (line for case in cases if case.collapse for line in case.collapse.cautions)
    return list(dict.fromkeys(every))
