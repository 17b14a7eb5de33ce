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


AS_FAMILY = {
    "straight": "harbour-flat",
    "flat": "harbour-flat",
    "riser": "harbour-riser",
    "drop": "harbour-drop",
}
"""The example that a bar of a family is written into."""

SHAPES = {
    "straight": """family = "straight"
width_mm = 640                         # of the whole bar
""",
    "flat": """family = "flat"
width_mm = 740                         # of the whole bar
width_of = "centres"                   # of the ends; or "over all", with end_od_mm
backsweep_deg = 9                      # of the grip in the top view
upsweep_deg = 0                        # above the horizontal
middle_mm = 110                        # between the corners of the two bends
bend_radius_mm = 100                   # of the centre line
""",
    "riser": """family = "riser"
width_mm = 760                         # of the whole bar
width_of = "centres"                   # of the ends; or "over all", with end_od_mm
rise_mm = 45                           # of the end's centre above the clamp's
backsweep_deg = 8                      # of the grip in the top view
upsweep_deg = 5                        # above the horizontal
middle_mm = 140                        # between the corners of the two inner bends
knee_mm = 260                          # between those of the two outer bends
bend_radius_mm = 65                    # of the centre line
""",
    "drop": """family = "drop"
width_mm = 440                         # between the centres of the ends
reach_mm = 75                          # of the foremost of the centre line
drop_mm = 125                          # of the end's centre below the clamp's
flare_deg = 12                         # lean of the hooks outward
ramp_deg = 5                           # fall of the arms forward
end_back_mm = 120                      # from the foremost back to the end
end_deg = 5                            # fall of the lower straights rearward
top_radius_mm = 28                     # of the bend from the top into the arm
hook_radius_mm = 50                    # of both bends of the hook
""",
}
"""What each family asks for, measured on the bar."""

MEASURED = """\
# The bar as it is measured, along its centre line, from the middle of the clamp: replace
# these numbers with your own. `barwright check` shows the points and the bend table that
# follow. A left half that differs has a table [bar.left.shape] of its own.
"""

_RIGHT = re.compile(r"(?:^#[^\n]*\n)*^\[bar\.right\]\n(?:[^\n]+\n)+", re.MULTILINE)
"""The right half of an example, with the remarks above it."""


def family_example(family: str, name: str) -> str:
    """Return an example whose bar is given by its dimensions, as a study called `name`.

    Raises:
        InputError: `name` cannot be a file name, or the family is unknown.
    """
    if family not in SHAPES:
        raise InputError(unknown_name("--as", "family of bars", family, SHAPES))
    text = renamed_example(AS_FAMILY[family], name)
    return _RIGHT.sub(f"{MEASURED}[bar.right.shape]\n{SHAPES[family]}", text, count=1)


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
