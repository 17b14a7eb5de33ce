"""The tables of `barwright check`."""

from collections.abc import Iterator

from rich.table import Table
from rich.text import Text

from geometry.bar import Bar
from geometry.section_class import SectionClass
from studies.commands.check_record import load_record
from studies.commands.output import indented, printable, show, table
from studies.study_file.geometry_summary import GeometrySummary, HalfRow, ShapeRow, is_mirrored
from studies.study_file.study import Study
from studies.sweeps.plan import Plan

CLASS_NOTE = (
    "Class: of structural round tubes in bending by D/t, AISC 360 F8 and EN 1993-1-1 table 5.2",
    "(1 to 4), both from memory, unverified; a screen made for mild steel and no verdict.",
)

STRAIGHT_OUT_DEG = 60.0
"""An end that turns further back than this is no longer described by its sweep."""


def print_check(study: Study, summary: GeometrySummary, plan: Plan | None = None) -> None:
    """Print everything that `check` knows, for people."""
    show(Text(printable(f"{study.name}: {study.title}"), style="bold"))
    show(*(indented(line) for line in _summary(study, summary)), "")
    blend = f"Kinks at stations are rounded over {study.bar.spec.blend_mm:g} mm to each side."
    show(_sections(summary), blend, *CLASS_NOTE, "")
    halves = summary.halves[:1] if is_mirrored(study.bar) else summary.halves
    for half in halves:
        _print_half(half, study.bar)
    _print_cases(study)
    if plan:
        names = ", ".join(printable(axis.name) for axis in plan.axes)
        show(f"Sweep: {len(plan.values)} designs, {plan.mode}, over {names}")


def _summary(study: Study, summary: GeometrySummary) -> Iterator[str]:
    bar, material = study.bar, study.bar.spec.material
    yield f"Material {material.id}, {material.title}; {material.source}"
    yield (
        f"Developed length {summary.developed_length_mm:.1f} mm, "
        f"end to end {summary.end_to_end_mm:.1f} mm"
    )
    shapes = summary.shapes[:1] if is_mirrored(bar) else summary.shapes
    for shape in shapes:
        yield f"{_half_name(shape.side, bar)}: {_shape_words(shape)}"
    yield _mass(bar, summary)
    grip = f"clamp {study.clamp.width_mm:g} mm, {study.clamp.model} grip"
    yield f"Stem {grip}; mesh {study.mesh_level}; roll {bar.spec.roll_deg:g} deg"
    yield _effects(bar)


def _mass(bar: Bar, summary: GeometrySummary) -> str:
    measured = bar.spec.measured_mass_g
    words = f"Mass {summary.mass_g:.1f} g computed"
    if measured is not None:
        words += f", {measured:g} g measured ({100 * (measured / summary.mass_g - 1):+.1f} %)"
    return f"{words}; volume of metal {summary.volume_mm3 / 1000:.2f} cm3"


def _effects(bar: Bar) -> str:
    effects = bar.spec.effects
    change = "changed by bending" if effects.wall_change else "not changed by bending"
    return f"In bends: wall {change}, ovality {effects.ovality_percent:g} %"


def _shape_words(shape: ShapeRow) -> str:
    words = [
        f"end {_way(shape.rise_mm, 'above', 'below', 'level with')} the clamp",
        f"{_way(shape.back_mm, 'behind', 'before', 'in line with')} it",
    ]
    if abs(shape.backsweep_deg) <= STRAIGHT_OUT_DEG:
        words += [
            _turn(shape.backsweep_deg, "swept back", "swept forward"),
            _turn(shape.upsweep_deg, "pointing up", "pointing down"),
        ]
    else:
        words += [f"reach {shape.foremost_mm:.1f} mm", f"drop {-shape.lowest_mm:.1f} mm"]
    return ", ".join(word for word in words if word)


def _way(value_mm: float, positive: str, negative: str, none: str) -> str:
    if abs(value_mm) < 0.05:
        return none
    return f"{abs(value_mm):.1f} mm {positive if value_mm > 0 else negative}"


def _turn(angle_deg: float, positive: str, negative: str) -> str:
    if abs(angle_deg) < 0.05:
        return ""
    return f"{positive if angle_deg > 0 else negative} by {abs(angle_deg):.1f} deg"


def _half_name(side: str, bar: Bar) -> str:
    return "Both halves, mirror images" if is_mirrored(bar) else f"{side.capitalize()} half"


