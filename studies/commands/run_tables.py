"""What `barwright run` prints for a reviewer."""

from collections.abc import Iterator
from math import hypot
from pathlib import Path

from rich.table import Table
from rich.text import Text

from studies.commands.collapse_lines import collapse_lines, path_cautions
from studies.commands.limit_lines import assessed_lines, clamp_lines, fatigue_lines
from studies.commands.output import indented, printable, show, table
from studies.records.case import CaseRecord, LoadPointRecord, ResultsRecord
from studies.records.parts import gauge_mm, shared_cautions

READ = {
    "surface": "taken on the surface",
    "clamp edge": "beside the clamp's edge, extrapolated from a little outside it",
}
"""How a peak was read, by the rule's name."""


def print_run(record: ResultsRecord, folder: Path) -> None:
    """Print a table over all cases, then each case's particulars, then the cautions."""
    show(Text(printable(f"{record.study.name}: {record.study.title}"), style="bold"))
    show(*(indented(line) for line in _heading(record)), "")
    show(*(indented(line) for line in clamp_lines(record)), *([""] if record.clamp_preload else []))
    names = (f"{number}  {case.id}" for number, case in enumerate(record.cases, start=1))
    show(*(indented(name) for name in names), "")
    show(_answers(record), "", Text(printable(record.summary), style="bold"), "")
    if record.fatigue:
        show(*(indented(line) for line in fatigue_lines(record.fatigue, "All stages together")), "")
    shared = shared_cautions(record.cases)
    for number, case in enumerate(record.cases, start=1):
        show(Text(printable(f"{number}  {case.id}: {case.title}"), style="bold"))
        show(Text(printable(case.summary)), "")
        own = [caution for caution in case.cautions if caution not in shared]
        show(*(indented(line) for line in (*_particulars(case), *_dashed(own))), "")
    show(Text("Cautions for every case", style="bold"))
    show(*(indented(line) for line in _dashed([*record.warnings, *shared])), "")
    if beyond := path_cautions(record.cases):
        show(Text("Cautions for paths past yield", style="bold"))
        show(*(indented(line) for line in _dashed(beyond)), "")
    show(f"Results in {folder}")


def _heading(record: ResultsRecord) -> Iterator[str]:
    bar, mesh = record.bar, record.study.mesh
    yield f"{bar.name}, {bar.material}, {bar.mass_g:.0f} g, {bar.end_to_end_mm:.0f} mm end to end"
    yield (
        f"Clamp {record.clamp.width_mm:g} mm, {record.clamp.model}; mesh {mesh.level}, "
        f"{mesh.dofs} degrees of freedom, solver {record.study.solver}"
    )


def _answers(record: ResultsRecord) -> Table:
    """Return a row of numbers a case; ids stand before it, so that no number is ever cut."""
    made = table(
        "Answers (beam: a frame with plain and with flexible bends)",
        "",
        "deflection\nmm",
        "beam\nmm",
        "along\nforce mm",
        "stiffness\nN/mm",
        "peak\nMPa",
        "yield\nfactor",
        "first\nlimit",
        words=1,
    )
    for column in made.columns:
        column.no_wrap, column.overflow = True, "fold"
    for number, case in enumerate(record.cases, start=1):
        plain = case.beam.rigid_bends.deflection_mm
        flexible = case.beam.flexible_bends.deflection_mm
        stiffness = case.stiffness_n_per_mm
        made.add_row(
            f"{number}",
            f"{case.deflection_mm:.2f}",
            f"{plain:.2f}-{flexible:.2f}",
            _number(gauge_mm(case), 2),
            _number(stiffness, 1),
            f"{case.peak_stress_mpa:.0f}",
            f"{case.yield_factor:.2f}",
            f"{case.governing_factor:.2f}",
        )
    return made


def _number(value: float | None, digits: int) -> str:
    return "-" if value is None else f"{value:.{digits}f}"


def _particulars(case: CaseRecord) -> Iterator[str]:
    for load in case.load_points:
        yield f"Load: {_load(load.force_n, load.moment_nmm)} at {_place(load.side, load.at_mm)};"
        yield f"  its place {_motion(load)}"
    yield from case.remarks
    peak = case.peak_stress_at
    yield f"Peak: {case.peak_stress_mpa:.0f} MPa, {peak.text}; {READ[peak.rule]}"
    yield f"Inside the loaded lengths, where it depends on the hand or tool: {_mpa(case)}"
    yield f"Beam: at most {case.beam.peak_stress_mpa:.0f} MPa, nominal, without what bends add"
    for grip in case.clamp_stiffness_study:
        firmness = "a third as" if grip.stiffness_scale < 1 else "three times as"
        yield (
            f"Clamp {firmness} stiff: deflection {grip.deflection_mm:.2f} mm, "
            f"peak {grip.peak_stress_mpa:.0f} MPa"
        )
    yield from assessed_lines(case)
    yield from collapse_lines(case)
    failed = [check.name for check in case.checks if not check.passed]
    words = f"{len(case.checks) - len(failed)} of {len(case.checks)} passed"
    yield f"Checks: {words}" + (f"; not passed: {', '.join(failed)}" if failed else "")
    error = case.error_estimate
    yield (
        f"Mesh error, estimated: {error.deflection_percent:.2g} % of the deflection, "
        f"{error.stress_percent:.2g} % of the stress at the peak"
    )


def _mpa(case: CaseRecord) -> str:
    return f"{case.load_band_peak_mpa:.0f} MPa, not counted as the peak"


def _motion(load: LoadPointRecord) -> str:
    moved, turned = (hypot(*vector) for vector in (load.displacement_mm, load.rotation_deg))
    along = load.displacement_along_force_mm
    share = "" if along is None else f" ({along:.2f} mm along the force)"
    return f"moves {moved:.2f} mm{share} and turns {turned:.2f} deg"


def _load(force_n: tuple[float, ...], moment_nmm: tuple[float, ...]) -> str:
    parts = []
    if any(force_n):
        parts.append(f"force {_vector(force_n)} N")
    if any(moment_nmm):
        in_nm = ", ".join(f"{value / 1000 + 0:.1f}" for value in moment_nmm)
        parts.append(f"moment ({in_nm}) N m")
    return " and ".join(parts)


def _vector(values: tuple[float, ...]) -> str:
    # adding zero turns a rounded -0 into 0
    return f"({', '.join(f'{round(value) + 0:d}' for value in values)})"


def _place(side: str, at_mm: float) -> str:
    return f"{side} {abs(at_mm):.0f} mm"


def _dashed(lines: list[str]) -> Iterator[str]:
    return (f"- {line}" for line in lines)
