"""The tables of `barwright check`."""

from collections.abc import Iterator, Sequence

from rich.table import Table
from rich.text import Text

from geometry.bar import Bar
from geometry.section_class import SectionClass
from loadcases.case import PlacedCase
from loadcases.load import half_length_mm
from studies.commands.check_record import load_record
from studies.commands.lines import labelled, wrapped
from studies.commands.output import TABLE_WIDTH, printable, show, table
from studies.commands.specimen_lines import specimen_lines
from studies.commands.turned_lines import turned_lines
from studies.records.places import side_of
from studies.study_file.bend_names import bend_names
from studies.study_file.geometry_summary import GeometrySummary, HalfRow, ShapeRow, is_mirrored
from studies.study_file.study import Study
from studies.sweeps.plan import Plan

CLASS_NOTE = (
    "Class: round tubes in bending by D/t, AISC 360 F8 and EN 1993-1-1 table 5.2 (1 to 4), "
    "from memory, for mild steel; a screen, no limit."
)

ESTIMATES = (
    "Estimates. Springback R F02 Zp/(E I): lower bound, no hardening. Strain OD/(2 R): "
    "outer fibre. Walls at extrados and intrados: constant volume. Bend a trial and measure."
)

FIRST_BEND = "first bend 0 forward, 90 up, 180 rearward"

LEAST_WIDER_MM = 0.05
"""By which a bar is wider over all than between its ends' centres, to be told."""

STRAIGHT_OUT_DEG = 60.0
"""An end that turns further back than this is no longer described by its sweep."""


def print_check(study: Study, summary: GeometrySummary, plan: Plan | None = None) -> None:
    """Print everything that `check` knows, for people."""
    show(Text(printable(f"{study.name}: {study.title}"), style="bold"))
    for label, text in _summary(study, summary):
        show(*labelled(label, text, 2, 11))
    blend = f"Section transitions blended over ±{study.bar.spec.blend_mm:g} mm."
    show("", _sections(summary, study.bar), width=TABLE_WIDTH)
    show(*wrapped(blend), *wrapped(CLASS_NOTE), "")
    halves = summary.halves[:1] if is_mirrored(study.bar) else summary.halves
    for half in halves:
        _print_half(half, study.bar, bend_names(study, half.side))
    _print_cases(study)
    if plan:
        names = "; ".join(axis.label for axis in plan.axes)
        show(*wrapped(f"Sweep: {len(plan.values)} designs, {plan.mode}, over {names}", 0, 2))


def _summary(study: Study, summary: GeometrySummary) -> Iterator[tuple[str, str]]:
    """Yield labels and what stands beside them."""
    bar, material = study.bar, study.bar.spec.material
    yield (
        "Bar",
        f"developed length {summary.developed_length_mm:.1f} mm; "
        f"end to end {summary.end_to_end_mm:.1f} mm{_over_all(summary)}; "
        f"roll {bar.spec.roll_deg:g} deg",
    )
    yield "Mass", _mass(bar, summary)
    if study.specimen:
        for number, text in enumerate(specimen_lines(study, study.specimen)):
            yield "" if number else "Specimen", text
    yield "Material", f"{material.id}, {material.title}; {material.source}"
    for shape in summary.shapes[:1] if is_mirrored(bar) else summary.shapes:
        yield "End", f"{_half_name(shape.side, bar).lower()}: {_shape(shape)}"
    if turned := bar.spec.turned:
        for number, text in enumerate(turned_lines(study, turned)):
            yield "" if number else "Square", text
    change = "changed by bending" if bar.spec.effects.wall_change else "not changed by bending"
    yield "Bends", f"wall {change}; ovality {bar.spec.effects.ovality_percent:g} %"
    yield "Clamp", study.clamp.in_words
    yield "Mesh", study.mesh_level


