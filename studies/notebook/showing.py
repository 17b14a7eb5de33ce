"""A run, a comparison or a sweep as a notebook shows it.

`shown(result)` shows one; after `%load_ext studies.notebook.showing` each shows itself. The results
know nothing of it: they are frozen records of packages that come before pages.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import singledispatch
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from geometry.errors import refuse
from studies.assessment.run import StudyRun
from studies.comparison.comparison_page import comparison_html
from studies.comparison.runs import Comparison
from studies.notebook.grids import Grid, comparison_grids, run_grid, sweep_grids, text_of
from studies.page.filling import environment
from studies.page.report import STILL_DOTS, Still, report_html
from studies.page.writing import sentences
from studies.pictures.figures import draw_governing
from studies.pictures.raster import still_uri
from studies.records.case import ResultsRecord
from studies.records.parts import governing_case
from studies.results.record import results_record
from studies.sweeps.summary import summary_of
from studies.sweeps.sweep_page import CAUTIONS, sweep_html
from studies.sweeps.sweep_results import SweepRun

HEIGHT_PX = 720
"""Of the page within a notebook: the view in 3D with its controls, on a small screen."""

HEAD = """<head><base href="about:srcdoc">
<script>addEventListener("load", () => {
const part = document.getElementById("%s");
if (!part) return;
const margin = parseFloat(getComputedStyle(part).scrollMarginTop);
const top = () => scrollY + part.getBoundingClientRect().top - margin;
const show = () => scrollTo({ top: top(), behavior: "instant" });
show();
// what is drawn until the view is ready may move it once more
new MutationObserver((_, watch) => { watch.disconnect(); show(); })
.observe(document.documentElement, { attributeFilter: ["data-ready"] });
});</script>"""
"""Of a page within a page: its links are its own, and it opens at a part of it where the notebook
says already what stands above. A link to that part would scroll the notebook too."""

Bundle = dict[str, str | bytes]


@dataclass(frozen=True)
class Shown:
    """What a notebook shows of a result.

    Attributes:
        text: The tables as text.
        html: Tables, picture of the governing case, and the page in a frame.
        png: The picture alone; None where there is none.
    """

    text: str
    html: str
    png: bytes | None = None

    def _repr_html_(self) -> str:
        return self.html

    def _repr_mimebundle_(
        self, include: Collection[str] | None = None, exclude: Collection[str] | None = None
    ) -> Bundle:
        """Return every form, the richest of which a notebook chooses; all may be left out."""
        forms: Bundle = {"text/plain": self.text, "text/html": self.html}
        if self.png:
            forms["image/png"] = self.png
        return {
            kind: form
            for kind, form in forms.items()
            if (not include or kind in include) and kind not in (exclude or ())
        }


@singledispatch
def shown(result: object) -> Shown:
    """Return what a notebook shows of a `StudyRun`, a `Comparison` or a `SweepRun`.

    Raises:
        InputError: The result is none of them.
    """
    kinds = "a StudyRun, a Comparison or a SweepRun"
    raise refuse("result", f"is of the type {type(result).__name__}; give {kinds}")


@shown.register
def _(result: StudyRun) -> Shown:
    record = results_record(result)
    page = _framed(report_html(result, record), opens_at="")
    said = (*sentences(record.summary), *record.cautions)
    content = _Content(result.study.title, (run_grid(record),), said, page)
    return _filled(content, *_governing_picture(result, record))


@shown.register
def _(result: Comparison) -> Shown:
    records = [design.record for design in result.designs]
    page = _framed(comparison_html(result.designs), opens_at="bar")
    cautions = dict.fromkeys(line for record in records for line in record.cautions)
    return _filled(_Content("Comparison", comparison_grids(records), tuple(cautions), page))


@shown.register
def _(result: SweepRun) -> Shown:
    page = _framed(sweep_html(result, summary_of(result)), opens_at="plots")
    title, grids = result.sweep.study.title, sweep_grids(result)
    said = (*_without_figures(result), *CAUTIONS[:1])
    return _filled(_Content(title, grids, said, page))


def _without_figures(run: SweepRun) -> Iterator[str]:
    """Yield what was left out of all designs, and why designs have no figures."""
    if run.not_assessed:
        yield f"Not assessed, so no governing limit: {', '.join(run.not_assessed)}."
    for reason, count in summary_of(run).reasons.items():
        yield f"Designs without figures: {count}; {reason}."


@dataclass(frozen=True)
class _Content:
    """What fills the template: the frame's title, tables, sentences below them, the page."""

    title: str
    grids: tuple[Grid, ...]
    sentences: tuple[str, ...]
    page: str


def _framed(page: str, opens_at: str) -> str:
    """Return a page that can stand in a frame, where it opens at a part of it, if one is named."""
    return page.replace("<head>", HEAD % opens_at, 1)


def _governing_picture(run: StudyRun, record: ResultsRecord) -> tuple[Still, bytes]:
    """Return the picture of the case that governs: made small for HTML, and as it was drawn."""
    case = run.cases[record.cases.index(governing_case(record.cases))]
    with TemporaryDirectory(prefix="barwright-") as folder:
        path = Path(folder) / "governing.png"
        what = draw_governing(run, case, path)
        picture, (width, height) = still_uri(path, STILL_DOTS)
        words = f"{what} of the bar: {case.placed.case.title}"
        return Still(picture, width, height, words), path.read_bytes()


def _filled(content: _Content, still: Still | None = None, png: bytes | None = None) -> Shown:
    template = environment().get_template("notebook.html")
    html = template.render(**vars(content), still=still, height_px=HEIGHT_PX)
    tables = (text_of(grid) for grid in content.grids)
    return Shown("\n\n".join((*tables, "\n".join(content.sentences))), html, png)


KINDS: tuple[type, ...] = (StudyRun, Comparison, SweepRun)


def load_ipython_extension(ipython: Any) -> None:
    """Let a notebook show results by themselves: `%load_ext studies.notebook.showing`."""
    for kind in KINDS:
        ipython.display_formatter.mimebundle_formatter.for_type(kind, _bundle)


def unload_ipython_extension(ipython: Any) -> None:
    """Let a notebook show results as any other object again."""
    for kind in KINDS:
        ipython.display_formatter.mimebundle_formatter.pop(kind, None)


def _bundle(
    result: object,
    include: Collection[str] | None = None,
    exclude: Collection[str] | None = None,
) -> Bundle:
    return shown(result)._repr_mimebundle_(include, exclude)
