"""What `barwright run` prints for a reviewer."""

from collections.abc import Iterator
from pathlib import Path

from rich.table import Table
from rich.text import Text

from studies.commands.output import indented, printable, show, table
from studies.records import CaseRecord, ResultsRecord


def print_run(record: ResultsRecord, folder: Path) -> None:
    """Print a table over all cases, then each case's particulars, then the cautions."""
    show(Text(printable(f"{record.study.name}: {record.study.title}"), style="bold"))
    show(*(indented(line) for line in _heading(record)), "")
    show(_answers(record), "")
    shared = _shared_cautions(record)
    for case in record.cases:
        show(Text(printable(f"{case.id}: {case.title}"), style="bold"))
        own = [caution for caution in case.cautions if caution not in shared]
        show(*(indented(line) for line in (*_particulars(case), *_dashed(own))), "")
    show(Text("Cautions for every case", style="bold"))
    show(*(indented(line) for line in _dashed([*record.warnings, *shared])), "")
    show(f"Results in {folder}")


def _heading(record: ResultsRecord) -> Iterator[str]:
    bar, mesh = record.bar, record.study.mesh
    yield f"{bar.name}, {bar.material}, {bar.mass_g:.0f} g, {bar.end_to_end_mm:.0f} mm end to end"
    yield (
        f"Clamp {record.clamp.width_mm:g} mm, {record.clamp.grip} grip; mesh {mesh.level}, "
        f"{mesh.dofs} degrees of freedom, solver {record.study.solver}"
    )


def _answers(record: ResultsRecord) -> Table:
    made = table(
        "Answers. Beam: the frame with plain and with flexible bends, independent of the mesh",
        "case",
        "deflection\nmm",
        "beam\nmm",
        "stiffness\nN/mm",
        "peak\nMPa",
        "factor to\nyield",
        "factor to\nultimate",
        words=1,
    )
    for column in made.columns:
        column.no_wrap = True
    for case in record.cases:
        plain, flexible = case.beam.deflection_mm
        stiffness = case.stiffness_n_per_mm
        made.add_row(
            Text(case.id),
            f"{case.deflection_mm:.2f}",
            f"{plain:.2f} - {flexible:.2f}",
            "-" if stiffness is None else f"{stiffness:.1f}",
            f"{case.peak_stress_mpa:.0f}",
            f"{case.safety_factor_yield:.2f}",
            f"{case.safety_factor_ultimate:.2f}",
        )
    return made


def _particulars(case: CaseRecord) -> Iterator[str]:
    for load in case.load_points:
        yield f"Load: {_load(load.force_n, load.moment_nmm)} at {_place(load.side, load.at_mm)}"
    yield f"Peak: {case.peak_stress_at.words} (read: {case.peak_stress_at.rule})"
    yield f"Inside the load bands: {case.load_band_peak_mpa:.0f} MPa, reported apart"
    yield f"Beam: nominal {case.beam.peak_stress_mpa:.0f} MPa, without what bends and clamp add"
    failed = [check.name for check in case.checks if not check.passed]
    words = f"{len(case.checks) - len(failed)} of {len(case.checks)} passed"
    yield f"Checks: {words}" + (f"; not passed: {', '.join(failed)}" if failed else "")
    error = case.error_estimate
    yield (
        f"Mesh error, estimated: {error.deflection_percent:.2g} % of the deflection, "
        f"{error.stress_percent:.2g} % of the stress at the peak"
    )


def _load(force_n: tuple[float, ...], moment_nmm: tuple[float, ...]) -> str:
    parts = []
    if any(force_n):
        parts.append(f"force {_vector(force_n)} N")
    if any(moment_nmm):
        parts.append(f"moment {_vector(moment_nmm)} N mm")
    return " and ".join(parts)


def _vector(values: tuple[float, ...]) -> str:
    # adding zero turns a rounded -0 into 0
    return f"({', '.join(f'{round(value) + 0:d}' for value in values)})"


def _place(side: str, at_mm: float) -> str:
    return f"{side}, {abs(at_mm):.0f} mm from the clamp centre"


def _shared_cautions(record: ResultsRecord) -> list[str]:
    """Return the cautions that every case has, in their order."""
    first, *others = [case.cautions for case in record.cases]
    return [caution for caution in first if all(caution in other for other in others)]


def _dashed(lines: list[str]) -> Iterator[str]:
    return (f"- {line}" for line in lines)
