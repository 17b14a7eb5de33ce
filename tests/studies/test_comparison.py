"""Designs beside each other: differences, judgements, reuse, refusals."""

import json
from math import inf
from pathlib import Path

import pytest

from fea.stability.criteria import HOOP_YIELD, YIELD
from studies.commands.main import main
from studies.comparison import designs
from studies.comparison.designs import design_in
from studies.comparison.differences import SAME_PERCENT, CaseTable, Row, bar_rows, case_tables
from studies.comparison.studies import read_studies
from studies.files.results_folder import COMPARISON_FILE, COMPARISON_RECORD
from studies.records.case import LoadPointRecord, ResultsRecord
from studies.records.measures import MEASURES
from studies.study_file.study import read_study
from support.pages import short_bar


@pytest.fixture
def pair(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Return two designs in a folder that is the current one."""
    monkeypatch.chdir(tmp_path)
    return [short_bar(tmp_path, "pier-thick", 2.0), short_bar(tmp_path, "pier-thin", 1.6)]


def _compare(paths: list[Path], *options: str) -> int:
    return main(["compare", *map(str, paths), "--no-figures", *options])


def test_a_comparison_from_files_to_page(
    pair: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Page and record land together, each design's own results beside them."""
    assert _compare(pair) == 0
    said = capsys.readouterr()
    folder = tmp_path / "results" / "pier-thick-against-pier-thin"
    assert {path.name for path in folder.iterdir()} == {COMPARISON_FILE, COMPARISON_RECORD}
    for path in pair:
        assert (tmp_path / "results" / path.stem / "report.html").is_file()
    told = json.loads((folder / COMPARISON_RECORD).read_text(encoding="utf-8"))
    assert told["format"] == "barwright-comparison"
    mass = told["bars"][0]
    assert mass["name"] == "mass, g"
    # a wall of 1.6 in place of 2.0 mm: 1.6 (25.4 - 1.6) over 2.0 (25.4 - 2.0)
    wanted = 100 * (1.6 * 23.8 / (2.0 * 23.4) - 1)
    assert mass["cells"][1]["percent"] == pytest.approx(wanted, abs=0.05)
    assert mass["cells"][1]["judged"] == "better"
    assert "pier-thin" in said.out
    assert "worse" in said.out


def test_results_at_hand_are_used_and_stale_ones_are_not(
    pair: list[Path], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The second time nothing is computed; a changed file is, and only that one."""
    assert _compare(pair) == 0
    ran = []
    real = designs.run_study
    monkeypatch.setattr(
        designs, "run_study", lambda study, *a, **k: ran.append(study.name) or real(study, *a, **k)
    )
    capsys.readouterr()
    assert _compare(pair) == 0
    assert ran == []
    assert capsys.readouterr().err.count("are reused") == 2
    short_bar(Path.cwd(), "pier-thin", 1.7)
    assert _compare(pair) == 0
    assert ran == ["pier-thin"]


@pytest.mark.parametrize("spoiled", ["results.json", "report.html"])
def test_spoiled_results_are_not_reused(pair: list[Path], spoiled: str) -> None:
    """What cannot be read any more does not count."""
    assert _compare(pair) == 0
    folder, study = Path("results/pier-thick"), read_study(pair[0])
    assert design_in(folder, study, "coarse") is not None
    assert design_in(folder, study, "fine") is None
    (folder / spoiled).write_text("{}", encoding="utf-8")
    assert design_in(folder, study, "coarse") is None


def test_what_cannot_be_compared_is_refused(
    pair: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One design, too many, two of one name, a folder of somebody else's."""
    other = tmp_path / "other"
    other.mkdir()
    twin = short_bar(other, "pier-thin", 1.5)
    (other / "notes.txt").write_text("mine", encoding="utf-8")
    for paths, options, words in (
        (pair[:1], (), "names 1 designs; name 2 to 8"),
        (pair * 5, (), "names 10 designs"),
        ([pair[1], twin], (), "'pier-thin' is the name of two"),
        (pair, ("--out", str(other)), "no results of barwright"),
    ):
        assert _compare(paths, *options) == 2
        assert words in capsys.readouterr().err
    assert not (tmp_path / "results").exists()
    assert len(read_studies(pair)) == 2


def _record(
    factor: float, peak: float, mass: float, *, push_n: float = 400.0, at_mm: float = 90.0,
    bare: float | None = None, proof_mpa: float = 276.0, more: tuple[str, ...] = (),
) -> ResultsRecord:  # fmt: skip
    """Return a record made up of few figures; the rest is left out on purpose."""
    limits = [_made(criterion=YIELD.id, name="first yield", load_factor=factor)]
    worst = [_made(limit=HOOP_YIELD.id, utilisation=inf)]
    load = LoadPointRecord.model_construct(
        side="right", at_mm=at_mm, force_n=(0.0, 0.0, -push_n), moment_nmm=(0.0, 0.0, 0.0)
    )
    cases = [
        _made(
            id=id_, title=id_.capitalize(), governing_factor=factor, nearest_limit=limits[0],
            deflection_mm=5.0, stiffness_n_per_mm=None, peak_stress_mpa=peak, limits=limits,
            yield_factor=bare or factor, ultimate_factor=factor, clamp=None, fatigue=None,
            load_points=[load],
            buckling=_made(wrinkling_factor=None, worst=worst, elastic_factor=9.0),
        )
        for id_ in (*more, "push")
    ]  # fmt: skip
    bar, metal = _made(mass_g=mass, end_to_end_mm=700.0), _made(proof_stress_mpa=proof_mpa)
    return ResultsRecord.model_construct(bar=bar, material=metal, cases=cases, fatigue=None)


def _rows(*records: ResultsRecord) -> dict[str, Row]:
    """Return the rows of the only case, by their names."""
    (table,) = _tables(*records)
    return {row.name: row for row in table.rows}


def _tables(*records: ResultsRecord) -> tuple[CaseTable, ...]:
    return case_tables(records, [f"bar-{letter}" for letter in "abc"[: len(records)]])


class _Made:
    """Anything with attributes."""


def _made(**values: object) -> _Made:
    made = _Made()
    made.__dict__.update(values)
    return made


@pytest.mark.parametrize(
    ("factor", "judged"),
    [(1.0, "same"), (1.004, "same"), (1.02, "better"), (0.9, "worse")],
)
def test_a_factor_is_better_when_it_is_more(factor: float, judged: str) -> None:
    """And the same below half a percent."""
    assert SAME_PERCENT == 0.5
    rows = _rows(_record(1.0, 200.0, 300.0), _record(factor, 200.0, 300.0))
    assert rows["governing factor"].cells[1].judged == judged


def test_less_stress_and_mass_are_better_and_deflection_is_not_judged() -> None:
    """Whether stiffer is better is not for a program to say."""
    records = [_record(1.0, 200.0, 300.0), _record(1.0, 150.0, 250.0)]
    rows = _rows(*records) | {row.name: row for row in bar_rows(records)}
    assert rows["peak stress, MPa"].cells[1].judged == "better"
    assert rows["mass, g"].cells[1].judged == "better"
    assert rows["deflection, mm"].cells[1].judged == "same"
    assert "stiffness, N/mm" not in rows
    assert rows["hoop yield factor"].cells[1].percent is None


def test_a_case_states_the_load_of_each_design() -> None:
    """Its force and its place stand above its figures."""
    (table,) = _tables(_record(1.0, 200.0, 300.0), _record(1.0, 200.0, 300.0, push_n=450.0))
    assert table.loads == ("400 N down at right 90 mm", "450 N down at right 90 mm")


@pytest.mark.parametrize(
    ("other", "what"),
    [
        ({"push_n": 450.0}, "force"),
        ({"at_mm": 110.0}, "place"),
        ({"push_n": 450.0, "at_mm": 110.0}, "force and place"),
    ],
)
def test_figures_under_other_loads_are_not_judged(other: dict[str, float], what: str) -> None:
    """A sentence names design and difference; a third design under the first's load is judged."""
    records = _record(1.0, 200.0, 300.0), _record(1.2, 150.0, 300.0, **other)
    (table,) = _tables(*records, _record(1.2, 150.0, 300.0))
    assert table.note == f"Load differs from bar-a ({what}): differences of bar-b not judged."
    judged = [[cell.judged for cell in row.cells[1:]] for row in table.rows[:1]]
    assert judged == [["differs", "better"]]
    rows = {row.name: row for row in table.rows}
    assert [cell.judged for cell in rows["peak stress, MPa"].cells] == [
        "first",
        "differs",
        "better",
    ]
    assert not {cell.judged for row in table.rows for cell in row.cells[1:2]} & {"better", "worse"}


def test_loads_as_near_as_the_mesh_resolves_are_one() -> None:
    """A tenth of a millimetre and a thousandth of the force are no other load."""
    (table,) = _tables(
        _record(1.0, 200.0, 300.0), _record(1.2, 150.0, 300.0, push_n=400.4, at_mm=90.1)
    )
    assert table.note == ""
    assert table.rows[0].cells[1].judged == "better"


def test_stress_is_not_judged_across_alloys() -> None:
    """Of another proof stress the factor says it; the proof stresses stand with the bars."""
    records = [_record(1.0, 200.0, 300.0), _record(1.5, 150.0, 300.0, proof_mpa=455.0)]
    rows = _rows(*records)
    assert rows["peak stress, MPa"].cells[1].judged == "differs"
    assert rows["peak stress, MPa"].cells[1].percent == pytest.approx(-25.0)
    assert rows["governing factor"].cells[1].judged == "better"
    proof = next(row for row in bar_rows(records) if row.name == "proof stress, MPa")
    assert [cell.value for cell in proof.cells] == [276.0, 455.0]


def test_a_limit_has_the_same_name_in_every_row() -> None:
    """That of the governing limit; yield without preload is named where it differs."""
    rows = _rows(_record(1.0, 200.0, 300.0), _record(1.0, 200.0, 300.0))
    assert "first yield factor" in rows
    assert "yield factor" not in rows
    assert "first yield factor without bolt preload" not in rows
    both = _rows(_record(1.0, 200.0, 300.0, bare=1.3), _record(1.0, 200.0, 300.0))
    assert both["first yield factor without bolt preload"].cells[0].value == 1.3
    assert both["first yield factor"].cells[0].value == 1.0
    names = [measure.name for measure in MEASURES]
    assert {"clamp slip factor, low end", "fatigue factor, low end"} <= set(names)
    assert not [name for name in names if name.startswith("slip")]


def test_a_bar_below_the_load_is_marked_and_still_judged() -> None:
    """Beside the name of its limit."""
    rows = _rows(_record(0.9, 200.0, 300.0), _record(0.95, 200.0, 300.0))
    first, second = rows["governing factor"].cells
    assert first.words == "first yield, below the load"
    assert second.words == "first yield, below the load"
    assert second.judged == "better"
    assert _rows(_record(1.0, 1, 1), _record(1.1, 1, 1))["governing factor"].cells[0].words == (
        "first yield"
    )


def test_cases_that_not_all_designs_have_stand_at_the_end() -> None:
    """Though the first design has one first of all."""
    tables = _tables(_record(1.0, 200.0, 300.0, more=("lift",)), _record(1.0, 200.0, 300.0))
    assert [(one.id, one.in_all_designs) for one in tables] == [("push", True), ("lift", False)]
    assert tables[1].loads == ("400 N down at right 90 mm", "")


def test_one_study_and_variants_of_it(pair: list[Path], capsys: pytest.CaptureFixture[str]) -> None:
    """A design for each --set, without a file of its own; several changes make one design."""
    changes = ("bar.stations.*.wall_mm*=0.9", "bar.stations.*.wall_mm=1.6; name=thin")
    options = [part for change in changes for part in ("--set", change)]
    assert _compare(pair[:1], *options) == 0
    names = ["pier-thick", "pier-thick-stations-wall_mm-x0.9", "thin"]
    folder = Path("results") / "pier-thick-against-2-others"
    told = json.loads((folder / COMPARISON_RECORD).read_text(encoding="utf-8"))
    assert [design["name"] for design in told["designs"]] == names
    area = [wall * (25.4 - wall) for wall in (2.0, 1.8, 1.6)]
    masses = [cell["value"] for cell in told["bars"][0]["cells"]]
    assert masses == pytest.approx([masses[0] * one / area[0] for one in area], rel=1e-3)
    page = (folder / COMPARISON_FILE).read_text(encoding="utf-8")
    # their bars have one name, so the studies' stand for them
    assert page.count("pier-thick-stations-wall_mm-x0.9</b>") == 1
    capsys.readouterr()
    assert _compare(pair[:1], *options) == 0
    assert capsys.readouterr().err.count("are reused") == 3


@pytest.mark.parametrize(
    ("files", "changes", "words"),
    [
        (2, ["bar.roll_deg=4"], "--set: changes one study, but 2 are named"),
        (1, ["bar.roll=4"], "roll_deg"),
        (1, ["bar.roll_deg=4", "bar.roll_deg=4"], "is the name of two of the studies"),
        (1, ["bar.roll_deg=4,5"], "gives several values"),
        (1, [";"], "write PATH=VALUE"),
        (1, ["bar.roll_deg=4"] * 8, "names 9 designs"),
    ],
)
def test_changes_that_make_no_design_are_refused(
    pair: list[Path], capsys: pytest.CaptureFixture[str], files: int, changes: list[str], words: str
) -> None:
    """In one sentence, before anything is computed."""
    options = [part for change in changes for part in ("--set", change)]
    assert _compare(pair[:files], *options) == 2
    assert words in capsys.readouterr().err
    assert not Path("results").exists()


def test_results_of_an_earlier_format_are_refused(
    pair: list[Path], capsys: pytest.CaptureFixture[str]
) -> None:
    """In one sentence with what to do; they stay as they are."""
    record = Path("results/pier-thick/results.json")
    record.parent.mkdir(parents=True)
    old = json.dumps({"format": "barwright-results", "format_version": 1, "cases": []})
    record.write_text(old, encoding="utf-8")
    assert _compare(pair) == 2
    said = capsys.readouterr().err
    assert "has format 1, this version reads format 2; `barwright run" in said
    assert record.read_text(encoding="utf-8") == old
    assert list(record.parent.iterdir()) == [record]
