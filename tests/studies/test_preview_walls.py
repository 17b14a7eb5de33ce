"""Which walls a preview changes together, and the designs that it computes."""

from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from fea.stability.criteria import CLAMP_SLIP
from geometry.bar import nominal_wall_mm
from studies.preview.follow import _limit
from studies.preview.stretches import stretch_ends_mm, stretch_of
from studies.preview.walls import changes_for, designs, wall_groups
from studies.records.case import CaseRecord
from studies.records.limit import LimitRecord
from studies.records.supports import SupportsRecord
from studies.study_file.chosen_cases import with_cases
from studies.study_file.errors import StudyError
from studies.study_file.study import Study, read_study
from studies.study_file.variants import variant_of
from support.preview_bars import EVEN, WEAK_END, preview_bar

CASES = '\n[[cases]]\nid = "other"\nloads = [{at_mm = 100, force_n = [0, 0, -9]}]\n'


def tube(folder: Path, od_mm: float, *walls_mm: float) -> Study:
    """Return a bar with a wall every 30 mm from the clamp centre."""
    each = (
        f"{{ at_mm = {30 * n}, od_mm = {od_mm}, wall_mm = {wall} }}"
        for n, wall in enumerate(walls_mm)
    )
    return preview_bar(folder, ", ".join(each))


def test_an_even_tube_has_one_wall(tmp_path: Path) -> None:
    """With its five designs, the study's own first; the last is in the middle of the thicker."""
    study = preview_bar(tmp_path, EVEN)
    (group,) = wall_groups(study)
    assert (group.label, group.walls_mm) == ("wall", (2.0,))
    every = designs(study, (group,))
    assert every[0].study is study
    factors = [one.factors[0] for one in every]
    assert factors == pytest.approx([1, 0.7, 1.4, 0.7**0.5, 1.4**0.5])
    walls = [one.study.bar.spec.stations[0].wall_mm for one in every]
    assert walls == pytest.approx([2 * factor for factor in factors])


def test_stations_of_one_wall_are_one_group(tmp_path: Path) -> None:
    """Also where the file names the same wall twice."""
    (group,) = wall_groups(tube(tmp_path, 25.4, 2.0, 2.0))
    assert group.walls_mm == (2.0, 2.0)
    assert group.paths == ("bar.stations[0,1].wall_mm",)


def test_a_butted_tube_has_a_wall_at_the_clamp_and_one_further_out(tmp_path: Path) -> None:
    """Each design changes what its factors say, all along the bar, and nothing else."""
    study = preview_bar(tmp_path, WEAK_END)
    groups = wall_groups(study)
    assert [one.label for one in groups] == ["clamp wall", "end wall"]
    assert [one.paths for one in groups] == [
        ("bar.stations[0,1].wall_mm",),
        ("bar.stations[2].wall_mm",),
    ]
    every = designs(study, groups)
    assert len({one.factors for one in every}) == 9
    for one in every:
        there = nominal_wall_mm(one.study.bar, np.array([0.0, 150.0, -150.0]))
        clamp, end = one.factors
        assert there == pytest.approx([2.0 * clamp, 1.6 * end, 1.6 * end])
        assert one.study.cases == study.cases


@pytest.mark.parametrize(
    ("walls_mm", "at_clamp"),
    [((2.0, 1.6, 1.0), 2), ((2.0, 1.4, 1.0), 1), ((2.0, 1.0, 2.0), 1), ((1.0, 1.2, 2.0), 2)],
)
def test_a_wall_belongs_to_the_nearer_of_clamp_and_extreme(
    tmp_path: Path, walls_mm: tuple[float, ...], at_clamp: int
) -> None:
    """From the clamp outwards; beyond the first that does not, all are the end's."""
    inner, outer = wall_groups(tube(tmp_path, 25.4, *walls_mm))
    assert inner.walls_mm == walls_mm[:at_clamp]
    assert outer.walls_mm == walls_mm[at_clamp:]


