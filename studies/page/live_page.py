"""The page of `barwright live`: a table of what the last save changed, and the bar in 3D."""

from collections.abc import Iterator
from dataclasses import dataclass

from studies.assessment.run import StudyRun
from studies.page import assets
from studies.page.filling import environment, shared_parts
from studies.page.scene import scene
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.limit_text import range_text
from studies.records.measures import governing

SAME = 5e-4
"""Change of a figure that is none, as a share."""


@dataclass(frozen=True)
class LiveFigure:
    """A figure of a case.

    Attributes:
        text: As printed.
        change: Against the answer before on the same mesh, empty for none.
        place: In words.
    """

    text: str
    change: str = ""
    place: str = ""


@dataclass(frozen=True)
class LiveRow:
    """A load case in the table."""

    id: str
    title: str
    figures: tuple[LiveFigure, ...]


SHOWN = (
    ("deflection_mm", 2),
    ("stiffness_n_per_mm", 1),
    ("peak_stress_mpa", 0),
    ("yield_factor", 2),
)
"""Figures of a case and their decimals."""

HEADS = (
    ("Deflection", "mm"),
    ("Stiffness", "N/mm"),
    ("Peak stress", "MPa"),
    ("Yield factor", "x load"),
    ("Nearest limit", "x load"),
)


def live_rows(
    record: ResultsRecord, before: ResultsRecord | None, *, whole: bool
) -> tuple[LiveRow, ...]:
    """Return the table of an answer beside the one before; a rough one names no nearest limit."""
    old = {case.id: case for case in before.cases} if before else {}
    return tuple(
        LiveRow(one.id, one.title, tuple(_figures(one, old.get(one.id), whole=whole)))
        for one in record.cases
    )


def live_html(  # noqa: PLR0913 each is shown
    run: StudyRun,
    record: ResultsRecord,
    before: ResultsRecord | None,
    *,
    whole: bool,
    version: int,
    state: str,
    problem: str = "",
) -> str:
    """Return the page of an answer.

    Args:
        run: The answer.
        record: What results.json would hold of it.
        before: The answer before on the same mesh.
        whole: Whether it is the whole assessment on the study's mesh.
        version: Of the page; the page asks for the next.
        state: What it is, in a sentence.
        problem: Why the file as it is now cannot be answered, empty where it can.
    """
    mass_before = before.bar.mass_g if before else None
    return (
        environment()
        .get_template("live.html")
        .render(
            **shared_parts(assets.LIVE),
            record=record,
            heads=HEADS,
            rows=live_rows(record, before, whole=whole),
            mass=LiveFigure(f"{record.bar.mass_g:.0f} g", _change(record.bar.mass_g, mass_before)),
            governing=_governing(record) if whole else "",
            whole=whole,
            version=version,
            state=state,
            problem=problem,
            scene=scene(run, record),
        )
    )


def _governing(record: ResultsRecord) -> str:
    first = governing(record)
    return f"Governing: {first.limit} {first.factor:.2f} x load, {first.case}."


def _figures(case: CaseRecord, old: CaseRecord | None, *, whole: bool) -> Iterator[LiveFigure]:
    for name, decimals in SHOWN:
        place = case.peak_stress_at.text if name == "peak_stress_mpa" else ""
        yield _figure(getattr(case, name), getattr(old, name, None), decimals, place)
    nearest = case.nearest_limit
    words = range_text(nearest).removesuffix(" x load")
    yield LiveFigure(f"{words} {nearest.name}", "", nearest.place) if whole else LiveFigure("later")


def _figure(value: float | None, old: float | None, decimals: int, place: str = "") -> LiveFigure:
    if value is None:
        return LiveFigure("\u2013")
    return LiveFigure(f"{value:.{decimals}f}", _change(value, old), place)


def _change(value: float, old: float | None) -> str:
    """Return a change in percent with its sign, empty where there is none to tell."""
    if not old or abs(value / old - 1) < SAME:
        return ""
    return f"{100 * (value / old - 1):+.1f} %".replace("-", "\u2212")
