"""The lines of `barwright run` on limits, zones, clamps and fatigue."""

from collections.abc import Iterator

from studies.records.case import CaseRecord, ResultsRecord
from studies.records.limit import ClampPreloadRecord, FatigueRecord
from studies.records.places import rounded_cycles

MOST_ZONES = 4
"""Zones printed for a case; results.json holds them all."""


def assessed_lines(case: CaseRecord) -> Iterator[str]:
    """Yield the limits of a case, what stands behind them, and its zones."""
    yield "Limits, as multiples of this load:"
    for limit in case.limits:
        place = f"; {limit.place}" if limit.place else ""
        yield f"  {limit.load_factor:6.2f}  {limit.name}{place}"
    yield from _clamp_lines(case)
    if case.fatigue:
        yield from fatigue_lines(case.fatigue, "Fatigue")
    zones = case.buckling.zones
    if zones:
        yield f"Zones used to more than half ({len(zones)}):"
        yield from (f"  {zone.text}" for zone in zones[:MOST_ZONES])
    if len(zones) > MOST_ZONES:
        yield f"  and {len(zones) - MOST_ZONES} more in results.json"


def fatigue_lines(fatigue: FatigueRecord, heading: str) -> Iterator[str]:
    """Yield a fatigue life: stress, place, life against what is asked, and its notes."""
    stages = " + ".join(f"{stage.cycles:g} of {stage.case}" for stage in fatigue.stages)
    yield f"{heading}: {stages}"
    notch = f", notch factor {fatigue.notch_factor:g}" if fatigue.notch_factor > 1 else ""
    yield (
        f"  amplitude {fatigue.amplitude_mpa:.0f} MPa, mean {fatigue.mean_mpa:.0f} MPa"
        f"{notch}, {fatigue.at.text}"
    )
    yield f"  {_life(fatigue)}"
    yield from (f"  {note}" for note in fatigue.notes)


def clamp_lines(record: ResultsRecord) -> Iterator[str]:
    """Yield what each tightened clamp does by itself."""
    for clamp in record.clamp_preload:
        least, nominal, largest = (force / 1000 for force in clamp.preload_n)
        yield (
            f"{_name(clamp)}: bolts press with {nominal:.1f} kN ({least:.1f} to {largest:.1f}), "
            f"{clamp.pressure_mpa:.1f} MPa on the tube; "
            f"at most {clamp.peak_stress_mpa:.0f} MPa in it"
        )
        yield (
            f"  it holds {clamp.slip_torque_nmm / 1000:.0f} N m about the tube "
            f"({clamp.line_slip_torque_nmm / 1000:.0f} if it touches along two lines); "
            f"{clamp.ring_buckling_pressure_mpa:.1f} MPa would press a free tube flat"
        )


def _name(clamp: ClampPreloadRecord) -> str:
    if clamp.name == "stem":
        return "Stem"
    side = "left" if clamp.at_mm < 0 else "right"
    return f"Lever, {side}, {abs(clamp.at_mm):.0f} mm"


def _clamp_lines(case: CaseRecord) -> Iterator[str]:
    clamp = case.clamp
    if clamp is None or clamp.contact_only_peak_mpa is None:
        return
    yield (
        f"The clamp lets go of {sum(zone.percent for zone in clamp.contact_loss):.2g} % of its "
        f"face at the least preload, most at {clamp.contact_loss[0].text}; "
        f"pressing only: deflection {clamp.contact_only_deflection_mm:.2f} mm, peak "
        f"{clamp.contact_only_peak_mpa:.0f} MPa"
    )


def _life(fatigue: FatigueRecord) -> str:
    factor = fatigue.factor
    multiple = "" if factor is None else f"; the loads may be {factor:.2f} times as large"
    if fatigue.life_cycles is None:
        return f"no life is given{multiple}"
    least = "more than " if fatigue.beyond_curve else ""
    life, asked = rounded_cycles(fatigue.life_cycles), rounded_cycles(fatigue.cycles)
    return f"life {least}{life} cycles, {asked} asked for{multiple}"
