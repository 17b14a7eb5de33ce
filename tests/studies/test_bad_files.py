"""What is no study file, or none in TOML: one sentence, and the exit code 2."""

import os
from pathlib import Path

import pytest

from studies.commands.main import main
from support.broken_studies import GOOD, refused

NOT_TOML = [
    ("a = = 2", "line 1", "quotes"),
    ("a = 1\nb = 31,8", "line 2", "decimal point"),
    ("a = 1\na = 2", "line 2", "twice"),
    ("[a]\nb = 1\n[a]", "line 3", "twice"),
    ("a = [1, 2", "line 1", "close"),
    ('a = "open', "line 1", "quotes"),
    ("just words", "line 1", "key = value"),
    ("a = 1\n\n[bar", "line 3", "close"),
    ("a = 12:99:00", "line 1", "key = value"),
]


@pytest.mark.parametrize(("text", "line", "word"), NOT_TOML, ids=[t for t, _, _ in NOT_TOML])
def test_bad_toml_names_its_line(text: str, line: str, word: str, study_file: Path) -> None:
    """A slip in TOML's grammar is told with its line, the line's text and what helps."""
    study_file.write_text(text, encoding="utf-8")
    (problem,) = refused(study_file).problems
    assert problem.field == line
    assert word in problem.sentence
    assert "\n" not in problem.sentence


def _folder(path: Path) -> None:
    path.mkdir()


def _loop(path: Path) -> None:
    path.symlink_to(path)


def _long_chain(path: Path) -> None:
    path.symlink_to(path.with_name("nobody"))


def _huge(path: Path) -> None:
    path.write_bytes(b"# " + b"x" * 1_000_001)


def _latin(path: Path) -> None:
    path.write_bytes(b'name = "a"\ntitle = "Br\xfccke"\n')


def _utf16(path: Path) -> None:
    path.write_text(GOOD, encoding="utf-16")


def _empty(path: Path) -> None:
    path.write_bytes(b"")


def _blank(path: Path) -> None:
    path.write_bytes(b" \n\n")


def _pipe(path: Path) -> None:
    os.mkfifo(path)


def _nested(path: Path) -> None:
    path.write_text("a = " + "[" * 50_000, encoding="utf-8")


def _endless_number(path: Path) -> None:
    path.write_text("a = " + "9" * 9000, encoding="utf-8")


def _nothing(path: Path) -> None:
    """Leave the place empty."""


NO_FILE = [
    (_nothing, "does not exist"),
    (_folder, "is a folder"),
    (_loop, "cannot be opened"),
    (_long_chain, "does not exist"),
    (_huge, "1 MB"),
    (_latin, "line 2"),
    (_utf16, "UTF-8"),
    (_empty, "is empty"),
    (_blank, "is empty"),
    (_pipe, "no plain file"),
    (_nested, "deeply"),
    (_endless_number, "digits"),
]


@pytest.mark.parametrize(("make", "words"), NO_FILE, ids=[m.__name__ for m, _ in NO_FILE])
def test_what_is_no_study_file_is_refused(make, words: str, study_file: Path) -> None:
    """Folders, loops, pipes, foreign encodings and endless things are refused in one sentence."""
    make(study_file)
    (problem,) = refused(study_file).problems
    assert problem.field == ""
    assert words in problem.sentence
    assert main(["check", str(study_file)]) == 2


def test_a_path_with_a_null_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """A path that no system can open is bad input and not a crash."""
    assert "cannot be opened" in str(refused(Path("a\0b")).problems[0])
    assert main(["check", "a\0b"]) == 2
    assert "\0" not in capsys.readouterr().err
