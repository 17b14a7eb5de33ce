"""The page of a run: whole, escaped, without a path, small."""

import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from studies.assessment.run import StudyRun, run_study
from studies.page.report import report_html
from studies.page.writing import island
from studies.results.record import results_record
from studies.study_file.study import read_study
from support.hostile import CASE, NAME, TITLE, hostile_study
from support.page_paths import with_made_paths


class Reader(HTMLParser):
    """Collects the elements, the text and the JSON of a page."""

    def __init__(self) -> None:
        """Begin with nothing."""
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self.within: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element."""
        self.tags.append((tag, dict(attrs)))
        if tag in {"script", "style"}:
            self.within.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """Leave a script or style."""
        if self.within and self.within[-1] == tag:
            self.within.pop()

    def handle_data(self, data: str) -> None:
        """Note text that people see."""
        if not self.within:
            self.text.append(data)


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> StudyRun:
    """Return a solved study full of hostile text, with paths of a force and of a moment."""
    solved = run_study(read_study(hostile_study(tmp_path_factory.mktemp("hostile"))))
    return with_made_paths(solved, "push", "twist", terminated="<b onmouseover=alert(1)>&")


@pytest.fixture(scope="module")
def page(run: StudyRun) -> str:
    """Return its page."""
    return report_html(run, results_record(run))


@pytest.fixture(scope="module")
def read(page: str) -> Reader:
    """Return the page as a browser reads it."""
    reader = Reader()
    reader.feed(page)
    return reader


def test_text_of_the_study_is_shown_and_not_run(read: Reader) -> None:
    """Names and titles stand in the page as they were written; no element comes from them."""
    text = "".join(read.text)
    for said in (NAME, TITLE.replace('\\"', '"'), CASE):
        assert said in text
    assert not [attrs for tag, attrs in read.tags if "onerror" in attrs or "onmouseover" in attrs]
    scripts = [attrs for tag, attrs in read.tags if tag == "script"]
    islands = ["scene", "preview", "numbers", "ramps"]
    assert [attrs.get("id") for attrs in scripts] == [None, *islands, None]
    assert not [tag for tag, _ in read.tags if tag == "img"]


def test_the_study_file_stands_in_the_page_as_written(run: StudyRun, read: Reader) -> None:
    """Another engineer can save it and run it again."""
    assert run.study.text in "".join(read.text)


def test_the_page_knows_no_path_of_the_computer(run: StudyRun, page: str) -> None:
    """Neither the study's folder, the interpreter's nor the home of whoever made it."""
    for path in (run.study.path.parent, Path.home(), Path.cwd()):
        if path != Path("/"):
            assert f"{path}/" not in page
    assert "file:" not in page.replace("file://", "file:") or "file:/" not in page


def test_nothing_in_the_page_is_fetched(read: Reader) -> None:
    """Every address is of the page itself or holds its data."""
    for tag, attrs in read.tags:
        for name in ("src", "href", "srcset", "action", "data"):
            address = attrs.get(name)
            assert not address or address.startswith(("#", "data:")), (tag, address)


def test_ids_are_unique(read: Reader) -> None:
    """No two elements share an id, or labels would point astray."""
    ids = [attrs["id"] for _, attrs in read.tags if attrs.get("id")]
    assert sorted(set(ids)) == sorted(ids)


def test_every_figure_of_the_results_table_is_text(run: StudyRun, read: Reader) -> None:
    """Deflection, peak, factors and limits of each case stand as text."""
    text = re.sub(r"\s+", " ", " ".join(read.text))
    for case in results_record(run).cases:
        wanted = [f"{case.deflection_mm:.2f}", f"{case.peak_stress_mpa:.0f}"]
        wanted += [f"{limit.load_factor:.2f}" for limit in case.limits]
        wanted += [limit.place for limit in case.limits] + [check.name for check in case.checks]
        for said in wanted:
            assert said in text, said


def test_the_same_run_gives_the_same_page(run: StudyRun, page: str) -> None:
    """Nothing in it depends on when or where it is made."""
    assert report_html(run, results_record(run)) == page


@pytest.mark.parametrize("text", ["</script>", "<!--", "\u2028", "]]>", "&lt;"])
def test_json_cannot_end_its_element(text: str) -> None:
    """What an island holds comes back whole and has no sign that HTML obeys."""
    made = island({"text": text})
    assert not set("<>&\u2028\u2029") & set(made)
    assert json.loads(made) == {"text": text}
