"""The shipped notebook and the page on Python run as they stand."""

import json
import shutil
from pathlib import Path

import pytest

from support.code_blocks import blocks_of, cells_of, run_cells
from support.pages import RISER

ROOT = Path(__file__).parents[2]
NOTEBOOK = ROOT / "studies" / "examples" / "notebook.ipynb"


def test_the_notebook_is_shipped_without_outputs() -> None:
    """Outputs would be of another version, and megabytes."""
    notebook = json.loads(NOTEBOOK.read_text(encoding="utf-8"))
    code = [cell for cell in notebook["cells"] if cell["cell_type"] == "code"]
    assert code
    assert not [cell for cell in code if cell["outputs"] or cell["execution_count"] is not None]
    assert len({cell["id"] for cell in notebook["cells"]}) == len(notebook["cells"])
    assert NOTEBOOK.stat().st_size < 20_000


@pytest.mark.slow
def test_the_cells_of_the_notebook_run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Run, comparison and sweep show themselves; thinner walls bend more, the frame has a row each.

    Deflection goes as one over a power of the wall near 1, so 0.85 to 1.15 is 1.2 to 1.6 apart.
    """
    pytest.importorskip("pandas")
    monkeypatch.chdir(tmp_path)
    results = run_cells(cells_of(NOTEBOOK))
    shown = [one for one in results if isinstance(one, dict) and "text/html" in one]
    assert len(shown) == 3
    assert [kind for one in shown for kind in one if kind == "image/png"] == ["image/png"]
    (frame,) = (one for one in results if hasattr(one, "dtypes"))
    assert list(frame.index) == [1, 2, 3, 4]
    assert set(frame["status"]) == {"computed"}
    deflection = frame["iso-4210-5.bar-bending/deflection_mm"]
    assert 1.2 < deflection[1] / deflection[4] < 1.6
    assert not list(tmp_path.iterdir())


@pytest.mark.slow
def test_the_notebook_runs_in_a_kernel(tmp_path: Path) -> None:
    """As a reader runs it: a real kernel takes the forms of all three results."""
    nbformat = pytest.importorskip("nbformat")
    nbclient = pytest.importorskip("nbclient")
    pytest.importorskip("ipykernel")
    notebook = nbformat.read(NOTEBOOK, as_version=4)
    nbformat.validate(notebook)
    resources = {"metadata": {"path": str(tmp_path)}}
    nbclient.NotebookClient(notebook, timeout=600, resources=resources).execute()
    outputs = [one for cell in notebook.cells for one in cell.get("outputs", ())]
    assert not [one for one in outputs if one.output_type == "error"]
    framed = [one for one in outputs if "<iframe" in one.get("data", {}).get("text/html", "")]
    assert len(framed) == 3


@pytest.mark.slow
def test_the_blocks_on_python_run(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In their order, in a folder with a study of the name they use; files are where they say."""
    pytest.importorskip("pandas")
    monkeypatch.chdir(tmp_path)
    shutil.copy(RISER, "my-bar.toml")
    run_cells(blocks_of(ROOT / "studies" / "PYTHON.md"))
    said = capsys.readouterr().out
    assert "bar.stations[0].wall_mm" in said
    for name in ("comparison.html", "results/my-bar/report.html", "results/walls/designs.csv"):
        assert (tmp_path / name).is_file()


def test_the_readme_links_to_them() -> None:
    """Who reads the README finds the page and the notebook."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert "(studies/PYTHON.md)" in readme
    assert "(studies/examples/notebook.ipynb)" in readme
