"""The scripts of the pages: joined whole, each name once, nothing that asks the network."""

import re
from importlib.resources import files

import pytest

from studies.page.assets import COMPARISON, LIVE, REPORT, SWEEP, ramps, script, style

MODULES = sorted(
    item.name for item in files("studies.page.web").iterdir() if item.name.endswith(".js")
)
PAGES = (REPORT, COMPARISON, SWEEP, LIVE)
TOP_LEVEL = re.compile(
    r"^(?:export )?(?:async )?(?:function\*?|const|let|class) (\w+)", re.MULTILINE
)


def _text(name: str) -> str:
    return (files("studies.page.web") / name).read_text(encoding="utf-8")


def _modules_of(entry: str) -> set[str]:
    """Return a page's first module and all that it imports, itself or through others."""
    found, fresh = set(), {entry}
    while fresh:
        found |= fresh
        texts = "".join(_text(name) for name in fresh)
        fresh = set(re.findall(r'from "\./([\w-]+\.js)"', texts)) - found
    return found


def test_no_two_modules_use_a_name() -> None:
    """Joined into one script, a second function of a name would silently replace the first."""
    for entry in PAGES:
        modules = _modules_of(entry)
        names = [name for module in modules for name in TOP_LEVEL.findall(_text(module))]
        assert sorted(set(names)) == sorted(names)


@pytest.mark.parametrize("entry", PAGES)
def test_a_script_holds_all_that_it_imports_and_no_import(entry: str) -> None:
    """Imports and exports are gone, what they named is there before it is used."""
    text = script(entry)
    assert not re.search(r"^\s*(import|export) ", text, re.MULTILINE)
    assert "</" not in text
    imported = {
        name.strip()
        for module in _modules_of(entry)
        for names in re.findall(r"^import \{([^}]*)\}", _text(module), re.MULTILINE)
        for name in names.split(",")
        if name.strip()
    }
    assert imported <= set(TOP_LEVEL.findall(text))


@pytest.mark.parametrize("entry", PAGES)
def test_a_script_carries_no_comments(entry: str) -> None:
    """Types and remarks are for readers of the modules; a page leaves them out."""
    assert not re.search(r"^\s*//|/\*|@param|@type", script(entry), re.MULTILINE)


def test_every_module_is_used_by_a_page() -> None:
    """No module lies there for nothing."""
    joined = "".join(map(script, PAGES))
    for module in MODULES:
        first = TOP_LEVEL.findall(_text(module))[0]
        assert re.search(rf"\b{first}\b", joined), module


def test_what_is_exported_is_imported() -> None:
    """Nothing is offered that nobody takes."""
    for module in MODULES:
        others = "".join(_text(name) for name in MODULES if name != module)
        exports = r"^export (?:async )?(?:function\*?|const|let|class) (\w+)"
        for name in re.findall(exports, _text(module), re.MULTILINE):
            assert re.search(rf"\b{name}\b", others), f"{name} of {module}"


def test_nothing_asks_the_network() -> None:
    """Neither style nor scripts name an address; the page of `live` asks what serves it."""
    text = style() + "".join(script(page) for page in PAGES if page != LIVE)
    assert not re.search(r"https?://|//\w+\.\w|@import|\bfetch\(|XMLHttpRequest|url\(", text)


def test_the_live_page_asks_its_own_server_alone() -> None:
    """It names no address, only a place beside itself."""
    assert re.findall(r"fetch\(.{8}", script(LIVE)) == ["fetch(`after?v"]
    assert not re.search(r"https?://|//\w+\.\w|@import|XMLHttpRequest|url\(", script(LIVE))


def test_ramps_are_256_colours_each() -> None:
    """Three bytes for each of 256 colours, in base64."""
    assert {name: len(text) for name, text in ramps().items()} == {"plain": 1024, "signed": 1024}
