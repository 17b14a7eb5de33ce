"""What the papers at the top name is there: files, test folders, commands of the README."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TREES = ("geometry", "loadcases", "fea", "studies", "tests", ".ci")
NAMED = re.compile(r"`([\w./-]+\.(?:py|js|html|css|toml))`")


def files() -> list[str]:
    """Return the path from the root of every file of the packages, tests and checks."""
    found = (path for tree in TREES for path in (ROOT / tree).rglob("*") if path.is_file())
    return ["/" + path.relative_to(ROOT).as_posix() for path in found]


def unknown(text: str, known: list[str]) -> list[str]:
    """Return the files that a text names by the end of their path, and that are not there."""
    named = sorted(set(NAMED.findall(text)))
    return [name for name in named if not any(path.endswith("/" + name) for path in known)]


@pytest.mark.parametrize("name", ["DEVELOPERS.md"])
def test_every_file_that_is_named_is_there(name: str) -> None:
    """A guide that names a file which has moved sends its reader astray."""
    assert not unknown((ROOT / name).read_text(encoding="utf-8"), files())


def test_a_file_that_is_gone_is_seen() -> None:
    """By its name alone or by the end of its path."""
    text = "see `bar.py`, `solid/model.py`, `solid/gone.py` and `gone.js`"
    assert unknown(text, files()) == ["gone.js", "solid/gone.py"]


def test_folders_of_tests_are_all_described() -> None:
    """The table of tests has a row for each folder, and none for a folder that is gone."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text[text.index("## Tests") : text.index("## Recipes")]
    rows = set(re.findall(r"^\| `(\w+)` \|", table, re.MULTILINE))
    folders = {path.parent.name for path in (ROOT / "tests").glob("*/test_*.py")}
    plain = {"geometry", "loadcases", "fea", "studies"}
    assert rows <= folders
    assert folders - plain <= rows
