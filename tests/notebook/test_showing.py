"""What a notebook shows of a run, a comparison and a sweep."""

import html
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from geometry.errors import InputError
from studies.assessment.run import StudyRun, run_study
from studies.comparison.runs import Comparison, comparison_of
from studies.notebook.grids import MOST_DESIGNS
from studies.notebook.showing import (
    KINDS,
    Shown,
    load_ipython_extension,
    shown,
    unload_ipython_extension,
)
from studies.page.report import report_html
from studies.results.record import results_record
from studies.study_file.study import read_study
from studies.sweeps.rows import unfinished_row
from studies.sweeps.sweep import run_sweep
from studies.sweeps.sweep_results import SweepRun
from support.code_blocks import shell
from support.hostile import hostile_study
from support.pages import short_bar
from support.sweeps import at_once, made_row, short_study, wall_sweep

PNG = b"\x89PNG"


@pytest.fixture(scope="module", autouse=True)
def plain_pictures() -> object:
    """Draw without OpenGL, which needs a second to be tried."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BARWRIGHT_PICTURES", "plain")
        yield


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> StudyRun:
    """Return the run of a short bar with two cases."""
    return run_study(read_study(short_bar(tmp_path_factory.mktemp("run"), "pier", 1.6)))


@pytest.fixture(scope="module")
def thick(tmp_path_factory: pytest.TempPathFactory) -> StudyRun:
    """Return the run of the same bar with a thicker wall."""
    return run_study(read_study(short_bar(tmp_path_factory.mktemp("run"), "quay", 2.0)))


@pytest.fixture(scope="module")
def of_run(run: StudyRun) -> Shown:
    """Return what is shown of it."""
    return shown(run)


def framed(one: Shown) -> str:
    """Return the page in the frame, as a browser reads it."""
    (page,) = re.findall(r'srcdoc="([^"]*)"', one.html)
    return html.unescape(page)


def swept(folder: Path, *walls_mm: float) -> SweepRun:
    """Return a sweep whose rows are made by a formula."""
    sweep = wall_sweep(short_study(folder), *walls_mm)
    return run_sweep(sweep, folder / "out", at_once(made_row))


def test_a_run_shows_the_figures_of_each_case(run: StudyRun, of_run: Shown) -> None:
    """Table and text hold deflection, stiffness, peak, factor, limit and place of every case."""
    rows = of_run.html.partition("</table>")[0].split("<tr>")
    for case in results_record(run).cases:
        limit = case.nearest_limit
        cells = [
            f"{case.deflection_mm:.2f}",
            f"{case.peak_stress_mpa:.0f}",
            f"{limit.load_factor:.2f}",
            limit.name,
            limit.place,
        ]
        (row,) = (one for one in rows if html.escape(case.title) in one)
        assert not [cell for cell in cells if cell not in row]
        (line,) = (one for one in of_run.text.splitlines() if case.title in one and "x load" in one)
        assert not [cell for cell in cells if cell not in line]


def test_a_run_shows_picture_and_page(run: StudyRun, of_run: Shown) -> None:
    """The page is the run's own but for what lets it stand in a frame."""
    assert of_run.png is not None
    assert of_run.png.startswith(PNG)
    assert 'src="data:image/webp;base64,' in of_run.html
    whole, page = report_html(run, results_record(run)), framed(of_run)
    assert page.startswith(whole.partition("<head>")[0])
    assert page.endswith(whole.partition("<head>")[2])
    assert of_run._repr_html_() == of_run.html


def test_a_notebook_gets_the_forms_it_asks_for(of_run: Shown) -> None:
    """All of them, or those included, or those not excluded."""
    assert set(of_run._repr_mimebundle_()) == {"text/plain", "text/html", "image/png"}
    assert set(of_run._repr_mimebundle_(include=["image/png"])) == {"image/png"}
    assert "text/html" not in of_run._repr_mimebundle_(exclude=["text/html"])


