"""A sweep as a whole: rows are single runs, nothing finished is computed again or lost."""

import csv
import json
import random
from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from pathlib import Path

import pytest

from geometry.errors import InputError
from studies.assessment.run import run_study
from studies.files.results_folder import landed
from studies.records.measures import ALL_MEASURES
from studies.results.record import results_record
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study, study_from_table
from studies.sweeps.executors import Executor
from studies.sweeps.rows import DesignRow, Job, unfinished_row
from studies.sweeps.sweep import run_sweep, sweep_of
from studies.sweeps.sweep_results import Sweep
from studies.sweeps.worker import compute
from support.sweeps import WALL, WIDTH, at_once, axis, made_row, plan, short_study, wall_sweep

WALLS_MM = (1.2, 1.4, 1.6, 1.8, 2.0)


def table_in(folder: Path) -> list[dict[str, str]]:
    """Return the rows of designs.csv."""
    with (folder / "designs.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture
def sweep(tmp_path: Path) -> Sweep:
    """Return a sweep over five walls."""
    return wall_sweep(short_study(tmp_path), *WALLS_MM)


def test_a_row_is_a_single_run(tmp_path: Path) -> None:
    """Every figure of a design equals that of a run of the same study, to the last digit or so."""
    sweep = sweep_of(
        short_study(tmp_path),
        [axis(WALL, values=[1.4, 1.5]), axis("cases[push].loads[0].force_n[2]", scale=[1.5])],
        plan(),
        cases=["push"],
    )
    rows = [DesignRow.model_validate_json(compute(job)) for job in sweep.jobs]
    table = json.loads(sweep.jobs[1].table)
    assert table["bar"]["stations"][0]["wall_mm"] == 1.5
    assert table["cases"][0]["loads"][0]["force_n"] == [0, 0, -600]
    alone_study = with_cases(study_from_table(table, tmp_path / "pier.toml", ""), ["push"])
    record = results_record(run_study(alone_study))
    case = record.cases[0]
    assert list(rows[1].cases) == ["push"]
    assert rows[1].bar["mass_g"] == record.bar.mass_g
    for measure in ALL_MEASURES:
        alone, swept = measure.of(case), rows[1].cases["push"][measure.key]
        # an estimate of an error is a small difference of large numbers
        loose = 1e-6 if "error" in measure.key else 1e-9
        assert swept == (None if alone is None else pytest.approx(alone, rel=loose)), measure.key


def test_the_files_of_a_sweep(tmp_path: Path, sweep: Sweep) -> None:
    """A row for each design in the plan's order, with full numbers; the record names the plan."""
    run_sweep(sweep, tmp_path / "out", at_once(made_row))
    rows = table_in(tmp_path / "out")
    assert [row["design"] for row in rows] == ["1", "2", "3", "4", "5"]
    assert [float(row[WALL]) for row in rows] == list(WALLS_MM)
    assert [float(row["push/deflection_mm"]) for row in rows] == [4 / w for w in WALLS_MM]
    told = landed(tmp_path / "out", "sweep.json")
    assert told["plan"]["mode"] == "grid"
    assert told["counts"] == {"computed": 5}
    assert (tmp_path / "out" / "sweep.html").stat().st_size > 10_000


@pytest.mark.slow
def test_parquet_holds_the_same(tmp_path: Path, sweep: Sweep) -> None:
    """Column by column, numbers as numbers."""
    parquet = pytest.importorskip("pyarrow.parquet")
    run_sweep(sweep, tmp_path / "out", at_once(made_row))
    found = parquet.read_table(tmp_path / "out" / "designs.parquet").to_pydict()
    rows = table_in(tmp_path / "out")
    assert list(found) == list(rows[0])
    assert found["mass_g"] == [float(row["mass_g"]) for row in rows]
    assert found["design"] == [1, 2, 3, 4, 5]


@contextmanager
def shuffled(seed: int, slots: int) -> Iterator[Executor]:
    """Yield workers that finish in another order than they began."""
    draw = random.Random(seed)  # noqa: S311 no secret
    waiting: list[tuple[Job, Future[str]]] = []

    def submit(job: Job) -> "Future[str]":
        waiting.append((job, Future()))
        made = waiting[-1][1]
        if len(waiting) == slots:
            _finish()
        return made

    def _finish() -> None:
        draw.shuffle(waiting)
        while waiting:
            job, future = waiting.pop()
            future.set_result(made_row(job).model_dump_json())

    def slots_now() -> int:
        return slots

    yield Executor(submit, slots_now, (), 1)


def test_the_order_of_finishing_does_not_matter(tmp_path: Path) -> None:
    """Workers that finish pell-mell leave the same table."""
    sweep = wall_sweep(short_study(tmp_path), *(1 + k / 100 for k in range(12)))
    run_sweep(sweep, tmp_path / "a", at_once(made_row))
    run_sweep(sweep, tmp_path / "b", lambda: shuffled(1, 4))
    for name in ("designs.csv", "sweep.json", "sweep.html"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_the_same_sweep_again_computes_nothing(tmp_path: Path, sweep: Sweep) -> None:
    """What is at hand is used; a new wall computes that wall alone, in either order."""
    seen: list[Job] = []
    run_sweep(sweep, tmp_path / "out", at_once(made_row, seen))
    assert len(seen) == 5
    again = run_sweep(sweep, tmp_path / "out", at_once(made_row, seen))
    assert (len(seen), again.reused) == (5, 5)
    wider = wall_sweep(sweep.study, 2.2, *reversed(WALLS_MM))
    run_sweep(wider, tmp_path / "out", at_once(made_row, seen))
    assert len(seen) == 6
    # the first sweep's designs lie there still
    run_sweep(sweep, tmp_path / "out", at_once(made_row, seen))
    assert len(seen) == 6


def test_other_inputs_are_other_designs(tmp_path: Path) -> None:
    """Mesh level and cases are part of the key; a comment, the name and the title are not."""
    study = short_study(tmp_path)
    axes = [axis(WALL, values=[1.6])]
    key = sweep_of(study, axes, plan()).jobs[0].key
    assert sweep_of(study, axes, plan(), level="fine").jobs[0].key != key
    assert sweep_of(study, axes, plan(), cases=["push"]).jobs[0].key != key
    text = 'title = "Another"\n# a comment\n' + study.text.replace('name = "pier"', 'name = "mole"')
    study.path.write_text(text, encoding="utf-8")
    assert sweep_of(read_study(study.path), axes, plan()).jobs[0].key == key


def test_a_design_twice_in_the_plan_is_computed_once(tmp_path: Path) -> None:
    """Equal values give two rows and one computation."""
    seen: list[Job] = []
    sweep = wall_sweep(short_study(tmp_path), 1.6, 1.6)
    run_sweep(sweep, tmp_path / "out", at_once(made_row, seen))
    assert len(seen) == 1
    assert len(table_in(tmp_path / "out")) == 2


def test_a_design_that_fails_is_a_row_with_its_reason(tmp_path: Path) -> None:
    """A nearly solid tube is refused in the words of a single run, and the sweep goes on."""
    sweep = wall_sweep(short_study(tmp_path), 13.0, 1.6)
    rows = [DesignRow.model_validate_json(compute(sweep.jobs[0]))]
    assert rows[0].status == "invalid input"
    assert "must be at most 0.4 of the outer diameter" in rows[0].reason

    def row(job: Job) -> DesignRow:
        return rows[0] if job is sweep.jobs[0] else made_row(job)

    run_sweep(sweep, tmp_path / "out", at_once(row))
    first, second = table_in(tmp_path / "out")
    assert (first["status"], second["status"]) == ("invalid input", "computed")
    assert "must be at most 0.4 of the outer diameter" in first["reason"]
    assert first["mass_g"] == ""


def test_a_fault_of_the_program_is_told_with_its_traceback(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One design must not end a night of them, and the fault must not be lost."""

    def broken(*_: object, **__: object) -> None:
        raise KeyError("nobody thought of this")

    monkeypatch.setattr("studies.assessment.run.run_study", broken)
    row = DesignRow.model_validate_json(compute(wall_sweep(short_study(tmp_path), 1.6).jobs[0]))
    assert row.status == "failed"
    assert "a fault of the program: KeyError" in row.reason
    assert "Traceback" in row.traceback


def test_a_worker_that_dies_is_given_two_more_tries(tmp_path: Path, sweep: Sweep) -> None:
    """Then the design is a row that says so; the next sweep tries it again."""
    begun: list[Job] = []

    def row(job: Job) -> DesignRow:
        if job is sweep.jobs[2]:
            raise ConnectionError
        return made_row(job)

    run_sweep(sweep, tmp_path / "out", at_once(row, begun))
    assert [begun.count(job) for job in sweep.jobs] == [1, 1, 3, 1, 1]
    lost = table_in(tmp_path / "out")[2]
    assert lost["status"] == "worker failed"
    assert "died 3 times" in lost["reason"]
    again: list[Job] = []
    run_sweep(sweep, tmp_path / "out", at_once(made_row, again))
    assert [job.number for job in again] == [2]


@pytest.mark.parametrize("end", [KeyboardInterrupt, InputError])
def test_what_is_finished_can_be_read_after_a_stop(
    tmp_path: Path, sweep: Sweep, end: type[BaseException]
) -> None:
    """Interrupted or out of room, the tables show what there is and what is open."""

    def told(finished: int, reused: int) -> None:
        if finished == 3:
            raise end

    with pytest.raises(end):
        run_sweep(sweep, tmp_path / "out", at_once(made_row), told)
    states = [row["status"] for row in table_in(tmp_path / "out")]
    assert states == ["computed"] * 3 + ["pending"] * 2
    seen: list[Job] = []
    run_sweep(sweep, tmp_path / "out", at_once(made_row, seen))
    assert len(seen) == 2


def test_each_design_is_on_disk_before_the_next_begins(tmp_path: Path, sweep: Sweep) -> None:
    """When a worker gets a design, all that were finished before lie there."""
    lying: list[int] = []

    def row(job: Job) -> DesignRow:
        lying.append(len(list((tmp_path / "out" / "designs").glob("*.json"))))
        return made_row(job)

    run_sweep(sweep, tmp_path / "out", at_once(row))
    assert lying == [0, 1, 2, 3, 4]


def test_unfinished_rows_have_no_figures(sweep: Sweep) -> None:
    """A reason and nothing else."""
    row = unfinished_row(sweep.jobs[0], "failed", "the mesh folds")
    assert not row.cases
    assert not row.bar


def test_an_axis_of_texts_and_one_of_widths(tmp_path: Path) -> None:
    """Alloys beside walls: texts are values like others."""
    axes = [axis("bar.material", values=["al-6061-t6", "al-7075-t6"]), axis(WIDTH, values=[40])]
    sweep = sweep_of(short_study(tmp_path), axes, plan())
    run_sweep(sweep, tmp_path / "out", at_once(made_row))
    assert [row["bar.material"] for row in table_in(tmp_path / "out")] == [
        "al-6061-t6",
        "al-7075-t6",
    ]
