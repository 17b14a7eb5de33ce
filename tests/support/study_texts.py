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
