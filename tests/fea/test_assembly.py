"""The part of a matrix that can move, and the pattern that designs of a sweep share."""

import numpy as np
import pytest
from scipy.sparse import csr_array, random_array

from fea.solid import assembly
from fea.solid.assembly import build_pattern, coupled, fill, free_part, remembering


def some_matrix() -> csr_array:
    """Return a sparse matrix (40, 40) of which two rows are empty."""
    dense = random_array((40, 40), density=0.2, rng=np.random.default_rng(5)).toarray()
    dense[[3, 39]] = 0.0
    return csr_array(dense)


@pytest.mark.parametrize("held", [[0], [39], [3, 4, 5], [2, 38, 39], list(range(40))])
def test_the_free_part_is_rows_and_columns(held: list[int]) -> None:
    """It is the dense matrix without the held rows and columns, in order, nothing else."""
    matrix, free = some_matrix(), np.ones(40, dtype=bool)
    free[held] = False
    part = free_part(matrix, free)
    np.testing.assert_array_equal(part.toarray(), matrix.toarray()[np.ix_(free, free)])
    assert part.has_canonical_format


def test_all_free_is_the_matrix_itself() -> None:
    """Where nothing is held nothing is copied."""
    matrix = some_matrix()
    assert free_part(matrix, np.ones(40, dtype=bool)) is matrix


def test_a_pattern_is_handed_out_again_while_the_elements_stay() -> None:
    """The same elements get the same pattern, others their own, and each fills as one made anew."""
    draw = np.random.default_rng(2)
    cells = np.array([[0, 1, 2, 3], [2, 3, 4, 5]])
    others = np.array([[0, 1, 2, 3], [2, 3, 5, 4]])
    pattern_of = remembering()
    first = pattern_of(cells, 6)
    assert pattern_of(cells.copy(), 6) is first
    second = pattern_of(others, 6)
    assert second is not first
    assert pattern_of(cells, 7) is not first
    blocks = draw.random((2, 12, 12))
    made, anew = fill(second, blocks), fill(build_pattern(others, 6), blocks)
    np.testing.assert_array_equal(made.toarray(), anew.toarray())


@pytest.mark.parametrize("part", [1, 5, 64])
def test_a_matrix_is_summed_part_by_part(part: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Wherever the parts end, an entry is the sum of all elements that have it."""
    monkeypatch.setattr(assembly, "PART", part)
    cells, nodes = np.array([[0, 1, 2], [2, 3, 4], [4, 5, 2]]), 6
    blocks = np.random.default_rng(4).random((3, 9, 9))
    wanted = np.zeros((18, 18))
    for cell, block in zip(cells, blocks, strict=True):
        freedoms = (3 * cell[:, None] + np.arange(3)).ravel()
        wanted[np.ix_(freedoms, freedoms)] += block
    found = fill(build_pattern(cells, nodes), blocks).toarray()
    np.testing.assert_allclose(found, wanted, rtol=1e-14)


def test_groups_of_nodes_meet_without_moving_what_is_there() -> None:
    """Entries of elements stay the same numbers, and those of a group are where they belong."""
    rng = np.random.default_rng(8)
    cells, nodes = np.array([[0, 1, 2], [2, 3, 4], [4, 5, 6]]), 8
    groups = [np.array([0, 4, 5]), np.array([1, 7])]
    plain, blocks = build_pattern(cells, nodes), rng.random((3, 9, 9))
    joined = coupled(plain, groups)
    wide, wanted = fill(joined.pattern, blocks), fill(plain, blocks)
    # a factor's matrix is one of these, and they are most of its memory beside its numbers
    assert {wide.indices.dtype, wide.indptr.dtype} == {np.dtype(np.int32)}
    assert abs(wide - wanted).max() == 0
    assert wide.data.reshape(-1, 3)[joined.kept].ravel() == pytest.approx(wanted.data)
    for group, places in zip(groups, joined.blocks, strict=True):
        freedoms = (3 * group[:, None] + np.arange(3)).ravel()
        added = rng.random(places.shape)
        dense = wide.toarray()
        dense[np.ix_(freedoms, freedoms)] += added
        wide.data[places] += added
        assert wide.toarray() == pytest.approx(dense)