def test_other_walls_have_the_chosen_cases_alone(tmp_path: Path) -> None:
    """A variant is read from the whole file; figures of its other cases have no partner."""
    study = preview_bar(tmp_path, EVEN)
    (first,) = (placed.case.id for placed in study.cases[:1])
    study.path.write_text(study.text + CASES, encoding="utf-8")
    chosen = with_cases(read_study(study.path), [first])
    assert len(read_study(study.path).cases) > len(chosen.cases)
    for one in designs(chosen, wall_groups(chosen)):
        assert [placed.case.id for placed in one.study.cases] == [first]


@pytest.mark.parametrize(("ram_force_n", "follows"), [(900.0, True), (0.0, False)])
def test_slip_follows_where_statics_give_it(ram_force_n: float, *, follows: bool) -> None:
    """Beside supports that stand still the wall shares out what the clamp carries."""
    held = SupportsRecord(ram_force_n=ram_force_n, friction_study=[], supports=[])
    case = CaseRecord.model_construct(supports=held)
    slip = LimitRecord.model_construct(criterion=CLAMP_SLIP.id, s_mm=None, place="clamp")
    source = SimpleNamespace(
        snapshots=SimpleNamespace(taken=()), fit=SimpleNamespace(powers=()), own=None, wrinkles=()
    )
    assert (_limit(cast(Any, source), 0, case, slip) is not None) == follows


def test_a_left_half_of_its_own_is_changed_too(tmp_path: Path) -> None:
    """Its stations belong to the same two groups."""
    study = preview_bar(tmp_path, WEAK_END)
    text = study.text.replace(
        "[clamp]\n",
        f"[bar.left]\npoints_mm = [[0, 0, 0], [-170, 0, 0]]\nbend_radii_mm = []\n"
        f"stations = [{WEAK_END.replace('1.6', '1.5')}]\n[clamp]\n",
        1,
    )
    study.path.write_text(text, encoding="utf-8")
    two = read_study(study.path)
    _, outer = wall_groups(two)
    assert outer.paths == ("bar.stations[2].wall_mm", "bar.left.stations[2].wall_mm")
    assert outer.walls_mm == (1.6,)
    thin = variant_of(two, changes_for(wall_groups(two), (1, 0.8))).bar
    assert nominal_wall_mm(thin, np.array([-150.0, 150.0])) == pytest.approx([1.2, 1.28])


@pytest.mark.parametrize(
    ("od_mm", "wall_mm", "ends"),
    [(25.4, 2.0, (0.7, 1.4)), (10, 3.2, (0.7, 1.2)), (5, 1.8, (0.7, 1.1)), (5, 0.13, (0.8, 1.4))],
)
def test_a_wall_reaches_as_far_as_the_bar_can_be_made(
    tmp_path: Path, od_mm: float, wall_mm: float, ends: tuple[float, float]
) -> None:
    """The next smaller end is taken where the furthest is too thick for a tube, or has no wall."""
    study = tube(tmp_path, od_mm, wall_mm)
    factors = [one.factors[0] for one in designs(study, wall_groups(study))]
    assert (min(factors), max(factors)) == pytest.approx(ends)


@pytest.mark.parametrize("wall_mm", [1.9, 0.105])
def test_a_wall_that_cannot_be_moved_is_refused(tmp_path: Path, wall_mm: float) -> None:
    """No tube of 5 mm may be a tenth thicker, none at all a tenth thinner."""
    study = tube(tmp_path, 5, wall_mm)
    with pytest.raises(StudyError, match="wall_mm"):
        designs(study, wall_groups(study))


def test_stretches_divide_the_whole_bar(tmp_path: Path) -> None:
    """At clamp edges and stations, none over two diameters; an edge counts to the outer one."""
    study = preview_bar(tmp_path, WEAK_END)
    ends = stretch_ends_mm(study)
    assert (ends[0], ends[-1]) == (-170, 170)
    assert np.isin([-20.0, 20.0, 45.0, 75.0], ends).all()
    assert np.diff(ends).max() <= 2 * 31.8
    assert np.diff(ends).min() > 0
    at = stretch_of(ends, np.array([-170.0, -20.0, 0.0, 20.0, 170.0]))
    assert at[0] == 0
    assert at[-1] == len(ends) - 2
    assert ends[at[1] + 1] == -20
    assert ends[at[3]] == 20
