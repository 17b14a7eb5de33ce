"""Studies written as text, read from a file."""

from pathlib import Path

from studies.study_file.study import Study, read_study

SMALL = """\
name = "small"
[bar]
material = "ti-3al-2.5v-cwsr"
stations = [ { at_mm = 0, od_mm = 24, wall_mm = 1.0 } ]
[bar.right]
points_mm = [[0, 0, 0], [150, 0, 0], [300, 0, 60]]
bend_radii_mm = [60]
"""


def read(text: str, folder: Path) -> Study:
    """Return the study in `text`, written to a file first."""
    path = folder / "study.toml"
    path.write_text(text, encoding="utf-8")
    return read_study(path)


BOLTED = """
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 25.4, wall_mm = 1.6 }]
[bar.right]
points_mm = [[0, 0, 0], [130, 0, 0]]
[clamp]
width_mm = 40
[clamp.bolts]
count = 4
torque_nm = TORQUE
diameter_mm = 5
[[levers]]
side = "left"
from_end_mm = 60
width_mm = 12
bolts = { count = 1, torque_nm = 3, diameter_mm = 5 }
[mesh]
level = "coarse"
"""

CANTILEVER = """
[bar.right]
points_mm = [[0, 0, 0], [END, 0, 0]]
bend_radii_mm = []
[clamp]
width_mm = 40
model = "rigid"
[mesh]
level = "coarse"
[[cases]]
id = "end"
loads = [{ side = "right", from_end_mm = 25, force_n = [0, 0, -FORCE], band_mm = 20 }]
"""


def bolted_bar(torque_nm: float) -> str:
    """Return a short straight bar under four bolts of a torque, with one lever, without cases."""
    return BOLTED.replace("TORQUE", f"{torque_nm}")


def cantilever(length_mm: float, force_n: float) -> str:
    """Return halves, clamp and load of a straight bar, for a study with name, metal and stations.

    It is held rigidly up to 20 mm and pushed down by a force `length_mm` further out.
    """
    return CANTILEVER.replace("END", f"{length_mm + 45}").replace("FORCE", f"{force_n}")
