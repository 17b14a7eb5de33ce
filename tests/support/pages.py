"""Pages to look at, and the studies that they are of."""

from pathlib import Path

from studies.assessment.run import run_study
from studies.results.writing import write_results
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study

RISER = Path(__file__).parents[2] / "studies" / "examples" / "harbour-riser.toml"

SHORT = """
name = "{name}"
[bar]
name = "{name} bar"
material = "al-6061-t6"
stations = [{{ at_mm = 0, od_mm = 25.4, wall_mm = {wall_mm} }}]
[bar.right]
points_mm = [[0, 0, 0], [120, 0, 0]]
bend_radii_mm = []
[clamp]
width_mm = 40
[mesh]
level = "coarse"
[[cases]]
id = "push"
title = "Push on the right"
loads = [{{ side = "right", from_end_mm = 30, force_n = [0, 0, -400], band_mm = 20 }}]
[[cases]]
id = "pull"
title = "Pull on both"
loads = [{{ side = "right", from_end_mm = 30, force_n = [0, -300, 0], band_mm = 20 }},
         {{ side = "left", from_end_mm = 30, force_n = [0, -300, 0], band_mm = 20 }}]
"""

CASES = ("iso-4210-5.bar-bending", "iso-4210-5.fatigue-in-phase")

FIFTH = """
[[cases]]
use = "iso-4210-5.fatigue-out-of-phase"
bicycle = "mountain"
"""


def five_cases(folder: Path) -> Path:
    """Write the riser example with a fifth case into a folder, and return its path."""
    path = folder / "harbour-riser.toml"
    path.write_text(RISER.read_text(encoding="utf-8") + FIFTH, encoding="utf-8")
    return path


def short_bar(folder: Path, name: str, wall_mm: float, more: str = "") -> Path:
    """Write a short straight bar with two cases and `more`, soon solved; return its path."""
    path = folder / f"{name}.toml"
    path.write_text(SHORT.format(name=name, wall_mm=wall_mm) + more, encoding="utf-8")
    return path


def riser_results(folder: Path) -> Path:
    """Run two cases of it coarsely, write results without pictures, return their folder."""
    run = run_study(with_cases(read_study(RISER), CASES), level="coarse")
    write_results(run, folder / "riser")
    return folder / "riser"
