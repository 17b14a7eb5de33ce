"""The shape of the code: what imports what, what lies where, and what no package file may hold.

Each rule is a function that returns the offences it sees, and a self-check below shows it a bad
snippet that it must refuse.
"""

import ast
import fnmatch
import sys
import tomllib
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))

# a file imports its own package and those to its left
ORDER = ("geometry", "loadcases", "fea", "studies")
# a sub-package imports those of the lines before its own, and none of its own line
SUBPACKAGES: dict[str, tuple[tuple[str, ...], ...]] = {
    "fea": (("beam", "solid"), ("clamp", "stability"), ("collapse", "fatigue", "verification")),
    "studies": (
        ("records", "study_file"),
        ("assessment",),
        ("files",),
        ("collapse",),
        ("pictures",),
        ("page",),
        ("results",),
        ("comparison", "sweeps"),
        ("commands",),
    ),
}
ALLOWED_AT_TOP = {
    "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "tests", *ORDER,
}  # fmt: skip
LONGEST_FILE = 300

# library (the longest name that fits counts): (where it may be imported, why there only)
EVERYWHERE = ("",)
DOORS: dict[str, tuple[tuple[str, ...], str]] = {
    "numpy": (EVERYWHERE, "arrays are the common language"),
    "scipy": (EVERYWHERE, "numerics on those arrays"),
    "pydantic": (("studies/",), "validation of files people write; records inside are plain"),
    "pydantic_core": (("studies/",), "as pydantic"),
    "gmsh": (("geometry/mesh.py",), "one global state, held by one file"),
    "skfem": (("fea/",), "bases and integrals are the solver's own business"),
    "meshio": (("studies/files/fields.py",), "file formats stay out of the numerics"),
    "pyvista": (("studies/pictures/drawing.py",), "heavy, and fatal without OpenGL"),
    "vtk": (("studies/pictures/drawing.py",), "as pyvista"),
    "vtkmodules": (("studies/pictures/drawing.py",), "as pyvista"),
    "matplotlib": (("studies/pictures/",), "pictures only"),
    "mpl_toolkits": (("studies/pictures/",), "as matplotlib"),
    "PIL": (("studies/pictures/",), "pictures only"),
    "jinja2": (("studies/page/",), "what it fills in is a page; it escapes what it fills in"),
    "markupsafe": (("studies/page/",), "as jinja2"),
    "pypardiso": (("fea/solid/direct_solvers.py",), "optional, so chosen in one place"),
    "typer": (("studies/commands/",), "the command line is a shell round functions"),
    "click": (("studies/commands/",), "as typer"),
    "rich": (("studies/commands/",), "as typer: who calls functions gets values, not text"),
    "distributed": (("studies/sweeps/executors.py",), "sweeps on many machines, optional"),
    "filelock": (("studies/files/atomic_files.py",), "one command a folder"),
    "pyarrow": (("studies/sweeps/tables.py",), "tables of a sweep, optional"),
    "tomli_w": (("studies/study_file/variants.py",), "the file of a changed study"),
}
# factorising lies behind one small function, so that the choice of solver is made once
FACTORISATIONS = {"splu", "spilu", "spsolve", "factorized"}
SOLVER_FILE = "fea/solid/direct_solvers.py"

Rule = Callable[[str, ast.Module], list[str]]


def package_files() -> list[str]:
    """Return the path from the root of every Python file of the packages."""
    found = (path for package in ORDER for path in (ROOT / package).rglob("*.py"))
    return sorted(path.relative_to(ROOT).as_posix() for path in found)


