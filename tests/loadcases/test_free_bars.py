"""Cases of a bar that no clamp holds: where bands may lie, and that loads must balance."""

from pathlib import Path
from typing import Any

import pytest

from studies.study_file.errors import StudyError
from studies.study_file.study import Study, study_from_table

ENDS = [{"at_mm": at, "force_n": [0, 0, 500], "band_mm": 10} for at in (-300, 300)]


def free(*loads: dict[str, Any], **more: Any) -> Study:
    """Return a study of a free straight tube of 700 mm with one case."""
    table = {
        "name": "tube",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": 40, "wall_mm": 2}],
            "right": {"points_mm": [[0, 0, 0], [350, 0, 0]]},
        },
        "clamp": {"model": "none"},
        "cases": [{"id": "a", "loads": list(loads)}],
    }
    return study_from_table({**table, **more}, Path("tube.toml"), "")


def middle(force_n: float, at_mm: float = 0.0) -> dict[str, Any]:
    """Return a load downwards on a band of 20 mm, which lies across s = 0 by default."""
    return {"at_mm": at_mm, "force_n": [0, 0, -force_n], "band_mm": 20}


def test_a_band_may_lie_across_the_middle() -> None:
    """No clamp is there to be crossed."""
    (case,) = free(*ENDS, middle(1000)).cases
    assert [load.at_mm for load in case.loads] == [-300, 300, 0]


@pytest.mark.parametrize(
    ("load", "left"),
    [
        (middle(900), "leave 100 N along z on"),
        (middle(1000, 1.0), "leave 1000 N·mm about y on"),
        ({**middle(1000), "force_n": [7, 0, -1000]}, "leave 7 N along x on"),
        ({**middle(1000), "moment_nmm": [0, 0, 50]}, "leave 50 N·mm about z on"),
        (middle(900, 1.0), "leave 100 N along z and 900 N·mm about y on"),
    ],
)
def test_what_loads_leave_is_named(load: dict[str, Any], left: str) -> None:
    """Force and moment, each with its axis."""
    with pytest.raises(StudyError) as refused:
        free(*ENDS, load)
    (problem,) = refused.value.problems
    assert problem.field == "cases[0].loads"
    assert left in problem.sentence
    assert "add supports, or a load that balances it" in problem.sentence


def test_round_off_is_no_load() -> None:
    """A millionth of the largest load may be left, more may not."""
    free(*ENDS, middle(1000.0005))
    with pytest.raises(StudyError, match="along z"):
        free(*ENDS, middle(1000.002))


def test_a_band_must_lie_on_the_bar() -> None:
    """The window reaches from end to end."""
    with pytest.raises(StudyError, match=r"crosses the left end .* give -340 to 340 mm"):
        free(*ENDS, middle(1000, -345))


@pytest.mark.parametrize("key", ["width_mm", "normal_n_per_mm3", "tangential_n_per_mm3"])
def test_keys_of_a_clamp_are_refused(key: str) -> None:
    """A bar that lies free has no width of a clamp."""
    with pytest.raises(StudyError, match=rf"clamp\.{key}: stands beside model = 'none'"):
        free(*ENDS, middle(1000), clamp={"model": "none", key: 3000})


def test_levers_and_bolts_are_refused() -> None:
    """They belong to a bar in use."""
    bolts = {"count": 1, "torque_nm": 3, "diameter_mm": 5}
    levers = [{"side": "right", "from_end_mm": 100, "width_mm": 12, "bolts": bolts}]
    with pytest.raises(StudyError, match=r"levers: stand beside clamp.model = 'none'"):
        free(*ENDS, middle(1000), levers=levers)
    with pytest.raises(StudyError, match=r"clamp\.bolts: stands beside"):
        free(*ENDS, middle(1000), clamp={"model": "none", "bolts": bolts})
