"""The example studies that come with the program."""

import re
from importlib.resources import files

from geometry.errors import InputError, refuse
from geometry.limits import unknown_name
from loadcases.case import NAME_LENGTH, NAME_PATTERN
from studies.study_file.format.wording import quoted

EXAMPLES = ("harbour-flat", "harbour-riser", "harbour-drop")


def example_text(name: str) -> str:
    """Return the file of an example.

    Raises:
        InputError: No example has this name; the nearest is named.
    """
    if name not in EXAMPLES:
        raise InputError(unknown_name("--from", "example", name, EXAMPLES))
    return (files("studies.examples") / f"{name}.toml").read_text(encoding="utf-8")


def renamed_example(example: str, name: str) -> str:
    """Return the file of an example as the beginning of a study called `name`.

    Raises:
        InputError: `name` cannot be a file name, or the example is unknown.
    """
    _check_name(name)
    text = example_text(example).replace(example, name)
    return re.sub(r'^name = "[^"]*"', f'name = "{name}"', text, flags=re.MULTILINE)


def _check_name(name: str) -> None:
    if name.endswith(".toml"):
        raise refuse("NAME", f"{quoted(name)} is a file name; give it without .toml")
    if not re.fullmatch(NAME_PATTERN, name) or len(name) > NAME_LENGTH or name.endswith("\n"):
        sentence = (
            f"{quoted(name)} is no name for a study; begin with a lower-case letter or digit and "
            f"go on with those, '.', '_' or '-', at most {NAME_LENGTH} characters"
        )
        raise refuse("NAME", sentence)