def imported_modules(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Yield line and module of every import, also in functions or by name; '.' if relative."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.lineno, "." if node.level else node.module or ""
        elif isinstance(node, ast.Call) and _called(node) in {
            "import_module",
            "__import__",
            "files",
        }:
            yield from ((node.lineno, text) for text in _texts(node))


def _called(node: ast.Call) -> str:
    return ast.unparse(node.func).rpartition(".")[2]


def _texts(node: ast.Call) -> list[str]:
    values = [arg.value for arg in node.args[:1] if isinstance(arg, ast.Constant)]
    return [value for value in values if isinstance(value, str)]


def wrong_way_imports(path: str, tree: ast.Module) -> list[str]:
    """Return imports of a package to the right, and relative ones, whose way nobody sees."""
    allowed = ORDER[: ORDER.index(path.split("/")[0]) + 1]
    return [
        f"{path}:{line} imports {module}"
        for line, module in imported_modules(tree)
        if module == "." or (module.split(".")[0] in {*ORDER, "tests"} - set(allowed))
    ]


def against_the_order(path: str, tree: ast.Module) -> list[str]:
    """Return imports of a sub-package beside or after one's own, and files in none.

    So the beam never imports the solid: it must share no code with what it is held against.
    """
    package, *inner = path.split("/")
    if package not in SUBPACKAGES or inner == ["__init__.py"]:
        return []
    rank = {name: row for row, names in enumerate(SUBPACKAGES[package]) for name in names}
    if len(inner) == 1 or (inner[0] not in rank and not _is_data(path)):
        return [f"{path} lies in no sub-package of {package}"]
    return [
        f"{path}:{line} imports {module}"
        for line, module in imported_modules(tree)
        if _is_later(rank, package, inner[0], module.split("."))
    ]


def _is_later(rank: dict[str, int], package: str, own: str, module: list[str]) -> bool:
    if module[0] != package or len(module) == 1 or module[1] == own or module[1] not in rank:
        return False
    return rank[module[1]] >= rank.get(own, 0)


def _is_data(path: str) -> bool:
    return path.startswith("studies/examples/")


def _foreign(module: str) -> bool:
    return module.split(".")[0] not in {*sys.stdlib_module_names, *ORDER, ".", "tests"}


def imports_past_the_door(path: str, tree: ast.Module) -> list[str]:
    """Return imports of a library elsewhere than through its door, or of one without a door."""
    return [
        f"{path}:{line} imports {module}"
        for line, module in imported_modules(tree)
        if _foreign(module) and not path.startswith(DOORS.get(module.split(".")[0], ((), ""))[0])
    ]


def factorisations_elsewhere(path: str, tree: ast.Module) -> list[str]:
    """Return uses of a sparse factorisation outside the solver's file."""
    if path == SOLVER_FILE:
        return []
    names = [
        (node.lineno, name)
        for node in ast.walk(tree)
        for name in _names(node)
        if name in FACTORISATIONS
    ]
    return [f"{path}:{line} uses {name}" for line, name in names]


def _names(node: ast.AST) -> list[str]:
    if isinstance(node, ast.ImportFrom):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.Attribute):
        return [node.attr]
    return [node.id] if isinstance(node, ast.Name) else []


def printing(path: str, tree: ast.Module) -> list[str]:
    """Return calls of print: people are spoken to from the command line's console only."""
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    return [f"{path}:{node.lineno} prints" for node in calls if ast.unparse(node.func) == "print"]


def process_exits(path: str, tree: ast.Module) -> list[str]:
    """Return what would end the caller's process: sys.exit and its likes."""
    exits = {"sys.exit", "os._exit", "os.abort", "exit", "quit", "SystemExit"}
    named = [
        node
        for node in ast.walk(tree)
        if (isinstance(node, ast.Call) and ast.unparse(node.func) in exits)
        or (isinstance(node, ast.Raise) and node.exc and ast.unparse(node.exc) in exits)
        or (isinstance(node, ast.ImportFrom) and node.module == "sys" and "exit" in _names(node))
    ]
    return [f"{path}:{node.lineno} ends the process" for node in named]


def asserting(path: str, tree: ast.Module) -> list[str]:
    """Return assert statements: they vanish under -O, and say nothing to a user."""
    found = [node for node in ast.walk(tree) if isinstance(node, ast.Assert)]
    return [f"{path}:{node.lineno} asserts" for node in found]


