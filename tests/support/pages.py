"""Pages to look at: results of the riser example, coarse, with a fifth case, written once."""

from pathlib import Path

from studies.results import write_results
from studies.runner import run_study
from studies.study import read_study

RISER = Path(__file__).parents[2] / "studies" / "examples" / "harbour-riser.toml"

FIFTH = """
[[cases]]
use = "iso-4210-5.fatigue-out-of-phase"
bicycle = "mountain"
"""


def five_cases(folder: Path, *, name: str = "harbour-riser", wall: str = "wall_mm = 2.2") -> Path:
    """Write the riser example with a fifth case, under a name and with a wall at the clamp."""
    path = folder / f"{name}.toml"
    text = RISER.read_text(encoding="utf-8") + FIFTH
    text = text.replace('"harbour-riser"', f'"{name}"').replace("wall_mm = 2.2", wall)
    path.write_text(text, encoding="utf-8")
    return path


def riser_results(folder: Path) -> Path:
    """Run it coarsely, write its results without pictures, and return their folder."""
    run = run_study(read_study(five_cases(folder)), level="coarse")
    write_results(run, folder / "riser")
    return folder / "riser"
