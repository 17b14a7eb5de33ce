"""The page of a sweep: every design, what moves what, nothing of the network, nothing unescaped."""

import json
import re
from pathlib import Path
from typing import Any, Literal

import pytest

from fea.stability.criteria import FATIGUE, YIELD
from studies.study_file.study import read_study
from studies.sweeps.design_limits import Baseline, baseline_of, design_limits
from studies.sweeps.overview import pulls, sentences
from studies.sweeps.rows import DesignRow, Job, unfinished_row
from studies.sweeps.statistics import Sensitivity
from studies.sweeps.summary import summary_of
from studies.sweeps.sweep import run_sweep, sweep_of
from studies.sweeps.sweep_page import sweep_html
from studies.sweeps.sweep_results import SweepRun
from support.hostile import hostile_study
from support.sweeps import (
    WALL,
    WIDTH,
    at_once,
    axis,
    made_row,
    plan,
    short_study,
    wall_of,
    wall_sweep,
)


def page_of(run: SweepRun) -> str:
    """Return the page of a sweep."""
    return sweep_html(run, summary_of(run))


def data_in(page: str) -> dict[str, Any]:
    """Return what the page's script reads."""
    found = re.search(r'<script id="sweep" type="application/json">(.*?)</script>', page, re.DOTALL)
    assert found
    content: dict[str, Any] = json.loads(found[1])
    return content


def sampled(folder: Path) -> SweepRun:
    """Return a sweep of samples."""
    axes = [axis(WALL, acts_as="factor", uniform={"from": 0.9, "to": 1.1})]
    sweep = sweep_of(short_study(folder), axes, plan(designs=16))
    return run_sweep(sweep, folder / "out", at_once(made_row))


def test_the_script_gets_the_whole_table(tmp_path: Path) -> None:
    """Columns with all values, what to show first, and the setting that runs a design alone."""
    axes = [axis(WALL, values=[1.2, 1.6]), axis(WIDTH, values=[38, 40])]
    run = run_sweep(
        sweep_of(short_study(tmp_path), axes, plan()), tmp_path / "out", at_once(made_row)
    )
    data = data_in(page_of(run))
    columns = {column["key"]: column for column in data["columns"]}
    assert columns[WALL]["values"] == [1.2, 1.2, 1.6, 1.6]
    assert columns[WALL]["set"] == f"{WALL}="
    assert data["first"]["x"] == "mass_g"
    assert data["first"]["y"] == "governing_factor"
    assert data["first"]["axes"][:4] == [WALL, WIDTH, "mass_g", "governing_factor"]
    assert data["file"] == "pier.toml"


def test_axes_are_named_in_words(tmp_path: Path) -> None:
    """With their units; the keys stand in folded tables, in designs.csv and in commands."""
    axes = [axis(WALL, scale=[0.8, 1.0]), axis(WIDTH, values=[38, 40])]
    run = run_sweep(
        sweep_of(short_study(tmp_path), axes, plan()), tmp_path / "out", at_once(made_row)
    )
    page = page_of(run)
    names = {column["key"]: column["name"] for column in data_in(page)["columns"]}
    words = ["wall thickness, x nominal", "clamped length of the bar, mm"]
    assert [names[f"{WALL} (factor)"], names[WIDTH]] == words
    assert f"<dd>{'; '.join(words)}</dd>" in page
    for word in words:
        assert f'<th scope="col" class="n">{word}</th>' in page
    body = re.sub(r"<script.*?</script>", "", page, flags=re.DOTALL)
    assert body.count(f"<code>{WALL}</code>") == 2
    assert WALL not in re.sub(r"<details.*?</details>", "", body, flags=re.DOTALL)
    header = (tmp_path / "out" / "designs.csv").read_text("utf-8").partition("\n")[0]
    assert header.startswith(f"design,status,reason,{WALL} (factor),{WIDTH},")


def test_a_tolerance_sample_has_no_best_compromise(tmp_path: Path) -> None:
    """Nobody chooses a bar among tolerances; a grid of sizes has its Pareto front."""
    page = page_of(sampled(tmp_path))
    assert "Pareto" not in re.sub(r"<script.*?</script>", "", page, flags=re.DOTALL)
    assert data_in(page)["front"] == []
    grid = run_sweep(
        wall_sweep(short_study(tmp_path), 1.2, 1.6), tmp_path / "out", at_once(made_row)
    )
    assert '<a href="#best">Pareto front</a>' in page_of(grid)
    assert data_in(page_of(grid))["front"] == [0, 1]


