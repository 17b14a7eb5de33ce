"""Studies whose tests are planned, by a short name: of a clamped bar, a U, a free tube."""

import tomllib
from functools import cache
from pathlib import Path

from studies.study_file.study import Study, study_from_table
from support.pages import RISER
from support.portal import STOOD, STUDY

FREE = """name = "tube"
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 31.8, wall_mm = 1.6 }]
right = { points_mm = [[0, 0, 0], [330, 0, 0]] }
[clamp]
model = "none"
[mesh]
level = "coarse"
[[cases]]
use = "press.four-point"
span_mm = 600
inner_span_mm = 200
"""

GAUGES = """
[[gauges]]
name = "dial at the middle of the right leg"
kind = "dial"
at_mm = 250
theta_deg = 90
direction = [1, 0, 0]
[[gauges]]
name = "strain on top beside the clamp"
kind = "strain"
at_mm = 60
"""

DROP = RISER.parent / "harbour-drop.toml"
LONG = "drop bar for the long breakwater race of the northern harbour towns, third of the spring"
SPECIMEN = """
[specimen]
id = "HD-420-0007, second of the spring series, as delivered"
mass_g = 255
"""


@cache
def riser() -> Study:
    """Return the riser example on a rough mesh."""
    return _coarse(RISER.read_text("utf-8"))


@cache
def stood() -> Study:
    """Return a U on its feet, with gauges of its own."""
    return _read(STUDY + STOOD + GAUGES)


@cache
def crowded() -> Study:
    """Return that U with as many gauges as a page lists, and more, of long names."""
    more = "".join(
        f'[[gauges]]\nname = "{LONG}, place {at}"\nkind = "strain"\nat_mm = {at}\n'
        for at in (-60, -90, 90)
    )
    return _read(
        STUDY.replace('name = "portal"', f'name = "portal"\ntitle = "{LONG}"')
        + STOOD
        + f'title = "{LONG}, {LONG}"\n'
        + GAUGES
        + more
        + SPECIMEN.replace("255", "200")
    )


@cache
def free() -> Study:
    """Return a free tube on rollers."""
    return _read(FREE)


@cache
def long_named() -> Study:
    """Return the drop example with long names, and a specimen."""
    text = DROP.read_text("utf-8").replace('name = "harbour drop 420"', f'name = "{LONG}"')
    title = 'title = "Bar bending, racing, with the force at the right hood"'
    return _coarse(text.replace(title, f'title = "Bending of the {LONG}"') + SPECIMEN)


def _coarse(text: str) -> Study:
    return _read(text + '\n[mesh]\nlevel = "coarse"\n')


def _read(text: str) -> Study:
    return study_from_table(tomllib.loads(text), Path("planned.toml"), "0" * 64, text)
