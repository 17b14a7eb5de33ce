"""Designs beside each other: differences, judgements, reuse, refusals."""

import json
from math import inf
from pathlib import Path

import pytest

from fea.stability.criteria import HOOP_YIELD
from studies.commands.main import main
from studies.comparison import designs
from studies.comparison.designs import design_in, read_studies
from studies.comparison.differences import SAME_PERCENT, bar_rows, case_tables
from studies.files.results_folder import COMPARISON_FILE, COMPARISON_RECORD
from studies.records.case import ResultsRecord
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


def _record(factor: float, peak: float, mass: float) -> ResultsRecord:
    """Return a record made up of few figures; the rest is left out on purpose."""
    limits = [_made(name="first yield", load_factor=factor)]
    worst = [_made(limit=HOOP_YIELD.id, utilisation=inf)]
    case = _made(
        id="push", title="Push", governing_factor=factor, nearest_limit=limits[0],
        deflection_mm=5.0, stiffness_n_per_mm=None, peak_stress_mpa=peak, yield_factor=factor,
        ultimate_factor=factor, clamp=None, fatigue=None,
        buckling=_made(wrinkling_factor=None, worst=worst, elastic_factor=9.0),
    )  # fmt: skip
    bar = _made(mass_g=mass, end_to_end_mm=700.0)
    return ResultsRecord.model_construct(bar=bar, cases=[case], fatigue=None)


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
    (table,) = case_tables([_record(1.0, 200.0, 300.0), _record(factor, 200.0, 300.0)])
    assert table.rows[0].cells[1].judged == judged


def test_less_stress_and_mass_are_better_and_deflection_is_not_judged() -> None:
    """Whether stiffer is better is not for a program to say."""
    records = [_record(1.0, 200.0, 300.0), _record(1.0, 150.0, 250.0)]
    (table,) = case_tables(records)
    rows = {row.name: row for row in (*table.rows, *bar_rows(records))}
    assert rows["peak stress, MPa"].cells[1].judged == "better"
    assert rows["mass, g"].cells[1].judged == "better"
    assert rows["deflection, mm"].cells[1].judged == "same"
    assert "stiffness, N/mm" not in rows
    assert rows["hoop yield factor"].cells[1].percent is None


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