def test_a_design_below_the_load_is_marked_and_stays(tmp_path: Path) -> None:
    """In every table that it stands in, the Pareto front included."""
    sweep = wall_sweep(short_study(tmp_path), 0.4, 0.5, 1.6)
    page = page_of(run_sweep(sweep, tmp_path / "out", at_once(made_row)))
    assert data_in(page)["front"] == [0, 1, 2]
    # 0.8 x load; 1.0 is not below; once on the front, once among all designs
    assert page.count('0.8<small class="below">below the load</small>') == 2
    # and in the sentence: the least factor, and how many
    assert page.count('class="below"') == 4


def test_bands_and_seed_of_samples_are_shown(tmp_path: Path) -> None:
    """With their intervals, and a caution about what does not vary."""
    page = page_of(sampled(tmp_path))
    assert "Percentiles under the tolerances" in page
    assert "latin-hypercube, seed 1" in page
    assert "16 designs" in page
    assert "Spearman" in page
    assert "taken as exactly known" in page
    assert data_in(page)["columns"][3]["set"] == f"{WALL}*="


def test_a_grid_shows_derivatives_and_no_bands(tmp_path: Path) -> None:
    """What was listed by hand is no tolerance."""
    run = run_sweep(
        wall_sweep(short_study(tmp_path), 1.2, 1.6), tmp_path / "out", at_once(made_row)
    )
    page = page_of(run)
    assert "Normalised derivative" in page
    assert "Percentiles under" not in page


def texts_of(run: SweepRun) -> list[str]:
    """Return what the page says in large, without its no-break spaces."""
    said = sentences(run, summary_of(run))
    return ["".join(one.text for one in pieces).replace("\u00a0", " ") for pieces in said]


def test_the_sentence_says_what_the_sweep_comes_to(tmp_path: Path) -> None:
    """Range of factor and mass with their designs, how many below the load, how many without."""

    def row(job: Job) -> DesignRow:
        return unfinished_row(job, "failed", "no") if wall_of(job) > 2 else made_row(job)

    sweep = wall_sweep(short_study(tmp_path), 1.6, 0.4, 2.4, 0.5)
    run = run_sweep(sweep, tmp_path / "out", at_once(row))
    # factor 2 x wall, mass 50 x wall; 1.0 is not below
    assert texts_of(run) == [
        "Governing factor 0.8 (design 2) to 3.2 × the load (design 1).",
        "Mass 20 (design 2) to 80 g (design 1).",
        "1 of 3 computed designs with a limit below the load; 1 failed.",
    ]
    whole = run_sweep(wall_sweep(short_study(tmp_path), 1.6), tmp_path / "one", at_once(made_row))
    assert texts_of(whole)[-1] == "0 of 1 computed designs with a limit below the load."
    nothing = SweepRun(sweep, (None,) * 4, 0)
    assert texts_of(nothing) == ["0 of 0 computed designs with a limit below the load; 4 pending."]


def test_a_picked_design_has_its_ladder_from_its_row(tmp_path: Path) -> None:
    """Each limit in its nearest case with the middle of a range; nothing is computed again."""

    def row(job: Job) -> DesignRow:
        made = made_row(job, fatigue_factor_low=0.7 * wall_of(job), fatigue_factor=wall_of(job))
        other = {**made.cases["push"], "first_yield_factor": 1.5 * wall_of(job)}
        return made.model_copy(update={"cases": {**made.cases, "pull": other}})

    run = run_sweep(wall_sweep(short_study(tmp_path), 1.2, 1.6), tmp_path / "out", at_once(row))
    found = {one.name: one for one in design_limits(run)}
    assert list(found) == [FATIGUE.label, YIELD.label]
    assert found[YIELD.label].factors == pytest.approx((1.8, 2.4))
    assert found[YIELD.label].cases == ("pull", "pull")
    assert found[YIELD.label].middles == (None, None)
    assert found[FATIGUE.label].factors == pytest.approx((0.84, 1.12))
    assert found[FATIGUE.label].middles == pytest.approx((1.2, 1.6))
    data = data_in(page_of(run))
    in_page = data["limits"]
    assert [data["cases"][k] for k in in_page[1]["cases"]] == ["pull", "pull"]
    assert [one["name"] for one in in_page] == list(found)
    assert in_page[0]["factors"] == pytest.approx([0.84, 1.12])


@pytest.mark.parametrize(
    ("keys", "design", "of_study"),
    [
        ({"values": [1.2, 1.6, 2.0]}, 1, "own"),
        ({"values": [1.2, 1.5, 2.0]}, 1, "nearest"),
        ({"scale": [0.8, 0.9, 1.0]}, 2, "own"),
        ({"values": [-0.2, 0.0, 0.1], "acts_as": "shift"}, 1, "own"),
    ],
)
def test_the_baseline_is_the_study_files_own(
    tmp_path: Path, keys: dict[str, Any], design: int, of_study: Literal["own", "nearest"]
) -> None:
    """As its values, factors of one or nothing added; else the nearest, which the page says."""
    sweep = sweep_of(short_study(tmp_path), [axis(WALL, **keys)], plan())
    run = run_sweep(sweep, tmp_path / "out", at_once(made_row))
    assert baseline_of(run) == Baseline(design, of_study)
    assert data_in(page_of(run))["baseline"] == {"design": design, "of_study": of_study}


