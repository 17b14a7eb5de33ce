"""Factors section by section, of matrices that need not be positive definite."""

import numpy as np
import pytest
from scipy.sparse import block_diag, csr_array, diags_array, eye_array, kron

from fea.solid.block_chain import chain_pivoting, sections_of


def _plate(long: int, wide: int) -> csr_array:
    """Return the stiffness of a net of springs, held at its rim, in a mixed order."""
    lines = (diags_array([-1.0, 2.0, -1.0], offsets=[-1, 0, 1], shape=(n, n)) for n in (long, wide))
    along, across = lines
    net = csr_array(kron(along, eye_array(wide)) + kron(eye_array(long), across))
    mixed = np.random.default_rng(4).permutation(long * wide)
    return net[mixed][:, mixed].sorted_indices()


def _shifted(matrix: csr_array, shift: float) -> csr_array:
    return csr_array(matrix - shift * eye_array(matrix.shape[0])).sorted_indices()


@pytest.mark.parametrize("shift", [0.0, 0.05, 0.4, 1.3, 4.1])
def test_solutions_and_negative_eigenvalues(shift: float) -> None:
    """As many as are below the shift, none to half of all; one order serves every matrix."""
    plate = _plate(20, 4)
    values = np.linalg.eigvalsh(plate.toarray())
    make, loads = chain_pivoting(), np.random.default_rng(5).normal(size=(80, 3))
    make(plate)
    matrix = _shifted(plate, shift)
    pivoted = make(matrix)
    assert pivoted.negative() == np.sum(values < shift)
    assert matrix @ pivoted.apply(loads) == pytest.approx(loads, abs=1e-9)


def test_sections_are_coupled_to_their_neighbours_alone() -> None:
    """And begin at an end: a net of 20 x 4 has one for each row and column less one."""
    plate = _plate(20, 4)
    section = sections_of(plate)
    rows = np.repeat(np.arange(80), np.diff(plate.indptr))
    assert np.abs(section[rows] - section[plate.indices]).max() == 1
    assert section.max() + 1 == 20 + 4 - 1


def test_parts_that_nothing_couples() -> None:
    """Stand side by side."""
    two = csr_array(block_diag([_plate(3, 2), _shifted(_plate(5, 2), 0.5)])).sorted_indices()
    loads = np.ones((16, 1))
    assert two @ chain_pivoting()(two).apply(loads) == pytest.approx(loads, abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_a_bar_that_nothing_holds_is_refused(seed: int) -> None:
    """A last pivot that is rounding, of either sign, is none."""
    springs = np.random.default_rng(seed).uniform(1, 2, size=30)
    ends = np.append(springs, 0) + np.append(0, springs)
    free = csr_array(diags_array([-springs, ends, -springs], offsets=[-1, 0, 1]))
    with pytest.raises(RuntimeError, match="singular"):
        chain_pivoting()(free)
