"""A sweep as a data frame: the same from its files and at hand, each column of its kind."""

import sys
from pathlib import Path
from typing import Any

import pytest

from geometry.errors import InputError
from studies.sweeps.frames import designs_frame, frame_of
from studies.sweeps.rows import DesignRow, Job, unfinished_row
from studies.sweeps.sweep import run_sweep, sweep_of
from studies.sweeps.sweep_results import SweepRun
from support.sweeps import WALL, at_once, axis, made_row, plan, short_study, wall_of, wall_sweep

REASON = "-1 mm is no wall, so =nothing was computed"


def _row(job: Job) -> DesignRow:
    return unfinished_row(job, "invalid input", REASON) if wall_of(job) == 1.3 else made_row(job)


@pytest.fixture
def swept(tmp_path: Path) -> SweepRun:
    """Return a sweep over walls, bolts and a material, with designs that have no figures."""
    axes = [
        axis(WALL, values=[1.3, 1.7]),
        axis("bar.material", values=["al-6061-t6", "ti-3al-2.5v"]),
        axis("clamp.width_mm", values=[40, 50]),
    ]
    return run_sweep(sweep_of(short_study(tmp_path), axes, plan()), tmp_path / "out", at_once(_row))


@pytest.mark.slow
def test_both_frames_are_the_same(tmp_path: Path, swept: SweepRun) -> None:
    """To the last digit: nothing is lost on the way through designs.csv."""
    testing = pytest.importorskip("pandas").testing
    testing.assert_frame_equal(designs_frame(tmp_path / "out"), frame_of(swept), check_exact=True)


@pytest.mark.slow
def test_columns_are_of_their_kinds(tmp_path: Path, swept: SweepRun) -> None:
    """Status a category, texts strings, whole inputs counts, the rest floats; gaps are gaps."""
    pytest.importorskip("pandas")
    frame = designs_frame(tmp_path / "out")
    assert list(frame.index) == list(range(1, 9))
    kinds = {name: str(dtype) for name, dtype in frame.dtypes.items()}
    assert kinds["status"] == "category"
    assert {kinds[name] for name in ("reason", "bar.material", "governing_limit")} == {"string"}
    assert kinds["clamp.width_mm"] == "int64"
    assert {kinds[name] for name in (WALL, "mass_g", "push/deflection_mm")} == {"float64"}
    without = frame[frame["status"] == "invalid input"]
    assert set(without["reason"]) == {REASON}
    assert without["mass_g"].isna().all()
    assert frame["reason"].isna().sum() == 4
    computed = frame[frame["status"] == "computed"]
    # the formula of the made rows, to the last digit
    assert list(computed["mass_g"]) == [50 * wall for wall in computed[WALL]]


@pytest.mark.slow
def test_a_sweep_that_is_not_finished_has_a_frame(swept: SweepRun) -> None:
    """Designs that are not there yet are pending, with gaps."""
    pytest.importorskip("pandas")
    frame = frame_of(SweepRun(swept.sweep, (*swept.rows[:-1], None), 0))
    assert frame["status"].iloc[-1] == "pending"
    assert frame["mass_g"].isna().iloc[-1]


def test_without_pandas_the_remedy_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One sentence, from either function."""
    done = run_sweep(
        wall_sweep(short_study(tmp_path), 1.2, 1.6), tmp_path / "out", at_once(made_row)
    )
    monkeypatch.setitem(sys.modules, "pandas", None)
    calls: list[tuple[Any, Any]] = [(frame_of, done), (designs_frame, tmp_path / "out")]
    for call, given in calls:
        with pytest.raises(InputError, match=r"^pandas: is not installed.*barwright\[notebook\]"):
            call(given)


@pytest.mark.parametrize("fault", ["no folder", "no record", "cut", "no head"])
def test_a_folder_without_a_table_is_refused(tmp_path: Path, fault: str) -> None:
    """With what to do; a table that was damaged is no table."""
    folder = tmp_path / "out"
    run_sweep(wall_sweep(short_study(tmp_path), 1.2, 1.6), folder, at_once(made_row))
    table = folder / "designs.csv"
    text = table.read_text(encoding="utf-8")
    if fault == "no folder":
        folder = tmp_path / "elsewhere"
    elif fault == "no record":
        (folder / "sweep.json").unlink()
    else:
        table.write_text(text[: len(text) - 60] if fault == "cut" else "", encoding="utf-8")
    said = "holds no designs.csv" if fault == "no folder" else "cannot be read"
    with pytest.raises(InputError, match=said):
        designs_frame(folder)
