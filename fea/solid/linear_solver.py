"""Linear equations: factorise once, solve for many loads.

`cholmod` (CHOLMOD through cvxopt) is what most machines have. `pardiso` (oneMKL through pypardiso,
extra `fast`) works on several right-hand sides at once, where the processor allows. `splu`
(SuperLU, in scipy) runs everywhere, and is two to four times slower.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from scipy.sparse import csr_array

from fea.solid.block_chain import chain_pivoting
from fea.solid.cholmod import cholmod_pivoting, cholmod_solving, cholmod_usable
from fea.solid.direct_solvers import (
    Pivoted,
    Pivoting,
    pardiso_pivoting,
    pardiso_solving,
    pardiso_usable,
    splu_pivoted,
    splu_solving,
)
from geometry.arrays import Floats
from geometry.errors import SolveError, refuse

SolverName = Literal["auto", "cholmod", "pardiso", "splu"]
SOLVER_NAMES: tuple[SolverName, ...] = get_args(SolverName)

NEEDS = {
    "pardiso": "an x86-64 processor and the extra 'fast' (pip install 'barwright[fast]'), or "
    "choose 'cholmod'",
    "cholmod": "the package cvxopt (pip install cvxopt), or choose 'splu'",
}

MAX_RESIDUAL = 1e-11
"""Largest backward error |K u - f| / (|K| |u| + |f|). A good solve leaves about 1e-15, however
slender the bar; |K u - f| / |f| would grow with slenderness and say nothing of the error.

Source: Higham, Accuracy and Stability of Numerical Algorithms (2002), ch. 7; from memory.
"""

SOLVING = {"cholmod": cholmod_solving, "pardiso": pardiso_solving, "splu": splu_solving}
PIVOTING: dict[str, Callable[[], Pivoting]] = {
    "cholmod": lambda: cholmod_pivoting(chain_pivoting()),
    "pardiso": pardiso_pivoting,
    "splu": lambda: splu_pivoted,
}


@dataclass(frozen=True, eq=False)
class Factor:
    """A factorised matrix.

    Attributes:
        solver: Which library made it.
        apply: Solves for right-hand sides (n, k) and returns (n, k).
        matrix: The matrix itself, for residuals.
    """

    solver: SolverName
    apply: Callable[[Floats], Floats]
    matrix: csr_array


def choose_solver(name: SolverName = "auto") -> SolverName:
    """Return cholmod, pardiso or splu; `auto` takes the fastest that can be used here.

    Raises:
        InputError: The solver required cannot be used on this machine.
    """
    if name not in SOLVER_NAMES:
        raise refuse("solver", f"is {name!r}; choose one of {', '.join(SOLVER_NAMES)}")
    usable: dict[SolverName, Callable[[], bool]] = {
        "pardiso": pardiso_usable,
        "cholmod": cholmod_usable,
        "splu": lambda: True,
    }
    if name == "auto":
        return next(one for one, can_be in usable.items() if can_be())
    if not usable[name]():
        raise refuse("solver", f"is {name!r}, which cannot be used here; it needs {NEEDS[name]}")
    return name


def factorise(matrix: csr_array, solver: SolverName = "auto") -> Factor:
    """Return the factor of a symmetric positive definite matrix (n, n).

    Raises:
        SolveError: The matrix is singular: the bar is not supported, or an element is broken.
        InputError: The solver required cannot be used here.
    """
    chosen = choose_solver(solver)
    try:
        apply = SOLVING[chosen](matrix)
    except RuntimeError as error:
        msg = f"the stiffness matrix cannot be factorised by {chosen}: {error}"
        raise SolveError(msg) from error
    return Factor(chosen, apply, matrix)


def pivoting(solver: SolverName = "auto") -> Pivoting:
    """Return what factorises symmetric matrices, one after the other.

    Only the last factor can be used: the next one takes its place. Matrices with entries at the
    same places are ordered once for all.

    Raises:
        InputError: The solver required cannot be used here.
        SolveError: From what is returned, for a singular matrix.
    """
    factorise_next = PIVOTING[choose_solver(solver)]()

    def make(matrix: csr_array) -> Pivoted:
        try:
            return factorise_next(matrix)
        except RuntimeError as error:
            raise SolveError(f"the tangent stiffness cannot be factorised: {error}") from error

    return make


def solve(factor: Factor, loads: Floats) -> tuple[Floats, float]:
    """Return the solution (n, k) of right-hand sides `loads` (n, k), and the worst backward error.

    Raises:
        SolveError: A residual is above `MAX_RESIDUAL` or not a number.
    """
    solution = factor.apply(loads)
    return solution, _worst_residual(factor.matrix, solution, loads)


def _worst_residual(matrix: csr_array, solution: Floats, loads: Floats) -> float:
    size = np.linalg.norm(abs(matrix) @ np.abs(solution), axis=0) + np.linalg.norm(loads, axis=0)
    missing = np.linalg.norm(matrix @ solution - loads, axis=0)
    worst = float(np.max(missing / np.where(size > 0, size, 1.0), initial=0.0))
    if not worst <= MAX_RESIDUAL:
        msg = (
            f"the solution leaves a backward error of {worst:.1e}, above {MAX_RESIDUAL:.0e}; "
            "the bar is not supported or an element is distorted"
        )
        raise SolveError(msg)
    return worst