def test_without_a_number_in_the_study_file_the_first_design_is_the_baseline(
    tmp_path: Path,
) -> None:
    """A name is no number, and the page claims nothing of it."""
    sweep = sweep_of(short_study(tmp_path), [axis("bar.name", values=["a", "b"])], plan())
    run = run_sweep(sweep, tmp_path / "out", at_once(made_row))
    assert baseline_of(run) == Baseline(0, "unknown")


def test_a_design_without_figures_is_no_baseline(tmp_path: Path) -> None:
    """The next one is; none where nothing was computed."""

    def row(job: Job) -> DesignRow:
        return unfinished_row(job, "failed", "no") if wall_of(job) == 1.6 else made_row(job)

    sweep = wall_sweep(short_study(tmp_path), 1.2, 1.6, 1.7)
    assert baseline_of(run_sweep(sweep, tmp_path / "out", at_once(row))) == Baseline(2, "nearest")
    assert baseline_of(SweepRun(sweep, (None,) * 3, 0)) is None


def test_sensitivities_are_bars_with_intervals(tmp_path: Path) -> None:
    """The strongest first; a bar from the middle, its whisker the interval, as the table says."""
    made = [
        Sensitivity("a", "mass_g", "rank correlation", 0.2, 0.1, 0.3),
        Sensitivity("b", "mass_g", "rank correlation", -0.8, -1.0, -0.5),
        Sensitivity("b", "push/peak_stress_mpa", "rank correlation", 0.9, 0.8, 1.0),
    ]
    names = {"mass_g": "mass, g", "a": "one", "b": "two"}
    (pull,) = pulls(made, names, ["a", "b"])
    assert [bar.input for bar in pull.bars] == ["two", "one"]
    assert (pull.bars[0].from_, pull.bars[0].width) == pytest.approx((10, 40))
    assert pull.bars[0].whisker == pytest.approx((0, 25))
    assert pull.bars[0].value == "\u22120.80 (\u22121.00 to \u22120.50)"
    assert (pull.bars[1].from_, pull.bars[1].width) == pytest.approx((50, 10))
    page = page_of(sampled(tmp_path))
    assert page.count('class="pulled"') == 2
    assert page.count('class="between"') == 2


def test_a_sweep_without_figures_has_a_page(tmp_path: Path) -> None:
    """All refused, or nothing computed yet: the reasons and the open designs are told."""

    def row(job: Job) -> DesignRow:
        return unfinished_row(job, "invalid input", "a tube needs a bore")

    sweep = wall_sweep(short_study(tmp_path), 13, 14)
    page = page_of(run_sweep(sweep, tmp_path / "out", at_once(row)))
    assert "2 invalid input" in page
    assert "2 times: a tube needs a bore" in page
    assert "2 pending" in page_of(SweepRun(sweep, (None, None), 0))


def test_hostile_text_stays_text(tmp_path: Path) -> None:
    """Titles, reasons and values of the study and of failures cannot leave their place."""
    study = read_study(hostile_study(tmp_path))

    def row(job: Job) -> DesignRow:
        return unfinished_row(job, "failed", "</script><script>alert(1)</script>")

    sweep = sweep_of(study, [axis("bar.name", values=["<img src=x onerror=alert(1)>"])], plan())
    page = page_of(run_sweep(sweep, tmp_path / "out", at_once(row)))
    assert "<script>alert" not in page
    assert "<img src=x" not in page
    assert data_in(page)["columns"][3]["values"] == ["<img src=x onerror=alert(1)>"]


def test_many_designs_are_cut_in_the_table_only(tmp_path: Path) -> None:
    """The plots and designs.csv hold all; the page says that its table does not."""
    sweep = wall_sweep(short_study(tmp_path), *(1 + k / 1000 for k in range(310)))
    page = page_of(run_sweep(sweep, tmp_path / "out", at_once(made_row)))
    assert "The first 300 of 310" in page
    assert len(data_in(page)["columns"][0]["values"]) == 310


def test_no_path_of_this_machine_is_in_the_page(tmp_path: Path) -> None:
    """A page can be handed on."""
    assert str(tmp_path) not in page_of(sampled(tmp_path))


@pytest.mark.parametrize("word", ["safe", "Safe"])
def test_no_promise_is_made(tmp_path: Path, word: str) -> None:
    """The page prepares a test and promises nothing."""
    assert not re.search(rf"\b{word}\b", page_of(sampled(tmp_path)))
