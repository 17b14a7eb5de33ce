"""The sliders of wall and load in a browser: figures, sentence, label and colours follow them."""

from base64 import b64encode
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator

from fea.stability.criteria import YIELD
from support.browser import accessibility_faults
from support.once import made_once
from support.view_page import VIEW, OpenPage, number, picture, to_stress, to_view, unfold

if TYPE_CHECKING:
    from support.preview_bars import Previewed

LONGEST_MS = 250
"""One step of a slider, drawing included, on a renderer of software. A person waits for 100."""

MOVE = """([name, value]) => {
    const one = document.querySelector(name);
    one.value = value;
    one.dispatchEvent(new Event("input", { bubbles: true }));
}"""

DRAWN = f"""async () => {{
    // two frames: what is chosen is read and drawn in the first
    for (let k = 0; k < 2; k++) await new Promise(requestAnimationFrame);
    return {VIEW}.values.map((face) => Array.from(face));
}}"""

TIMED = """async ([name, from, to, count]) => {
    const one = document.querySelector(name);
    const { performance } = window;
    const taken = [];
    for (let k = 0; k < count; k++) {
        one.value = from + ((to - from) * k) / (count - 1);
        const start = performance.now();
        one.dispatchEvent(new Event("input", { bubbles: true }));
        await new Promise(requestAnimationFrame);
        await new Promise((done) => setTimeout(done));
        taken.push(performance.now() - start);
    }
    return taken.sort((a, b) => a - b);
}"""

SCRIPT = Path(__file__).parents[2] / "studies" / "page" / "web" / "preview.js"

SHOWN = f"""async (address) => {{
    const {{ termsAt, grown, limitAt }} = await import(address);
    const {{ preview: {{ preview }}, store: {{ state }} }} = {VIEW};
    const terms = termsAt(preview, state.walls);
    const one = preview.cases.find(({{ id }}) => id === state.caseId);
    return {{
        figures: [preview.mass, one.deflection, one.peak].map(
            (figure) => figure.value * grown(figure, terms).ratio),
        limits: one.limits.map((limit) => limitAt(limit, terms, state.load)?.range[0] ?? null),
    }};
}}"""
"""Calls the page's own functions: its script is one closure, so their module is read again."""


YIELD_ROW = f"{YIELD.label}, x load"

WALL, END, LOAD = "[data-wall='0']", "[data-wall='1']", "[data-load]"


