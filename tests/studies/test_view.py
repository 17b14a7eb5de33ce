"""`barwright view` and --open: which page opens, and what is refused."""

import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import pyvista

from studies.commands import output
from studies.commands import view as view_command
from studies.commands.main import main
from studies.pictures import drawing
from studies.pictures.palette import ramp, written
from support.pages import short_bar


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return the addresses that are opened from now on."""
    found: list[str] = []
    monkeypatch.setattr(output.webbrowser, "open", lambda at: found.append(at) or True)
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
    monkeypatch.setattr(output.webbrowser, "open", lambda at: False)
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


def _made_camera() -> Any:
    """Return anything that takes attributes, and can be told to project in parallel."""
    return SimpleNamespace(enable_parallel_projection=lambda: None)


def test_the_window_shows_von_mises_stress(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file of a real run is read, coloured by our ramp with its unit, and shown."""
    assert main(["run", str(short_bar(tmp_path, "pier", 2.0)), "--no-figures", "--out",
                 str(tmp_path / "out")]) == 0  # fmt: skip
    drawn: dict[str, Any] = {}

    class Window:
        def __init__(self, title: str, window_size: list[int]) -> None:
            drawn.update(title=title, size=window_size)
            self.camera = _made_camera()

        def set_background(self, colour: str) -> None:
            drawn["ground"] = colour

        def add_mesh(self, fields: Any, **how: Any) -> None:
            drawn.update(how, largest=fields.point_data[how["scalars"]].max())

        def show(self) -> None:
            drawn["shown"] = True

    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr(drawing, "usable_window", lambda: "")
    monkeypatch.setattr(pyvista, "Plotter", Window)
    assert main(["view", str(tmp_path / "out"), "--vtk", "--case", "pull"]) == 0
    told = json.loads((tmp_path / "out" / "results.json").read_text(encoding="utf-8"))
    assert drawn["shown"]
    assert drawn["title"] == "out: pull"
    assert drawn["scalar_bar_args"]["title"].strip().endswith("MPa")
    assert [drawn["cmap"][k] for k in (0, -1)] == [written(ramp(np.array(x))) for x in (0.0, 1.0)]
    # the hot-spot rule extrapolates beyond it
    assert drawn["largest"] >= 0.9 * told["cases"][1]["peak_stress_mpa"]


@pytest.mark.parametrize("way", [None, "vtkEGLRenderWindow"])
def test_what_works_without_a_display_shows_no_window(
    results: Path, monkeypatch: pytest.MonkeyPatch, way: str | None
) -> None:
    """A display that cannot be drawn on is refused."""
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr(drawing, "usable_window", lambda: way)
    assert main(["view", str(results), "--vtk"]) == 2


def test_a_window_needs_a_display(results: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without one the library would end the process; a sentence comes first."""
    monkeypatch.setattr(drawing.sys, "platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert main(["view", str(results), "--vtk"]) == 2


def test_fields_of_an_earlier_format_are_refused(
    results: Path, opened: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """In one sentence with what to do; the page, which needs nothing else, opens, and all stays."""
    record = results / "results.json"
    told = json.loads(record.read_text(encoding="utf-8"))
    record.write_text(json.dumps({**told, "format_version": 1}), encoding="utf-8")
    before = sorted(results.rglob("*"))
    assert main(["view", str(results), "--vtk"]) == 2
    said = capsys.readouterr().err
    assert "has format 1, this version reads format 2; open its page without --vtk" in said
    assert main(["view", str(results)]) == 0
    assert len(opened) == 1
    assert sorted(results.rglob("*")) == before
