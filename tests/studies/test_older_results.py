"""Results that other sources or libraries computed, met by a comparison."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from geometry.errors import InputError, SolveError
from studies.assessment.run import StudyRun
from studies.commands.main import main
from studies.comparison import designs
from studies.comparison.designs import Design, design_of
from studies.files import provenance
from studies.files.provenance import numerical_libraries, sources_sha256
from studies.files.results_folder import COMPARISON_FILE, REPORT_FILE, RESULTS_FILE
from studies.results.writing import write_results
from studies.study_file.study import Study, read_study
from support.copies import copied, correct, sources_at
from support.pages import short_bar
from support.paths import case_with, path_of, short_run, usual

AGAIN = "results of pier are of another version of barwright or its libraries and are computed "


@pytest.fixture
def study(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Study:
    """Return the short bar's study, in a folder that is the current one."""
    monkeypatch.chdir(tmp_path)
    return read_study(short_bar(tmp_path, "pier", 0.6))


@pytest.fixture
def ran(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Let comparisons take a run that is known, and note what they run."""
    names: list[str] = []

    def known(study: Study, *_: object, **__: object) -> StudyRun:
        names.append(study.name)
        return short_run()

    monkeypatch.setattr(designs, "run_study", known)
    return names


def by_others(file: str, write: Callable[[], object]) -> None:
    """Let sources write in which one file is another."""
    copy = Path("copy") if Path("copy").exists() else copied(Path.cwd())
    correct(copy / file)
    with sources_at(copy):
        write()


def met(study: Study) -> tuple[Design, list[str]]:
    """Return the design that a comparison takes, and what it says."""
    said: list[str] = []
    folder = Path("results/pier")
    return design_of(study, folder, None, None, lambda stage: None, said.append), said


def files() -> dict[str, bytes]:
    """Return results and page as they lie there."""
    return {
        name: (Path("results/pier") / name).read_bytes() for name in (RESULTS_FILE, REPORT_FILE)
    }


def write() -> None:
    """Write the short bar's results."""
    write_results(short_run(), Path("results/pier"))


def with_path() -> StudyRun:
    """Return the short bar's run with a path past yield."""
    return case_with(path_of(usual()))[0]


def test_results_say_what_made_them(study: Study) -> None:
    """A hash of the sources, and the libraries that the numbers rest on, the solver's too."""
    write()
    told = json.loads((Path("results/pier") / RESULTS_FILE).read_text(encoding="utf-8"))["study"]
    assert told["sources_sha256"] == sources_sha256("results")
    assert numerical_libraries(told["solver"]).items() <= told["libraries"].items()
    page = (Path("results/pier") / REPORT_FILE).read_text(encoding="utf-8")
    assert f"sources {told['sources_sha256'][:12]}" in page


@pytest.mark.parametrize("file", ["fea/solid/kernels.py", "studies/page/curves.py"])
def test_results_of_corrected_sources_are_computed_again(
    study: Study, ran: list[str], file: str
) -> None:
    """Told in a sentence; the second time they are reused."""
    by_others(file, write)
    old = files()
    design, said = met(study)
    assert ran == ["pier"]
    assert said == [AGAIN + "again"]
    assert (design.reused, design.older) == (False, False)
    assert files()[RESULTS_FILE] != old[RESULTS_FILE]
    design, said = met(study)
    assert (ran, said, design.reused, design.older) == (["pier"], [], True, False)


@pytest.mark.parametrize("file", ["studies/page/templates/report.html", "studies/page/web/view.js"])
def test_results_of_another_look_are_reused(study: Study, ran: list[str], file: str) -> None:
    """Nothing is said of them."""
    by_others(file, write)
    design, said = met(study)
    assert (ran, said, design.reused, design.older) == ([], [], True, False)


def test_results_of_another_library_are_computed_again(
    study: Study, ran: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One that draws or writes does not count."""
    write()
    real = provenance.library_version
    for name, wanted in (("pyvista", []), ("scipy", ["pier"])):
        newer = {name: "99.0"}
        monkeypatch.setattr(
            provenance,
            "library_version",
            lambda asked, newer=newer: newer.get(asked) or real(asked),
        )
        met(study)
        assert ran == wanted


@pytest.mark.parametrize("end", [KeyboardInterrupt, SolveError])
def test_old_results_stay_until_the_new_ones_are_whole(
    study: Study, monkeypatch: pytest.MonkeyPatch, end: type[BaseException]
) -> None:
    """Whatever ends the run."""
    by_others("geometry/bar.py", write)
    old = files()

    def ended(*_: object, **__: object) -> StudyRun:
        raise end

    monkeypatch.setattr(designs, "run_study", ended)
    with pytest.raises(end):
        met(study)
    assert files() == old


def test_results_that_told_no_sources_are_computed_again(study: Study, ran: list[str]) -> None:
    """As those of a version that knew the key not yet."""
    write()
    record = Path("results/pier") / RESULTS_FILE
    told = json.loads(record.read_text(encoding="utf-8"))
    del told["study"]["sources_sha256"]
    record.write_text(json.dumps(told), encoding="utf-8")
    _, said = met(study)
    assert (ran, said) == (["pier"], [AGAIN + "again"])


def test_a_changed_study_is_not_called_older(study: Study, ran: list[str]) -> None:
    """Its results are of other inputs, whatever computed them."""
    by_others("geometry/bar.py", write)
    short_bar(Path.cwd(), "pier", 0.7)
    said: list[str] = []
    # the known run is of the bar before the change, which the comparison sees
    with pytest.raises(InputError, match="changed by something else"):
        design_of(
            read_study(study.path), Path("results/pier"), None, None, said.append, said.append
        )
    assert (ran, said) == (["pier"], [])


def test_a_path_is_not_thrown_away(study: Study, ran: list[str]) -> None:
    """A comparison traces none, so the results that hold it stay and are marked."""
    by_others("fea/solid/kernels.py", lambda: write_results(with_path(), Path("results/pier")))
    old = files()
    design, said = met(study)
    assert (ran, said, design.reused, design.older) == ([], [], True, True)
    assert files() == old


def test_marked_beside_the_design_and_on_the_page(
    study: Study, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of two designs that one which another version computed, and no other."""
    by_others("fea/solid/kernels.py", lambda: write_results(with_path(), Path("results/pier")))
    other = short_bar(Path.cwd(), "mole", 0.7)
    assert main(["compare", str(study.path), str(other), "--no-figures"]) == 0
    words = "computed by another version of barwright or its libraries"
    out = " ".join(capsys.readouterr().out.split())
    assert out.count(words) == 1
    assert f"pier: {words}; it holds a path past yield, which `barwright collapse pier.toml`" in out
    page = (Path("results/pier-against-mole") / COMPARISON_FILE).read_text(encoding="utf-8")
    (line,) = [line for line in page.splitlines() if words in line]
    assert "<b>pier bar</b>" in line
