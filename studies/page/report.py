"""report.html: everything of a run on one page that works from disk, offline and on paper."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from fea.stability.criteria import FATIGUE
from geometry.arrays import Floats
from geometry.bar import Bar
from loadcases.case import Case
from studies.assessment.run import CaseRun, StudyRun
from studies.page import assets
from studies.page.answers import ASSUMED, answers
from studies.page.chart import Chart
from studies.page.check_table import check_table
from studies.page.curve_table import CurveTable, curve_table
from studies.page.curves import (
    Curves,
    Numbers,
    Stretch,
    axis_of,
    charts_of,
    numbers_of,
    station_places,
    stretches,
    study_curves,
    wall_charts,
    wall_numbers,
)
from studies.page.each_once import fatigue_notes, remarks_once
from studies.page.evidence import evidence_strip
from studies.page.filling import environment, shared_parts
from studies.page.first_screen import CaseButton, case_strip, headline, key_figures
from studies.page.inputs import inputs
from studies.page.inspection import inspections
from studies.page.maps import Map, study_maps
from studies.page.past_yield import PastYield, past_yield, path_cautions
from studies.page.path_answers import collapses
from studies.page.path_rungs import whole_ladder
from studies.page.preview import preview
from studies.page.scene import scene
from studies.page.set_up import SetUp, set_up
from studies.page.sheet import sheet
from studies.page.square import square_part
from studies.page.weak_inputs import weak_inputs
from studies.pictures.cuts import cuts_of, section_outlines_mm, section_words
from studies.pictures.fatigue import has_fatigue
from studies.pictures.raster import still_uri
from studies.preview.snapshots import Snapshots
from studies.records.case import CaseRecord, ResultsRecord

STILL_DOTS = 1000
DIGITS = 5
"""Significant digits of the numbers behind the charts."""


@dataclass(frozen=True)
class Still:
    """A picture as a data: address, with its size in dots and its alternative text."""

    picture: str
    width: int
    height: int
    words: str


@dataclass(frozen=True)
class CasePart:
    """What the page shows of one case."""

    record: CaseRecord
    case: Case
    charts: tuple[Chart, ...]
    values: CurveTable
    maps: tuple[Map, ...]
    marks: tuple[Stretch, ...]
    stills: tuple[Still, ...]
    past: PastYield | None
    set_up: SetUp | None


@dataclass(frozen=True)
class Section:
    """A cross-section as the template draws it: a path in mm, half its width, and words."""

    path: str
    half_mm: float
    words: tuple[str, ...]


def report_html(
    run: StudyRun,
    record: ResultsRecord,
    figures: Path | None = None,
    snapshots: Snapshots | None = None,
) -> str:
    """Return the page of a run.

    Args:
        run: The answers.
        record: What results.json holds of them.
        figures: Folder of the run's pictures, for paper and for browsers that cannot draw; None
            where none were drawn.
        snapshots: Other walls, for sliders that figures and colours follow; None for none.
    """
    curves, groups = study_curves(run), inputs(run)
    looks, checks = inspections(run, record), check_table(record)
    cases, strip = _cases(run, record, curves, figures), case_strip(record)
    template = environment().get_template("report.html")
    return template.render(
        **shared_parts(assets.REPORT),
        record=record,
        study=run.study,
        answers=answers(run, record),
        assumed=ASSUMED,
        headline=headline(record),
        strip=strip,
        ladder=whole_ladder(record),
        key_figures=key_figures(record),
        evidence=evidence_strip(groups, record),
        input_groups=groups,
        weak=weak_inputs(groups),
        square=square_part(record),
        sheet=sheet(record, looks, checks),
        inspections=looks,
        checks=checks,
        collapses=collapses(record.cases),
        remarks=remarks_once(record),
        fatigue_notes=fatigue_notes(record),
        beyond=path_cautions(record.cases),
        cases=cases,
        first_stills=_first_stills(cases, strip),
        axis=axis_of(run.study.bar),
        marks=stretches(run),
        stations=station_places(run),
        wall_charts=wall_charts(run),
        wall_table=curve_table(wall_numbers(run)),
        sections=_sections(run.study.bar),
        scene=scene(run, record),
        preview=preview(run, record, snapshots) if snapshots else None,
        numbers={name: _numbers(numbers_of(one)) for name, one in curves.items()},
    )


def _cases(
    run: StudyRun, record: ResultsRecord, curves: Mapping[str, Curves], figures: Path | None
) -> tuple[CasePart, ...]:
    return tuple(
        CasePart(
            record=one,
            case=case.placed.case,
            charts=charts_of(curves[one.id]),
            values=curve_table(numbers_of(curves[one.id])),
            maps=maps,
            marks=stretches(run, case),
            stills=_stills(case, figures) if figures else (),
            past=past_yield(one),
            set_up=set_up(run, case),
        )
        for case, one, maps in zip(run.cases, record.cases, study_maps(run), strict=True)
    )


def _first_stills(cases: Sequence[CasePart], strip: Sequence[CaseButton]) -> tuple[Still, ...]:
    """Return the picture of the governing case, where any was drawn."""
    governing = next(case for case, one in zip(cases, strip, strict=True) if one.governs)
    return governing.stills[:1]


def _stills(case: CaseRun, figures: Path) -> tuple[Still, ...]:
    name, title = case.placed.case.id, case.placed.case.title
    fatigue = {FATIGUE.id: f"Fatigue utilisation of the bar: {title}"}
    stress = {"stress": f"Stress on the bar: {title}"}
    words = {
        **(fatigue if has_fatigue(case) else stress),
        "deformed": f"The bar deformed: {title}",
    }
    found = []
    for kind, text in words.items():
        picture, (width, height) = still_uri(figures / f"{name}-{kind}.png", STILL_DOTS)
        found.append(Still(picture, width, height, text))
    return tuple(found)


def _numbers(numbers: Numbers) -> Mapping[str, Any]:
    columns = {name: _rounded(values) for name, values in numbers.columns}
    return {"s_mm": _rounded(numbers.s_mm), "columns": columns}


def _rounded(values: Floats) -> list[float]:
    return [float(f"{value:.{DIGITS}g}") for value in values]


def _sections(bar: Bar) -> tuple[Section, ...]:
    found = []
    for cut in cuts_of(bar):
        outlines = section_outlines_mm(bar, cut.at_mm)
        half_mm = float(np.abs(outlines[0]).max())
        path = "".join(_outline(line) for line in outlines)
        found.append(Section(path, half_mm, tuple(section_words(bar, cut).split("\n"))))
    return tuple(found)


def _outline(line: Floats) -> str:
    """Return a closed path; a drawing's y runs down."""
    return "M" + "L".join(f"{x:.3f} {-y:.3f}" for x, y in line[:-1]) + "Z"
