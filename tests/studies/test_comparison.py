"""Designs beside each other: differences, judgements, reuse, refusals."""

import json
from pathlib import Path
from shutil import copytree

import pytest

from studies.commands.main import main
from studies.comparison import designs
from studies.comparison.designs import design_in
from studies.comparison.studies import read_studies
from studies.files.results_folder import COMPARISON_FILE, COMPARISON_RECORD
from studies.study_file.study import read_study
from support.pages import short_bar


@pytest.fixture
def pair(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Return two designs in a folder that is the current one."""
    monkeypatch.chdir(tmp_path)
    return [short_bar(tmp_path, "pier-thick", 2.0), short_bar(tmp_path, "pier-thin", 1.6)]


@pytest.fixture(scope="module")
def compared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder in which two designs were computed and compared."""
    folder = tmp_path_factory.mktemp("compared")
    paths = [short_bar(folder, "pier-thick", 2.0), short_bar(folder, "pier-thin", 1.6)]
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        assert _compare(paths) == 0
    return folder


@pytest.fixture
def done(compared: Path, pair: list[Path], tmp_path: Path) -> list[Path]:
    """Return the same two designs, with their results and comparison at hand."""
    copytree(compared / "results", tmp_path / "results")
    return pair


def _compare(paths: list[Path], *options: str) -> int:
    return main(["compare", *map(str, paths), "--no-figures", *options])


def test_a_comparison_from_files_to_page(
    done: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Page and record land together, each design's own results beside them."""
    assert _compare(done) == 0
    said = capsys.readouterr()
    folder = tmp_path / "results" / "pier-thick-against-pier-thin"
    assert {path.name for path in folder.iterdir()} == {COMPARISON_FILE, COMPARISON_RECORD}
    for path in done:
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
    done: list[Path], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The second time nothing is computed; a changed file is, and only that one."""
    ran = []
    real = designs.run_study
    monkeypatch.setattr(
        designs, "run_study", lambda study, *a, **k: ran.append(study.name) or real(study, *a, **k)
    )
    assert _compare(done) == 0
    assert ran == []
    assert capsys.readouterr().err.count("are reused") == 2
    short_bar(Path.cwd(), "pier-thin", 1.7)
    assert _compare(done) == 0
    assert ran == ["pier-thin"]


@pytest.mark.parametrize("spoiled", ["results.json", "report.html"])
def test_spoiled_results_are_not_reused(done: list[Path], spoiled: str) -> None:
    """What cannot be read any more does not count."""
    folder, study = Path("results/pier-thick"), read_study(done[0])
    assert design_in(folder, study, "coarse") is not None
    assert design_in(folder, study, "fine") is None
    kept = json.loads((folder / "results.json").read_text(encoding="utf-8"))
    (folder / spoiled).write_text(json.dumps({**kept, "study": 1.5}), encoding="utf-8")
    assert design_in(folder, study, "coarse") is None
    assert _compare(done) == 0
    assert design_in(folder, study, "coarse") is not None


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


def test_one_study_and_variants_of_it(pair: list[Path], capsys: pytest.CaptureFixture[str]) -> None:
    """A design for each --set, without a file of its own; several changes make one design."""
    changes = ("bar.stations.*.wall_mm*=0.9", "bar.stations.*.wall_mm=1.6; name=thin")
    options = [part for change in changes for part in ("--set", change)]
    assert _compare(pair[:1], *options) == 0
    names = ["pier-thick", "pier-thick-wall_mm-x0.9", "thin"]
    folder = Path("results") / "pier-thick-against-2-others"
    told = json.loads((folder / COMPARISON_RECORD).read_text(encoding="utf-8"))
    assert [design["name"] for design in told["designs"]] == names
    area = [wall * (25.4 - wall) for wall in (2.0, 1.8, 1.6)]
    masses = [cell["value"] for cell in told["bars"][0]["cells"]]
    assert masses == pytest.approx([masses[0] * one / area[0] for one in area], rel=1e-3)
    page = (folder / COMPARISON_FILE).read_text(encoding="utf-8")
    # their bars have one name, so the studies' stand for them
    assert page.count("pier-thick-wall_mm-x0.9</b>") == 1
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


@pytest.mark.parametrize(
    ("setting", "name"),
    [
        ("bar.stations[0].wall_mm*=0.9", "pier-thick-0-wall_mm-x0.9"),
        ("bar.material=al-7075-t6", "pier-thick-material-al-7075-t6"),
        ("clamp.width_mm+=-2; mesh.level=coarse", "pier-thick-width_mm-plus-2-level-coarse"),
        ("cases[pull].loads.*.band_mm=30", "pier-thick-pull-band_mm-30"),
        ("clamp.width_mm=38;name=short", "short"),
    ],
)
def test_a_variant_is_named_after_its_changes(pair: list[Path], setting: str, name: str) -> None:
    """Entries, keys and values, as a folder can be called; a name that is given stands."""
    study, variant = read_studies(pair[:1], [setting])
    assert (study.name, variant.name) == ("pier-thick", name)
