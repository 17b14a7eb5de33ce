"""From element matrices to the sparse matrix, through a pattern computed once per topology.

The pattern works on pairs of nodes, nine times fewer than pairs of degrees of freedom, and
moves the three entries of a row and a column node together: they lie side by side both in
an element matrix and in the sparse one. A new wall, a new material or a Newton step refills
the same slots.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.sparse import coo_array, csr_array

from geometry.arrays import Flags, Floats, Ints

PART = 262_144
"""Entries that are summed at a time, three neighbours counted once."""


@dataclass(frozen=True, eq=False)
class Pattern:
    """Where the matrix has entries, and which entries of the element matrices add up in each.

    Attributes:
        starts: (3 nodes + 1,) first entry of each row.
        columns: (z,) column of each entry, ascending in a row.
        members: Which entries of the element matrices add up, three neighbours by one number.
        bounds: (z / 3 + 1,) where those of each three entries begin among the members.
    """

    starts: Ints
    columns: Ints
    members: Ints
    bounds: Ints


def build_pattern(cells: Ints, nodes: int) -> Pattern:
    """Return the pattern of elements `cells` (m, n) over `nodes` nodes."""
    size = cells.shape[1]
    keys = (np.repeat(cells, size, axis=1) * nodes + np.tile(cells, (1, size))).ravel()
    order = np.argsort(keys, kind="stable")
    ordered = keys[order]
    first = np.flatnonzero(np.diff(ordered, prepend=-1))
    rows, columns = np.divmod(ordered[first], nodes)
    per_row = np.bincount(rows, minlength=nodes)
    members = np.diff(first, append=len(keys))
    per_row_members = np.diff(np.append(first, len(keys))[_starts(per_row)])
    # pair p = (element, k, l) begins its three rows at ((element, k), 0, l), ((element, k), 1, l)..
    place = (order + order // size * (2 * size)).astype(np.int32)
    added = _thrice(place, per_row_members, size)
    bounds = _starts(_thrice(members.astype(np.int32), per_row))
    column = 3 * _thrice(columns.astype(np.int32), per_row)
    entries = np.add.outer(column, np.arange(3, dtype=np.int32)).ravel()
    starts = _starts(np.repeat(3 * per_row, 3))
    for shared in (starts, entries):
        # every matrix that is filled holds these very arrays
        shared.setflags(write=False)
    return Pattern(starts, entries, added, bounds)


@dataclass(frozen=True, eq=False)
class Coupled:
    """A pattern in which all nodes of some groups are coupled too.

    Attributes:
        pattern: The pattern.
        kept: Where the entries of the pattern without them now are, three at a time.
        blocks: For each group its entries (3 k, 3 k), row by row.
    """

    pattern: Pattern
    kept: Ints
    blocks: tuple[Ints, ...]


def coupled(pattern: Pattern, groups: Sequence[Ints]) -> Coupled:
    """Return a pattern with entries for every two nodes of a group as well.

    Each of `groups` (k,) holds k node numbers, ascending.
    """
    nodes = (len(pattern.starts) - 1) // 3
    threes = pattern.columns[::3] // 3
    have = csr_array((np.ones(len(threes)), threes, pattern.starts // 3), shape=(3 * nodes, nodes))
    both = csr_array(sum((_meeting(group, nodes) for group in groups), start=have))
    both.sort_indices()
    kept = places_in(both, have)
    counts = np.zeros(len(both.indices), dtype=np.int32)
    counts[kept] = np.diff(pattern.bounds)
    # the sum's are long integers, of twice the memory
    column, starts = 3 * both.indices.astype(np.int32), 3 * both.indptr.astype(np.int32)
    columns = np.add.outer(column, np.arange(3, dtype=np.int32)).ravel()
    for shared in (starts, columns):
        shared.setflags(write=False)
    blocks = tuple(_block(both, group) for group in groups)
    return Coupled(Pattern(starts, columns, pattern.members, _starts(counts)), kept, blocks)


def _meeting(group: Ints, nodes: int) -> csr_array:
    rows = (3 * group[:, None] + np.arange(3)).ravel()
    pairs = np.repeat(rows, len(group)), np.tile(group, len(rows))
    return csr_array(coo_array((np.ones(len(pairs[0])), pairs), shape=(3 * nodes, nodes)))


def places_in(matrix: csr_array, part: csr_array) -> Ints:
    """Return where the entries of a part (p,) are in those of a matrix that has them all."""
    # of the rows that the part has: mostly few, such as a clamp's
    rows = np.flatnonzero(np.diff(part.indptr))
    entries = np.arange(matrix.nnz, dtype=np.int32)
    ours = csr_array((entries, matrix.indices, matrix.indptr), shape=matrix.shape)[rows]
    have, given = (
        np.repeat(np.arange(one.shape[0]), np.diff(one.indptr)) * one.shape[1] + one.indices
        for one in (ours, part[rows])
    )
    places: Ints = ours.data[np.searchsorted(have, given)]
    return places


def _block(both: csr_array, group: Ints) -> Ints:
    """Return the entries (3 k, 3 k) of a group in the matrix of degrees of freedom."""
    threes = places_in(both, _meeting(group, both.shape[1])).reshape(-1, len(group))
    return np.add.outer(3 * threes, np.arange(3)).reshape(3 * len(group), -1)


PatternMaker = Callable[[Ints, int], Pattern]
"""Makes the pattern of elements over so many nodes: `build_pattern`, or one that stores one."""


def remembering() -> PatternMaker:
    """Return a maker that returns its last pattern again while the elements stay the same.

    Designs of a sweep mostly differ in walls and radii, not in their elements.
    """
    last: list[tuple[Ints, int, Pattern]] = []

    def make(cells: Ints, nodes: int) -> Pattern:
        if not (last and last[0][1] == nodes and np.array_equal(last[0][0], cells)):
            # the old one goes before the new one comes: both are large
            last.clear()
            last.append((cells, nodes, build_pattern(cells, nodes)))
        return last[0][2]

    return make


def fill(pattern: Pattern, blocks: Floats) -> csr_array:
    """Return the matrix (3 nodes, 3 nodes) of element matrices.

    `blocks` (m, 3 n, 3 n) are those of m elements of n nodes.
    """
    data = _sums(pattern, blocks.reshape(-1, 3)).ravel()
    rows = len(pattern.starts) - 1
    return csr_array((data, pattern.columns, pattern.starts), shape=(rows, rows))


def _sums(pattern: Pattern, entries: Floats) -> Floats:
    """Return the entries (z / 3, 3) of a matrix, the sums of those of the elements."""
    bounds, members = pattern.bounds, pattern.members
    sums = np.empty((len(bounds) - 1, 3))
    # part by part, for the ones of the whole would take more memory than the pattern
    cuts = np.append(np.arange(0, len(sums), PART), len(sums))
    ones = np.ones(np.diff(bounds[cuts]).max(initial=0))
    for low, high in pairwise(cuts):
        own = members[bounds[low] : bounds[high]]
        each = bounds[low : high + 1] - bounds[low]
        shape = (high - low, len(entries))
        sums[low:high] = csr_array((ones[: len(own)], own, each), shape=shape) @ entries
    return sums


def fill_nodes(cells: Ints, nodes: int, blocks: Floats) -> csr_array:
    """Return the matrix (nodes, nodes) of element matrices with one entry a node pair.

    `cells` (m, n) are the node numbers of m elements, `blocks` (m, n, n) their matrices.
    """
    size = cells.shape[1]
    rows, columns = np.repeat(cells, size, axis=1).ravel(), np.tile(cells, (1, size)).ravel()
    matrix = coo_array((blocks.ravel(), (rows, columns)), shape=(nodes, nodes)).tocsr()
    # the sums lie in the room of what was added
    matrix.data, matrix.indices = matrix.data.copy(), matrix.indices.copy()
    return matrix


def free_part(matrix: csr_array, free: Flags) -> csr_array:
    """Return rows and columns of the degrees of freedom in `free` (n,), for nothing if all are."""
    if free.all():
        return matrix
    # in one step: slicing rows and then columns copies a large matrix twice
    kept = np.repeat(free, np.diff(matrix.indptr)) & free[matrix.indices]
    columns = _starts(free)[matrix.indices[kept]]
    starts = _starts(kept)[matrix.indptr[np.append(free, True)]]
    return csr_array((matrix.data[kept], columns, starts), shape=(free.sum(), free.sum()))


def _starts(counts: Ints | Flags) -> Ints:
    starts = np.zeros(len(counts) + 1, dtype=np.int32)
    np.cumsum(counts, dtype=np.int32, out=starts[1:])
    return starts


def _thrice(values: Ints, runs: Ints, step: int = 0) -> Ints:
    """Return each run of values three times in a row, the second and third raised by a step."""
    length = np.repeat(runs, runs)
    place = np.arange(len(values)) + np.repeat(2 * _starts(runs)[:-1], runs)
    result = np.empty(3 * len(values), dtype=values.dtype)
    for i in range(3):
        result[place + i * length] = values + i * step
    return result
