"""The fatigue life of a bar's surface under a spectrum of repeated loads, and the margin to it.

Stress at surface places goes in (`fea.fatigue.stress_history`), the worst place and plane come out,
with the life by the material's life equation, or without it the distance from a listed
endurance amplitude. A stress that the curves do not reach is no error: its record has no
life and says why.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from fea.fatigue.curve import MAX_LIFE, MIN_LIFE
from fea.fatigue.damage import (
    Strength,
    between_rows,
    damage_of,
    deciding_row,
    greatest_smax_mpa,
    ratio_range,
    stage_damage,
    strength_of,
    stress_ratio,
)
from fea.fatigue.factor import Factor, Place, factor_by_curve, factor_by_endurance, worst
from fea.fatigue.stress_history import (
    PLANES_DEG,
    ZERO_MPA,
    CyclicStress,
    amplitude_and_mean_mpa,
    at_places,
    shear_share,
)
from geometry.arrays import Floats
from geometry.errors import InputError
from geometry.limits import Range, number_problem
from geometry.material import Endurance, FatigueCurve, Material
from geometry.source import MARKS

Basis = Literal["life equation", "listed endurance", "no data"]

SHEAR_WORTH_SAYING = 1.1
"""Von Mises over normal amplitude above which the criterion is called in doubt."""

_RELIABILITY = Range(
    0, 1, remedy="give 1 for the median, or a lower share of its stress", above=True
)


@dataclass(frozen=True)
class FatigueResult:
    """Fatigue of a spectrum at the worst place and plane.

    Life, damage and factor hold with the reliability factor: 1 is the median curve, of which
    half of all specimens fall short.

    Attributes:
        place_index: The worst of the places given.
        plane_deg: Normal of the worst plane, from the axial towards the hoop direction.
        stage_index: The stage that does most damage there.
        amplitude_mpa: Amplitude of the normal stress on that plane in that stage.
        mean_mpa: Mean of it as counted, 0 where it is compressive.
        stress_ratio: R of the two.
        cycles: Cycles of all stages in one repetition of the spectrum.
        reliability_factor: Allowable over median stress.
        life_cycles: Cycles of all stages together until Miner's sum is 1; what the life is
            at least where `beyond_curve`; None where no curve applies.
        repetitions: The same in repetitions of the whole spectrum.
        beyond_curve: Whether all stages lie below what the curve plots.
        damage: Miner's sum of one repetition, the equation continued below its range; None
            where no curve applies.
        stress_factor: Multiple of the repeated loads, the steady stress left as it is, with
            Miner's sum 1 in one repetition, or that reaches the end of the curve or the
            listed amplitude. It may be decided at another place. None where no stress varies
            or nothing is known.
        basis: Of life and factor.
        curve: Row of the life equation that decides, None on another basis.
        endurance: The listed amplitude, None on another basis.
        notes: Sentences that belong with the figures.
    """

    place_index: int
    plane_deg: float
    stage_index: int
    amplitude_mpa: float
    mean_mpa: float
    stress_ratio: float
    cycles: float
    reliability_factor: float
    life_cycles: float | None = None
    repetitions: float | None = None
    beyond_curve: bool = False
    damage: float | None = None
    stress_factor: float | None = None
    basis: Basis = "no data"
    curve: FatigueCurve | None = None
    endurance: Endurance | None = None
    notes: tuple[str, ...] = ()


def fatigue_result(
    cyclic: CyclicStress, material: Material, reliability_factor: float = 1.0
) -> FatigueResult:
    """Return the life at the worst place and the fatigue factor of the loads.

    Valid for elastic stress and for smooth specimens but for the notch factors
    in `cyclic`; the order of the stages does not count.

    Raises:
        InputError: The reliability factor is not above 0 and at most 1.

    Source: `fea.fatigue.damage` and `fea.fatigue.factor`.
    """
    problem = number_problem("reliability_factor", reliability_factor, _RELIABILITY)
    if problem:
        raise InputError(problem)
    if material.fatigue:
        return _by_curve(cyclic, strength_of(material, reliability_factor))
    if material.endurance:
        return _by_endurance(cyclic, material, material.endurance, reliability_factor)
    return _without_data(cyclic, material, reliability_factor)


def _by_curve(cyclic: CyclicStress, strength: Strength) -> FatigueResult:
    found = damage_of(cyclic, strength)
    place, plane = worst(found)
    unknown = bool(found.unknown[place, plane])
    damages, stage = _stages_at(cyclic, strength, place, plane)
    row = deciding_row(at_places(cyclic, np.array([place])), strength, stage, plane)
    result = _at(cyclic, (stage, place, plane), strength.reliability)
    factor = factor_by_curve(cyclic, strength)
    reasons = _no_row_notes(result, strength) if unknown else _row_notes(result, row, strength)
    notes = (_strength_note(strength.reliability), *reasons, *_range_notes(result.cycles))
    result = replace(
        result,
        stress_factor=factor.value,
        basis="life equation",
        curve=row,
        notes=(*notes, *_factor_notes(factor), *result.notes),
    )
    return result if unknown else _with_life(result, damages, cyclic.cycles)


def _stages_at(
    cyclic: CyclicStress, strength: Strength, place: int, plane: int
) -> tuple[Floats, int]:
    """Return (S,) the damage of each stage on a plane, and the stage that does most."""
    here = at_places(cyclic, np.array([place]))
    stages = [stage_damage(here, strength, stage) for stage in range(len(cyclic.cycles))]
    damages = np.array([one.damage[0, plane] for one in stages])
    uses = np.array([one.use[0, plane] for one in stages])
    return damages, int(np.lexsort((uses, damages))[-1])


def _with_life(result: FatigueResult, damages: Floats, cycles: Floats) -> FatigueResult:
    """Return the result with its life, by the damage of each stage; none above the curve."""
    damage = float(damages.sum())
    if not np.isfinite(damage):
        return result
    beyond = bool(np.all(damages <= cycles / MAX_LIFE))
    life = MAX_LIFE if beyond else result.cycles / damage
    return replace(
        result,
        life_cycles=life,
        repetitions=life / result.cycles,
        beyond_curve=beyond,
        damage=damage,
    )


def _by_endurance(
    cyclic: CyclicStress, material: Material, endurance: Endurance, reliability: float
) -> FatigueResult:
    ultimate = material.ultimate_stress_mpa
    factor, where = factor_by_endurance(cyclic, endurance, ultimate, reliability)
    result = _at(cyclic, where, reliability)
    covered = result.cycles <= endurance.cycles and np.isfinite(factor)
    return replace(
        result,
        stress_factor=factor if covered else None,
        basis="listed endurance",
        endurance=endurance,
        notes=(*_endurance_notes(result, endurance), *result.notes),
    )


def _without_data(cyclic: CyclicStress, material: Material, reliability: float) -> FatigueResult:
    largest = [
        float(amplitude_and_mean_mpa(cyclic, stage)[0].max()) for stage in range(len(cyclic.cycles))
    ]
    stage = int(np.argmax(largest))
    amplitude = amplitude_and_mean_mpa(cyclic, stage)[0]
    place, plane = np.unravel_index(np.argmax(amplitude), amplitude.shape)
    result = _at(cyclic, (stage, int(place), int(plane)), reliability)
    note = f"{material.title} has neither a life equation nor a listed endurance: no life is given."
    return replace(result, notes=(note, *result.notes))


def _at(cyclic: CyclicStress, where: Place, reliability: float) -> FatigueResult:
    """Return the stress at a stage, place and plane, with no life as yet."""
    stage, place, plane = where
    here = at_places(cyclic, np.array([place]))
    amplitude, mean = (values[0, plane] for values in amplitude_and_mean_mpa(here, stage))
    return FatigueResult(
        place_index=place,
        plane_deg=float(PLANES_DEG[plane]),
        stage_index=stage,
        amplitude_mpa=float(amplitude),
        mean_mpa=float(mean),
        stress_ratio=float(stress_ratio(amplitude, mean)),
        cycles=float(cyclic.cycles.sum()),
        reliability_factor=reliability,
        notes=tuple(_shear_notes(shear_share(cyclic, stage, place))),
    )


def _no_row_notes(found: FatigueResult, strength: Strength) -> Iterator[str]:
    low, high = ratio_range(strength.rows)
    yield (
        f"No life: the worst plane has R = {found.stress_ratio:.2f}, and the rows of the material "
        f"are valid for {low:g} to {high:g}; change the preload or the other end of the cycle."
    )


def _row_notes(found: FatigueResult, row: FatigueCurve, strength: Strength) -> Iterator[str]:
    ratio, maximum = found.stress_ratio, found.amplitude_mpa + found.mean_mpa
    if between_rows(strength.rows, ratio):
        yield (
            f"R = {ratio:.2f} lies between two rows of the material; the shorter life counts, by "
            f"{row.source.locator}."
        )
    greatest = greatest_smax_mpa(row, strength, ratio)
    if maximum > greatest * (1 + 1e-9):
        yield (
            f"No life: Smax is {maximum:.0f} MPa, above the {greatest:.0f} MPa at which "
            f"{row.source.locator} ends at R = {ratio:.2f}: {MIN_LIFE:g} cycles (from memory, "
            "unverified), or the tensile strength."
        )


def _range_notes(cycles: float) -> Iterator[str]:
    if cycles > MAX_LIFE:
        yield (
            f"More than {MAX_LIFE:g} cycles are required, beyond what the curves plot: the "
            "equation is continued."
        )
    if cycles < MIN_LIFE:
        yield (
            f"Fewer than {MIN_LIFE:g} cycles are required: the stress factor is that of "
            f"{MIN_LIFE:g}, where the curves begin."
        )


def _factor_notes(factor: Factor) -> Iterator[str]:
    if factor.unknown:
        yield "No stress factor: it is decided at a stress ratio for which the material has no row."
    elif factor.value is None:
        yield "No stress factor: no stress varies."


def _endurance_notes(found: FatigueResult, endurance: Endurance) -> Iterator[str]:
    yield (
        f"The amplitude of {endurance.amplitude_from_mpa:g} MPa at {endurance.cycles:g} cycles, "
        f"the lower end of what is listed, is {MARKS[endurance.source.kind]}; there is no life "
        "equation, so no life is given."
    )
    if found.reliability_factor < 1:
        yield f"The amplitude is taken times {found.reliability_factor:g}."
    if found.cycles > endurance.cycles:
        yield (
            f"No stress factor: {found.cycles:g} cycles are required, and the amplitude is "
            f"listed for {endurance.cycles:g}."
        )
    if found.amplitude_mpa <= ZERO_MPA:
        yield "No stress factor: no stress varies."


def _strength_note(reliability: float) -> str:
    if reliability == 1:
        return "The strength is a median: half of all smooth specimens fail earlier."
    return f"The strength is {reliability:g} times the median of smooth specimens."


def _shear_notes(share: float) -> Iterator[str]:
    if share > SHEAR_WORTH_SAYING:
        yield (
            f"Shear counts here: the von Mises amplitude is {share:.2f} times the normal one of "
            "this life, which is unconservative for a ductile metal."
        )
