"""From element blocks to the sparse matrix, through a pattern computed once per topology.

The pattern works on pairs of nodes, nine times fewer than pairs of degrees of
freedom. A new wall, a new material or a Newton step refills the same slots.
"""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import bsr_array, csr_array

from geometry.arrays import Flags, Floats, Ints


@dataclass(frozen=True, eq=False)
class Pattern:
    """Which node pairs interact, and which element pairs add up in each.

    Attributes:
        nodes: Number of nodes.
        starts: (nodes + 1,) first block of each row of nodes.
        columns: (b,) column node of each block, ascending in a row.
        slots: (b, m n n) sum of element pairs into blocks.
    """

    nodes: int
    starts: Ints
    columns: Ints
    slots: csr_array


def build_pattern(cells: Ints, nodes: int) -> Pattern:
    """Return the pattern of elements `cells` (m, n) over `nodes` nodes."""
    size = cells.shape[1]
    keys = (np.repeat(cells, size, axis=1) * nodes + np.tile(cells, (1, size))).ravel()
    order = np.argsort(keys, kind="stable")
    ordered = keys[order]
    first = np.flatnonzero(np.diff(ordered, prepend=-1))
    rows, columns = np.divmod(ordered[first], nodes)
    starts = np.searchsorted(rows, np.arange(nodes + 1))
    bounds = np.append(first, len(keys)).astype(np.int32)
    slots = csr_array((np.ones(len(keys)), order.astype(np.int32), bounds))
    return Pattern(nodes, starts.astype(np.int32), columns.astype(np.int32), slots)


def fill(pattern: Pattern, blocks: Floats) -> csr_array:
    """Return the matrix (3 nodes, 3 nodes) of element blocks (3, 3, m, n, n)."""
    data = np.empty((len(pattern.columns), 3, 3))
    for i in range(3):
        for j in range(3):
            data[:, i, j] = pattern.slots @ blocks[i, j].ravel()
    shape = (3 * pattern.nodes, 3 * pattern.nodes)
    return bsr_array((data, pattern.columns, pattern.starts), shape=shape).tocsr()


def free_part(matrix: csr_array, free: Flags) -> csr_array:
    """Return the rows and columns of the free degrees of freedom; all free costs nothing."""
    return matrix if free.all() else matrix[free][:, free]