def _over_all(summary: GeometrySummary) -> str:
    over_all_mm = sum(shape.outermost_mm for shape in summary.shapes)
    wider = over_all_mm - summary.end_to_end_mm >= LEAST_WIDER_MM
    return f", over all {over_all_mm:.1f} mm" if wider else ""


def _mass(bar: Bar, summary: GeometrySummary) -> str:
    measured = bar.spec.measured_mass_g
    text = f"{summary.mass_g:.1f} g computed"
    if measured is not None:
        text += f", {measured:g} g measured ({100 * (measured / summary.mass_g - 1):+.1f} %)"
    return f"{text}; volume {summary.volume_mm3 / 1000:.2f} cm³"


def _shape(shape: ShapeRow) -> str:
    parts = [
        _distance(shape.rise_mm, "above", "below", "level with"),
        _distance(shape.back_mm, "rearward of", "forward of", "in line with"),
    ]
    if abs(shape.backsweep_deg) <= STRAIGHT_OUT_DEG:
        parts += [
            _angle(shape.backsweep_deg, "backsweep"),
            _angle(shape.upsweep_deg, "upsweep"),
        ]
    else:
        parts += [f"reach {shape.foremost_mm:.1f} mm", f"drop {-shape.lowest_mm:.1f} mm"]
        parts += [_angle(shape.flare_deg or 0.0, "flare")]
    return "; ".join(part for part in parts if part)


def _distance(value_mm: float, positive: str, negative: str, none: str) -> str:
    if abs(value_mm) < 0.05:
        return f"{none} the clamp"
    return f"{abs(value_mm):.1f} mm {positive if value_mm > 0 else negative} the clamp"


def _angle(angle_deg: float, name: str) -> str:
    return "" if abs(angle_deg) < 0.05 else f"{name} {angle_deg:.1f} deg"


def _half_name(side: str, bar: Bar) -> str:
    return "Both halves, mirror images" if is_mirrored(bar) else f"{side.capitalize()} half"


def _sections(summary: GeometrySummary, bar: Bar) -> Table:
    mirrored = is_mirrored(bar)
    halves = ", both halves" if mirrored else ""
    rows = table(
        f"Round sections before bending{halves}",
        "place", "along tube\nmm", "OD\nmm", "wall\nmm", "A\nmm²", "I\nmm⁴", "Z\nmm³", "yield\nN·m",
        "D/t", "class",
        words=1,
    )  # fmt: skip
    for row in summary.sections:
        rows.add_row(
            row.place,
            f"{row.at_mm:.1f}" if mirrored else short_place(row.at_mm),
            f"{row.od_mm:.2f}",
            f"{row.wall_mm:.2f}",
            f"{row.area_mm2:.1f}",
            f"{row.i_mm4:.0f}",
            f"{row.z_mm3:.0f}",
            f"{row.yield_moment_nm:.0f}",
            f"{row.od_per_wall:.1f}",
            _class(row.section_class),
        )
    return rows


def short_place(s_mm: float) -> str:
    """Return a place for a table: `R 142.0` is 142 mm to the right of the clamp centre."""
    return f"{side_of(s_mm)[0].upper()} {abs(s_mm):.1f}"


def _class(found: SectionClass | None) -> str:
    """Return the class with its evidence in the same cell."""
    if found is None:
        return "not classified, rule unread"
    return f"{found.aisc}, {found.en_class} (from memory)"


def _print_half(half: HalfRow, bar: Bar, names: Sequence[str | None]) -> None:
    name, cut = _half_name(half.side, bar), f"cut length of the half {half.cut_length_mm:.2f} mm"
    show(_points(half, name))
    if not half.bends:
        show(*wrapped(f"No bends; {cut}."), "")
        return
    numbered = [f"{number} {called or ''}".rstrip() for number, called in enumerate(names, start=1)]
    last = wrapped(f"Last straight {half.tail_mm:.2f} mm; {cut}.")
    show(_bends(half, name, numbered), *last)
    show(
        *wrapped(_rotation_rule(half)), "", _tooling(half, name, numbered), *wrapped(ESTIMATES), ""
    )


