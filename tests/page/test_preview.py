"""What a page carries for its sliders of wall and load."""

import json
import re
from typing import Any

import pytest

from geometry.grading import LEVELS
from studies.assessment.run import StudyRun, run_study
from studies.page.report import report_html
from studies.preview.snapshots import Snapshots, take_snapshots
from studies.results.record import results_record
from studies.study_file.study import read_study
from support.hostile import CASE, NAME, TITLE, hostile_study
from support.preview_bars import CRUDE

Made = tuple[StudyRun, Snapshots]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Return a run full of hostile text, and other walls of its bar on a crude mesh."""
    study = read_study(hostile_study(tmp_path_factory.mktemp("hostile")))
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(LEVELS, "preview", CRUDE)
        return run_study(study), take_snapshots(study)


@pytest.fixture(scope="module")
def page(made: Made) -> str:
    """Return its page."""
    run, snapshots = made
    return report_html(run, results_record(run), snapshots=snapshots)


def held(page: str) -> str:
    """Return the text that the sliders read."""
    found = re.search(r'<script id="preview" type="application/json">(.*?)</script>', page, re.S)
    assert found
    return found[1]


def numbers(part: Any) -> list[float]:
    """Return all numbers in JSON."""
    if isinstance(part, dict):
        part = list(part.values())
    if isinstance(part, list):
        return [number for one in part for number in numbers(one)]
    return [part] if isinstance(part, int | float) else []


def test_without_other_walls_there_is_nothing_for_sliders(made: Made) -> None:
    """The script finds null, and no slider, table or heading is in the page."""
    run, _ = made
    plain = report_html(run, results_record(run))
    assert json.loads(held(plain)) is None
    for word in (
        "data-wall=",
        "<input data-load",
        "<tbody data-preview-rows",
        'button" data-neutral',
    ):
        assert word not in plain


def test_all_numbers_are_finite(page: str) -> None:
    """JSON has no others, and a browser would refuse the whole page."""

    def refuse(word: str) -> None:
        pytest.fail(f"{word} is no JSON")

    found = json.loads(held(page), parse_constant=refuse)
    assert len(numbers(found)) > 100


def test_names_stay_text(page: str) -> None:
    """What the study calls itself and its cases closes no element and opens none."""
    text = held(page)
    assert not re.search(r"[<>&]", text)
    titles = [one["title"] for one in json.loads(text)["cases"]]
    assert CASE in titles
    for said in (NAME, TITLE.replace('\\"', '"'), CASE):
        assert said not in page


def test_every_printed_limit_has_its_line(made: Made, page: str) -> None:
    """With both ends of its range and its place; what does not follow says so by null."""
    run, _ = made
    record, found = results_record(run), json.loads(held(page))
    assert found["mass"]["value"] == record.bar.mass_g
    for case, one in zip(record.cases, found["cases"], strict=True):
        assert [limit["name"] for limit in one["limits"]] == [x.name for x in case.limits]
        for limit, printed in zip(one["limits"], case.limits, strict=True):
            assert limit["range"][0] == (printed.factor_range or [printed.load_factor])[0]
            assert limit["place"] == printed.place
            assert (limit["follow"] is None) == (printed.criterion == "elastic_buckling")


def test_a_slider_reaches_what_was_computed(made: Made, page: str) -> None:
    """Nothing is extrapolated: the ends of each are those of the designs."""
    (group,) = json.loads(held(page))["groups"]
    (slider,) = re.findall(r'<input data-wall="0"[^>]*>', page)
    ends = [float(re.search(rf'{key}="([^"]*)"', slider)[1]) for key in ("min", "max")]
    assert ends == [group["low"], group["high"]] == [0.7, 1.4]
    assert 'value="1"' in slider
