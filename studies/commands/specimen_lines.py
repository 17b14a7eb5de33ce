"""What `check` prints of a specimen."""

from collections.abc import Iterator
from math import degrees

from geometry.round_fit import RoundFit
from geometry.specimen import Specimen
from loadcases.load import half_length_mm
from studies.study_file.readings import OvalPlace, WallPlace, readings_of
from studies.study_file.specimen_verdict import squareness, two_walls
from studies.study_file.study import Study
from studies.study_file.wall_from_mass import WallFromMass, wall_from_mass

PRACTICE = "common practice, no source: about 2 mm between the ends"


def specimen_lines(study: Study, specimen: Specimen) -> Iterator[str]:
    """Yield what was measured and what it says, a fact a line."""
    by_mass, found = wall_from_mass(study, specimen), readings_of(study, specimen)
    yield _by_mass(study, specimen, by_mass)
    if not study.measured:
        yield f"--as-measured computes with {'the walls read' if found.walls else 'these walls'}"
    yield from _taken(specimen)
    yield from _lengths(study, specimen)
    yield from map(_oval, found.ovals)
    for one in found.walls:
        yield from _wall(one)
    yield from found.untold
    if found.walls:
        yield from _both(study, specimen, found.walls, by_mass)
    yield from _square(study, specimen)
    yield from study.measured


def _by_mass(study: Study, specimen: Specimen, found: WallFromMass) -> str:
    low, high = found.factor - found.within, found.factor + found.within
    most = found.parts[0][0]
    return (
        f"{specimen.id}, {specimen.mass_g:g} g: {specimen.walls or 'walls'} {found.factor:.3f} x "
        f"those {'as measured' if study.measured else 'of the file'}, {low:.3f} to {high:.3f} at "
        f"95 %, most of it by {most}; a mean, not the thinnest place"
    )


def _taken(specimen: Specimen) -> Iterator[str]:
    for one in specimen.instruments:
        day = f", calibrated {one.calibrated}" if one.calibrated else ", calibration not given"
        yield f"instrument {one.id}: {one.kind}{day}"
    if specimen.operator:
        yield f"operator {specimen.operator}"


def _lengths(study: Study, specimen: Specimen) -> Iterator[str]:
    for side, read in (("right", specimen.right_length_mm), ("left", specimen.left_length_mm)):
        if read is not None:
            drawn = half_length_mm(study.bar.line, "right" if side == "right" else "left")
            yield (
                f"{side} half {read:g} ± {specimen.length_within_mm:g} mm long; drawn {drawn:.1f} "
                f"mm, {read - drawn:+.1f} mm"
            )


def _oval(one: OvalPlace) -> str:
    middle, low, high = one.percent
    around = f"at least {low:.2f} %" if high is None else f"{low:.2f} to {high:.2f} %"
    fit = one.fit
    text = (
        f"{one.side} {one.at_mm:g} mm: diameter {fit.mean:.3f} ± {fit.mean_within:.3f} mm; "
        f"ovality {middle:.2f} % ({around}), largest at {degrees(fit.phase_rad):.0f} deg"
    )
    in_bend = one.bend_percent
    return text if in_bend is None else f"{text}; {in_bend:.2f} % in the plane of the bend"


def _wall(one: WallPlace) -> Iterator[str]:
    fit, how = one.fit, "by diameter and bore" if one.by_bore else f"{one.fit.count} readings"
    place, bent = f"{one.side} {one.at_mm:g} mm", ", bending taken out" if one.in_bend else ""
    yield (
        f"{place}: mean wall {fit.mean:.3f} ± {fit.mean_within:.3f} mm, {how}{bent}; drawn "
        f"{one.nominal_mm:.3f} mm"
    )
    if one.by_bore:
        return
    thinnest, within = one.thinnest_mm
    yield f"{place}: bore off the middle by {_off(fit)}, thickest at {_angle(fit)}"
    yield (
        f"{place}: thinnest wall {thinnest:.3f} ± {within:.3f} mm, "
        f"{fit.amplitude:.3f} mm under the mean"
    )


def _off(fit: RoundFit) -> str:
    around = f"at least {fit.low:.3f}" if fit.high is None else f"{fit.low:.3f} to {fit.high:.3f}"
    told = "" if fit.low > 0 else "; not told from none"
    return f"{fit.amplitude:.3f} mm ({around} mm{told})"


def _angle(fit: RoundFit) -> str:
    return f"{degrees(fit.phase_rad):.0f} deg"


def _both(
    study: Study, specimen: Specimen, walls: tuple[WallPlace, ...], by_mass: WallFromMass
) -> Iterator[str]:
    both = two_walls(study, specimen, walls, by_mass)
    yield (
        f"mean wall of the bar: {both.read_mm:.3f} ± {both.read_within_mm:.3f} mm by readings, "
        f"{both.mass_mm:.3f} ± {both.mass_within_mm:.3f} mm by mass"
    )
    yield (
        f"they lie {both.deviations:.1f} standard deviations apart; between the places read the "
        "wall is not known"
    )


def _square(study: Study, specimen: Specimen) -> Iterator[str]:
    tolerance, turned = specimen.out_of_square_tolerance_mm, study.bar_spec.turned
    if tolerance is None:
        return
    if turned is None:
        yield f"out of square: tolerance {tolerance:g} mm, no reading; give [bar.out_of_square]"
        return
    read = turned.readings
    found = squareness(read, tolerance)
    known = None not in (read.height_within_mm, read.fore_aft_within_mm, read.length_within_mm)
    why = {
        "inside": "inside",
        "outside": "outside",
        "undecided": "not decided within its interval; read it more closely",
    }[found]
    missing = "" if known else "; intervals that are not given count as none"
    yield f"out of square: tolerance {tolerance:g} mm, {why}{missing} ({PRACTICE})"