def bare_excepts(path: str, tree: ast.Module) -> list[str]:
    """Return except clauses that name no exception, and so hide our bugs."""
    found = [n for n in ast.walk(tree) if isinstance(n, ast.ExceptHandler) and n.type is None]
    return [f"{path}:{node.lineno} has a bare except" for node in found]


def without_docstring(path: str, tree: ast.Module) -> list[str]:
    """Return public modules, classes, functions and methods without a docstring."""
    missing = [] if ast.get_docstring(tree) else [f"{path} has no docstring"]
    return missing + [
        f"{path}:{node.lineno} {node.name} has no docstring"
        for node in _public(tree)
        if not ast.get_docstring(node)
    ]


def _public(
    tree: ast.Module | ast.ClassDef,
) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef]:
    for node in tree.body:
        definition = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
        if definition and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from _public(node)


def filled_inits(path: str, tree: ast.Module) -> list[str]:
    """Return package `__init__` files that hold more than their docstring."""
    is_init = path.endswith("/__init__.py")
    return [f"{path} holds more than its docstring"] if is_init and len(tree.body) != 1 else []


def too_long(path: str, text: str) -> list[str]:
    """Return the file if nobody would read it in one go."""
    lines = len(text.splitlines())
    return [f"{path} has {lines} lines, over {LONGEST_FILE}"] if lines > LONGEST_FILE else []


def strangers_at_top(root: Path) -> list[str]:
    """Return what lies at the top level and is neither allowed there, ignored nor a dot-file."""
    ignored = [line.strip("/") for line in (root / ".gitignore").read_text().splitlines() if line]
    names = sorted(path.name for path in root.iterdir() if not path.name.startswith("."))
    return [
        name
        for name in names
        if name not in ALLOWED_AT_TOP and not any(fnmatch.fnmatch(name, i) for i in ignored)
    ]


def packages_amiss(root: Path, listed: list[str]) -> list[str]:
    """Return packages listed without a folder and `__init__`, and folders that are not listed."""
    holders = {path.parent for name in ORDER for path in (root / name).rglob("*") if path.is_file()}
    folders = {".".join(path.relative_to(root).parts) for path in holders}
    folders = {name for name in folders if "__pycache__" not in name}
    bare = [n for n in listed if not (root / n.replace(".", "/") / "__init__.py").is_file()]
    return [f"{name} is listed but has no __init__.py" for name in bare] + [
        f"{name} is a folder but not listed in pyproject.toml"
        for name in sorted(folders - set(listed))
    ]


def import_circles(trees: dict[str, ast.Module]) -> list[str]:
    """Return the circles of files that import each other, each as the way round.

    Imports within functions and under TYPE_CHECKING count: they hide a circle and do not open it.

    Args:
        trees: The files by the names under which they are imported.
    """
    left = {name: _own_imports(tree, trees) - {name} for name, tree in trees.items()}
    while free := {name for name, imports in left.items() if not imports & left.keys()}:
        left = {name: imports for name, imports in left.items() if name not in free}
    if not left:
        return []
    way = [min(left)]
    while way.count(way[-1]) == 1:
        way.append(min(left[way[-1]] & left.keys()))
    return [" imports ".join(way[way.index(way[-1]) :])]


def _own_imports(tree: ast.Module, names: Iterable[str]) -> set[str]:
    inner = {
        f"{node.module}.{alias.name}"
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    return (inner | {module for _, module in imported_modules(tree)}) & set(names)


RULES: tuple[Rule, ...] = (
    wrong_way_imports,
    against_the_order,
    imports_past_the_door,
    factorisations_elsewhere,
    printing,
    process_exits,
    asserting,
    bare_excepts,
    without_docstring,
    filled_inits,
)

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


def test_no_package_file_is_too_long() -> None:
    """Every file of the packages can be read in one go."""
    offences = [o for f in package_files() for o in too_long(f, (ROOT / f).read_text("utf-8"))]
    assert not offences, "\n".join(offences)


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
