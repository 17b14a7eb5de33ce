"""The manual's pages of formulas, read: sections, what each names, worked numbers."""

import doctest
import re
from dataclasses import dataclass
from pathlib import Path

from support.code_rules import ROOT

THEORY = ROOT / "studies" / "manual" / "theory"
OWN = "none, by definition: "
"""Before the words of what is a choice of this project."""

LABELS = ("Code", "Source", "Valid", "Checked")
_BLOCK = re.compile(r"^```python\n(.*?)^```$", re.DOTALL | re.MULTILINE)
_ITEM = re.compile(r"^- (\w+): (.+?)(?=^- |^\n|\Z)", re.DOTALL | re.MULTILINE)


@dataclass(frozen=True)
class Formula:
    """A section of a page: its heading, the text of each label, and worked examples."""

    name: str
    labels: dict[str, str]
    examples: tuple[str, ...]


def formulas() -> list[Formula]:
    """Return the formulas of all pages; the page of evidence has none."""
    pages = sorted(THEORY.glob("*.md"))
    return [formula for page in pages for formula in _formulas_of(page)]


def quoted(text: str) -> list[str]:
    """Return what stands in code type in a text."""
    return re.findall(r"`([^`]+)`", text)


def amiss(formula: Formula) -> list[str]:
    """Return what a formula lacks, or names that is not there."""
    lacking = [label for label in LABELS if not formula.labels.get(label)]
    if lacking:
        return [f"{formula.name} has no {label}" for label in lacking]
    file, name = quoted(formula.labels["Code"])
    tests = quoted(formula.labels["Checked"])
    found = [f"{one} is not there" for one in (file, *tests) if not _is_there(one)]
    if found:
        return found
    return [*_code_amiss(formula, file, name), *_tests_amiss(formula, file, name, tests)]


def failures(example: str) -> list[str]:
    """Return the lines of an example that the code gives another number for."""
    test = doctest.DocTestParser().get_doctest(example, {}, "example", None, None)
    lines: list[str] = []
    doctest.DocTestRunner(verbose=False).run(test, out=lines.append)
    return lines


def _formulas_of(page: Path) -> list[Formula]:
    _, *sections = re.split(r"^## ", page.read_text(encoding="utf-8"), flags=re.MULTILINE)
    return [_formula(page.stem, section) for section in sections]


def _formula(page: str, section: str) -> Formula:
    labels = {label: _plain(text) for label, text in _ITEM.findall(section)}
    return Formula(f"{page}: {section.splitlines()[0]}", labels, tuple(_BLOCK.findall(section)))


def _code_amiss(formula: Formula, file: str, name: str) -> list[str]:
    """Return a name that its file does not define, and a source that it does not state."""
    text = (ROOT / file).read_text(encoding="utf-8")
    defined = re.search(rf"^(?:(?:def|class) {name}\b|{name}\b.* =)", text, re.MULTILINE)
    found = [] if defined else [f"{formula.name}: {file} has no {name}"]
    source = formula.labels["Source"].removeprefix(OWN).rstrip(".")
    stated = source.lower() in _plain(text).replace('" "', "").lower()
    return found if stated else [*found, f"{formula.name}: {file} states no source {source}"]


def _tests_amiss(formula: Formula, file: str, name: str, tests: list[str]) -> list[str]:
    """Return the formula if none of its tests uses its code or others of its package.

    A test that is named by itself is of the whole chain.
    """
    if any("::" in one for one in tests):
        return []
    texts = [(ROOT / one).read_text(encoding="utf-8") for one in tests]
    module = file.removesuffix(".py").replace("/", ".")
    package = module.rpartition(".")[0]
    if any(word in text for text in texts for word in (name, module, f"{package}.")):
        return []
    return [f"{formula.name}: none of {tests} knows {module}"]


def _is_there(name: str) -> bool:
    """Return whether there is a file, and in it the test that follows two colons."""
    file, _, test = name.partition("::")
    path = ROOT / file
    return path.is_file() and (not test or f"def {test}(" in path.read_text(encoding="utf-8"))


def _plain(text: str) -> str:
    return " ".join(text.split())
