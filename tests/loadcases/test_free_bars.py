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


def pressed(use: str, **parameters: Any) -> Study:
    """Return a study of the free tube in a set-up of the catalogue."""
    return free(cases=[{"use": use, **parameters}])


def test_loads_at_the_third_points_of_the_span() -> None:
    """The ram's rollers stand above, and by default at a third of the span."""
    (case,) = pressed("press.four-point", span_mm=600).cases
    assert [(one.at_mm, one.of_ram) for one in case.supports] == [
        (300, False),
        (-300, False),
        (100, True),
        (-100, True),
    ]
    assert [one.direction[2] for one in case.supports] == [1, 1, -1, -1]
    assert [one.points[0].offset_mm[2] for one in case.supports] == [-20, -20, 20, 20]
    with pytest.raises(StudyError, match=r"inner_span_mm: is 600 mm but must be below span_mm"):
        pressed("press.four-point", span_mm=600, inner_span_mm=600)


@pytest.mark.parametrize(
    ("use", "given", "sentence"),
    [
        ("three-point-ram", {"ram": "plate", "ram_mm": 300}, r"ram_mm: is 300 mm and .* at 150 mm"),
        ("four-point", {"ram": "saddle", "ram_mm": 99, "inner_span_mm": 202}, r"to 150.5 mm from"),
        ("four-point", {"inner_span_mm": 29}, r"radius_mm: is 15 mm but .* 29 mm apart; give 14.5"),
        ("three-point-ram", {"span_mm": 25}, r"radius_mm: is 15 mm but .* 25 mm apart; give 12.5"),
        (
            "cantilever",
            {"fixture_at_mm": 261},
            r"from_end_mm: .* enters at 300 mm .* 236 to 286 mm",
        ),
    ],
)
def test_what_meets_is_refused(use: str, given: dict[str, Any], sentence: str) -> None:
    """Rams past the bed's rollers, rollers in each other, a force on what a fixture holds."""
    with pytest.raises(StudyError, match=sentence):
        pressed(f"press.{use}", **given)


def test_platens_longer_than_a_piece_are_refused() -> None:
    """By their own key, with the length that stands for them."""
    piece = {
        "material": "al-6061-t6",
        "stations": [{"at_mm": 0, "od_mm": 40, "wall_mm": 2}],
        "right": {"points_mm": [[0, 0, 0], [10, 0, 0]]},
    }
    with pytest.raises(StudyError, match=r"platen_mm: is 30 mm but the bar is 20 mm long; give"):
        free(bar=piece, cases=[{"use": "press.crush"}])
    free(bar=piece, cases=[{"use": "press.crush", "platen_mm": 20}])


def test_what_just_does_not_meet_is_taken() -> None:
    """A millimetre less, or more."""
    pressed("press.three-point-ram", ram="plate", ram_mm=299)
    pressed("press.four-point", inner_span_mm=30)
    pressed("press.cantilever", fixture_at_mm=260)


@pytest.mark.parametrize("use", ["press.three-point", "iso-4210-5.bar-bending"])
def test_cases_that_need_a_clamp_are_refused(use: str) -> None:
    """And the other way round."""
    with pytest.raises(StudyError, match=r"needs the clamp that model = 'none' takes away; give a"):
        pressed(use, **({"bicycle": "mountain"} if use.startswith("iso") else {}))
    with pytest.raises(StudyError, match=r"bends a bar that lies free; give clamp.model = 'none'"):
        free(cases=[{"use": "press.four-point"}], clamp={"model": "rigid"})


ROLLERS = [{"kind": "roller", "at_mm": at} for at in (-300, 300)]
PIN = [{"kind": "pin", "at_mm": 0}]
DOWN = {"at_mm": 120, "force_n": [0, 0, -1000], "band_mm": 10}


@pytest.mark.parametrize(
    ("supports", "load", "motion"),
    [
        (ROLLERS, {**DOWN, "force_n": [5, 0, -1000]}, "slide along x"),
        (ROLLERS, {**DOWN, "force_n": [0, -3, -1000]}, "slide along y"),
        (ROLLERS, {**DOWN, "moment_nmm": [400, 0, 0]}, "turn about x"),
        (ROLLERS[1:], DOWN, "turn about y"),
        (ROLLERS, {**DOWN, "at_mm": -330}, "turn about y"),
        (ROLLERS, {**DOWN, "force_n": [0, 0, 1000]}, "slide along z"),
        (
            [*ROLLERS, {"kind": "pin", "at_mm": 0}],
            {**DOWN, "moment_nmm": [9, 0, 0]},
            "turn about x",
        ),
    ],
)
def test_a_motion_that_is_left_free_is_named(
    supports: list[dict[str, Any]], load: dict[str, Any], motion: str
) -> None:
    """Where the loads do work on it; the same supports carry a load that they can carry."""
    with pytest.raises(StudyError, match=rf"supports: leave the bar free to {motion} under") as no:
        free(cases=[{"id": "a", "loads": [load], "supports": supports}])
    assert len(no.value.problems) == 1


def test_motions_that_nothing_works_on_are_harmless() -> None:
    """A bar on free rollers can roll along them and turn in them; friction holds it, too."""
    free(cases=[{"id": "a", "loads": [DOWN], "supports": ROLLERS}])
    rough = [{**one, "friction": 0.3} for one in ROLLERS]
    aslant = {**DOWN, "force_n": [5, 0, -1000]}
    free(cases=[{"id": "a", "loads": [aslant], "supports": rough}])
    steep = {**DOWN, "force_n": [310, 0, -1000]}
    with pytest.raises(StudyError, match="free to slide along x"):
        free(cases=[{"id": "a", "loads": [steep], "supports": rough}])
