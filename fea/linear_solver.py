"""The one door to sparse direct solvers: factorise once, solve for many loads.

`splu` (SuperLU, in scipy) runs everywhere. `pardiso` (oneMKL through pypardiso,
extra `fast`) is two to three times faster where the processor allows. The matrix
is symmetric positive definite in both.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from platform import machine
from typing import Literal, get_args
from weakref import finalize

import numpy as np
from scipy.sparse import csc_array, csr_array, csr_matrix, triu
from scipy.sparse.linalg import splu

from geometry.arrays import Floats
from geometry.errors import SolveError, refuse

SolverName = Literal["auto", "splu", "pardiso"]
SOLVER_NAMES: tuple[SolverName, ...] = get_args(SolverName)

MAX_RESIDUAL = 1e-11
"""Largest backward error |K u - f| / (|K| |u| + |f|). A good solve leaves about 1e-15, however
slender the bar; |K u - f| / |f| would grow with slenderness and tell nothing of the error.

Source: Higham, Accuracy and Stability of Numerical Algorithms (2002), ch. 7; from memory.
"""

NEAR_ERROR, NEAR_STEPS = 1e-3, 100
"""Relative error in the energy norm, and most steps, of the iteration in `solve_near`."""

POSITIVE_DEFINITE = 2
"""oneMKL PARDISO's matrix type: real, symmetric, positive definite."""

SETTINGS = {1: 1, 2: 2, 8: 0}
"""oneMKL PARDISO's iparm: own settings, nested dissection, no refinement. By default it refines
twice, which makes a solution cost three times as much; the residual is checked here anyway."""


@dataclass(frozen=True, eq=False)
class Factor:
    """A factorised matrix.

    Attributes:
        solver: Which library made it.
        apply: Solves for right-hand sides (n, k) and returns (n, k).
        matrix: The matrix itself, for residuals.
    """

    solver: str
    apply: Callable[[Floats], Floats]
    matrix: csr_array


def choose_solver(name: SolverName = "auto") -> str:
    """Return splu or pardiso; `auto` takes pardiso where it can be used.

    Raises:
        InputError: The solver asked for cannot be used on this machine.
    """
    if name not in SOLVER_NAMES:
        raise refuse("solver", f"is {name!r}; choose one of {', '.join(SOLVER_NAMES)}")
    if name == "splu" or (name == "auto" and not _pardiso_usable()):
        return "splu"
    if not _pardiso_usable():
        raise refuse(
            "solver",
            "is 'pardiso', which cannot be used here; it needs an x86-64 processor and "
            "the extra 'fast' (pip install 'barwright[fast]'), or choose 'splu'",
        )
    return "pardiso"


def factorise(matrix: csr_array, solver: SolverName = "auto") -> Factor:
    """Return the factor of a symmetric positive definite matrix (n, n).

    Raises:
        SolveError: The matrix is singular: the bar is not held, or an element is broken.
        InputError: The solver asked for cannot be used here.
    """
    chosen = choose_solver(solver)
    try:
        apply = _with_pardiso(matrix) if chosen == "pardiso" else _with_splu(matrix)
    except RuntimeError as error:
        msg = f"the stiffness matrix cannot be factorised by {chosen}: {error}"
        raise SolveError(msg) from error
    return Factor(chosen, apply, matrix)


def solve(factor: Factor, loads: Floats) -> tuple[Floats, float]:
    """Return the solution (n, k) of right-hand sides `loads` (n, k), and the worst backward error.

    Raises:
        SolveError: A residual is above `MAX_RESIDUAL` or not a number.
    """
    solution = factor.apply(loads)
    return solution, _worst_residual(factor.matrix, solution, loads)


def solve_near(
    factor: Factor,
    matrix: csr_array,
    loads: Floats,
    most_error: float = NEAR_ERROR,
    start: Floats | None = None,
) -> tuple[Floats, float]:
    """Return the solution (n, k) for a `matrix` near to the factorised one, and its error.

    Conjugate gradients on all columns at once with the factor as preconditioner: where two
    matrices differ by a factor of three in a few parts, some seven steps do what a new factor
    takes far longer for. The product of residual and preconditioned residual is the squared
    energy norm of the error, up to that factor of three; the iteration ends by it, and the
    error returned is its root over the work of the loads. A `start` (n, k) near to the solution
    saves steps.

    Source: Hestenes & Stiefel, J. Res. Natl. Bur. Stand. 49 (1952) 409-436; textbook.

    Raises:
        SolveError: `NEAR_STEPS` steps do not suffice.
    """
    solution = factor.apply(loads) if start is None else start
    rest = loads - matrix @ solution
    step: Floats = np.zeros_like(loads)
    before: Floats = np.ones(loads.shape[1])
    for _ in range(NEAR_STEPS):
        better = factor.apply(rest)
        energy = _dots(rest, better)
        error = float(np.sqrt(np.max(energy / np.abs(_dots(loads, solution)))))
        if error <= most_error:
            return solution, error
        step = better + energy / before * step
        pushed = matrix @ step
        length = energy / _dots(step, pushed)
        solution, rest, before = solution + length * step, rest - length * pushed, energy
    msg = f"conjugate gradients leave an error of {error:.1e} after {NEAR_STEPS} steps"
    raise SolveError(msg)


def _dots(first: Floats, second: Floats) -> Floats:
    result: Floats = np.einsum("nk,nk->k", first, second)
    return result


def _worst_residual(matrix: csr_array, solution: Floats, loads: Floats) -> float:
    size = np.linalg.norm(abs(matrix) @ np.abs(solution), axis=0) + np.linalg.norm(loads, axis=0)
    missing = np.linalg.norm(matrix @ solution - loads, axis=0)
    worst = float(np.max(missing / np.where(size > 0, size, 1.0), initial=0.0))
    if not worst <= MAX_RESIDUAL:
        msg = (
            f"the solution leaves a backward error of {worst:.1e}, above {MAX_RESIDUAL:.0e}; "
            "the bar is not held or an element is distorted"
        )
        raise SolveError(msg)
    return worst


def _with_splu(matrix: csr_array) -> Callable[[Floats], Floats]:
    # symmetric: the rows of one are the columns of the other, no conversion needed
    columns = csc_array((matrix.data, matrix.indices, matrix.indptr), shape=matrix.shape)
    factor = splu(
        columns,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    return lambda loads: factor.solve(np.asfortranarray(loads))


def _with_pardiso(matrix: csr_array) -> Callable[[Floats], Floats]:
    from pypardiso import PyPardisoSolver

    upper = csr_matrix(triu(matrix, format="csr"))
    solver = PyPardisoSolver(mtype=POSITIVE_DEFINITE)
    for place, value in SETTINGS.items():
        solver.set_iparm(place, value)
    solver.set_phase(12)
    call = solver._call_pardiso  # noqa: SLF001 its public solve compares the whole matrix each time
    call(upper, np.zeros((matrix.shape[0], 1)))
    solver.set_phase(33)

    def apply(loads: Floats) -> Floats:
        return np.asarray(call(upper, np.asfortranarray(loads)))

    # the library keeps the factor until told otherwise, whatever becomes of its wrapper
    finalize(apply, solver.free_memory, everything=True)
    return apply


@cache
def _pardiso_usable() -> bool:
    """Find out whether pypardiso is installed and its library loads here."""
    if machine().lower() not in ("x86_64", "amd64") or find_spec("pypardiso") is None:
        return False
    try:
        from pypardiso import PyPardisoSolver

        PyPardisoSolver()
    except (ImportError, OSError):
        return False
    return True
