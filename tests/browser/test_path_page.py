"""A path past yield on the page in a browser: its steps in the view, its graphs beside them."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fea.collapse.path_run import PathRun, Snapshot
from studies.assessment.run import run_study
from studies.page.faces import face_nodes
from studies.page.path_steps import load_words, shown_steps
from studies.records.collapse import CollapseRecord
from studies.results.writing import write_results
from studies.study_file.study import read_study
from support.browser import accessibility_faults
from support.page_paths import with_made_paths
from support.pages import short_bar
from support.view_page import to_stress, unfold

# many pages are loaded here; tests/page holds what they say in the fast suite
pytestmark = pytest.mark.slow

OpenPage = Callable[..., Any]
Made = tuple[Path, PathRun, CollapseRecord]

VIEW = "document.querySelector('.view').barView"
SLIDER = "[data-part='step']"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Return the page of a short bar, the path of its first case, and its record."""
    folder = tmp_path_factory.mktemp("pier")
    run = with_made_paths(run_study(read_study(short_bar(folder, "pier", 1.0))), "push")
    record = write_results(run, folder / "out")
    path, collapse = run.cases[0].path, record.cases[0].collapse
    assert path
    assert collapse
    return folder / "out" / "report.html", path, collapse


@pytest.fixture
def page(open_page: OpenPage, made: Made) -> Any:
    """Return it at a desk with the path in the view."""
    opened = open_page(made[0])
    to_stress(opened)
    opened.locator("#bar").evaluate("part => part.scrollIntoView()")
    opened.select_option("[data-part='field']", "plastic")
    opened.wait_for_function(f"{VIEW}.step !== null")
    return opened


def _words(page: Any) -> str:
    return str(page.locator("[data-part='scale-words']").inner_text())


def _choose(page: Any, number: int) -> None:
    """Move the slider, by its keys, to a number of the steps shown."""
    page.locator(SLIDER).focus()
    page.keyboard.press("Home")
    for _ in range(number):
        page.keyboard.press("ArrowRight")
    page.wait_for_function(f"number => {VIEW}.store.state.step === number", arg=number)
    page.wait_for_timeout(60)


def _snapshot(made: Made, number: int) -> Snapshot:
    _, path, collapse = made
    return path.steps[shown_steps(collapse)[number]].snapshot


def test_the_path_begins_at_the_step_that_is_told(page: Any, made: Made) -> None:
    """The limit, in words, with the slider there and the deformation's controls away."""
    _, _, collapse = made
    assert "the limit load: " in _words(page)
    assert load_words(collapse, collapse.curve.load_factor[collapse.reported_step - 1]) in _words(
        page
    )
    assert page.locator(SLIDER).input_value() == str(
        shown_steps(collapse).index(collapse.reported_step - 1)
    )
    assert page.get_attribute(SLIDER, "max") == str(len(shown_steps(collapse)) - 1)
    assert not page.locator("[data-part='stretch']").is_visible()
    page.select_option("[data-part='field']", "axial")
    page.wait_for_function(f"{VIEW}.step === null")
    assert page.locator("[data-part='stretch']").is_visible()
    assert not page.locator(SLIDER).is_visible()


