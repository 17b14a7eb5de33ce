"""How the printed figures of a run follow its walls: each times a ratio of the preview's designs.

At the study's own walls every ratio is exactly 1, so that all digits are those of the run.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fea.stability.criteria import CLAMP_SLIP, LOCAL_BUCKLING, YIELD
from geometry.arrays import Floats
from studies.assessment.run import StudyRun
from studies.preview.first_wrinkle import stressed_rings, wrinkles_in
from studies.preview.fit import Fit, coefficients, fit_through, foretold
from studies.preview.readings import DesignReading, PartKey, Parts, Used, edge_name, read_design
from studies.preview.rough_run import as_rough
from studies.preview.snapshots import Snapshots
from studies.preview.stretches import stretch_ends_mm, stretch_of
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.limit import LimitRecord
from studies.records.parts import has_ram
from studies.records.places import place_in_words

MOST_BY_CONTACT = 0.02
"""Share of the peak that loss of contact may add, for first yield to follow without it."""

NEAR = 0.8
"""Share of the largest utilisation from which a part may become the largest between designs."""

SAME_PLACE = 0.9
"""Share of the largest from which the run's own place is taken as the preview's."""


@dataclass(frozen=True)
class Part:
    """A part of the bar that may govern.

    Attributes:
        share: Its utilisation over the governing one at the study's own walls, at most 1.
        coefficients: Of the logarithm of its ratio.
        place: In words, empty for the bar as a whole.
        at: The same, None for the bar as a whole.
    """

    share: float
    coefficients: tuple[float, ...]
    place: str = ""
    at: Used | None = None


@dataclass(frozen=True)
class Follow:
    """A utilisation that follows the walls: the largest of its parts'.

    Attributes:
        parts: The run's own first.
        error_percent: Of the design left out, as the others foretell it.
    """

    parts: tuple[Part, ...]
    error_percent: float


@dataclass(frozen=True)
class CaseFollow:
    """What of a case follows.

    Attributes:
        figures: Ratio of a figure by its name.
        peak: Of the peak stress.
        limits: Of each printed limit, None where it does not follow.
    """

    figures: Mapping[str, Follow]
    peak: Follow | None
    limits: tuple[Follow | None, ...]


@dataclass(frozen=True)
class Following:
    """What of a run follows.

    Attributes:
        mass: Of the mass.
        cases: Of each case.
        together: Of the life under all repeated loads combined, None where there is none.
    """

    mass: Follow
    cases: tuple[CaseFollow, ...]
    together: Follow | None


@dataclass(frozen=True, eq=False)
class _Source:
    """What everything is made of.

    Attributes:
        run: The run whose figures follow.
        snapshots: The computed designs.
        fit: Through them.
        ends_mm: Of the stretches.
        own: What the run's own mesh says of each stretch.
        wrinkles: Likewise of local buckling, of each case.
    """

    run: StudyRun
    snapshots: Snapshots
    fit: Fit
    ends_mm: Floats
    own: DesignReading
    wrinkles: tuple[Parts, ...]


@dataclass(frozen=True)
class _Printed:
    """The place that the run prints of a criterion."""

    s_mm: float | None
    place: str


def following(run: StudyRun, record: ResultsRecord, snapshots: Snapshots) -> Following:
    """Return what follows of a run; results.json holds `record`."""
    source = _source(run, snapshots)
    readings = [one.reading for one in snapshots.taken]
    mass = _single(source.fit, [one.mass_g for one in readings])
    cases = tuple(_case(source, number, one) for number, one in enumerate(record.cases))
    together = None
    if record.fatigue and record.fatigue.low_factor:
        at = _Printed(record.fatigue.at.s_mm, record.fatigue.at.text)
        parts = [one.together for one in readings]
        together = _follow(source, parts, source.own.together, at)
    return Following(mass, cases, together)


def _source(run: StudyRun, snapshots: Snapshots) -> _Source:
    ends_mm, own = stretch_ends_mm(run.study), as_rough(run)
    stretch = stretch_of(ends_mm, run.model.mesh.sheet.nodes[:, 0])
    searched = [
        np.unique([key for one in snapshots.taken for key in one.local_buckling[number]])
        for number in range(len(run.cases))
    ]
    rings = [stressed_rings(own, case, stretch) for case in own.cases]
    return _Source(
        run,
        snapshots,
        fit_through([one.factors for one in snapshots.taken]),
        ends_mm,
        read_design(own, stretch),
        wrinkles_in(list(zip(rings, searched, strict=True))),
    )


def _single(fit: Fit, values: Sequence[float]) -> Follow:
    """Return how one figure follows."""
    logs = np.log(values)
    found = tuple(float(one) for one in coefficients(fit, logs))
    error = float(np.expm1(np.abs(foretold(fit, logs) - logs[-1])))
    return Follow((Part(1.0, found),), 100 * error)


def _case(source: _Source, number: int, record: CaseRecord) -> CaseFollow:
    readings = [one.reading.cases[number] for one in source.snapshots.taken]
    names = [name for name in readings[0].figures if all(name in one.figures for one in readings)]
    figures = {name: _single(source.fit, [one.figures[name] for one in readings]) for name in names}
    at = _Printed(record.peak_stress_at.s_mm, record.peak_stress_at.text)
    own = source.own.cases[number].peak
    peak = _follow(source, [one.peak for one in readings], own, at)
    limits = tuple(_limit(source, number, record, one) for one in record.limits)
    return CaseFollow(figures, peak, limits)


def _limit(source: _Source, number: int, case: CaseRecord, limit: LimitRecord) -> Follow | None:
    """Return how a printed limit follows, None where it does not."""
    taken, at = source.snapshots.taken, _Printed(limit.s_mm, limit.place)
    if limit.criterion == CLAMP_SLIP.id:
        # beside supports that stand still, walls share out what the clamp carries
        return None if case.supports and not has_ram(case) else _unmoved(source)
    if limit.criterion == LOCAL_BUCKLING.id:
        parts: list[Parts] = [one.local_buckling[number] for one in taken]
        return _follow(source, parts, source.wrinkles[number], at)
    every = [one.reading.cases[number].used.get(limit.criterion, {}) for one in taken]
    found = _follow(source, every, source.own.cases[number].used.get(limit.criterion, {}), at)
    if found is None or limit.criterion != YIELD.id:
        return found
    return _with_open_contact(found, case)


def _with_open_contact(found: Follow, case: CaseRecord) -> Follow | None:
    """Return how first yield follows; loss of contact does not, and adds what it is worth."""
    alone = case.clamp and case.clamp.contact_only_peak_mpa
    more = max(alone / case.peak_stress_mpa - 1, 0.0) if alone else 0.0
    if more > MOST_BY_CONTACT:
        return None
    return replace(found, error_percent=found.error_percent + 100 * more)


def _unmoved(source: _Source) -> Follow:
    """Return that of slip: friction holds what the bolts press, whatever the wall."""
    return Follow((Part(1.0, (0.0,) * len(source.fit.powers)),), 0.0)


def _opens(case: CaseRecord) -> bool:
    """Return whether first yield is that with loss of contact, which the preview lacks."""
    alone = case.clamp and case.clamp.contact_only_peak_mpa
    return bool(alone and alone > case.peak_stress_mpa)


def _follow(
    source: _Source, every: Sequence[Parts], own: Parts, printed: _Printed
) -> Follow | None:
    """Return how the largest utilisation of some parts follows, None where a design lacks it."""
    if not all(every):
        return None
    first = _printed_part(source, every[0], printed)
    kept = _may_govern(every, first)
    if kept is None:
        return None
    logs = np.log([[parts[key].value for key in kept] for parts in every])
    found = coefficients(source.fit, logs)
    error = float(np.expm1(np.abs(foretold(source.fit, logs).max() - logs[-1].max())))
    at_rest = {key: own.get(key, every[0][key]) for key in kept}
    parts = tuple(
        Part(
            min(at_rest[key].value / at_rest[first].value, 1.0),
            tuple(float(one) for one in column),
            printed.place if key == first else _place(source, at_rest[key]),
            at_rest[key],
        )
        for key, column in zip(kept, found.T, strict=True)
    )
    return Follow(parts, 100 * error)


def _printed_part(source: _Source, parts: Parts, printed: _Printed) -> PartKey:
    """Return the part that holds the printed place, the largest one where it is none of them."""
    most = max(parts, key=lambda key: parts[key].value)
    if printed.s_mm is None:
        return most
    at = int(stretch_of(source.ends_mm, np.array([printed.s_mm]))[0])
    for key in (edge_name(printed.s_mm), at):
        if key in parts and parts[key].value >= SAME_PLACE * parts[most].value:
            return key
    return most


def _may_govern(every: Sequence[Parts], own: PartKey) -> list[PartKey] | None:
    """Return the parts that may be the largest, the run's own first; None where one is lost."""
    near = {
        key
        for parts in every
        for most in (max(one.value for one in parts.values()),)
        for key, one in parts.items()
        if one.value >= NEAR * most
    }
    lost = [key for key in near | {own} if any(key not in parts for parts in every)]
    return None if lost else [own, *sorted(near - {own}, key=str)]


def _place(source: _Source, used: Used) -> str:
    return place_in_words(source.run.study.bar, used.s_mm, used.theta_rad, used.surface)
