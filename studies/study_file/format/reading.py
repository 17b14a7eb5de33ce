"""A study file from disk to a plain table: everything that can go wrong before its contents do."""

import hashlib
import os
import re
import stat
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from geometry.errors import Problem
from studies.study_file.errors import StudyError
from studies.study_file.format.wording import quoted

MOST_BYTES = 1_000_000

_DECIMAL_COMMA = re.compile(r"(?<![\d.,])\d+,\d+(?![\d.]|,\S)")
_TOML_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")

#: What the reader of TOML says, and what helps.
_TOML_REMEDIES = {
    "Cannot overwrite": "the key stands twice, so keep one",
    "Cannot declare": "the table stands twice, so keep one",
    "Cannot mutate": "the table was closed before, so write its keys together",
    "Expected newline": "write one key = value on a line, a decimal point and no comma in numbers",
    "Expected '=' after a key": "write key = value",
    "Invalid statement": "write key = value, [table] or # comment",
    "Invalid value": "put a text in quotes and use a decimal point in numbers",
    "Unclosed": "close the bracket",
    "Unterminated": "close the quotes",
    "Expected": "close what the line opened",
    "Illegal character": "close the quotes on the same line and write no control characters",
}


@dataclass(frozen=True)
class ReadFile:
    """A study file as it was read.

    Attributes:
        table: What it holds.
        text: As written.
        sha256: Of its bytes.
    """

    table: dict[str, Any]
    text: str
    sha256: str


def read_table(path: Path) -> ReadFile:
    """Return the table in a study file, its text and the SHA-256 of its bytes.

    Raises:
        StudyError: The file is missing, no plain file, too large, or not TOML in UTF-8.
    """
    content = _content(path)
    text = _decoded(path, content)
    return ReadFile(_parsed(path, text), text, hashlib.sha256(content).hexdigest())


def _content(path: Path) -> bytes:
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode):
            what = "a folder" if stat.S_ISDIR(mode) else "no plain file"
            raise _wrong(path, f"is {what}; name a study file, such as harbour-flat.toml")
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise _wrong(path, _why_unread(error)) from None
    if len(content) > MOST_BYTES:
        raise _wrong(path, f"is larger than {MOST_BYTES // 1_000_000} MB; no study needs that much")
    return content


def _why_unread(error: OSError | ValueError) -> str:
    if isinstance(error, FileNotFoundError):
        return "does not exist; check its name, or write one with `barwright new NAME`"
    if isinstance(error, PermissionError):
        return "may not be read; change its permissions"
    reason = os.strerror(error.errno) if isinstance(error, OSError) and error.errno else "bad name"
    return f"cannot be opened ({reason.lower()}); give the path of a study file"


def _decoded(path: Path, content: bytes) -> str:
    try:
        # some editors begin a file with a byte order mark
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        sentence = f"holds a byte that is not UTF-8 on line {line}; save the file as UTF-8"
        raise _wrong(path, sentence) from None
    if not text.strip():
        raise _wrong(path, "is empty; write a study with `barwright new NAME`")
    return text


def _parsed(path: Path, text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise StudyError(path, _toml_problem(text, str(error))) from None
    except RecursionError:
        raise _wrong(path, "nests lists or tables too deeply; write them flat") from None
    except ValueError:
        # the only other one: a decimal number of more digits than Python converts
        raise _wrong(path, "holds a number of thousands of digits; shorten it") from None


def _toml_problem(text: str, message: str) -> Problem:
    """Return the reader's complaint with its line and what helps."""
    place = _TOML_PLACE.search(message)
    lines = text.splitlines()
    number = int(place[1]) if place and place[1] else len(lines)
    line = lines[number - 1].strip() if 0 < number <= len(lines) else ""
    helps = (remedy for start, remedy in _TOML_REMEDIES.items() if message.startswith(start))
    remedy = next(helps, "correct the line")
    comma = _DECIMAL_COMMA.search(line)
    if comma:
        point = comma[0].replace(",", ".")
        remedy += f", or write {point} with a decimal point if {comma[0]} is meant as one number"
    elif line.startswith("["):
        remedy += ", or close the list or table that is open above it"
    return Problem(f"line {number}", f"{quoted(line)} is not valid TOML; {remedy}")


def _wrong(path: Path, sentence: str) -> StudyError:
    return StudyError(path, Problem("", sentence))
