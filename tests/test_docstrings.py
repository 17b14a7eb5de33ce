"""What public docstrings of geometry and fea must name: shapes, units, errors and sources.

Read from the text of the files: nothing is imported. Bad snippets below must be refused.

- Arrays among parameters, results and the attributes of a record: a shape such as (N, 3) in the
  sentence or entry that names them; "broadcast" or "shape" covers all arguments of a function.
- A function that computes numbers: a unit, in a name (`_mm`) or in words, and "Source:".
- A function that raises: "Raises:".
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("geometry", "fea")
ARRAY = re.compile(r"\b(Floats|Singles|Ints|Flags|NDArray)\b")
FLOAT = re.compile(r"\b(Floats|Singles|float)\b")
# (N, 3), (2, n, 3), (n,), (..., 3), (3 N, modes), (n + 1, 6); not (s, theta), not (no unit)
LENGTH = r"(?:\.\.\.|\d+|(?:\w+ )?(?:[A-Za-z]|\w+s)(?:\^2)?(?: [+-] \d)?)"
SHAPE = re.compile(rf"\({LENGTH}(?:, ?{LENGTH})+\)|\({LENGTH},\)|\bshape (?:and sign )?of\b")
TOGETHER = re.compile(r"\bbroadcast|\b(any|same|one|common) shape\b")
UNIT = re.compile(
    r"_(mm\d?|mpa|n|rad|deg|nmm|n_per_mm\d?|g|percent|fraction|factor|strain)\b|\b(mm[234]?|"
    r"MPa|rad|deg|percent|[Ff]orces?[^.]* in N|strains?|fractions?|ratios?|factors?|unit|cycles|"
    r"0 to 1)\b"
)
SOURCE = re.compile(r"\bSources?\b")
Definition = ast.FunctionDef | ast.ClassDef


FILES = sorted(
    path.relative_to(ROOT).as_posix()
    for package in PACKAGES
    for path in (ROOT / package).rglob("*.py")
)


def offences(tree: ast.Module) -> list[str]:
    """Return what the public docstrings of a module leave out."""
    return [
        f"{name}: {missing}"
        for name, node in _public(tree)
        for missing in (
            [*_shapes_missing(_attributes(node), None, _text(node))]
            if isinstance(node, ast.ClassDef)
            else [*_function_offences(node)]
        )
    ]


def _public(tree: ast.Module) -> Iterator[tuple[str, Definition]]:
    for node in tree.body:
        if isinstance(node, Definition) and not node.name.startswith("_"):
            yield node.name, node
            for inner in node.body if isinstance(node, ast.ClassDef) else ():
                if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                    yield f"{node.name}.{inner.name}", inner


def _text(node: Definition) -> str:
    return ast.get_docstring(node) or ""


def _attributes(node: ast.ClassDef) -> list[str]:
    return [
        part.target.id
        for part in node.body
        if isinstance(part, ast.AnnAssign)
        and isinstance(part.target, ast.Name)
        and ARRAY.search(ast.unparse(part.annotation))
    ]


def _function_offences(node: ast.FunctionDef) -> Iterator[str]:
    text, returned = _text(node), ast.unparse(node.returns) if node.returns else ""
    given = [
        one.arg
        for one in (*node.args.args, *node.args.kwonlyargs)
        if one.annotation and ARRAY.search(ast.unparse(one.annotation))
    ]
    result = "result" if ARRAY.search(returned) else None
    yield from _shapes_missing(given, result, text)
    if FLOAT.search(returned) and _computes(node):
        if not UNIT.search(f"{node.name} {text}"):
            yield "no unit"
        if not SOURCE.search(text):
            yield "no source"
    if any(isinstance(part, ast.Raise) for part in ast.walk(node)) and "Raises" not in text:
        yield "no errors"


def _computes(node: ast.FunctionDef) -> bool:
    operations = [part.op for part in ast.walk(node) if isinstance(part, ast.BinOp)]
    return any(not isinstance(operation, ast.BitOr) for operation in operations)


def _shapes_missing(names: list[str], result: str | None, text: str) -> Iterator[str]:
    parts = [part for part in _parts(text) if SHAPE.search(part)]
    if TOGETHER.search(text):
        return
    for name in names:
        if not any(re.search(rf"\b{name}\b", part) for part in parts):
            yield f"no shape of {name}"
    if result and not any(re.match(r"(Return|Yield)|.*, Return", part) for part in parts):
        yield "no shape of the result"


def _parts(text: str) -> list[str]:
    """Return the sentences of a docstring and the entries of its lists."""
    text = re.sub(r"\n\s*(\w+): ", r". \1: ", text).replace("Returns:\n", "Return ")
    return [" ".join(part.split()) for part in re.split(r"(?<!\.)\.(?=\s|$)|\n\n", text)]


@pytest.mark.parametrize("path", FILES)
def test_public_docstrings_name_shapes_units_errors_and_sources(path: str) -> None:
    """See the list at the top."""
    assert offences(ast.parse((ROOT / path).read_text(encoding="utf-8"))) == []


GOOD = '''
def stress_mpa(slope: Floats) -> Floats:
    """Return the stress (N, 6), MPa, of `slope` (N, 6) at N points.

    Source: Hooke's law.
    """
    return 2 * slope
'''


def test_a_full_docstring_passes() -> None:
    """The rules accept what they ask for."""
    assert offences(ast.parse(GOOD)) == []


@pytest.mark.parametrize(
    ("old", "new", "missing"),
    [
        ("of `slope` (N, 6)", ". It needs `slope`", "no shape of slope"),
        ("stress (N, 6)", "stress. It is", "no shape of the result"),
        ("Source: Hooke's law.", "", "no source"),
        ("stress_mpa(", "stress(", "no unit"),
        ("return 2", "raise ValueError", "no errors"),
    ],
)
def test_a_gap_in_a_docstring_is_refused(old: str, new: str, missing: str) -> None:
    """Each rule by one gap."""
    bad = GOOD.replace(old, new).replace(", MPa," if missing == "no unit" else "\0", "")
    assert any(missing in one for one in offences(ast.parse(bad)))


def test_an_attribute_without_a_shape_is_refused() -> None:
    """Attributes are judged as parameters are."""
    bad = 'class Mesh:\n    """Mesh.\n\n    Attributes:\n        points_mm: Nodes.\n    """\n\n'
    bad += "    points_mm: Floats\n"
    assert offences(ast.parse(bad)) == ["Mesh: no shape of points_mm"]
    assert offences(ast.parse(bad.replace("Nodes", "(N, 3) nodes"))) == []
