"""What `--verbose` adds: all loads, weak inputs, load bands, clamps, contact, zones, sources."""

from collections.abc import Iterator
from math import hypot

from fea.clamp.clamping import STEM
from studies.commands.case_lines import SHOWN_GAUGES, evidence
from studies.commands.lines import labelled, wrapped
from studies.commands.units import shown_bare
from studies.records.base import SourceRecord
from studies.records.case import CaseRecord, ClampRecord, LoadPointRecord, ResultsRecord
from studies.records.fatigue import FatigueRecord, FatigueSiteRecord
from studies.records.fatigue_text import factor_text, life_text
from studies.records.gauges import reading_text
from studies.records.limit import ClampPreloadRecord
from studies.records.load_text import vector_in_words
from studies.records.parts import own_points
from studies.records.places import capitalised, on_ruler, percent, rounded_cycles


def bar_details(record: ResultsRecord) -> Iterator[str]:
    """Yield what each preloaded clamp does by itself, and the fatigue of all stages together."""
    yield from _stiffness(record.clamp)
    for clamp in record.clamp_preload:
        yield from labelled("", _preload(clamp), 2, 7)
    if (fatigue := record.fatigue) is not None:
        stages = " + ".join(f"{rounded_cycles(one.cycles)} of {one.case}" for one in fatigue.stages)
        text = f"{factor_text(fatigue)} at {fatigue.at.text}; stages {stages}"
        yield from labelled("All repeated loads", text, 2, 20)


def case_details(case: CaseRecord) -> Iterator[str]:
    """Yield what the short form of a case leaves out."""
    own = len(own_points(case))
    for number, load in enumerate(case.load_points):
        yield from labelled("Load point" if number < own else "Reaction", _load_point(load))
    yield from labelled("Load band", f"{case.load_band_peak_mpa:.0f} MPa, excluded from the peak")
    for gauge in case.gauges[SHOWN_GAUGES:]:
        yield from labelled("Gauge", reading_text(gauge))
    for one in case.clamp_stiffness_study:
        scale = "x 1/3" if one.stiffness_scale < 1 else f"x {one.stiffness_scale:g}"
        text = f"{one.deflection_mm:.2f} mm, peak {one.peak_stress_mpa:.0f} MPa"
        yield from labelled("Clamp", f"stiffness {scale}: deflection {text}")
    if case.fatigue:
        yield from _fatigue(case.fatigue)
    yield from _contact(case)
    if case.buckling.zones:
        yield "   Zones with utilisation above 0.5"
        for zone in case.buckling.zones:
            yield from wrapped(zone.text, 5, 7)


def _fatigue(fatigue: FatigueRecord) -> Iterator[str]:
    """Yield the worst clamp edge and the worst place elsewhere, each with its range."""
    for label, site in (("Clamp edge", fatigue.clamp_edge), ("Elsewhere", fatigue.elsewhere)):
        if site is not None:
            yield from labelled(label, f"fatigue {factor_text(site)}; life {life_text(site)}")
            yield from labelled("", _site(site))


def _site(site: FatigueSiteRecord) -> str:
    kind = "amplitude" if site.bend_factor is None else "nominal amplitude"
    parts = [f"{site.at.text}: {kind} {site.amplitude_mpa:.0f} MPa"]
    parts += [f"mean {site.mean_mpa:.0f} MPa"] if site.mean_mpa >= 1 else []
    parts += [] if site.bend_factor is None else [f"bend factor {site.bend_factor:.2f} in it"]
    return "; ".join([*parts, f"fatigue factor on it {site.fatigue_factor:.2f}"])


def reference_lines(record: ResultsRecord) -> Iterator[str]:
    """Yield where loads, material and clamp stiffness come from."""
    yield "References"
    cited: dict[str, list[str]] = {}
    for number, case in enumerate(record.cases, start=1):
        cited.setdefault(_source(case.source), []).append(f"case {number}")
    for block, source in record.material.sources.items():
        cited.setdefault(_source(source), []).append(f"{record.material.id} {block}")
    if record.clamp.source:
        cited.setdefault(_source(record.clamp.source), []).append("clamp stiffness")
    for reference, names in cited.items():
        yield from wrapped(f"{', '.join(names)}: {reference}", 2, 4)


def _source(source: SourceRecord) -> str:
    place = f", {source.locator}" if source.locator else ""
    mark = f" ({word})" if (word := evidence(source.kind)) != "source" else ""
    return f"{source.reference}{place}{mark}"


def _stiffness(clamp: ClampRecord) -> Iterator[str]:
    if clamp.normal_n_per_mm3 is not None and clamp.tangential_n_per_mm3 is not None:
        yield from labelled(
            "",
            f"stiffness {clamp.normal_n_per_mm3:g} N/mm³ normal, "
            f"{clamp.tangential_n_per_mm3:g} N/mm³ tangential",
            2,
            7,
        )


def _preload(clamp: ClampPreloadRecord) -> str:
    name = clamp.name if clamp.name == STEM else f"lever {on_ruler(clamp.at_mm)}"
    return (
        f"{name}: pressure {clamp.pressure_mpa:.1f} MPa, at most {clamp.peak_stress_mpa:.0f} MPa "
        f"in the tube; slip torque {clamp.slip_torque_range_nmm[0] / 1000:.0f} N·m on two lines at "
        f"low friction; ring buckling pressure {clamp.ring_buckling_pressure_mpa:.1f} MPa"
    )


def _load_point(load: LoadPointRecord) -> str:
    parts = [f"{on_ruler(load.at_mm)}: force {vector_in_words(load.force_n)} N"]
    if any(load.moment_nmm):
        in_nm = ", ".join(f"{value / 1000 + 0:.1f}" for value in load.moment_nmm)
        parts.append(f"moment ({in_nm}) N·m")
    along = load.displacement_along_force_mm
    moved = f"displacement {hypot(*load.displacement_mm):.2f} mm"
    along_too = "" if along is None else f", along the load {shown_bare(f'{along:.2f}', 'mm')}"
    parts.append(moved + along_too)
    return "; ".join([*parts, f"rotation {hypot(*load.rotation_deg):.2f} deg"])


def _contact(case: CaseRecord) -> Iterator[str]:
    clamp = case.clamp
    if clamp is None or clamp.contact_only_peak_mpa is None:
        return
    lost = percent(sum(zone.percent for zone in clamp.contact_loss))
    text = (
        f"loss of contact {lost} of the face at the least preload, most at "
        f"{clamp.contact_loss[0].text}; contact only: deflection "
        f"{clamp.contact_only_deflection_mm:.2f} mm, peak {clamp.contact_only_peak_mpa:.0f} MPa"
    )
    yield from labelled("Contact", text)


def weak_inputs(case: CaseRecord) -> Iterator[str]:
    """Yield what is not verified of each limit."""
    for limit in case.limits:
        inputs = "; ".join(f"{one.input}, {one.evidence}" for one in limit.weak_inputs)
        if inputs:
            yield f"{capitalised(limit.name)}, weak inputs: {inputs}."