def _sections(summary: GeometrySummary) -> Table:
    rows = table(
        "Round sections, before bending",
        "place", "s mm", "OD mm", "wall mm", "A mm2", "I mm4", "Z mm3", "yield N·m", "D/t",
        "class",
        words=1,
    )  # fmt: skip
    for row in summary.sections:
        rows.add_row(
            row.place,
            f"{row.at_mm:.1f}",
            f"{row.od_mm:.2f}",
            f"{row.wall_mm:.2f}",
            f"{row.area_mm2:.1f}",
            f"{row.i_mm4:.0f}",
            f"{row.z_mm3:.0f}",
            f"{row.yield_moment_nm:.0f}",
            f"{row.od_mm / row.wall_mm:.1f}",
            _class(row.section_class),
        )
    return rows


def _class(found: SectionClass | None) -> str:
    """Return the class with its evidence in the same cell."""
    if found is None:
        return "not classified, rule unread"
    return f"{found.aisc}, {found.en_class} (from memory)"


def _print_half(half: HalfRow, bar: Bar) -> None:
    name, cut = _half_name(half.side, bar), f"cut length of the half {half.cut_length_mm:.2f} mm"
    show(_points(half, name))
    if not half.bends:
        show(f"No bends; {cut}.\n")
        return
    show(
        _bends(half, name),
        f"Then straight {half.tail_mm:.2f} mm; {cut}.",
        _rotation_rule(half),
        _tooling(half, name),
        "Estimates: springback R F02 Zp/(E I) is a lower bound (no hardening); strain OD/(2 R); "
        "walls outside and inside the bend from constant volume. Bend one and measure.\n",
    )


def _rotation_rule(half: HalfRow) -> str:
    if half.side == "right":
        return (
            "Rotation is right-handed about the feed from the clamp outwards; first bend: "
            "0 forward, 90 up, 180 back. A mirrored left half has the same numbers, left-handed.\n"
        )
    return (
        "Written as a right half and mirrored, so rotation is left-handed about the feed from the "
        "clamp outwards; first bend: 0 forward, 90 up, 180 back.\n"
    )


def _points(half: HalfRow, name: str) -> Table:
    rows = table(f"{name}: points", "point", "x mm", "y mm", "z mm", "bend radius mm")
    radii = ["", *(f"{radius:g}" for radius in half.bend_radii_mm), ""]
    for index, (point, radius) in enumerate(zip(half.points_mm, radii, strict=True)):
        rows.add_row(str(index), *(f"{value:.2f}" for value in point), radius)
    return rows


def _bends(half: HalfRow, name: str) -> Table:
    rows = table(
        f"{name}: bend table",
        "bend", "straight mm", "rotation deg", "angle deg", "radius mm", "setback mm",
    )  # fmt: skip
    for index, bend in enumerate(half.bends, start=1):
        rows.add_row(
            str(index),
            f"{bend.straight_mm:.2f}",
            f"{bend.rotation_deg:.2f}",
            f"{bend.angle_deg:.2f}",
            f"{bend.radius_mm:g}",
            f"{bend.setback_mm:.2f}",
        )
    return rows


def _tooling(half: HalfRow, name: str) -> Table:
    rows = table(
        f"{name}: at the tool",
        "bend", "OD mm", "wall out mm", "wall in mm", "outer strain %", "springback deg",
    )  # fmt: skip
    for index, bend in enumerate(half.bends, start=1):
        rows.add_row(
            str(index),
            f"{bend.od_mm:.2f}",
            f"{bend.extrados_wall_mm:.2f}",
            f"{bend.intrados_wall_mm:.2f}",
            f"{bend.outer_strain_percent:.1f}",
            f">= {bend.springback_deg:.2f}",
        )
    return rows


def _print_cases(study: Study) -> None:
    if not study.cases:
        show("No load cases; a run needs at least one.\n")
        return
    rows = table(
        "Loads, in the bar's axes (x right, y forward, z up)",
        "case", "s mm", "from end", "force N", "moment N·m",
        words=1,
    )  # fmt: skip
    for placed in study.cases:
        for index, load in enumerate(placed.loads):
            record = load_record(load, study.bar)
            rows.add_row(
                "" if index else placed.case.id,
                f"{load.at_mm:.1f}",
                f"{record['from_end_mm']:.1f}",
                _vector(load.force_n, 1),
                _vector(load.moment_nmm, 1000),
            )
    show(rows)


def _vector(values: tuple[float, float, float], divisor: float) -> str:
    if not any(values):
        return "-"
    return "  ".join(str(round(value / divisor)) for value in values)
