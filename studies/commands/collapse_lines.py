"""A path past yield in at most eight lines: set, yield, offset and limit loads, place, accuracy."""

from collections.abc import Iterator

from fea.stability.criteria import YIELD
from studies.commands.lines import labelled, wrapped
from studies.commands.units import shown_bare
from studies.records.band import BandRecord, VariedRecord
from studies.records.case import CaseRecord
from studies.records.collapse import CollapseRecord, OffsetRecord, UnloadingRecord

COLUMNS = 16


def path_lines(
    number: int, case: CaseRecord, path: CollapseRecord, *, verbose: bool
) -> Iterator[str]:
    """Yield what a case's path says."""
    steps = len(path.curve.load_factor)
    end = _move(path.curve.deflection_mm, path.curve.rotation_deg)
    ended = "" if path.complete else ", terminated early"
    yield from wrapped(
        f"Past yield: {number}  {case.title}, traced to {end} in {steps} steps{ended}", 0, 3
    )
    for level in path.unloadings if verbose else path.unloadings[:2]:
        yield from labelled("At the load", _unloading(path, level), 3, COLUMNS)
    yield from labelled("Yield load", _yield_load(path), 3, COLUMNS)
    yield from labelled(
        "Offset loads", "; ".join(_offset(path, one) for one in path.offsets), 3, COLUMNS
    )
    yield from labelled(*_end(path), 3, COLUMNS)
    for name, words in _beside(path):
        yield from labelled(name, words, 3, COLUMNS)
    if path.band:
        yield from labelled("Ranges, 95 %", _inputs(path.band), 3, COLUMNS)
    yield from labelled("Collapse mode", _mode(path), 3, COLUMNS)
    if path.assessment and path.assessment.load_factor is not None:
        yield from labelled("Linear estimate", _estimate(path), 3, COLUMNS)
    yield from labelled(
        "Mesh", f"{path.mesh_level}, {path.layers} layers, {path.solver}", 3, COLUMNS
    )
    if verbose:
        for line in (*path.text, path.ended):
            yield from wrapped(line, 3, 5)


def _load(path: CollapseRecord, factor: float) -> str:
    curve = path.curve
    if curve.load_n:
        return f"{factor * curve.load_n[-1] / curve.load_factor[-1]:.0f} N"
    return f"{factor:.3g} x load"


def _move(moved_mm: list[float] | None, turned_deg: list[float] | None) -> str:
    return f"{moved_mm[-1]:.1f} mm" if moved_mm else f"{(turned_deg or [0.0])[-1]:.1f} deg"


def _either(moved_mm: float | None, turned_deg: float | None) -> str:
    if moved_mm is not None:
        return f"{moved_mm:.1f} mm"
    return "unknown" if turned_deg is None else f"{turned_deg:.1f} deg"


def _unloading(path: CollapseRecord, level: UnloadingRecord) -> str:
    load = _load(path, level.load_factor)
    if not level.reached:
        return f"{load}: not reached"
    moved = _either(level.deflection_mm, level.rotation_deg)
    stays = "unknown"
    if level.permanent_set_mm is not None:
        stays = f"{level.permanent_set_mm:.2g} mm"
    elif level.permanent_set_deg is not None:
        stays = f"{level.permanent_set_deg:.2g} deg"
    allowed = ""
    if level.limit_mm and level.load_factor == 1:
        above = level.permanent_set_mm is not None and level.permanent_set_mm > level.limit_mm
        allowed = f" (test allows {level.limit_mm:g} mm{', exceeded' if above else ''})"
    return f"{load}: {moved}; permanent set {stays}{allowed}"


def _yield_load(path: CollapseRecord) -> str:
    if path.yield_load_factor is None:
        return "not reached on this path (0.2 % plastic strain)"
    over = f"mean over {path.strain.averaging_length_mm:.1f} mm"
    place = f"; {path.yield_place.text}" if path.yield_place else ""
    load = f"{_load(path, path.yield_load_factor)}{_range(path, 'yield_load')}"
    return f"{load} (0.2 % plastic strain, {over}){place}"


