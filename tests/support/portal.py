"""A U of round tube in a clamp: half width 210, height 120, bends of radius 50 mm."""

from pathlib import Path

from geometry.bar import Bar
from studies.study_file.study import study_from_table

HALF_MM, HEIGHT_MM, RADIUS_MM = 210.0, 120.0, 50.0
"""To the middle of a leg, down to its end, of a bend."""

TABLE = {
    "name": "portal",
    "bar": {
        "material": "al-6061-t6",
        "stations": [{"at_mm": 0, "od_mm": 22.2, "wall_mm": 1.8}],
        "right": {
            "points_mm": [[0, 0, 0], [HALF_MM, 0, 0], [HALF_MM, 0, -HEIGHT_MM]],
            "bend_radii_mm": [RADIUS_MM],
        },
        "bend_effects": {"wall_change": False, "ovality_percent": 0},
    },
    "clamp": {"width_mm": 40},
}

STUDY = """name = "portal"
[bar]
material = "al-6061-t6"
stations = [{at_mm = 0, od_mm = 22.2, wall_mm = 1.8}]
[bar.right]
points_mm = [[0, 0, 0], [210, 0, 0], [210, 0, -120]]
bend_radii_mm = [50]
[bar.bend_effects]
wall_change = false
ovality_percent = 0
[clamp]
width_mm = 40
[mesh]
level = "coarse"
"""
STOOD = '[[cases]]\nuse = "press.stood-on-both-ends"\n'


def portal() -> Bar:
    """Return the bar, with round bends of even wall."""
    return study_from_table(TABLE, Path("portal.toml"), "").bar