@pytest.fixture(scope="session")
def previewed(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> "Previewed":
    """Return a run with a preview, computed once for all workers."""
    from support.preview_bars import previewed_results, read_previewed

    return read_previewed(made_once(tmp_path_factory, "previewed", previewed_results))


@pytest.fixture
def page(open_page: OpenPage, previewed: "Previewed") -> Any:
    """Return its page at a desk, the view in sight."""
    opened = open_page(previewed.page)
    to_stress(opened)
    to_view(opened)
    return opened


def moved(page: Any, name: str, value: float) -> None:
    """Put a slider to a value, as fingers do."""
    page.evaluate(MOVE, [name, value])


def rows(page: Any) -> list[list[str]]:
    """Return the figures' table: name, run, now, change, error, place."""
    found = page.locator("[data-preview-rows] tr")
    return [row.locator("th, td").all_inner_texts() for row in found.all()]


def words(page: Any) -> str:
    """Return the sentence below the sliders."""
    return str(page.locator("[data-preview-words]").inner_text())


def test_a_thinner_end_moves_figures_sentence_label_and_colours(page: Any) -> None:
    """Less mass, more deflection, less load; first yield goes from the clamp to the end."""
    before, picture_before, said = rows(page), picture(page), words(page)
    label = page.locator(".word.ring", has_text="peak").first.inner_text()
    assert said.endswith("As in the run.")
    values = page.evaluate(DRAWN)
    moved(page, END, 0.75)
    now, changed = rows(page), page.evaluate(DRAWN)
    assert [row[1] for row in now] == [row[1] for row in before]
    assert number(now[0][2]) < number(before[0][2])
    assert number(now[1][2]) > number(before[1][2])
    yields = next(row for row in now if row[0] == YIELD_ROW)
    assert number(yields[2]) < number(yields[1])
    assert yields[5].startswith("right 75 mm")
    assert words(page) != said
    assert picture(page) != picture_before
    assert page.locator(".word.ring", has_text="peak").first.inner_text() != label
    assert np.max(changed) > 1.1 * np.max(values)
    assert (
        "--set 'bar.stations[2].wall_mm*=0.75'"
        in page.locator("[data-preview-command]").inner_text()
    )


def test_the_button_brings_back_what_was_printed(page: Any) -> None:
    """To the last digit, place and colour."""
    before, said, values = rows(page), words(page), page.evaluate(DRAWN)
    assert all(row[1] == row[2] or not row[2] for row in before)
    moved(page, WALL, 1.2)
    moved(page, END, 0.8)
    moved(page, LOAD, 1.7)
    assert rows(page) != before
    page.click("[data-neutral]")
    assert (rows(page), words(page)) == (before, said)
    assert page.evaluate(DRAWN) == values
    assert [page.locator(one).input_value() for one in (WALL, END, LOAD)] == ["1"] * 3


def test_the_load_scales_what_it_moves(page: Any) -> None:
    """Stress and deflection grow with it, multiples of it fall, mass and stiffness stay."""
    before, values = {row[0]: row for row in rows(page)}, page.evaluate(DRAWN)
    moved(page, LOAD, 2)
    after = {row[0]: row for row in rows(page)}
    # printed digits, of which twice the number is off by one at most
    figures = ("Mass, g", 1, 0.0), ("Deflection, mm", 2, 0.011), ("Peak stress, MPa", 2, 1.1)
    for name, times, last in figures:
        expected = times * number(before[name][1])
        assert number(after[name][2]) == pytest.approx(expected, abs=last)
    assert after["Stiffness, N/mm"][2] == before["Stiffness, N/mm"][1]
    half = number(before[YIELD_ROW][1]) / 2
    assert number(after[YIELD_ROW][2]) == pytest.approx(half, abs=0.011)
    assert np.array(page.evaluate(DRAWN)) == pytest.approx(2 * np.array(values), rel=1e-5)
    load = page.locator(".word.load").first.inner_text()
    assert number(load) == pytest.approx(2 * 427, abs=2)


def test_both_walls_move_together_where_asked(page: Any) -> None:
    """The other slider goes along."""
    page.check("[data-together]")
    moved(page, END, 1.15)
    assert page.locator(WALL).input_value() == "1.15"
    assert page.evaluate(f"{VIEW}.store.state.walls") == [1.15, 1.15]


def test_arrow_keys_move_a_slider(page: Any) -> None:
    """A hundredth a key; the words beside it and the figures follow."""
    page.locator(END).focus()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    assert page.locator("[data-wall-words='1']").inner_text().startswith("x 0.98: 1.57 mm")
    assert "\u2212" in rows(page)[0][3]
    page.keyboard.press("Home")
    assert page.locator("[data-wall-words='1']").inner_text().startswith("x 0.70")
    page.locator("[data-neutral]").focus()
    page.keyboard.press("Enter")
    assert words(page).endswith("As in the run.")


def test_the_page_says_what_python_says(page: Any, previewed: "Previewed") -> None:
    """Ratios of mass, deflection, peak and limits, over the whole range, to 1e-6."""
    from studies.preview.fit import POWERS, terms_at
    from support.preview_bars import followed

    case, record = previewed.following.cases[0], previewed.record.cases[0]
    script = b64encode(SCRIPT.read_bytes()).decode()
    compared = 0
    for factors in product((0.7, 0.93, 1.4), (0.7, 1.0, 1.27)):
        terms = terms_at(POWERS[2], factors)
        moved(page, WALL, factors[0])
        moved(page, END, factors[1])
        told = page.evaluate(SHOWN, f"data:text/javascript;base64,{script}")
        expected = [
            (previewed.record.bar.mass_g, previewed.following.mass),
            (record.deflection_mm, case.figures["deflection_mm"]),
            (record.peak_stress_mpa, case.peak),
        ]
        for value, (printed, follow) in zip(told["figures"], expected, strict=True):
            assert value == pytest.approx(printed * followed(follow, terms)[0], rel=1e-6)
        for value, printed, follow in zip(told["limits"], record.limits, case.limits, strict=True):
            assert (value is None) == (follow is None)
            if follow:
                low = (printed.factor_range or (printed.load_factor,))[0]
                assert value == pytest.approx(low / followed(follow, terms)[0], rel=1e-6)
                compared += 1
    assert compared >= 18


def test_colours_are_those_of_python(page: Any, previewed: "Previewed") -> None:
    """At every vertex: the run's value and the change of the grid, over the wall's ratio."""
    from studies.preview.fit import coefficients, fit_through, terms_at
    from studies.preview.snapshots import wall_ratio

    factors, snapshots = (0.84, 0.77), previewed.snapshots
    own, taken, grid = np.array(page.evaluate(DRAWN)), snapshots.taken, snapshots.grid
    moved(page, WALL, factors[0])
    moved(page, END, factors[1])
    shown = np.array(page.evaluate(DRAWN))
    lines = [wall_ratio(snapshots, one.factors)[:, None] for one in taken]
    fit = fit_through([one.factors for one in taken])
    s, theta = (np.array(page.evaluate(f"Array.from({VIEW}.sheet.{k})")) for k in ("s", "theta"))
    for face in range(2):
        fields = [one.fields[0]["von_mises"][:, face].reshape(len(grid.s_mm), -1) for one in taken]
        values = np.stack([field * ratio for field, ratio in zip(fields, lines, strict=True)])
        change = np.tensordot(terms_at(fit.powers, factors), coefficients(fit, values), 1)
        round_ = np.hstack([change, change[:, :1]])
        angles = np.linspace(0, 2 * np.pi, grid.angles + 1)
        places = np.clip(s, grid.s_mm[0], grid.s_mm[-1]), theta % (2 * np.pi)
        added = RegularGridInterpolator((grid.s_mm, angles), round_)(np.stack(places, axis=1))
        ratio = np.interp(s, grid.s_mm, wall_ratio(snapshots, factors))
        expected = (own[face] + added) / ratio
        # seven changes are packed in steps of a thousandth of the largest value
        assert np.abs(shown[face] - expected).max() < 3e-3 * np.abs(expected).max()
        assert np.abs(shown[face] - own[face]).max() > 0.1 * np.abs(expected).max()


def test_a_step_of_a_slider_is_soon_drawn(page: Any, record_property: Any) -> None:
    """Figures, colours and the next frame; the quickest of a sweep, for others use the machine."""
    for name, ends in ((END, (0.7, 1.4)), (LOAD, (0.5, 2))):
        taken = page.evaluate(TIMED, [name, *ends, 21])
        record_property(
            f"{name}",
            f"least {taken[0]:.0f} ms, median {taken[10]:.0f} ms, longest {taken[-1]:.0f} ms",
        )
        assert taken[0] < LONGEST_MS


def test_a_phone_has_room_for_the_sliders(open_page: OpenPage, previewed: "Previewed") -> None:
    """Nothing is wider than it, moved or not."""
    page = open_page(previewed.page, touch=True)
    unfold(page)
    moved(page, END, 0.73)
    moved(page, LOAD, 1.9)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    for name in (WALL, END, LOAD):
        box = page.locator(name).bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 390


def test_the_sliders_can_be_used_by_all(page: Any) -> None:
    """axe-core finds no serious fault, as in the run and moved; each slider has a name."""
    assert accessibility_faults(page) == []
    moved(page, END, 0.73)
    assert accessibility_faults(page) == []
    for label in ("Clamp wall", "End wall", "Load"):
        assert page.get_by_label(label, exact=False).first.is_visible()


def test_without_a_preview_there_are_no_sliders(open_page: OpenPage, results: Path) -> None:
    """And nothing complains of their absence."""
    page = open_page(results / "report.html")
    assert page.locator("[data-wall], [data-load], [data-preview-rows]").count() == 0
    assert page.evaluate(f"{VIEW}.preview") is None
