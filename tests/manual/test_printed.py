"""What README and how-tos show of the printed output is what the command prints."""

import re
from collections.abc import Sequence
from pathlib import Path

import pytest

from studies.commands.main import main
from support.code_rules import ROOT
from support.how_tos import HOW_TOS, Run, blocks_of, commands_of, done, unprinted


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """A command in an empty folder, and what it prints."""
    monkeypatch.chdir(tmp_path)

    def ran(words: Sequence[str]) -> str:
        assert main(list(words)) == 0
        return capsys.readouterr().out

    return ran


RECORD = "studies/examples/press-by-hand.csv"


def shown_of(name: str) -> str:
    """Return the only output that a how-to shows."""
    (shown,) = (one.text for one in blocks_of(HOW_TOS / f"{name}.md") if one.kind == "text")
    return shown


def readme_result() -> str:
    """Return the indented output of the README."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    found = re.search(r"^    Results .*?(?=^- )", text, re.MULTILINE | re.DOTALL)
    assert found
    return found[0]


def test_what_is_not_printed_is_seen() -> None:
    """By any digit; blanks do not count."""
    assert unprinted("a  1\n\nb 2\n", " a 1\nb 3") == ["b 2"]


def test_the_press_record_gives_what_its_page_shows(run: Run) -> None:
    """By the page's own command."""
    commands = [words for one in blocks_of(HOW_TOS / "press.md") for words in commands_of(one)]
    (command,) = (words for words in commands if words[1:3] == ["press", RECORD])
    assert not unprinted(shown_of("press"), done(command, run))


@pytest.mark.slow
def test_the_first_command_prints_what_is_explained(run: Run) -> None:
    """README and the page on results, at the mesh of the first command."""
    printed = run(
        ["run", str(ROOT / "studies" / "examples" / "harbour-riser.toml"), "--no-figures"]
    )
    assert not unprinted(readme_result(), printed)
    assert not unprinted(shown_of("result"), printed)
