"""What imports what, and what no file of the packages may hold.

Each rule is a function that returns the offences it sees.
"""

import ast
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]

# a file imports its own package and those to its left
ORDER = ("geometry", "loadcases", "fea", "studies")
# a sub-package imports those of the lines before its own, and none of its own line
SUBPACKAGES: dict[str, tuple[tuple[str, ...], ...]] = {
    "fea": (
        ("beam", "solid"),
        ("clamp", "stability", "supports"),
        ("collapse", "fatigue", "verification"),
    ),
    "studies": (
        ("records", "study_file"),
        ("assessment", "bench"),
        ("preview",),
        ("files",),
        ("collapse",),
        ("pictures",),
        ("page",),
        ("results",),
        ("comparison", "live", "sweeps"),
        ("notebook",),
        ("commands", "manual"),
    ),
}

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
    "cvxopt": (("fea/solid/cholmod.py",), "missing on some machines, so chosen in one place"),
    "typer": (("studies/commands/",), "the command line is a shell round functions"),
    "click": (("studies/commands/",), "as typer"),
    "rich": (("studies/commands/",), "as typer: who calls functions gets values, not text"),
    "distributed": (("studies/sweeps/executors.py",), "sweeps on many machines, optional"),
    "filelock": (("studies/files/atomic_files.py",), "one command a folder"),
    "pandas": (("studies/sweeps/frames.py",), "data frames of a sweep, optional"),
    "pyarrow": (("studies/sweeps/tables.py",), "tables of a sweep, optional"),
    "tomli_w": (("studies/study_file/variants.py",), "the file of a changed study"),
}
# factorising lies behind one small function, so that the choice of solver is made once
FACTORISATIONS = {"splu", "spilu", "spsolve", "factorized"}
SOLVER_FILES = ("fea/solid/direct_solvers.py", "fea/solid/cholmod.py")

Rule = Callable[[str, ast.Module], list[str]]


def package_files() -> list[str]:
    """Return the path from the root of every Python file of the packages."""
    return [path for package in ORDER for path in python_files(package)]


def python_files(folder: str) -> list[str]:
    """Return the path from the root of every Python file in a folder and those within."""
    return sorted(path.relative_to(ROOT).as_posix() for path in (ROOT / folder).rglob("*.py"))


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
    """Return uses of a sparse factorisation outside the solvers' files."""
    if path in SOLVER_FILES:
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
