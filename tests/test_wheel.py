"""The built wheel, installed away from the checkout: what a user of the package gets."""

import json
import os
import shutil
import subprocess
import sys
import sysconfig
import tomllib
import venv
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[1]
PACKAGES = ("geometry", "loadcases", "fea", "studies")
EXAMPLE = "harbour-riser"


def _run(*command: str | Path, folder: Path) -> subprocess.CompletedProcess[str]:
    """Run outside the checkout, and show what was said if that fails."""
    hidden = {"PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV"}
    environment = {name: value for name, value in os.environ.items() if name not in hidden}
    done = subprocess.run(
        [str(word) for word in command],
        cwd=folder, env=environment, check=False, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel from a copy, so that no stale build folder gets into it."""
    source = tmp_path_factory.mktemp("source")
    for package in PACKAGES:
        shutil.copytree(
            ROOT / package, source / package, ignore=shutil.ignore_patterns("__pycache__")
        )
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    target = tmp_path_factory.mktemp("wheel")
    pip = (sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", target)
    _run(*pip, source, folder=target)
    (built,) = target.glob("barwright-*.whl")
    return built


@pytest.fixture(scope="module")
def python(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the wheel in an environment of its own, over the libraries of this one."""
    home = tmp_path_factory.mktemp("installed")
    venv.create(home, with_pip=False)
    interpreter = home / "bin" / "python"
    pip = (sys.executable, "-m", "pip", "--python", interpreter, "install", "--quiet")
    _run(*pip, "--no-deps", wheel, folder=home)
    # only now, lest pip takes this environment's own barwright for one to replace; a .pth file
    # within the path added is not read, so an editable install does not shine through
    libraries = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    site = _run(
        interpreter, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", folder=home
    ).stdout.strip()
    (Path(site) / "libraries.pth").write_text("\n".join(sorted(libraries)), encoding="utf-8")
    return interpreter


def _shipped(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def test_the_wheel_holds_every_file_of_the_packages(wheel: Path) -> None:
    """Modules, data files and type markers are all shipped."""
    there = {
        path.relative_to(ROOT).as_posix()
        for package in PACKAGES
        for path in (ROOT / package).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert any(name.endswith(".toml") for name in there)
    assert not there - _shipped(wheel)


def test_the_wheel_holds_nothing_else(wheel: Path) -> None:
    """Neither tests nor strays are shipped, and the licence is."""
    version = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    info = f"barwright-{version['version']}.dist-info"
    shipped = _shipped(wheel)
    assert {name.split("/")[0] for name in shipped} == {*PACKAGES, info}
    assert f"{info}/licenses/LICENSE" in shipped


def test_the_installed_code_is_the_wheels(python: Path, tmp_path: Path) -> None:
    """The environment of these tests sees the installed packages, not the checkout."""
    names = ", ".join(PACKAGES)
    script = f"import {names}; print(*(m.__file__ for m in ({names})), sep='\\n')"
    files = _run(python, "-c", script, folder=tmp_path).stdout.split("\n")[:-1]
    assert len(files) == len(PACKAGES)
    assert all(Path(file).is_relative_to(python.parents[1]) for file in files)


def test_a_shipped_example_runs_outside_the_checkout(python: Path, tmp_path: Path) -> None:
    """The installed command computes a shipped example in a folder of the user's."""
    script = (
        f"import importlib.resources as r; print(r.files('studies.examples') / '{EXAMPLE}.toml')"
    )
    shutil.copy(_run(python, "-c", script, folder=tmp_path).stdout.strip(), tmp_path)
    command = (python.with_name("barwright"), "run", f"{EXAMPLE}.toml")
    _run(*command, "--mesh", "coarse", "--no-figures", "--no-live", folder=tmp_path)
    results = tmp_path / "results" / EXAMPLE / "results.json"
    computed = json.loads(results.read_text(encoding="utf-8"))
    assert computed["bar"]["mass_g"] > 0
    assert all(case["deflection_mm"] > 0 for case in computed["cases"])
    assert computed["cases"]
