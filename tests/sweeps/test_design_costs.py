"""What a design of a sweep costs beside a single run, in calls: counts have no spread."""

import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from types import FrameType

import pytest

from studies.assessment.run import run_study
from studies.study_file.study import read_study
from studies.sweeps.worker import compute
from support.pages import short_bar
from support.sweeps import short_study, wall_sweep

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
COSTLY = tuple(str(ROOT / name) for name in ("geometry/mesh.py", "fea/solid"))


def called(do: Callable[[], object]) -> Counter[str]:
    """Return how often each function of mesh and solid is called."""
    seen: Counter[str] = Counter()

    def note(frame: FrameType, event: str, _: object) -> None:
        code = frame.f_code
        if event == "call" and code.co_filename.startswith(COSTLY):
            seen[f"{Path(code.co_filename).stem}.{code.co_qualname}"] += 1

    before = sys.getprofile()
    sys.setprofile(note)
    try:
        do()
    finally:
        sys.setprofile(before)
    return seen


def test_a_design_calls_nothing_more_often_than_a_single_run(tmp_path: Path) -> None:
    """And it builds no pattern of the bar's matrix, which the design before it left.

    One other pattern remains, of the faces in the clamp.
    """
    first, second = wall_sweep(short_study(tmp_path), 1.55, 1.6).jobs
    compute(first)
    single = called(lambda: run_study(read_study(short_bar(tmp_path, "alone", 1.6))))
    design = called(lambda: compute(second))
    assert single["linear_solver.factorise"] == 1
    assert (single["assembly.build_pattern"], design["assembly.build_pattern"]) == (2, 1)
    more = {name: (count, single[name]) for name, count in design.items() if count > single[name]}
    # the pattern is asked for through what remembers it
    assert more.keys() <= {"assembly.remembering.<locals>.make"}, more
