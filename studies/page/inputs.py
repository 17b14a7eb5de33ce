"""Every input of a run with its source and how sure that is."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fea.fatigue.severity import clamp_factor_of
from fea.stability.criteria import FATIGUE
from fea.stability.stress_strain import curve_source
from geometry.material import FatigueCurve, Material
from geometry.section import Station
from geometry.source import MARKS, UNSURE, Source
from loadcases.bolts import (
    FRICTION_SOURCE,
    NUT_FACTOR_SOURCE,
    SCATTER_SOURCE,
    Bolts,
)
from loadcases.case import Cycle, PlacedCase, figure_in_words
from loadcases.clamp import CLAMP_STIFFNESS_SOURCE, Clamp
from loadcases.levels import Levels
from loadcases.load import PlacedLoad
from loadcases.supports import FRICTION_SUPPORTS
from studies.assessment.run import StudyRun
from studies.records.places import on_ruler
from studies.study_file.study import Study

FILE, GIVEN = "the study file", "given in the study file"
CASE, MATERIAL = "Load case: ", "Material "
"""How titles of groups begin."""
AS_FILED = "as in the study file, or its default"


@dataclass(frozen=True)
class InputRow:
    """An input.

    Attributes:
        name: What it is.
        value: With its unit.
        source: Where it comes from.
        mark: How sure that is, in words.
        unsure: Whether it is weak: estimated, from memory, from a secondary source.
    """

    name: str
    value: str
    source: str
    mark: str
    unsure: bool = False


@dataclass(frozen=True)
class InputGroup:
    """Inputs that belong together; `case` is the id of the case that they are of."""

    title: str
    rows: tuple[InputRow, ...]
    case: str = ""

    @property
    def weak(self) -> int:
        """Return how many are weak."""
        return sum(row.unsure for row in self.rows)


def inputs(run: StudyRun) -> tuple[InputGroup, ...]:
    """Return every input that entered the answers, by what it belongs to."""
    study, material = run.study, run.study.bar.spec.material
    groups = [
        InputGroup("Bar", tuple(_bar(run))),
        InputGroup(f"{MATERIAL}{material.id}: {material.title}", tuple(_material(material))),
        InputGroup("Stem clamp", tuple(_clamp(study.clamp))),
    ]
    groups += [
        InputGroup(
            f"Lever clamp, {on_ruler(lever.at_mm, 1)}",
            (_given("width", f"{lever.width_mm:g} mm"), *_bolts(lever.bolts)),
        )
        for lever in study.levers
    ]
    groups += [
        InputGroup(f"{CASE}{placed.case.title}", tuple(_case(study, placed)), placed.case.id)
        for placed in study.cases
    ]
    groups.append(InputGroup("Fatigue", tuple(_fatigue(run))))
    groups.append(InputGroup("Mesh", (_given("level", run.level, AS_FILED),)))
    return tuple(groups)


def _bar(run: StudyRun) -> Iterator[InputRow]:
    spec = run.study.bar.spec
    yield from _half("right half", spec.stations)
    if spec.left_stations:
        yield from _half("left half", spec.left_stations)
    yield _given("section transitions blended over", f"\u00b1{spec.blend_mm:g} mm", AS_FILED)
    for name, half in (("right half", spec.right), ("left half", spec.left)):
        if half is None:
            yield _given(f"centre line, {name}", "the mirror image of the right", AS_FILED)
            continue
        points = " ".join(f"({x:g}, {y:g}, {z:g})" for x, y, z in half.points_mm)
        radii = ", ".join(f"{radius:g}" for radius in half.bend_radii_mm) or "none"
        yield _given(f"corners of the centre line, {name}", f"{points} mm")
        yield _given(f"bend radii, {name}", f"{radii} mm" if half.bend_radii_mm else radii)
    effects = spec.effects
    change = "modelled" if effects.wall_change else "not modelled"
    yield _given("wall change in bends", change, AS_FILED)
    yield _given("ovality in bends", f"{effects.ovality_percent:g} %", AS_FILED)
    yield _given("roll in the clamp", f"{spec.roll_deg:g}\u00b0", AS_FILED)
    if spec.measured_mass_g is not None:
        yield _given("mass, measured", f"{spec.measured_mass_g:g} g")


def _half(name: str, stations: Sequence[Station]) -> Iterator[InputRow]:
    for station in stations:
        size = f"outer diameter {station.od_mm:g} mm, wall {station.wall_mm:g} mm"
        if station.eccentricity_mm:
            off = f"{station.eccentricity_mm:g} mm, thickest at {station.thickest_deg:g}\u00b0"
            size += f", bore off the middle by {off}"
        yield _given(f"section at {station.at_mm:g} mm, {name}", size)


def _material(material: Material) -> Iterator[InputRow]:
    elastic = material.elastic_source or material.source
    yield _sourced("Young's modulus", f"{material.youngs_modulus_mpa:g} MPa", elastic)
    yield _sourced("Poisson's ratio", f"{material.poisson_ratio:g}", elastic)
    yield _sourced("density", f"{material.density_kg_m3:g} kg/m\u00b3", elastic)
    yield _sourced("0.2 % proof stress", f"{material.proof_stress_mpa:g} MPa", material.source)
    yield _sourced("tensile strength", f"{material.ultimate_stress_mpa:g} MPa", material.source)
    if material.elongation_percent is not None:
        value = f"{material.elongation_percent:g} %"
        yield _sourced("elongation at fracture", value, material.source)
    yield _hardening(material)
    yield from _own_curve(material)
    for curve in material.fatigue:
        yield _sourced(f"life equation, Kt {curve.kt:g}", _equation(curve), curve.source)
    if end := material.endurance:
        value = f"{end.amplitude_from_mpa:g} to {end.amplitude_to_mpa:g} MPa at {end.cycles:g}"
        yield _sourced("endurance, amplitude", f"{value} cycles", end.source)
    if not material.fatigue and not material.endurance:
        yield _given(FATIGUE.label, "no data", AS_FILED)


def _hardening(material: Material) -> InputRow:
    if hardening := material.hardening:
        value = f"n {hardening.tension_n:g} in tension, {hardening.compression_n:g} in compression"
        return _sourced("Ramberg-Osgood exponents", value, hardening.source)
    return _sourced("stress-strain curve", "estimated", curve_source(material))


def _own_curve(material: Material) -> Iterator[InputRow]:
    source, slope = material.stress_strain_source or material.source, material.tangent_modulus_mpa
    if material.stress_strain:
        points = ", ".join(f"{mpa:g} MPa at {strain:g}" for strain, mpa in material.stress_strain)
        yield _sourced(f"{material.curve} curve past yield", points, source)
    elif slope is not None:
        yield _sourced(f"slope past yield, {material.curve}", f"{slope:g} MPa", source)


def _equation(curve: FatigueCurve) -> str:
    seq = "Smax" if curve.a3 == 0 else f"Smax (1 - R)^{curve.a3:g}"
    return f"log10 N = {curve.a1:g} {curve.a2:+g} log10(S - {curve.a4:g} ksi), S = {seq}"


def _clamp(clamp: Clamp) -> Iterator[InputRow]:
    if not clamp.holds:
        yield _given("model", clamp.in_words)
        return
    yield _given("width", f"{clamp.width_mm:g} mm")
    yield _given("model", clamp.model, AS_FILED)
    if clamp.model == "elastic":
        usual = Clamp(clamp.width_mm)
        for name, value, default in (
            (
                "stiffness normal to the contact surface",
                clamp.normal_n_per_mm3,
                usual.normal_n_per_mm3,
            ),
            (
                "stiffness along the contact surface",
                clamp.tangential_n_per_mm3,
                usual.tangential_n_per_mm3,
            ),
        ):
            yield _defaulted(
                name, f"{value:g} N/mm\u00b3", value == default, CLAMP_STIFFNESS_SOURCE
            )
    if clamp.bolts:
        yield from _bolts(clamp.bolts)
    else:
        yield _given("bolts", "not given")


def _bolts(bolts: Bolts) -> Iterator[InputRow]:
    yield _given(
        "bolts", f"{bolts.count} of {bolts.diameter_mm:g} mm, {bolts.torque_nm:g} N·m each"
    )
    usual = Bolts(bolts.count, bolts.torque_nm, bolts.diameter_mm)
    for name, value, default, source in (
        ("nut factor", bolts.nut_factor, usual.nut_factor, NUT_FACTOR_SOURCE),
        ("preload scatter, largest / least", bolts.scatter, usual.scatter, SCATTER_SOURCE),
        ("friction of clamp on tube", bolts.friction, usual.friction, FRICTION_SOURCE),
    ):
        yield _defaulted(name, f"{value:g}", value == default, source)
    yield _given("pressure round the tube", bolts.pressure, AS_FILED)


def _case(study: Study, placed: PlacedCase) -> Iterator[InputRow]:
    case = placed.case
    yield _sourced(f"loads of '{case.title}'", case.id, case.source)
    for name, value in case.parameters:
        text = f"{value:g}" if isinstance(value, float | int) else value
        yield _given(name, text, AS_FILED)
    for load in placed.loads:
        value = _load(load)
        yield _given(f"load at {on_ruler(load.at_mm, 1)}", value, f"computed for {case.id}")
    if friction := max((p.friction for one in placed.supports for p in one.points), default=0.0):
        usual = not _wrote_friction(study, case.id)
        yield _defaulted("friction of supports", f"{friction:g}", usual, FRICTION_SUPPORTS)
    for support in placed.supports:
        value = support.kind
        yield _given(f"support at {on_ruler(support.at_mm, 1)}", value, f"computed for {case.id}")
    for figure in (*case.figures, *case.limits):
        yield _sourced(figure.meaning, figure_in_words(figure), figure.source)
    if case.cycle:
        yield from _cycle(case.cycle)


def _wrote_friction(study: Study, case_id: str) -> bool:
    """Return whether the study itself says it: also where it is the catalogue's number."""
    tables = study.table.get("cases", ())
    written = next(one for one in tables if one.get("id", one.get("use")) == case_id)
    return "use" not in written or "friction" in written


