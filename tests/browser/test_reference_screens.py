"""Six studies of different kinds on desk, phone and paper, beside the screens that were looked at.

A reference is a small grey picture that somebody has seen and found good. A difference within the
tolerance is that of other fonts and renderers; where a page is meant to change, write them anew
with `BARWRIGHT_WRITE_SCREENS=1 pytest tests/browser/test_reference_screens.py -m slow`, look at
every one, and say in the commit what changed.
"""

import os
from collections.abc import Callable, Mapping
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from studies.assessment.run import run_study
from studies.commands.main import main
from studies.results.writing import write_results
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import Study, read_study, study_from_table
from support.page_paths import with_made_paths
from support.pages import short_bar
from support.screens import SIZE, apart, reference, screen

OpenPage = Callable[..., Any]

pytestmark = pytest.mark.slow

REFERENCES = Path(__file__).parent / "screens"
DROP = Path(__file__).parents[2] / "studies" / "examples" / "harbour-drop.toml"

MOST, MEAN = 45.0, 5.0
"""Largest and mean difference of squares that other fonts and renderers may cause, of 255: on this
page words in another cut of a face move a square by up to 20; a part that is gone, by over 60."""

KINDS = ("riser", "drop", "press", "eight", "path", "comparison")


def _press() -> Study:
    bar = {
        "name": "pier tube",
        "material": "al-6061-t6",
        "stations": [{"at_mm": 0, "od_mm": 25.4, "wall_mm": 1.6}],
        "right": {"points_mm": [[0, 0, 0], [330, 0, 0]]},
    }
    case = {"use": "press.four-point", "span_mm": 600, "inner_span_mm": 200, "force_n": 1000}
    table = {"name": "press", "bar": bar, "clamp": {"model": "none"}, "cases": [case]}
    return study_from_table(table, Path("press.toml"), "")


def _eight() -> Study:
    """Return eight cases of a bar of unequal halves, with a long name."""
    sides = ("left", "right")
    cases = [
        {
            "id": f"ferry-{n}",
            "title": f"Ferry case {n}, a title that is rather long",
            "loads": [
                {
                    "side": sides[n % 2],
                    "from_end_mm": 30 + 5 * n,
                    "force_n": [20 * n, -15 * n, -100 - 60 * n],
                    "band_mm": 24,
                }
            ],
        }
        for n in range(8)
    ]
    bar = {
        "name": "harbour ferry bar with a name of sixty signs, second draft",
        "material": "al-6061-t6",
        "stations": [
            {"at_mm": 40, "od_mm": 31.8, "wall_mm": 1.6},
            {"at_mm": 120, "od_mm": 22.2, "wall_mm": 1.4},
        ],
        "right": {
            "points_mm": [[0, 0, 0], [80, 0, 0], [150, 0, 60], [360, -60, 70]],
            "bend_radii_mm": [60, 60],
        },
        "left": {"points_mm": [[0, 0, 0], [-90, 0, 0], [-300, -40, 10]], "bend_radii_mm": [80]},
    }
    clamp = {"width_mm": 46, "model": "elastic"}
    return study_from_table(
        {"name": "eight", "bar": bar, "clamp": clamp, "cases": cases}, Path("eight.toml"), ""
    )


def _written(folder: Path, study: Study, *, path: bool = False) -> Path:
    run = run_study(study, level="coarse")
    write_results(with_made_paths(run, "push") if path else run, folder)
    return folder / "report.html"


@pytest.fixture(scope="module")
def pages(results: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return the page of each kind."""
    folder = tmp_path_factory.mktemp("screens")
    drop = with_cases(read_study(DROP), ("rider.standing-sprint",))
    files = [str(short_bar(folder, name, wall)) for name, wall in (("pier", 1.0), ("quay", 1.3))]
    assert main(["compare", *files, "--no-figures", "--out", str(folder / "compared")]) == 0
    return {
        "riser": results / "report.html",
        "drop": _written(folder / "drop", drop),
        "press": _written(folder / "press", _press()),
        "eight": _written(folder / "eight", _eight()),
        "path": _written(folder / "path", read_study(Path(files[0])), path=True),
        "comparison": folder / "compared" / "comparison.html",
    }


@pytest.fixture
def screens(open_page: OpenPage, pages: Mapping[str, Path]) -> Callable[[str, str], bytes]:
    """Return a function that takes the screen of a kind on a medium."""
    return lambda kind, medium: screen(open_page, pages[kind], medium)


@pytest.mark.parametrize("medium", SIZE)
@pytest.mark.parametrize("kind", KINDS)
def test_a_screen_is_as_it_was_looked_at(
    screens: Callable[[str, str], bytes], kind: str, medium: str
) -> None:
    """No square of it is much lighter or darker, nor is the whole."""
    found, path = screens(kind, medium), REFERENCES / f"{kind}-{medium}.png"
    if os.environ.get("BARWRIGHT_WRITE_SCREENS"):
        path.write_bytes(reference(found))
    most, mean = apart(found, path.read_bytes())
    assert most < MOST
    assert mean < MEAN


@pytest.mark.parametrize("medium", SIZE)
def test_the_tolerance_tells_the_six_apart(medium: str) -> None:
    """Each reference lies outside the tolerance of every other."""
    kept = [(REFERENCES / f"{kind}-{medium}.png").read_bytes() for kind in KINDS]
    for one, other in combinations(kept, 2):
        most, mean = apart(one, other)
        assert most > MOST or mean > MEAN
