"""A cluster whose workers would compute otherwise than this program is refused before it begins."""

from collections.abc import Callable
from typing import Any

import pytest

from geometry.errors import InputError
from studies.files.provenance import Provenance, provenance
from studies.files.version import barwright_version
from studies.sweeps import executors
from studies.sweeps.executors import _check_versions

HERE = provenance("design")
OTHER_NUMPY = {**HERE.libraries, "numpy": "1.0"}
NO_GMSH = {name: found for name, found in HERE.libraries.items() if name != "gmsh"}


class Client:
    """A cluster of one worker that answers what it is told to."""

    def __init__(self, theirs: Provenance | None) -> None:
        """Take what made its rows, None where it cannot say."""
        self.theirs = theirs

    def nthreads(self) -> dict[str, int]:
        """Return its workers."""
        return {"tcp://one:1": 1}

    def run_on_scheduler(self, ask: Callable[[], Any]) -> Any:
        """Answer as the scheduler."""
        return ask()

    def run(self, ask: Callable[[], Any], workers: list[str]) -> dict[str, Any]:
        """Answer as a worker."""
        if ask is barwright_version:
            return {workers[0]: barwright_version()}
        if self.theirs is None:
            raise AttributeError(ask.__name__)
        return {workers[0]: self.theirs}


def test_a_cluster_like_this_program_is_taken() -> None:
    """Also where it has more libraries."""
    _check_versions(Client(HERE))
    _check_versions(Client(Provenance(HERE.sources_sha256, {**HERE.libraries, "mkl": "1"})))


@pytest.mark.parametrize(
    ("theirs", "words"),
    [
        (None, "has other sources of barwright than here"),
        (Provenance("0" * 64, HERE.libraries), "has other sources of barwright than here"),
        (Provenance(HERE.sources_sha256, OTHER_NUMPY), "has numpy 1.0, and"),
        (Provenance(HERE.sources_sha256, NO_GMSH), "has gmsh none, and"),
    ],
)
def test_a_worker_of_others_is_refused_with_the_remedy(
    theirs: Provenance | None, words: str
) -> None:
    """In one sentence with the worker's name."""
    with pytest.raises(InputError, match=f"worker tcp://one:1 {words}.*install the same there"):
        _check_versions(Client(theirs))


def test_both_ask_for_the_same() -> None:
    """What a worker is asked is what is known here."""
    assert executors._provenance() == HERE  # noqa: SLF001
