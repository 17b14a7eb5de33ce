"""Short bars whose other walls are soon computed, and what their preview says, read in Python."""

import pickle
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fea.solid.linear_solver import SolverName
from geometry.grading import LEVELS, Level
from studies.preview.follow import Follow, Following
from studies.preview.follow import Part as FollowedPart
from studies.preview.snapshots import Snapshots, take_snapshots
from studies.records.case import ResultsRecord
from studies.study_file.study import Study, read_study

TEXT = """
name = "{name}"
[bar]
name = "{name} bar"
material = "al-6061-t6"
blend_mm = 10
stations = [{stations}]
[bar.right]
points_mm = [[0, 0, 0], [{end}, 0, 0]]
bend_radii_mm = []
[clamp]
width_mm = 40
[clamp.bolts]
count = 4
torque_nm = 4
diameter_mm = 5
[mesh]
level = "coarse"
[[cases]]
id = "push"
title = "Push on the right"
loads = [{{ side = "right", from_end_mm = 30, force_n = [-150, 0, -400], band_mm = 20 }}]
[[cases]]
id = "rock"
title = "Rocking, again and again"
loads = [{{ side = "right", from_end_mm = 30, force_n = [0, -150, -150], band_mm = 20 }}]
cycle = {{ cycles = 100000 }}
"""

EVEN = "{ at_mm = 0, od_mm = 25.4, wall_mm = 2.0 }"

WEAK_END = """
  { at_mm = 0, od_mm = 31.8, wall_mm = 2.0 }, { at_mm = 45, od_mm = 31.8, wall_mm = 2.0 },
  { at_mm = 75, od_mm = 22.2, wall_mm = 1.6 } """
"""First yield is at the clamp, and at 75 mm once the end's wall is thinner."""


CRUDE = Level(8, 4.0, 1.0)
"""A mesh that is soon solved."""


@dataclass(frozen=True)
class Previewed:
    """A run with a preview.

    Attributes:
        folder: Holds the study file and, in `out`, the results.
        snapshots: The computed designs.
        following: What follows of them.
        record: What results.json holds.
    """

    folder: Path
    snapshots: Snapshots
    following: Following
    record: ResultsRecord

    @property
    def study(self) -> Study:
        """Return the study."""
        return read_study(self.folder / "quick.toml")

    @property
    def page(self) -> Path:
        """Return the page."""
        return self.folder / "out" / "report.html"


def preview_bar(folder: Path, stations: str, end_mm: float = 170, name: str = "quick") -> Study:
    """Return a straight bar with given stations, written to a folder first."""
    path = folder / f"{name}.toml"
    path.write_text(TEXT.format(name=name, stations=stations, end=end_mm), encoding="utf-8")
    return read_study(path)


def previewed_results(folder: Path) -> Path:
    """Compute the bar with a weak end and its preview, and return the folder of all of it."""
    from studies.assessment.run import run_study
    from studies.preview.follow import following
    from studies.results.writing import write_results

    made = folder / "making"
    made.mkdir(exist_ok=True)
    study = preview_bar(made, WEAK_END)
    snapshots, run = take_snapshots(study), run_study(study)
    record = write_results(run, made / "out", None, snapshots)
    kept = snapshots, following(run, record, snapshots)
    (made / "preview.pickle").write_bytes(pickle.dumps(kept))
    return made.rename(folder / "previewed")


def read_previewed(folder: Path) -> Previewed:
    """Return what `previewed_results` made."""
    snapshots, following = pickle.loads((folder / "preview.pickle").read_bytes())  # noqa: S301 of our own
    record = ResultsRecord.model_validate_json((folder / "out" / "results.json").read_bytes())
    return Previewed(folder, snapshots, following, record)


def followed(follow: Follow, terms: Sequence[float]) -> tuple[float, FollowedPart]:
    """Return the ratio of a figure at some terms, and its largest part."""
    ratios = [one.share * float(np.exp(np.dot(one.coefficients, terms))) for one in follow.parts]
    largest = int(np.argmax(ratios))
    return ratios[largest], follow.parts[largest]


def crude_snapshots(study: Study, solver: SolverName) -> Snapshots:
    """Compute other walls on a mesh too coarse for figures, in whatever process this is."""
    LEVELS["preview"] = CRUDE
    return take_snapshots(study, solver)
