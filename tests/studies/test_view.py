"""`barwright view` and --open: which page opens, and what is refused."""

import json
from pathlib import Path

import pytest

from studies.commands import output
from studies.commands import view as view_command
from studies.commands.main import main
from studies.pictures import drawing


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return the addresses that are opened from now on."""
    found: list[str] = []
    monkeypatch.setattr(output.typer, "launch", lambda address: found.append(address) or 0)
    return found


@pytest.fixture
def results(tmp_path: Path) -> Path:
    """Return a results folder with a page and the fields of two cases."""
    folder = tmp_path / "short"
    (folder / "fields").mkdir(parents=True)
    cases = [{"id": "push"}, {"id": "pull"}]
    told = {"format": "barwright-results", "cases": cases}
    (folder / "results.json").write_text(json.dumps(told), encoding="utf-8")
    (folder / "report.html").write_text("<p>page</p>", encoding="utf-8")
    for case in cases:
        (folder / "fields" / f"{case['id']}.vtu").write_text("", encoding="utf-8")
    return folder


def test_the_page_of_a_folder_opens(results: Path, opened: list[str]) -> None:
    """Of a run's folder, of a comparison's, and a page that is named itself."""
    page = results / "report.html"
    assert main(["view", str(results)]) == 0
    assert main(["view", str(page)]) == 0
    page.rename(results / "comparison.html")
    assert main(["view", str(results)]) == 0
    assert opened == [page.as_uri(), page.as_uri(), (results / "comparison.html").as_uri()]


def test_a_browser_that_does_not_start_is_told(
    results: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The page is there all the same, and a line says where."""
    monkeypatch.setattr(output.typer, "launch", lambda address: 1)
    assert main(["view", str(results)]) == 0
    assert "report.html" in capsys.readouterr().err


def test_a_window_shows_the_fields_of_a_case(
    results: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first case, or the one that is named."""
    shown = []
    monkeypatch.setattr(drawing, "show_fields", lambda path, title: shown.append(path.stem))
    assert main(["view", str(results), "--vtk"]) == 0
    assert main(["view", str(results), "--vtk", "--case", "pull"]) == 0
    assert shown == ["push", "pull"]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("nowhere",), "nowhere holds no page; name a results folder"),
        (("nowhere", "--vtk"), "holds no fields of a run"),
        (("RESULTS", "--vtk", "--case", "pusch"), "push"),
        (("RESULTS", "--case", "push"), "chooses the fields of --vtk"),
    ],
)
def test_what_cannot_be_opened_is_refused(
    results: Path, opened: list[str], options: tuple[str, ...], words: str,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """One sentence, exit code 2, nothing opened."""
    assert view_command
    given = [str(results) if option == "RESULTS" else option for option in options]
    assert main(["view", *given]) == 2
    assert words in capsys.readouterr().err
    assert opened == []


def test_a_window_needs_a_display(results: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without one the library would end the process; a sentence comes first."""
    monkeypatch.setattr(drawing.sys, "platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert main(["view", str(results), "--vtk"]) == 2