def _rotation_rule(half: HalfRow) -> str:
    if half.side == "right":
        return (
            "Rotation: right-handed about the feed, outward from the clamp; "
            f"{FIRST_BEND}. A mirrored left half has the same numbers, left-handed."
        )
    return (
        "Rotation, written as a right half and mirrored: left-handed about the feed, outward from "
        f"the clamp; {FIRST_BEND}."
    )


def _points(half: HalfRow, name: str) -> Table:
    rows = table(f"{name}: points", "point", "x mm", "y mm", "z mm", "bend radius mm")
    radii = ["", *(f"{radius:g}" for radius in half.bend_radii_mm), ""]
    for index, (point, radius) in enumerate(zip(half.points_mm, radii, strict=True)):
        rows.add_row(str(index), *(f"{value:.2f}" for value in point), radius)
    return rows


def _bends(half: HalfRow, name: str, numbered: Sequence[str]) -> Table:
    rows = table(
        f"{name}: bend table",
        "bend", "straight mm", "rotation deg", "angle deg", "radius mm", "setback mm",
    )  # fmt: skip
    for called, bend in zip(numbered, half.bends, strict=True):
        rows.add_row(
            called,
            f"{bend.straight_mm:.2f}",
            f"{bend.rotation_deg:.2f}",
            f"{bend.angle_deg:.2f}",
            f"{bend.radius_mm:g}",
            f"{bend.setback_mm:.2f}",
        )
    return rows


def _tooling(half: HalfRow, name: str, numbered: Sequence[str]) -> Table:
    rows = table(
        f"{name}: tube bending",
        "bend", "OD mm", "extrados mm", "intrados mm", "strain %", "springback deg",
    )  # fmt: skip
    for called, bend in zip(numbered, half.bends, strict=True):
        rows.add_row(
            called,
            f"{bend.od_mm:.2f}",
            f"{bend.extrados_wall_mm:.2f}",
            f"{bend.intrados_wall_mm:.2f}",
            f"{bend.outer_strain_percent:.1f}",
            f">= {bend.springback_deg:.2f}",
        )
    return rows


def _print_cases(study: Study) -> None:
    if not study.cases:
        show("No load cases; a run needs at least one.", "")
        return
    rows = table(
        "Loads and supports in bar axes (x right, y forward, z up)"
        if any(placed.supports for placed in study.cases)
        else "Loads in bar axes (x right, y forward, z up)",
        "case", "place\nmm", "from end\nmm", "force\nN", "moment\nN·m",
        words=1,
    )  # fmt: skip
    for placed in study.cases:
        for index, load in enumerate(placed.loads):
            record = load_record(load, study.bar)
            rows.add_row(
                "" if index else placed.case.id,
                short_place(load.at_mm),
                f"{record['from_end_mm']:.1f}",
                _vector(load.force_n, 1),
                _vector(load.moment_nmm, 1000),
            )
        for row in _supports(placed, study.bar):
            rows.add_row(*row)
    show(rows, "")


def _supports(placed: PlacedCase, bar: Bar) -> Iterator[tuple[str, ...]]:
    """Yield a row for each support: its force is for a run to find."""
    for index, one in enumerate(placed.supports):
        from_end = half_length_mm(bar.line, one.side) - abs(one.at_mm)
        name = "" if index or placed.loads else placed.case.id
        above = " of the ram" if one.of_ram else ""
        ram = "" if index or not placed.case.ram_force_n else f", ram {placed.case.ram_force_n:.0f}"
        yield name, short_place(one.at_mm), f"{from_end:.1f}", f"on {one.kind}{above}{ram}", "-"


def _vector(values: tuple[float, float, float], divisor: float) -> str:
    if not any(values):
        return "-"
    return "  ".join(str(round(value / divisor)) for value in values)
