"""The shape of the code: what imports what, what lies where, and what no package file may hold.

The rules lie in `support/code_rules.py` and `folder_rules.py`. Each is shown a bad snippet here,
which it must refuse.
"""

import ast
import tomllib
from pathlib import Path

import pytest

from support.code_rules import (
    ROOT,
    RULES,
    Rule,
    against_the_order,
    asserting,
    bare_excepts,
    factorisations_elsewhere,
    filled_inits,
    import_circles,
    imports_past_the_door,
    package_files,
    printing,
    process_exits,
    python_files,
    without_docstring,
    wrong_way_imports,
)
from support.folder_rules import (
    LONG_WITH_REASON,
    LONGEST_FILE,
    packages_amiss,
    strangers_at_top,
    too_long,
)

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))

# rule, the file it would stand in, the line that it must refuse
BAD: tuple[tuple[Rule, str, str], ...] = (
    (wrong_way_imports, "geometry/a.py", "from loadcases.load import Load"),
    (wrong_way_imports, "loadcases/a.py", "import fea.beam.statics"),
    (wrong_way_imports, "fea/a.py", "def f():\n    import studies"),
    (wrong_way_imports, "studies/a.py", "from . import b"),
    (wrong_way_imports, "studies/a.py", "import tests.conftest"),
    (
        wrong_way_imports,
        "geometry/a.py",
        "import importlib as i\ni.import_module('fea.beam.statics')",
    ),
    (wrong_way_imports, "fea/a.py", "import importlib.resources as r\nr.files('studies.examples')"),
    (against_the_order, "fea/beam/a.py", "from fea.solid.model import Model"),
    (against_the_order, "fea/solid/a.py", "import fea.clamp.contact"),
    (against_the_order, "fea/a.py", "x = 1"),
    (against_the_order, "fea/new/a.py", "x = 1"),
    (against_the_order, "studies/page/a.py", "def f():\n    import studies.sweeps.plan"),
    (against_the_order, "studies/records/a.py", "from studies.study_file.study import Study"),
    (imports_past_the_door, "geometry/a.py", "import gmsh"),
    (imports_past_the_door, "geometry/a.py", "def f():\n    from gmsh import model"),
    (imports_past_the_door, "studies/a.py", "from skfem.helpers import dot"),
    (imports_past_the_door, "studies/pictures/figures.py", "import meshio"),
    (imports_past_the_door, "studies/report.py", "import matplotlib.pyplot as plt"),
    (imports_past_the_door, "studies/runner.py", "import typer"),
    (imports_past_the_door, "fea/a.py", "__import__('pypardiso')"),
    (imports_past_the_door, "fea/a.py", "import some_new_library"),
    (factorisations_elsewhere, "fea/a.py", "from scipy.sparse.linalg import splu"),
    (factorisations_elsewhere, "fea/a.py", "import scipy.sparse.linalg as s\ns.spsolve(a, b)"),
    (printing, "fea/a.py", "def f():\n    print('x')"),
    (process_exits, "studies/a.py", "import sys\nsys.exit(1)"),
    (process_exits, "studies/a.py", "from sys import exit"),
    (process_exits, "studies/a.py", "raise SystemExit"),
    (process_exits, "studies/a.py", "raise SystemExit(2)"),
    (asserting, "fea/a.py", "assert 1"),
    (bare_excepts, "fea/a.py", "try:\n    f()\nexcept:\n    g()"),
    (without_docstring, "fea/a.py", "'''M.'''\ndef f(): pass"),
    (without_docstring, "fea/a.py", "'''M.'''\nclass A:\n    '''C.'''\n    def f(self): pass"),
    (without_docstring, "fea/a.py", "x = 1"),
    (filled_inits, "fea/__init__.py", "'''M.'''\nfrom fea.beam.statics import solve_beam"),
)

GOOD = '''"""A module that keeps every rule."""

import tomllib

import numpy as np
from scipy.sparse.linalg import eigsh

from geometry.bar import Bar


def area(bar: Bar) -> float:
    """Return the area."""
    import loadcases.load

    try:
        return _area(bar)
    except ValueError as error:
        raise RuntimeError("no area") from error


def _area(bar):
    return 1.0
'''


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_every_package_file_keeps_the_rule(rule: Rule) -> None:
    """No file of the packages breaks the rule."""
    files = package_files()
    offences = [o for f in files for o in rule(f, ast.parse((ROOT / f).read_text("utf-8")))]
    assert files
    assert not offences, "\n".join(offences)


