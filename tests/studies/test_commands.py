"""The light commands: what they print where, what they import, and how they end."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from geometry.errors import MeshError, SolveError
from geometry.material import material_ids
from loadcases.catalogue import case_ids
from studies.commands import main as command_line
from studies.commands.main import main
from studies.study_file.shipped import EXAMPLES
from support.processes import HEAVY, ROOT, RUN, loaded, python


@pytest.mark.parametrize(
    ("given", "threads"),
    [({}, "1"), ({"OPENBLAS_NUM_THREADS": "3"}, "3"), ({"OMP_NUM_THREADS": "2"}, None)],
)
def test_small_products_use_one_thread(given: dict[str, str], threads: str | None) -> None:
    """Set before numpy is loaded, and only where nobody said otherwise."""
    code = (
        "import os, sys; from studies.commands.main import main; assert 'numpy' not in sys.modules;"
        "main(['materials']); print('@', os.environ.get('OPENBLAS_NUM_THREADS'))"
    )
    names = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")
    kept = {name: value for name, value in os.environ.items() if name not in names}
    done = python(code, env={**kept, "PYTHONPATH": str(ROOT), **given})
    assert done.stdout.rstrip().endswith(f"@ {threads}"), done.stderr


def test_help_loads_neither_numpy_nor_pydantic_models() -> None:
    """The command line itself is light, so that help answers at once."""
    modules = loaded("import studies.commands.main")
    assert "typer" in modules
    assert not modules & {"numpy", "tomllib", *HEAVY}


def test_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    """Help goes to standard output, ends with 0 and lists the commands."""
    assert main(["--help"]) == 0
    out, err = capsys.readouterr()
    for name in ("check", "cases", "materials", "new", "schema"):
        assert re.search(rf"\b{name}\b", out)
    assert err == ""


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    """The version is one line."""
    assert main(["--version"]) == 0
    assert re.fullmatch(r"barwright \S+\n", capsys.readouterr().out)


@pytest.mark.parametrize(
    "arguments",
    [["chekc"], ["check"], ["check", "a", "b"], ["check", "--jsn", "a"], ["schema", "bar"], []],
    ids=["unknown", "none", "two", "option", "choice", "nothing"],
)
def test_wrong_usage_ends_with_2(arguments: list[str], folder: Path) -> None:
    """A slip in the command itself is bad input too."""
    assert main(arguments) == 2


def test_cases_lists_the_catalogue(capsys: pytest.CaptureFixture[str]) -> None:
    """Every case stands there with its parameters, source and mark."""
    assert main(["cases"]) == 0
    out = capsys.readouterr().out
    assert all(case_id in out for case_id in case_ids())
    assert "required" in out
    assert "rider_kg" in out
    assert max(map(len, out.splitlines())) <= 100


def test_cases_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON holds parameters with kinds, defaults and sources."""
    assert main(["cases", "--json"]) == 0
    content = json.loads(capsys.readouterr().out)
    assert [case["id"] for case in content["cases"]] == list(case_ids())
    parameters = {p["name"]: p for p in content["cases"][0]["parameters"]}
    assert parameters["bicycle"]["default"] is None
    assert "mountain" in parameters["bicycle"]["choices"]
    assert all(case["source"]["kind"] in content["marks"] for case in content["cases"])


def test_materials_lists_the_catalogue(capsys: pytest.CaptureFixture[str]) -> None:
    """Every material stands there with its values and sources."""
    assert main(["materials"]) == 0
    out = capsys.readouterr().out
    assert all(material_id in out for material_id in material_ids())
    assert "MIL-HDBK-5J" in out
    assert max(map(len, out.splitlines())) <= 100


def test_materials_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON holds the values in the units of their names."""
    assert main(["materials", "--json"]) == 0
    content = json.loads(capsys.readouterr().out)
    found = {material["id"]: material for material in content["materials"]}
    assert list(found) == list(material_ids())
    assert found["al-6061-t6"]["youngs_modulus_mpa"] == 68300
    assert all(material["source"]["kind"] in content["marks"] for material in found.values())


def test_new_writes_a_study_that_checks(folder: Path) -> None:
    """Each example becomes a good study under a new name."""
    for index, name in enumerate(EXAMPLES):
        assert main(["new", f"mine-{index}", "--from", name]) == 0
        assert main(["check", f"mine-{index}.toml"]) == 0
        assert f'name = "mine-{index}"' in Path(f"mine-{index}.toml").read_text(encoding="utf-8")


def test_new_never_overwrites(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An existing file, folder or dangling link of that name is left as it is."""
    Path("a.toml").write_text("mine", encoding="utf-8")
    Path("b.toml").mkdir()
    Path("c.toml").symlink_to("nowhere.toml")
    for name in ("a", "b", "c"):
        assert main(["new", name]) == 2
        assert "exists" in capsys.readouterr().err
    assert Path("a.toml").read_text(encoding="utf-8") == "mine"
    assert not Path("nowhere.toml").exists()


@pytest.mark.parametrize(
    "name", ["../up", "A", "", "a b", "a.toml", "-x", "a\n", "é", "a" * 65, "/a"]
)
def test_new_refuses_unsafe_names(name: str, folder: Path) -> None:
    """A name that is no safe file name writes nothing."""
    assert main(["new", "--", name]) == 2
    assert list(folder.iterdir()) == []


def test_new_names_the_nearest_example(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A misspelt example is bad input with a hint."""
    assert main(["new", "a", "--from", "harbour-risr"]) == 2
    assert "harbour-riser" in capsys.readouterr().err


def test_schema_study_is_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The schema of study files parses and names the top keys."""
    assert main(["schema", "study"]) == 0
    content = json.loads(capsys.readouterr().out)
    assert {"name", "bar", "clamp", "mesh", "cases", "sweep"} <= set(content["properties"])


def test_schema_results_is_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The schema of results.json parses and is an object's."""
    assert main(["schema", "results"]) == 0
    assert json.loads(capsys.readouterr().out)["type"] == "object"


@pytest.mark.parametrize("error", [MeshError("no mesh"), SolveError("no solution")])
def test_numerical_failures_end_with_3(
    error: Exception, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What we could not compute is told in a line, with 3."""
    monkeypatch.setattr(command_line, "_run", _raising(error))
    assert main([]) == 3
    assert str(error) in capsys.readouterr().err


def test_a_bug_keeps_its_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plain ValueError is ours, and passes."""
    monkeypatch.setattr(command_line, "_run", _raising(ValueError("bug")))
    with pytest.raises(ValueError, match="bug"):
        main([])


def test_interruption_ends_with_130(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C ends quietly with the shell's number for it."""
    monkeypatch.setattr(command_line, "_run", _raising(KeyboardInterrupt()))
    assert main([]) == 130


@pytest.mark.parametrize("arguments", ["materials", "cases --json", "--help"])
def test_a_closed_pipe_is_quiet(arguments: str) -> None:
    """A reader that goes away gets no traceback."""
    script = f'{sys.executable} -c "{RUN}" {arguments} | true; echo "${{PIPESTATUS[0]}}"'
    done = subprocess.run(
        ["bash", "-c", script],  # noqa: S607 the shell makes the pipe
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
        timeout=60,
    )
    assert done.stderr == ""
    assert done.stdout.strip() in {"0", "141"}


def _raising(error: BaseException):
    def run(_: object) -> int:
        raise error

    return run
