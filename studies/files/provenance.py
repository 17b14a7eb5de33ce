"""What made a stored result: the sources of this program, and the libraries its numbers rest on.

A version stays the same while a formula is corrected. So what is stored, to be reused later, holds
a hash of the sources that move its numbers and the versions of the numerical libraries, and is
computed again where either differs. Sources are read as they are installed, also from an archive.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Literal

Kind = Literal["results", "design", "path"]
"""What is stored: results of a run, a design of a sweep, the steps of a path."""

_MECHANICS = ("geometry", "loadcases", "fea")
_ASSESSED = (
    *_MECHANICS,
    *(f"studies/{name}" for name in ("study_file", "records", "assessment", "collapse", "results")),
)
_ON_THE_PAGE = (
    "curves",
    "faces",
    "limit_order",
    "packing",
    "path_scene",
    "path_steps",
    "scene",
    "view_fields",
)

COUNTED: dict[Kind, tuple[str, ...]] = {
    # comparisons read curves and the view's data out of the page
    "results": (
        *_ASSESSED,
        *(f"studies/page/{name}.py" for name in (*_ON_THE_PAGE, "report")),
        "studies/pictures/scale.py",
    ),
    "design": (*_ASSESSED, "studies/sweeps/rows.py", "studies/sweeps/worker.py"),
    # what the study file holds is part of a path's key as it was read
    "path": (*_MECHANICS, "studies/collapse", "studies/files/checkpoints.py"),
}
"""Packages and files whose content moves the numbers of each kind; wording outside them does not.
`tests/studies/test_provenance.py` holds that nothing is missing."""

LIBRARIES = ("gmsh", "scikit-fem", "numpy", "scipy")
SOLVER_LIBRARIES = {"cholmod": ("cvxopt",), "pardiso": ("pypardiso", "mkl")}
"""Distributions that numbers rest on: always, and with a solver."""

OTHER_VERSION = "another version of barwright or its libraries"


@dataclass(frozen=True)
class Provenance:
    """What made a stored result.

    Attributes:
        sources_sha256: Hash of the sources that move its numbers.
        libraries: Versions of the numerical libraries, by name.
    """

    sources_sha256: str
    libraries: Mapping[str, str]


def provenance(kind: Kind, solver: str = "") -> Provenance:
    """Return what makes a result of a kind here.

    Args:
        kind: What is stored.
        solver: Direct solver that was used, empty where nothing was solved.
    """
    return Provenance(sources_sha256(kind), numerical_libraries(solver))


def is_current(kind: Kind, made_by: Provenance) -> bool:
    """Return whether a stored result is what would be computed here.

    A library that is not installed here, such as another machine's solver, contradicts nothing:
    both solvers meet the same residual.
    """
    numerical = {*LIBRARIES, *(name for names in SOLVER_LIBRARIES.values() for name in names)}
    return made_by.sources_sha256 == sources_sha256(kind) and all(
        library_version(name) in ("", found)
        for name, found in made_by.libraries.items()
        if name in numerical
    )


@cache
def sources_sha256(kind: Kind) -> str:
    """Return the hash of the installed sources that move the numbers of a kind of result."""
    found = sha256()
    for name, content in counted_files(kind):
        # a checkout's line ends may differ between systems, and move nothing
        text = content.read_bytes().replace(b"\r\n", b"\n")
        found.update(f"{name}\0{len(text)}\0".encode())
        found.update(text)
    return found.hexdigest()


def counted_files(kind: Kind) -> list[tuple[str, Traversable]]:
    """Return path and file of each source that moves the numbers of a kind, in their order."""
    found = {name: file for entry in COUNTED[kind] for name, file in _files_of(entry)}
    return sorted(found.items(), key=lambda pair: pair[0])


def _files_of(entry: str) -> Iterator[tuple[str, Traversable]]:
    package, *parts = entry.split("/")
    place = files(package)
    for part in parts:
        place = place / part
    yield from _files_in(entry, place)


def _files_in(name: str, place: Traversable) -> Iterator[tuple[str, Traversable]]:
    if not place.is_dir():
        yield name, place
        return
    for item in place.iterdir():
        # compiled files follow from the sources; hidden ones are an editor's
        if item.name != "__pycache__" and not item.name.startswith("."):
            yield from _files_in(f"{name}/{item.name}", item)


def numerical_libraries(solver: str = "") -> dict[str, str]:
    """Return name and version of the installed libraries that numbers rest on."""
    names = (*LIBRARIES, *SOLVER_LIBRARIES.get(solver, ()))
    return {name: found for name in names if (found := library_version(name))}


@cache
def library_version(name: str) -> str:
    """Return the version of an installed distribution, empty where there is none."""
    try:
        return version(name)
    except PackageNotFoundError:
        return ""


def older_in_words(count: int, what: str) -> str:
    """Return what to say of stored results that are not reused.

    Args:
        count: How many.
        what: What each is, such as `stored design`.
    """
    if count == 1:
        return f"1 {what} is of {OTHER_VERSION} and is computed again"
    return f"{count} {what}s are of {OTHER_VERSION} and are computed again"
