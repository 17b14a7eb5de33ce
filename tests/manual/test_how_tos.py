"""Each how-to of the manual, done as it stands; its links, options and index."""

import re
import webbrowser
from collections.abc import Sequence
from pathlib import Path

import pytest
import typer

from geometry.grading import LEVELS
from studies.commands.main import app, main
from studies.sweeps import executors
from studies.sweeps.rows import DesignRow, Job
from studies.sweeps.worker import compute
from support.code_rules import ROOT
from support.how_tos import HOW_TOS, Run, followed
from support.quick_commands import CRUDE
from support.sweeps import at_once, made_row

PAGES = sorted(path.stem for path in HOW_TOS.glob("*.md"))
# paths past yield, designs compared in numbers
COSTLY = {"collapse", "compare", "sweep"}
# tests/examples/test_practice_hour.py does it on its own mesh, and reads what came of it
ELSEWHERE = {"press"}


def computed_row(job: Job) -> DesignRow:
    """Compute a design as a worker does."""
    return DesignRow.model_validate_json(compute(job))


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """A command on a mesh too coarse for figures, designs here, a sweep's by a formula."""
    monkeypatch.chdir(tmp_path)
    for level in tuple(LEVELS):
        monkeypatch.setitem(LEVELS, level, CRUDE)
    monkeypatch.setattr(webbrowser, "open", lambda _: True)

    def ran(words: Sequence[str]) -> str:
        make = made_row if words[0] == "sweep" else computed_row
        monkeypatch.setattr(executors, "local_executor", lambda _: at_once(make)())
        assert main(list(words)) == 0, (words, capsys.readouterr().err)
        return capsys.readouterr().out

    return ran


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=[pytest.mark.slow] if name in COSTLY else [])
        for name in PAGES
        if name not in ELSEWHERE
    ],
)
def test_what_a_page_says_can_be_done(name: str, run: Run) -> None:
    """Every command succeeds, in an empty folder."""
    followed(HOW_TOS / f"{name}.md", run)


def test_every_option_that_is_named_is_one() -> None:
    """Those in text too, such as of commands that wait for a browser."""
    group = typer.main.get_command(app)
    known = {
        name
        for command in group.commands.values()
        for parameter in command.params
        for name in (*parameter.opts, *parameter.secondary_opts)
    } | {"--help"}
    pages = [*HOW_TOS.parent.rglob("*.md"), ROOT / "README.md"]
    named = {
        (page.name, name)
        for page in pages
        for name in re.findall(r"(?<![\w-])--[a-z][\w-]+", page.read_text(encoding="utf-8"))
    }
    assert len(named) > 50
    assert not [one for one in sorted(named) if one[1] not in known]


def test_every_command_has_its_row() -> None:
    """The page of commands lists those that there are."""
    text = (HOW_TOS / "commands.md").read_text(encoding="utf-8")
    rows = "\n".join(re.findall(r"^\| (.*?) \|", text, re.MULTILINE))
    assert {name.split()[0] for name in re.findall(r"`(.*?)`", rows)} == set(
        typer.main.get_command(app).commands
    )


def test_links_lead_somewhere() -> None:
    """Those within the project, of the manual and the README."""
    pages = [*HOW_TOS.parent.rglob("*.md"), ROOT / "README.md"]
    links = [
        (page, link)
        for page in pages
        for link in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))
    ]
    assert len(links) > 20
    assert not [(page.name, link) for page, link in links if not (page.parent / link).exists()]


def test_the_index_has_every_page() -> None:
    """Who begins at the index finds all."""
    manual = HOW_TOS.parent
    linked = re.findall(r"\]\(([^)]+\.md)\)", (manual / "README.md").read_text(encoding="utf-8"))
    pages = {path.relative_to(manual).as_posix() for path in manual.glob("*/*.md")}
    assert pages == {link for link in linked if not link.startswith("..")}