def _beside(path: CollapseRecord) -> Iterator[tuple[str, str]]:
    """Yield what a path under a ram, or that of a bent tube, has beside its loads."""
    step, curve, middle = path.reported_step - 1, path.curve, path.middle
    if path.stiffness:
        both = f"{path.stiffness.ram_n_per_mm:.4g} N/mm at the ram"
        bar = path.stiffness.bar_n_per_mm
        of_bar = f", {bar:.4g} N/mm of the bar" if bar else ""
        yield "Stiffness", f"{both}{of_bar} (up to {path.stiffness.up_to_n:.0f} N)"
    if curve.bar_deflection_mm and curve.indentation_mm:
        own = f"bar's own deflection {curve.bar_deflection_mm[step]:.2f} mm"
        load = _load(path, curve.load_factor[step])
        yield "Ram travel", f"at {load}: {own}, indentation {curve.indentation_mm[step]:.2f} mm"
    if middle:
        moment, curvature = middle.moment_nmm[step] / 1000, middle.curvature_per_m[step]
        yield "Middle", f"{moment:.0f} N·m at curvature {curvature:.3g} 1/m"


def _inputs(band: BandRecord) -> str:
    """Return what the ranges rest on: each input, within what, and whence."""
    told = {one.input: f"{_within(one)} ({one.evidence})" for one in band.varied}
    return "; ".join(f"{name} {words}" for name, words in told.items())


def _within(varied: VariedRecord) -> str:
    if varied.input == "clamp stiffness":
        return f"x 1/{varied.factor:.3g} to x {varied.factor:.3g}"
    if varied.input == "support friction":
        return f"x 0 to x {varied.factor:g}"
    return f"± {100 * abs(varied.factor - 1):.2g} %"


def _range(path: CollapseRecord, key: str) -> str:
    """Return the interval of a load, and the input that leaves most of it; empty without."""
    figures = path.band.figures if path.band else []
    one = next((one for one in figures if one.key.startswith(key)), None)
    if one is None:
        return ""
    weakest = max(one.terms, key=lambda name: max(one.terms[name]))
    return f", {shown_bare(f'{one.low:.0f} to {one.high:.0f}', one.unit)} ({weakest})"


def _offset(path: CollapseRecord, offset: OffsetRecord) -> str:
    shift = _either(offset.shift_mm, offset.shift_deg)
    load = "not reached" if offset.load_factor is None else _load(path, offset.load_factor)
    rule = "" if offset.rule.endswith("mm") else f" ({offset.rule})"
    within = _range(path, f"offset_load {offset.shift_mm:.4g}") if offset.shift_mm else ""
    return f"{load} at {shift}{rule}{within}"


def _end(path: CollapseRecord) -> tuple[str, str]:
    """Return what ends the path: limit load, strain limit, bifurcation, or nothing."""
    if path.bifurcation_from_factor is not None and path.bifurcation_to_factor is not None:
        first, last = path.bifurcation_from_factor, path.bifurcation_to_factor
        return "Bifurcation", f"between {_load(path, first)} and {_load(path, last)}; no limit load"
    if path.limit_load_factor is not None:
        moved = _either(path.limit_load_deflection_mm, path.limit_load_rotation_deg)
        return (
            "Limit load",
            f"{_load(path, path.limit_load_factor)} at {moved}{_range(path, 'limit_load')}",
        )
    if path.strain_limit_load_factor is not None:
        moved = _either(path.strain_limit_load_deflection_mm, path.strain_limit_load_rotation_deg)
        strain = f"elongation {100 * (path.strain.elongation or 0):.1f} %"
        load, within = _load(path, path.strain_limit_load_factor), _range(path, "strain_limit_load")
        return "Strain limit", f"{load} at {moved}{within} ({strain}); no limit load before"
    moved = _either(path.max_load_deflection_mm, path.max_load_rotation_deg)
    load = f"{_load(path, path.max_load_factor)} at {moved}{_range(path, 'max_load')}"
    return "Largest load", f"{load}; no limit load"


def _mode(path: CollapseRecord) -> str:
    if path.kind is None or path.place is None:
        return "none" if path.kind is None else path.kind
    flat = path.curve.ovalisation_percent[path.reported_step - 1]
    return f"{path.kind} at {path.place.text}; sections flattened at most {flat:.1f} %"


def _estimate(path: CollapseRecord) -> str:
    """Return the linear estimate of the same limit, and by how much it differs."""
    found = path.assessment
    if found is None or found.load_factor is None:
        return "none"
    place = "same place" if found.named else "another place"
    text = f"{_load(path, found.load_factor)}; {place}"
    reached = path.limit_load_factor or path.strain_limit_load_factor
    if found.limit == YIELD.id:
        reached = path.yield_load_factor
    if reached is None:
        return text
    ratio = found.load_factor / reached
    way = "conservative" if ratio <= 1 else "unconservative"
    return f"{text}; {way} by {100 * abs(ratio - 1):.0f} %"