def _load(load: PlacedLoad) -> str:
    parts = [f"force ({_three(load.force_n)}) N"] if any(load.force_n) else []
    parts += [f"moment ({_three(load.moment_nmm)}) N·mm"] if any(load.moment_nmm) else []
    return f"{' and '.join(parts)} over {load.band_mm:g} mm, bar axes"


def _three(values: Sequence[float]) -> str:
    return ", ".join(f"{round(value, 1) + 0.0:g}" for value in values)


def _cycle(cycle: Cycle) -> Iterator[InputRow]:
    if cycle.preload:
        yield _given("sustained load", "yes")
        return
    yield _given("other end of the cycle", cycle.other or "the reversed load", AS_FILED)
    if cycle.cycles is None:
        yield _given("cycles", "not given")
    elif cycle.source:
        yield _sourced("cycles", f"{cycle.cycles:g}", cycle.source)
    else:
        yield _given("cycles", f"{cycle.cycles:g}")


def _fatigue(run: StudyRun) -> Iterator[InputRow]:
    given = run.study.fatigue
    clamp = clamp_factor_of(given, run.study.bar.spec.material)
    share = given.reliability_factor
    yield _sourced("clamp factor over nominal stress", _levels(clamp), given.clamp_source)
    yield _sourced("surface factor", _levels(given.surface_factor), given.surface_source)
    yield _sourced("allowable over median stress", f"{share:g}", given.reliability_source)
    for entry in given.spectrum:
        value = f"{entry.cycles:g} cycles at {entry.scale:g} x load"
        yield _given(f"spectrum: {entry.case}", value)


def _levels(levels: Levels) -> str:
    return f"{levels.low:g} to {levels.high:g}, middle {levels.middle:g}"


def _given(name: str, value: str, mark: str = GIVEN) -> InputRow:
    return InputRow(name, value, FILE, mark)


def _sourced(name: str, value: str, source: Source) -> InputRow:
    place = f", {source.locator}" if source.locator else ""
    unsure = source.kind in UNSURE
    return InputRow(name, value, f"{source.reference}{place}", MARKS[source.kind], unsure)


def _defaulted(name: str, value: str, usual: bool, source: Source) -> InputRow:
    """Return a value that carries a source of its own where it is the default."""
    return _sourced(name, value, source) if usual else _given(name, value)