@pytest.mark.parametrize(("rule", "path", "text"), BAD)
def test_the_rule_refuses_what_breaks_it(rule: Rule, path: str, text: str) -> None:
    """Each rule sees an offence in a snippet that breaks it."""
    assert rule(path, ast.parse(text))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_the_rule_lets_good_code_pass(rule: Rule) -> None:
    """No rule sees an offence where there is none."""
    assert not rule("fea/solid/a.py", ast.parse(GOOD))


def test_each_rule_has_a_bad_snippet() -> None:
    """No rule goes without its self-check."""
    assert {rule for rule, _, _ in BAD} == set(RULES)


def test_no_files_import_each_other_in_a_circle() -> None:
    """Each file can be read after those that it imports."""
    names = {path: path.removesuffix(".py").replace("/", ".") for path in package_files()}
    trees = {name: ast.parse((ROOT / path).read_text("utf-8")) for path, name in names.items()}
    assert import_circles(trees) == []


@pytest.mark.parametrize(
    "text",
    [
        "from fea.a import f",
        "from fea import a",
        "def f():\n    import fea.a",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from fea.c import f",
    ],
)
def test_a_circle_is_refused(text: str) -> None:
    """Two or three files that import each other are seen, however they do."""
    texts = {"fea.a": "import fea.b", "fea.b": text, "fea.c": "import fea.a", "fea.d": ""}
    trees = {name: ast.parse(text) for name, text in texts.items()}
    (circle,) = import_circles(trees)
    assert "fea.a imports fea.b" in circle
    assert "fea.d" not in circle
    assert import_circles({**trees, "fea.b": ast.parse("import fea.d")}) == []


def test_no_file_is_too_long() -> None:
    """Every file of the packages and tests can be read in one go; what needs no leave has none."""
    files = [*package_files(), *python_files("tests")]
    offences = {f: too_long(f, (ROOT / f).read_text("utf-8")) for f in files}
    without_leave = [o for f in files if f not in LONG_WITH_REASON for o in offences[f]]
    assert not without_leave, "\n".join(without_leave)
    assert all(offences.get(f) for f in LONG_WITH_REASON)


def test_a_long_file_is_refused() -> None:
    """The limit holds at its very line."""
    assert too_long("fea/a.py", "x\n" * (LONGEST_FILE + 1))
    assert not too_long("fea/a.py", "x\n" * LONGEST_FILE)


def test_the_top_level_holds_only_what_belongs_there() -> None:
    """Nothing lies at the top level but the packages, the tests and the project's papers."""
    assert not strangers_at_top(ROOT)


def test_a_stranger_at_the_top_is_refused(tmp_path: Path) -> None:
    """A stray file is seen; dot-files and what git ignores are not."""
    (tmp_path / ".gitignore").write_text("build/\n*.egg-info/\n", encoding="utf-8")
    for name in ("notes.txt", "build", "x.egg-info", "README.md", ".ci"):
        (tmp_path / name).touch()
    assert strangers_at_top(tmp_path) == ["notes.txt"]


def test_the_packages_listed_are_the_folders_there_are() -> None:
    """What pyproject.toml lists and what lies in the folders is the same."""
    assert not packages_amiss(ROOT, PROJECT["tool"]["setuptools"]["packages"])


def test_a_package_amiss_is_refused(tmp_path: Path) -> None:
    """A package without its folder is seen, and so is a folder that would not be shipped."""
    (tmp_path / "fea" / "tables").mkdir(parents=True)
    (tmp_path / "fea" / "__init__.py").touch()
    (tmp_path / "fea" / "tables" / "a.toml").touch()
    amiss = packages_amiss(tmp_path, ["fea", "geometry"])
    assert len(amiss) == 2
    assert amiss[0].startswith("geometry is listed")
    assert amiss[1].startswith("fea.tables is a folder")
