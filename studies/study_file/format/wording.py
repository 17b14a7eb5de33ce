"""How keys, values and units are written in a message."""

import datetime as dt
import re

BARE_KEY = re.compile(r"^[A-Za-z0-9_-]+$")
LONGEST_TEXT = 40
MOST_DIGITS = 20

#: Longest suffix first, so that `_n_per_mm3` is not read as `_mm3`.
UNITS = {
    "_n_per_mm3": "N/mm3",
    "_kg_m3": "kg/m3",
    "_percent": "%",
    "_nmm": "N·mm",
    "_nm": "N·m",
    "_mpa": "MPa",
    "_deg": "deg",
    "_mm": "mm",
    "_kg": "kg",
    "_g": "g",
    "_n": "N",
}

#: Keys that end like a unit and carry none.
UNITLESS = frozenset({"ramberg_osgood_n"})


def unit_of(key: str) -> str:
    """Return the unit that the suffix of a key names, "" for none."""
    if key in UNITLESS:
        return ""
    return next((unit for suffix, unit in UNITS.items() if key.endswith(suffix)), "")


def key_path(parts: tuple[str | int, ...]) -> str:
    """Return a place in the file in TOML's terms, such as `bar.stations[1].wall_mm`."""
    path = ""
    for part in parts:
        if isinstance(part, int):
            path += f"[{part}]"
        elif not part.startswith("<"):  # the tag of an alternative, no key
            path += ("." if path else "") + shown_key(part)
    return path


def shown_key(key: str) -> str:
    """Return a key bare where TOML takes it bare, else quoted, harmless and short."""
    return key if BARE_KEY.match(key) and len(key) <= LONGEST_TEXT else quoted(key)


def quoted(text: str) -> str:
    """Return a text in quotes, cut short, nothing in it that a terminal would obey."""
    short = text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 1] + "…"
    escaped = short.replace("\\", "\\\\").replace('"', '\\"')
    plain = (c if c.isprintable() else f"\\u{ord(c):04x}" for c in escaped)
    return '"' + "".join(plain) + '"'


def shown(value: object) -> str:
    """Return a value as a message names it: `2.5`, `true`, `the text "2"`, `a list`."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return _whole(value)
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, str):
        return f"the text {quoted(value)}"
    return _kind(value)


def toml(value: object) -> str:
    """Return a plain value as TOML writes it in one line, for examples in messages."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {toml(item)}" for key, item in value.items()) + "}"
    return str(value)


def listed(words: list[str], last: str = "and") -> str:
    """Return `a, b and c`."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"


def _whole(number: int) -> str:
    digits = int(number.bit_length() * 0.30103) + 1
    # Python refuses to write out more than some thousand digits
    return str(number) if digits <= MOST_DIGITS else f"a number of about {digits} digits"


def _kind(value: object) -> str:
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    return "a date" if isinstance(value, dt.date | dt.time) else "something else"
