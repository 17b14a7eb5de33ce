"""Which designs a sweep comes to, and samples that a seed brings back."""

from typing import Any

import numpy as np
import pytest
from scipy import stats

from geometry.errors import InputError
from studies.study_file.study import Study
from studies.sweeps.plan import Plan, plan_of
from studies.sweeps.statistics import quantile_places
from support.sweeps import WALL, WIDTH, axis, plan, short_study


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    """Return a study of a short bar."""
    return short_study(tmp_path_factory.mktemp("plan"))


def planned(study: Study, *axes: Any, **keys: Any) -> Plan:
    """Return the plan of some axes."""
    return plan_of(study.table, axes, plan(**keys))


def test_a_grid_holds_every_combination(study: Study) -> None:
    """The last axis turns fastest."""
    found = planned(study, axis(WALL, values=[1.4, 1.6]), axis(WIDTH, values=[38, 40, 42]))
    assert found.mode == "grid"
    assert found.values == ((1.4, 38), (1.4, 40), (1.4, 42), (1.6, 38), (1.6, 40), (1.6, 42))
    assert [str(change) for change in found.changes(3)] == [f"{WALL}=1.6", f"{WIDTH}=38"]


def test_pairs_go_together(study: Study) -> None:
    """First with first; unequal numbers are refused."""
    pairs = axis(WALL, values=[1.4, 1.6]), axis(WIDTH, values=[38, 40])
    assert planned(study, *pairs, mode="paired").values == ((1.4, 38), (1.6, 40))
    with pytest.raises(InputError, match="unequal numbers"):
        planned(study, pairs[0], axis(WIDTH, values=[1, 2, 3]), mode="paired")


def test_linspace_and_scale(study: Study) -> None:
    """Evenly spaced values reach both ends; factors act on what is written."""
    spaced = planned(study, axis(WALL, linspace={"from": 1, "to": 2, "count": 3}))
    assert spaced.values == ((1.0,), (1.5,), (2.0,))
    scaled = planned(study, axis(WALL, scale=[0.9, 1.1]))
    assert scaled.axes[0].acts_as == "factor"
    assert scaled.axes[0].name == f"{WALL} (factor)"
    assert scaled.axes[0].written == 1.6


def test_each_place_varies_by_itself(study: Study) -> None:
    """A wildcard with `each` becomes one axis a place."""
    found = planned(study, axis("cases.*.loads.*.band_mm", each=True, values=[18, 20]))
    assert [a.path for a in found.axes] == [
        "cases[0].loads[0].band_mm",
        "cases[1].loads[0].band_mm",
        "cases[1].loads[1].band_mm",
    ]
    assert len(found.values) == 8


WRONG: list[tuple[list[dict[str, Any]], dict[str, Any], str]] = [
    ([], {}, "--set"),
    ([{"path": WALL, "values": [1]}, {"path": WALL, "values": [2]}], {}, "varies twice"),
    ([{"path": WALL, "values": [1]}], {"mode": "sampled"}, "no distribution"),
    ([{"path": WALL, "uniform": {"from": 1, "to": 2}}], {"mode": "grid"}, "a distribution"),
    ([{"path": WALL, "uniform": {"from": 1, "to": 2}}], {"sampler": "sobol", "designs": 60}, "64"),
    ([{"path": "bar.wal_mm", "values": [1]}], {}, "no key"),
    ([{"path": "bar.material", "scale": [1]}], {}, "give values instead"),
    (
        [{"path": WALL, "truncated": {"mean": 1, "deviation": 0.01, "from": 9, "to": 10}}],
        {},
        "nothing is left",
    ),
    (
        [{"path": WALL, "values": list(range(1, 200))}, {"path": WIDTH, "values": list(range(99))}],
        {},
        "10000",
    ),
]


@pytest.mark.parametrize(("axes", "keys", "said"), WRONG)
def test_axes_that_do_not_go_together_are_refused(
    study: Study, axes: list[dict[str, Any]], keys: dict[str, Any], said: str
) -> None:
    """Before anything is computed, in one sentence."""
    with pytest.raises(InputError, match=said):
        planned(study, *(axis(**keys_) for keys_ in axes), **keys)


DISTRIBUTIONS: list[tuple[dict[str, Any], Any]] = [
    ({"uniform": {"from": 1.4, "to": 1.8}}, stats.uniform(1.4, 0.4)),
    ({"normal": {"mean": 1.6, "deviation": 0.05}}, stats.norm(1.6, 0.05)),
    (
        {"truncated": {"mean": 1.6, "deviation": 0.1, "from": 1.5, "to": 1.75}},
        stats.truncnorm(-1, 1.5, 1.6, 0.1),
    ),
]


@pytest.mark.parametrize("sampler", ["latin-hypercube", "sobol"])
@pytest.mark.parametrize(("keys", "known"), DISTRIBUTIONS)
def test_samples_have_their_distribution(
    study: Study, sampler: str, keys: dict[str, Any], known: Any
) -> None:
    """Both samplers spread so evenly that no quantile is off by more than 1/n."""
    found = planned(study, axis(WALL, **keys), designs=128, sampler=sampler)
    share = known.cdf(np.sort([value for (value,) in found.values]))
    assert np.abs(share - (np.arange(128) + 0.5) / 128).max() <= 1 / 128


def test_a_seed_brings_the_same_samples_back(study: Study) -> None:
    """And another seed brings others."""
    axes = axis(WALL, uniform={"from": 1.4, "to": 1.8}), axis(WIDTH, uniform={"from": 38, "to": 42})
    first, again, other = (planned(study, *axes, designs=16, seed=s).values for s in (7, 7, 8))
    assert first == again
    assert first != other
    assert planned(study, *axes, seed=7).seed == 7


def test_samples_for_indices_change_one_column_at_a_time(study: Study) -> None:
    """A, B, and A with a column of B for each axis."""
    axes = axis(WALL, uniform={"from": 1.4, "to": 1.8}), axis(WIDTH, uniform={"from": 38, "to": 42})
    found = planned(study, *axes, designs=8, sobol_indices=True)
    a, b, first, second = np.split(np.array(found.values), 4)
    assert (first[:, 0] == b[:, 0]).all()
    assert (first[:, 1] == a[:, 1]).all()
    assert (second[:, 0] == a[:, 0]).all()
    assert (second[:, 1] == b[:, 1]).all()
    assert (found.base, found.sampler) == (8, "sobol")
    assert not np.isclose(a, b).any()


def test_the_place_of_a_quantile_covers_it_as_often_as_it_says() -> None:
    """Of 2000 sets of 60 samples some 95 % hold the true quantile between the two places."""
    draw = np.random.default_rng(3)
    sets = np.sort(draw.random((2000, 60)), axis=1)
    for share in (0.05, 0.5, 0.95):
        low, high = quantile_places(60, share)
        # at the ends of the list the interval is open, so it may cover less on that side
        held = (sets[:, low] <= share) & (share <= sets[:, high])
        assert held.mean() >= 0.93
