"""Mutants of inputs: study files, settings of the command line, tables, and results folders.

Half of them move numbers a little, so that most stay valid; half hold what nobody means to write.
All are drawn from a generator of random numbers that is handed in.
"""

import json
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

NUMBER = re.compile(r"(?<![\w.\"-])-?\d+(?:\.\d+)?(?![\w.])")

ODD = (
    "0", "-1", "1", "nan", "inf", "-inf", "1e300", "-1e300", "1e-300", "5e-324", "9" * 350, "22,2",
    '""', '"x"', '"[red]"', "true", "false", "[]", "{}", "[[]]", "[1, 2]", "[nan]", "[[0, 0, 0]]",
    "2026-01-01", '"\\u0000"', '"../../x"', "0x10", "1_000", "-0.0", "'''a\nb'''", "null", "",
)  # fmt: skip
"""What stands in place of a value: some of it is no TOML at all."""

ODD_TEXT = ("\0", "\r", "\n", "[", "]", "{", "}", '"', "'", "=", "#", ",", "²", "\u202e", "é", ".")

OPERATORS = ("=", "=", "*=", "+=", "=", "==", "", "-=")


def gentle_number(text: str, random: Random) -> str:
    """Return a number as text, moved by at most a tenth; whole numbers stay whole."""
    if "." not in text:
        return str(int(text) + random.choice((-1, 0, 0, 1)))
    return f"{float(text) * random.uniform(0.9, 1.1):.6g}"


def gentle_text(text: str, random: Random) -> str:
    """Return a study file with one to three of its decimal numbers moved a little."""
    places = [found for found in NUMBER.finditer(text) if not _in_words(text, found.start())]
    chosen = random.sample(places, k=min(len(places), random.randint(1, 3)))
    for found in sorted(chosen, key=lambda one: -one.start()):
        moved = gentle_number(found[0], random)
        text = text[: found.start()] + moved + text[found.end() :]
    return text


def _in_words(text: str, at: int) -> bool:
    """Return whether a place is in a comment, a string, or a name."""
    line = text[text.rfind("\n", 0, at) + 1 : at]
    return "#" in line or line.count('"') % 2 == 1 or "=" not in line


def odd_text(text: str, random: Random) -> str:
    """Return a study file with one to three faults."""
    for _ in range(random.randint(1, 3)):
        text = random.choice(FAULTS)(text, random)
    return text


def _odd_value(text: str, random: Random) -> str:
    places = list(re.finditer(r"(?<== )[^=#\n]+|" + NUMBER.pattern, text))
    if not places:
        return text
    found = random.choice(places)
    return text[: found.start()] + random.choice(ODD) + text[found.end() :]


def _odd_key(text: str, random: Random) -> str:
    places = list(re.finditer(r"\w+(?= =)", text))
    if not places:
        return text
    found = random.choice(places)
    other = random.choice([one[0] for one in places] + [found[0] + "s", found[0][:-1] or "x", "id"])
    return text[: found.start()] + other + text[found.end() :]


def _odd_lines(text: str, random: Random) -> str:
    lines = text.split("\n")
    here, there = random.randrange(len(lines)), random.randrange(len(lines))
    what = random.choice(("drop", "double", "swap", "move"))
    if what == "drop":
        del lines[here]
    elif what == "double":
        lines.insert(there, lines[here])
    elif what == "swap":
        lines[here], lines[there] = lines[there], lines[here]
    else:
        lines.insert(there, lines.pop(here))
    return "\n".join(lines)


def _odd_sign(text: str, random: Random) -> str:
    at = random.randrange(len(text) + 1)
    cut = random.choice((0, 0, 1, 2, 30))
    return text[:at] + random.choice((*ODD_TEXT, "")) + text[at + cut :]


FAULTS: tuple[Callable[[str, Random], str], ...] = (
    _odd_value, _odd_value, _odd_value, _odd_key, _odd_lines, _odd_sign,
)  # fmt: skip


def leaves(table: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield path and value of each number, text and flag of a table."""
    if isinstance(table, dict):
        for key, value in table.items():
            yield from leaves(value, f"{path}.{key}" if path else key)
    elif isinstance(table, list):
        for index, value in enumerate(table):
            yield from leaves(value, f"{path}[{index}]")
    else:
        yield path, table


def gentle_setting(table: dict[str, Any], random: Random) -> str:
    """Return a change of one of a table's decimal numbers by a factor near 1."""
    numbers = [path for path, value in leaves(table) if isinstance(value, float)]
    return f"{random.choice(numbers)}*={random.uniform(0.95, 1.05):.5g}"


def odd_setting(table: dict[str, Any], random: Random) -> str:
    """Return a change that may name no place, no operation or no value."""
    path = random.choice([path for path, _ in leaves(table)])
    if random.random() < 0.5:
        path = random.choice(
            (_odd_sign(path, random), re.sub(r"\[\d+\]", _odd_index(random), path))
        )
    return path + random.choice(OPERATORS) + random.choice(ODD)


def _odd_index(random: Random) -> str:
    return random.choice((".*", "[*]", "[1,2]", "[-1]", "[99]", "[]", "[²]", ".x", "[1:2]"))


def spoil_folder(folder: Path, random: Random) -> None:
    """Change, cut, drop or replace one or two files of a results folder."""
    for _ in range(random.randint(1, 2)):
        files = sorted(path for path in folder.rglob("*") if path.is_file())
        if files:
            random.choice(SPOILERS)(random.choice(files), random)


def _cut(path: Path, random: Random) -> None:
    content = path.read_bytes()
    path.write_bytes(content[: random.randrange(len(content) + 1)])


def _flip(path: Path, random: Random) -> None:
    content = bytearray(path.read_bytes())
    for _ in range(random.randint(1, 5)):
        if content:
            content[random.randrange(len(content))] = random.randrange(256)
    path.write_bytes(bytes(content))


def _drop(path: Path, random: Random) -> None:
    path.unlink()


def _to_folder(path: Path, random: Random) -> None:
    path.unlink()
    path.mkdir()


def _replace(path: Path, random: Random) -> None:
    path.write_text(random.choice(("", "null", "[]", "{}", "1", '{"cases": 1}', "\0")), "utf-8")


def _odd_json(path: Path, random: Random) -> None:
    """Drop or replace one value anywhere in a JSON file, whole parts too."""
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except ValueError:
        return _flip(path, random)
    at = content
    while isinstance(at, dict | list) and at:
        key = random.choice(list(at) if isinstance(at, dict) else list(range(len(at))))
        inner = at[key]
        if not isinstance(inner, dict | list) or not inner or random.random() < 0.25:
            if random.random() < 0.5:
                del at[key]
            else:
                at[key] = random.choice((None, "", "x", -1, 1e300, [], {}, True, [[]], {"id": 1}))
            break
        at = inner
    path.write_text(json.dumps(content), encoding="utf-8")
    return None


SPOILERS: tuple[Callable[[Path, Random], None], ...] = (
    _cut, _flip, _drop, _to_folder, _replace, _odd_json, _odd_json, _odd_json,
)  # fmt: skip


def copy_of(folder: Path, to: Path) -> Path:
    """Return a fresh copy of a results folder, in place of what stands there."""
    shutil.rmtree(to, ignore_errors=True)
    shutil.copytree(folder, to)
    return to
