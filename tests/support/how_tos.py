"""Pages that lead through a task: their blocks, done one after the other in the current folder.

A block `sh` holds commands, `toml NAME` what is added to the file of that name, `text` what the
commands above it print.
"""

import os
import re
import shlex
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from support.code_rules import ROOT

HOW_TOS = ROOT / "studies" / "manual" / "how_to"
_BLOCK = re.compile(r"^```(\w+)(?: (\S+))?\n(.*?)^```$", re.DOTALL | re.MULTILINE)

Run = Callable[[Sequence[str]], str]
"""Runs a command of barwright that must succeed, and returns what it prints."""


@dataclass(frozen=True)
class Block:
    """A block of a page: its kind, the file it belongs to, and what it holds."""

    kind: str
    file: str
    text: str


def blocks_of(page: Path) -> list[Block]:
    """Return the blocks of a page."""
    found = _BLOCK.findall(page.read_text(encoding="utf-8"))
    return [Block(kind, file, text) for kind, file, text in found]


def commands_of(block: Block) -> list[list[str]]:
    """Return the commands of a block, without their comments."""
    lines = block.text.replace("\\\n", " ").splitlines()
    return [words for line in lines if (words := shlex.split(line, comments=True))]


def followed(page: Path, run: Run) -> list[tuple[Block, str]]:
    """Do what a page says in the current folder; return each block with all printed until then."""
    told: list[tuple[Block, str]] = []
    printed = ""
    for block in blocks_of(page):
        if block.kind == "toml":
            _add(Path(block.file), block.text)
        for command in commands_of(block) if block.kind == "sh" else ():
            printed += done(command, run)
        told.append((block, printed))
    return told


def done(command: Sequence[str], run: Run) -> str:
    """Run a command of a page, files of the project by their whole path; return what it prints."""
    name, *words = command
    if name == "cd":
        os.chdir(shutil.copytree(ROOT / words[0], Path(words[0]).name))
        return ""
    if name != "barwright":
        raise ValueError(f"no command of a page: {name}")
    return run([str(ROOT / word) if (ROOT / word).is_file() else word for word in words])


def unprinted(text: str, printed: str) -> list[str]:
    """Return the lines of a text that nothing printed, whatever their blanks."""
    lines = {" ".join(line.split()) for line in printed.splitlines()}
    return [line for line in text.splitlines() if " ".join(line.split()) not in {*lines, ""}]


def _add(path: Path, text: str) -> None:
    with path.open("a", encoding="utf-8") as file:
        file.write(f"\n{text}")
