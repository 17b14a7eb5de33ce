"""What a factorisation by pardiso costs beside its work."""

import glob

import numpy as np
import pytest
from scipy.sparse import csr_array, eye_array

from fea.solid.linear_solver import choose_solver, factorise
from geometry.errors import InputError

pytestmark = pytest.mark.slow


def test_its_library_is_searched_for_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first solver finds it among all files of the environment; the next ones know it."""
    try:
        choose_solver("pardiso")
    except InputError as error:
        pytest.skip(str(error))
    matrix = csr_array(2.0 * eye_array(5))
    factorise(matrix, "pardiso")

    def again(*_: object, **__: object) -> list[str]:
        pytest.fail("searched again")

    monkeypatch.setattr(glob, "glob", again)
    assert factorise(matrix, "pardiso").apply(np.ones((5, 1))) == pytest.approx(0.5)