@pytest.mark.parametrize("number", [0, 12, 24])
def test_the_bar_has_its_true_shape_at_each_step(page: Any, made: Made, number: int) -> None:
    """At nodes of the path's own mesh, outside and in the bore, to the steps of the packing."""
    _choose(page, number)
    mesh, moved = made[1].mesh, _snapshot(made, number).displacement_mm
    s, theta = mesh.sheet.nodes.T
    near = np.flatnonzero((np.abs(s) > 30) & (np.abs(s) < 110))
    for face, nodes in zip(("outer", "inner"), face_nodes(mesh), strict=True):
        for node in near[:: len(near) // 5]:
            point = page.evaluate(
                f"([s, theta, face]) => {VIEW}.probe(s, theta, face).point",
                [float(s[node]), float(theta[node]), face],
            )
            wanted = mesh.points_mm[nodes[node]] + moved[nodes[node]]
            # places and motion have steps of a few thousandths; s finds the node to 0.004 mm
            assert point == pytest.approx(wanted.tolist(), abs=0.01)


def test_the_value_under_the_pointer_is_the_plastic_strain(page: Any, made: Made) -> None:
    """At nodes on the top, the mouse on them, in percent."""
    _choose(page, 24)
    page.locator("#bar").evaluate("part => part.scrollIntoView()")
    page.wait_for_timeout(50)
    s, theta = made[1].mesh.sheet.nodes.T
    strain = 100 * _snapshot(made, 24).outer
    top = np.flatnonzero((theta < 0.3) & (s > 24) & (s < 45))
    for node in top[:: max(1, len(top) // 4)]:
        place = [float(s[node]), float(theta[node])]
        page.evaluate(
            f"""([s, theta]) => {{
                const centre = {VIEW}.probe(s, theta, "outer").point;
                Object.assign({VIEW}.camera, {{ centre, mmPerDot: 0.02 }});
                {VIEW}.store.set({{ hover: null }});
            }}""",
            place,
        )
        dot = page.evaluate(f"([s, theta]) => {VIEW}.probe(s, theta, 'outer')", place)
        frame = page.locator(".view canvas").bounding_box()
        page.mouse.move(frame["x"] + dot["x"] + 3, frame["y"] + dot["y"])
        page.mouse.move(frame["x"] + dot["x"], frame["y"] + dot["y"])
        said = page.locator("[data-part='reading']").inner_text()
        value = float(re.match(r"[\d.]+", said)[0])  # type: ignore[index]
        # a dot is 0.02 mm, where the strain changes by up to a percent a millimetre
        assert value == pytest.approx(float(strain[node]), abs=0.05)
        assert " % at right " in said


def test_where_the_bar_gives_is_marked(page: Any, made: Made) -> None:
    """The averaged strain of each step stands at its place; nothing does while all is elastic."""
    _, path, collapse = made
    shown = shown_steps(collapse)
    for number in (12, 24):
        _choose(page, number)
        peak = path.steps[shown[number]].reading.strain
        words = page.locator(".word.ring", has_text=f"averaged peak {100 * peak.value:.3g} %")
        assert words.count() == 1
        place = [peak.s_mm, peak.theta_rad, peak.surface]
        dot = page.evaluate(f"([s, theta, face]) => {VIEW}.probe(s, theta, face)", place)
        moved = str(words.get_attribute("style"))
        at = [float(one) for one in re.findall(r"-?[\d.]+(?=px)", moved)]
        assert at == pytest.approx([dot["x"], dot["y"]], abs=0.2)
    _choose(page, 0)
    assert page.locator(".word.ring").count() == 0


def test_the_cursor_of_the_graphs_follows_the_slider(page: Any, made: Made) -> None:
    """On both graphs at the dot of the step; away when something else is shown."""
    for number in (3, 20):
        _choose(page, number)
        for graph in page.locator(".case.shown svg.graph").all():
            dot = graph.locator(f"[data-step='{number}']")
            ring = graph.locator(".step-cursor circle")
            for name in ("cx", "cy"):
                assert ring.get_attribute(name) == dot.get_attribute(name)
            assert graph.locator(".step-cursor").evaluate("part => part.style.display") == ""
    page.select_option("[data-part='field']", "von_mises")
    cursor = page.locator(".case.shown .step-cursor").first
    assert cursor.evaluate("part => part.style.display") == "none"


def test_a_click_on_a_graph_chooses_the_step(page: Any) -> None:
    """The nearest dot's step, also while another field is shown."""
    page.select_option("[data-part='field']", "von_mises")
    dot = page.locator(".case.shown svg.graph [data-step='7']").first
    dot.scroll_into_view_if_needed()
    box = dot.bounding_box()
    page.mouse.click(box["x"] + 4, box["y"] + 4)
    assert page.locator("[data-part='field']").input_value() == "plastic"
    assert page.evaluate(f"{VIEW}.store.state.step") == 7


def test_arrows_carry_the_load_of_the_step(page: Any, made: Made) -> None:
    """400 N times the step's factor; none where the load is taken away."""
    _, _, collapse = made
    factors = [collapse.curve.load_factor[step] for step in shown_steps(collapse)]
    _choose(page, len(factors) - 1)
    assert page.locator(".word.load").inner_text() == f"{400 * factors[-1]:.0f} N"
    _choose(page, factors.index(0.0))
    assert page.locator(".word.load").count() == 0
    assert "unloaded from 800 N" in _words(page)


def test_the_path_walks_and_stops(page: Any) -> None:
    """It goes from step to step until it is stopped; leaving the path stops it too."""
    _choose(page, 2)
    page.click("[data-part='play']")
    page.wait_for_function(f"{VIEW}.store.state.step >= 4")
    page.click("[data-part='play']")
    stopped = page.evaluate(f"{VIEW}.store.state.step")
    page.wait_for_timeout(700)
    assert page.evaluate(f"{VIEW}.store.state.step") == stopped
    page.click("[data-part='play']")
    page.select_option("[data-part='field']", "von_mises")
    assert page.get_attribute("[data-part='play']", "aria-pressed") == "false"


def test_a_case_without_a_path_offers_none(page: Any) -> None:
    """Its list lacks the path, the view falls back, and coming back is whole."""
    page.select_option("[data-part='case']", "pull")
    page.wait_for_function(f"{VIEW}.now.packed.id === 'pull' && {VIEW}.step === null")
    assert page.locator("[data-part='field'] option[value='plastic']").count() == 0
    assert page.locator("[data-part='field']").input_value() == "von_mises"
    assert page.locator(".case.shown .graph").count() == 0
    page.select_option("[data-part='case']", "push")
    page.wait_for_function(f"{VIEW}.now.packed.id === 'push'")
    assert page.locator(".case.shown .graph").count() == 2


@pytest.mark.parametrize(("width", "touch"), [(1440, False), (390, True)])
def test_nobody_is_shut_out_of_a_path(
    open_page: OpenPage, made: Made, width: int, touch: bool
) -> None:
    """Axe finds no serious fault with the path shown, and a phone need not scroll sideways."""
    page = open_page(made[0], width=width, touch=touch)
    unfold(page)
    page.select_option("[data-part='field']", "plastic")
    page.wait_for_function(f"{VIEW}.step !== null")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    faults = accessibility_faults(page)
    assert not faults, "\n".join(faults)


def test_paper_has_the_graphs_without_a_cursor(page: Any) -> None:
    """Both are there, whole within the sheet, and nothing marks a step of the view."""
    page.evaluate("location.hash = '#print-all'")
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 700, "height": 990})
    assert page.evaluate("document.documentElement.scrollWidth") <= 700
    for graph in page.locator("svg.graph").all():
        assert graph.is_visible()
        assert not graph.locator(".step-cursor").is_visible()