def test_nothing_of_a_study_becomes_markup(tmp_path: Path) -> None:
    """A hostile study's names stand in table and frame as text."""
    tags: list[tuple[str, dict[str, str | None]]] = []
    reader = HTMLParser()
    reader.handle_starttag = lambda tag, attrs: tags.append((tag, dict(attrs)))  # type: ignore[method-assign]
    reader.feed(shown(run_study(read_study(hostile_study(tmp_path)))).html)
    assert not [attrs for _, attrs in tags if any(name.startswith("on") for name in attrs)]
    assert {tag for tag, _ in tags} <= {
        "div", "style", "table", "caption", "thead", "tbody", "tr", "th", "td", "p", "img",
        "iframe",
    }  # fmt: skip
    (frame,) = (attrs for tag, attrs in tags if tag == "iframe")
    assert frame["sandbox"] == "allow-scripts"


def test_a_comparison_shows_differences_from_the_first(run: StudyRun, thick: StudyRun) -> None:
    """Each figure of both bars with its percentage; the page is that of `compare`."""
    one = shown(comparison_of([run, thick]))
    masses = [results_record(each).bar.mass_g for each in (run, thick)]
    percent = 100 * (masses[1] / masses[0] - 1)
    assert f"{masses[1]:.1f} {percent:+.1f} %" in one.text
    assert "Push on the right" in one.html
    assert "2 designs compared" in framed(one)
    assert one.png is None


def test_runs_that_nobody_could_tell_apart_are_refused(run: StudyRun, thick: StudyRun) -> None:
    """One run alone, too many, or two of one name: each with what to do."""
    with pytest.raises(InputError, match="runs: are 1; give 2 to 8"):
        comparison_of([run])
    with pytest.raises(InputError, match="runs: are 9; give 2 to 8"):
        comparison_of([run] * 9)
    with pytest.raises(InputError, match="'pier' is the name of two"):
        comparison_of([run, thick, run])


def test_a_sweep_shows_its_first_designs_and_ranges(tmp_path: Path) -> None:
    """Ten of twelve; the ranges are of all, and a design below the load is marked."""
    walls = [0.4 + 0.1 * number for number in range(12)]
    one = shown(swept(tmp_path, *walls))
    designs, ranges, _ = one.text.split("\n\n")
    assert f"designs 1 to {MOST_DESIGNS} of 12" in designs
    assert len(designs.splitlines()) == 2 + MOST_DESIGNS
    assert "below the load" in designs.splitlines()[2]
    assert "below the load" not in designs.splitlines()[-1]
    (mass,) = (line for line in ranges.splitlines() if line.startswith("mass, g"))
    assert "20.0 (design 1)" in mass.replace("20 (", "20.0 (")
    assert "(design 12)" in mass
    assert "12 designs of" in framed(one)


def test_a_sweep_that_is_not_whole_shows_what_there_is(tmp_path: Path) -> None:
    """A design that is not finished is pending."""
    done = swept(tmp_path, 1.2, 1.6)
    part = SweepRun(done.sweep, (done.rows[0], None), 0)
    assert "pending" in shown(part).text


def test_a_sweep_says_why_designs_have_no_figures(tmp_path: Path) -> None:
    """Also where none has any: two are refused, and nothing else is there to show."""
    sweep = wall_sweep(short_study(tmp_path), 1.2, 1.6)
    refuse = at_once(lambda job: unfinished_row(job, "invalid input", "too <b>thin</b>"))
    one = shown(run_sweep(sweep, tmp_path / "out", refuse))
    assert "Designs without figures: 2; too <b>thin</b>." in one.text
    assert "too &lt;b&gt;thin&lt;/b&gt;" in one.html
    assert one.text.count("invalid input") == 2


def test_other_things_are_refused() -> None:
    """With what can be shown."""
    with pytest.raises(InputError, match="of the type int; give a StudyRun, a Comparison or a"):
        shown(3)


def test_results_show_themselves_once_the_extension_is_loaded(tmp_path: Path) -> None:
    """Each kind, and no longer once it is unloaded; nothing of a notebook is imported."""
    ipython = shell()
    formatter = ipython.display_formatter.mimebundle_formatter
    load_ipython_extension(ipython)
    assert set(formatter) == set(KINDS) == {StudyRun, Comparison, SweepRun}
    done = swept(tmp_path, 1.2, 1.6)
    assert set(formatter[SweepRun](done)) == {"text/plain", "text/html"}
    assert set(formatter[SweepRun](done, include={"text/html"})) == {"text/html"}
    unload_ipython_extension(ipython)
    assert not formatter
