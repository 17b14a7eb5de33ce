"""A criterion and a view field are each defined in one file: their names stand nowhere else."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from fea.stability.criteria import LOCAL, every_criterion, every_mode
from studies.page.view_fields import STRESSES

ROOT = Path(__file__).parents[1]
CRITERIA, FIELDS = "fea/stability/criteria.py", "studies/page/view_fields.py"
"""Where criteria are defined, and fields of the 3D view."""

IDS = {one.id for one in every_criterion()}
NAMES = IDS | {mode.label for mode in every_mode()}
MOST_SIGNS = 20
"""Of a label beside a strip of the zones' picture, whose margin holds no more."""

TEXTS = (".js", ".html", ".svg", ".css")


def files(*endings: str) -> list[Path]:
    """Return the files of the packages that may read a criterion; those below them know none."""
    found = (path for name in ("fea", "studies") for path in (ROOT / name).rglob("*"))
    return sorted(path for path in found if path.suffix in endings)


def literals(path: str, text: str) -> Iterator[str]:
    """Yield what a file holds as a string of its own, a class, a key or the text of an element."""
    if path.endswith(".py"):
        nodes = ast.walk(ast.parse(text))
        yield from (str(node.value) for node in nodes if isinstance(node, ast.Constant))
        return
    quoted = re.findall(r"""(["'`])([^"'`\n]*)\1""", text)
    yield from (found for _, found in quoted)
    yield from (word for _, found in quoted for word in found.split() if "class=" in text)
    yield from (found.strip() for found in re.findall(r">([^<>{}]+)<", text))
    if path.endswith(".css"):
        yield from re.findall(r"(?:\.|--)([\w-]+)", text)
    if path.endswith(".js"):
        yield from re.findall(r"^[^/]*?(\w+):", text, re.MULTILINE)
        yield from re.findall(r"[{,]\s*(\w+):", text)


def own_descriptors(text: str) -> set[str]:
    """Return the ids with which a file describes fields: what it first hands to `_described`."""
    return set(re.findall(r"""\b_described\(\s*"(\w+)\"""", text))


FIELD_IDS = {one.id for one in STRESSES} | own_descriptors((ROOT / FIELDS).read_text("utf-8"))
FIELD_IDS |= {"mode_1"}


def named_again(path: str, text: str) -> list[str]:
    """Return the names of criteria that a file spells out, also as the end of a longer key."""
    if path == CRITERIA:
        return []
    ends = tuple(f"_{name}" for name in IDS)
    found = {word for word in literals(path, text) if word in NAMES or word.endswith(ends)}
    return [f"{path} spells out '{word}'" for word in sorted(found)]


def fields_named_again(path: str, text: str) -> list[str]:
    """Return the ids of view fields that a script or template spells out."""
    found = {word for word in literals(path, text) if word in FIELD_IDS}
    found |= {word for word in FIELD_IDS if re.search(rf"\.{word}\b", text)}
    return [f"{path} spells out '{word}'" for word in sorted(found)]


BAD_CRITERIA = (
    ("fea/stability/a.py", 'used["yield"]'),
    ("studies/page/a.py", 'CHOSEN = ("hoop yield", 1)'),
    ("studies/page/a.py", 'key = "utilisation_local_buckling"'),
    ("studies/page/a.py", 'if limit.name == "wrinkling": f()'),
    ("studies/page/web/a.js", 'const LIMITS = ["yield"];'),
    ("studies/page/web/a.js", "const ranges = { hoop_yield: [0, 1] };"),
    ("studies/page/web/a.css", ".swatch.local_buckling { background: red; }"),
    ("studies/page/web/a.css", ":root { --yield: red; }"),
    ("studies/page/templates/a.html", '<span class="swatch yield"></span>'),
    ("studies/page/templates/a.html", "<td>clamp slip</td>"),
)
BAD_FIELDS = (
    ("studies/page/web/a.js", 'if (field.id === "von_mises") paint();'),
    ("studies/page/web/a.js", "const values = { axial: [] };"),
    ("studies/page/web/a.js", "values.hoop = [];"),
)
GOOD = 'from fea.stability.criteria import YIELD\n\nused[YIELD.id] = "the metal yields"\n'


def test_no_criterion_is_named_outside_its_definition() -> None:
    """A new one, or a new word for one, is written in one file."""
    paths = {path.relative_to(ROOT).as_posix(): path for path in files(".py", *TEXTS)}
    found = [named_again(name, path.read_text("utf-8")) for name, path in paths.items()]
    assert CRITERIA in paths
    assert not [line for lines in found for line in lines]


def test_local_criteria_can_be_told_apart() -> None:
    """Each has an id, a letter in the charts and colours of its own, and a label with room."""
    told = [(one.id, one.label[0].upper(), one.colour, one.line_colour) for one in LOCAL]
    assert all(len(set(column)) == len(LOCAL) for column in zip(*told, strict=True))
    assert all(len(one.label) <= MOST_SIGNS for one in LOCAL)


def test_fields_are_found_in_their_descriptions() -> None:
    """Those with a descriptor of their own, and none that is only handed on."""
    assert own_descriptors('return _described(\n    "wall_ratio", "wall")\n') == {"wall_ratio"}
    assert not own_descriptors("return _described(one.id, one.name)\n")
    assert {"displacement", "plastic"} <= FIELD_IDS


def test_no_script_or_template_knows_a_view_field() -> None:
    """They read its name, unit and range from what Python describes."""
    paths = {path.relative_to(ROOT).as_posix(): path for path in files(".js", ".html")}
    found = [fields_named_again(name, path.read_text("utf-8")) for name, path in paths.items()]
    assert paths
    assert not [line for lines in found for line in lines]


@pytest.mark.parametrize(("path", "text"), BAD_CRITERIA)
def test_a_criterion_named_again_is_seen(path: str, text: str) -> None:
    """In Python, in a script, in a style and in a template."""
    assert named_again(path, text)


@pytest.mark.parametrize(("path", "text"), BAD_FIELDS)
def test_a_field_named_again_is_seen(path: str, text: str) -> None:
    """As a string, as a key and as a member."""
    assert fields_named_again(path, text)


def test_what_reads_the_definition_passes() -> None:
    """Neither the constant nor a sentence with a word of it is an offence."""
    assert not named_again("studies/page/a.py", GOOD)
    assert not fields_named_again("studies/page/web/a.js", "legend(field.name, field.unit);")
