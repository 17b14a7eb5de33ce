"""Studies of bars that are out of square."""

from pathlib import Path
from typing import Any

from geometry.out_of_square import differences_mm
from studies.study_file.study import Study, study_from_table

POINTS = {
    "points_mm": [[0, 0, 0], [75, 0, 0], [130, -5, 25], [330, -37, 30]],
    "bend_radii_mm": [65, 65],
    "bend_names": ["inner", "knee"],
}
BENDS = {
    "bends": [
        {"name": "inner", "straight_mm": 60, "rotation_deg": 100, "angle_deg": 25, "radius_mm": 65},
        {"name": "knee", "straight_mm": 30, "rotation_deg": 160, "angle_deg": 23, "radius_mm": 65},
    ],
    "tail_mm": 200,
}
RISER = {
    "shape": {"family": "riser", "width_mm": 660, "rise_mm": 40},
    "bend_names": ["inner", "knee"],
}
FLAT = {"shape": {"family": "flat", "width_mm": 640, "backsweep_deg": 9}}
OWN_LEFT = {
    "points_mm": [[0, 0, 0], [-75, 0, 0], [-130, -6, 25], [-335, -30, 35]],
    "bend_radii_mm": [65, 60],
}
READ = {"height_mm": 2.0, "fore_aft_mm": -1.0, "length_mm": 0.5}
READ_BACK_MM = 1e-6


def study_of(right: dict[str, object], read: dict[str, object] | None, **bar: object) -> Study:
    """Return a study of a bar out of square, with one push on its left end."""
    table: dict[str, Any] = {
        "name": "off",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": 22.2, "wall_mm": 1.6}],
            "right": right,
            **bar,
        },
        "mesh": {"level": "coarse"},
        "cases": [
            {
                "id": "push",
                "loads": [
                    {"side": "left", "from_end_mm": 20, "force_n": [0, 0, -100], "band_mm": 20}
                ],
            }
        ],
    }
    if read is not None:
        table["bar"]["out_of_square"] = read
    return study_from_table(table, Path("off.toml"), "")


def read_back(study: Study, side: str = "left") -> tuple[float, float, float]:
    """Return height, fore-aft and length of the bar that is computed."""
    return differences_mm(study.bar.line, "left" if side == "left" else "right")
