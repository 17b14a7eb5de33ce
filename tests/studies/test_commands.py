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
from studies.study_file.shipped import EXAMPLES, example_text

ROOT = Path(__file__).parents[2]
RUN = "import sys; from studies.commands.main import main; sys.exit(main())"
HEAVY = ("scipy", "skfem", "gmsh", "pyvista", "matplotlib", "meshio", "vtk")


def python(code: str, *arguments: str, **keywords: object) -> subprocess.CompletedProcess[str]:
    """Run Python code in a process of its own that finds the packages."""
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True,
        text=True,
        env=env,
        check=False,
        timeout=120,
        **keywords,
    )


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty current folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(params=EXAMPLES)
def example(request: pytest.FixtureRequest, folder: Path) -> Path:
    """Each shipped example as a file in the current folder."""
    path = folder / f"{request.param}.toml"
    path.write_text(example_text(request.param), encoding="utf-8")
    return path


def loaded(code: str, *arguments: str) -> set[str]:
    """Return the top-level modules that are loaded after `code`."""
    tail = "\nimport sys; sys.stderr.write('\\n@' + ' '.join(sys.modules))"
    done = python(code + tail, *arguments)
    assert done.returncode == 0, done.stderr
    return {name.partition(".")[0] for name in done.stderr.rpartition("\n@")[2].split()}


def test_help_loads_neither_numpy_nor_pydantic_models() -> None:
    """The command line itself is light, so that help answers at once."""
    modules = loaded("import studies.commands.main")
    assert "typer" in modules
    assert not modules & {"numpy", "tomllib", *HEAVY}


def test_check_loads_nothing_heavy(example: Path) -> None:
    """A check needs numpy and pydantic, and none of the libraries that solve or draw."""
    code = "from studies.commands.main import main; main()"
    modules = loaded(code, "check", str(example))
    assert "numpy" in modules
    assert not modules & set(HEAVY)


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


def test_check_prints_what_a_bench_needs(example: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Sections, mass, points, lengths and loads are there; at most 100 columns, no colour."""
    assert main(["check", str(example)]) == 0
    out, _ = capsys.readouterr()
    for words in ("Round sections", "Mass", "Developed length", "points", "cut length", "Loads"):
        assert words in out
    assert "\x1b" not in out
    assert max(map(len, out.splitlines())) <= 100
    assert not re.search(r"(?<!\d)-0(\.0*)?(?![\d.])", out)


def test_check_gives_the_bend_table_and_estimates(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The drop bar's rows come back as written, with springback called a lower bound."""
    Path("drop.toml").write_text(example_text("harbour-drop"), encoding="utf-8")
    assert main(["check", "drop.toml"]) == 0
    out, err = capsys.readouterr()
    assert re.search(r"1 +140\.00 +-30\.00 +90\.00 +60 +60\.00", out)
    assert "lower bound" in out
    assert "warning: bending strain" in err


def test_check_json_is_json_and_nothing_else(
    example: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Standard output parses as a whole, and its numbers agree with each other."""
    assert main(["check", "--json", str(example)]) == 0
    content = json.loads(capsys.readouterr().out)
    assert content["format"] == "barwright-check"
    assert content["study"]["name"] == example.stem
    cut = sum(half["cut_length_mm"] for half in content["halves"])
    assert cut == pytest.approx(content["bar"]["centreline_length_mm"], abs=1e-6)
    right, left = content["halves"]
    assert [(-x, y, z) for x, y, z in right["points_mm"]] == [tuple(p) for p in left["points_mm"]]
    assert content["cases"][0]["loads"][0]["side"] == "right"
    assert isinstance(content["warnings"], list)


def test_check_shows_hostile_text_harmlessly(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Square brackets in a title are no markup, and signs that a terminal lacks do no harm."""
    text = example_text("harbour-flat").replace("Straight flat bar", "[red]Bar[/red] [/] µ\u200b")
    Path("a.toml").write_text(text, encoding="utf-8")
    assert main(["check", "a.toml"]) == 0
    out = capsys.readouterr().out
    assert "[red]Bar[/red] [/]" in out
    assert "\u200b" not in out


def test_check_survives_an_ascii_terminal(example: Path) -> None:
    """A character set without the degree sign or lines still gets its tables."""
    code = f"import sys; sys.stdout.reconfigure(encoding='ascii', errors='strict')\n{RUN}"
    done = python(code, "check", str(example))
    assert done.returncode == 0, done.stderr
    assert "Mass" in done.stdout


def test_check_without_cases_is_good(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A bar alone can be checked."""
    text = example_text("harbour-flat").split("[[cases]]")[0]
    Path("a.toml").write_text(text, encoding="utf-8")
    assert main(["check", "a.toml"]) == 0
    assert "No load cases" in capsys.readouterr().out


def test_both_halves_are_shown_where_they_differ(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A left half of its own gets its own tables and sections."""
    left = "[bar.left]\npoints_mm = [[0, 0, 0], [-300, 0, 0]]\n[clamp]"
    text = example_text("harbour-flat").replace("[clamp]", left)
    Path("a.toml").write_text(text, encoding="utf-8")
    assert main(["check", "a.toml"]) == 0
    out = capsys.readouterr().out
    assert "Right half: points" in out
    assert "Left half: points" in out
    assert "left grip" in out


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


@pytest.mark.parametrize("closing", [">&-", "2>&-", ">&- 2>&-"])
def test_closed_streams_do_no_harm(closing: str, example: Path) -> None:
    """Output that nobody asked for may be closed from the start."""
    script = f'{sys.executable} -c "{RUN}" check {example.name} {closing}; echo "$?" >&3'
    done = subprocess.run(
        ["bash", "-c", f"exec 3>code; {script}"],  # noqa: S607 the shell closes the streams
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
        timeout=60,
    )
    assert done.returncode == 0
    assert Path("code").read_text(encoding="utf-8") == "0\n"


def _raising(error: BaseException):
    def run(_: object) -> int:
        raise error

    return run
