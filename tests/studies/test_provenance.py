"""What made a result: every source that moves its numbers counts, and nothing else does."""

import ast
import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from studies.files import provenance as made
from studies.files.provenance import (
    Kind,
    Provenance,
    counted_files,
    is_current,
    numerical_libraries,
    older_in_words,
    provenance,
    sources_sha256,
)
from support.copies import copied, correct, sources_at
from support.processes import ROOT, python

KINDS: tuple[Kind, ...] = ("results", "design", "path")

BEGINNINGS: dict[Kind, tuple[str, ...]] = {
    "results": ("studies.results.record", "studies.page.scene", "studies.page.curves"),
    "design": ("studies.sweeps.worker",),
    "path": ("studies.collapse.path_analysis", "studies.files.checkpoints"),
}
"""Where the numbers of each kind begin to be made."""

UNCOUNTED: dict[str, str] = {
    "studies/files/": "writes and finds files",
    "studies/page/chart.py": "draws",
}
"""What they import and what moves no number, and why."""

READ_BEFORE = ("studies/study_file/", "studies/records/", "studies/assessment/")
"""Packages whose part in a path is its inputs, which its key holds, and words."""


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a copy of the packages."""
    return copied(tmp_path_factory.mktemp("packages"))


def hash_of(copy: Path, kind: Kind) -> str:
    """Return the hash of the sources of a copy."""
    with sources_at(copy):
        return sources_sha256(kind)


def imported(module: str) -> Iterator[str]:
    """Yield the names that a module of ours may import, within functions too."""
    path = ROOT / (module.replace(".", "/") + ".py")
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def reached(*beginnings: str) -> set[str]:
    """Return the files of all modules of ours that some modules import, by any way."""
    found, left = set[str](), list(beginnings)
    while left:
        file = (module := left.pop()).replace(".", "/") + ".py"
        if file not in found and (ROOT / file).is_file():
            found.add(file)
            left += imported(module)
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_every_source_that_makes_numbers_counts(kind: Kind) -> None:
    """Whatever is imported on the way to a result counts, but for what is named with a reason."""
    counted = {name for name, _ in counted_files(kind)}
    free = (*UNCOUNTED, *(READ_BEFORE if kind == "path" else ()))
    missing = {file for file in reached(*BEGINNINGS[kind]) - counted if not file.startswith(free)}
    assert len(counted) > 100
    assert not missing


@pytest.mark.parametrize("kind", KINDS)
def test_catalogues_count(kind: Kind) -> None:
    """Materials and load cases are numbers in files of data."""
    counted = {name for name, _ in counted_files(kind)}
    data = [*ROOT.glob("geometry/materials/*.toml"), *ROOT.glob("loadcases/cases/*.toml")]
    assert len(data) > 20
    assert {path.relative_to(ROOT).as_posix() for path in data} <= counted


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_any_counted_file_changes_the_hash(copy: Path, kind: Kind, data: st.DataObject) -> None:
    """A byte more, or the file gone or named otherwise; put back, the hash is what it was."""
    names = [name for name, _ in counted_files(kind)]
    file = copy / data.draw(st.sampled_from(names))
    content, before = file.read_bytes(), hash_of(copy, kind)
    place = data.draw(st.integers(0, len(content)))
    try:
        file.write_bytes(content[:place] + b"#" + content[place:])
        more = hash_of(copy, kind)
        file.write_bytes(content)
        elsewhere = file.rename(file.with_name("renamed.py")) if file.parent != copy else file
        renamed = hash_of(copy, kind) if _in_a_folder(file, copy, kind) else "renamed"
        elsewhere.rename(file)
    finally:
        file.write_bytes(content)
    assert len({before, more, renamed}) == 3
    assert hash_of(copy, kind) == before == sources_sha256(kind)


def _in_a_folder(file: Path, copy: Path, kind: Kind) -> bool:
    """Return whether a file counts as one of a folder, and not by its own name."""
    return file.relative_to(copy).as_posix() not in made.COUNTED[kind]


@pytest.mark.parametrize(
    ("file", "kinds"),
    [
        ("studies/page/templates/report.html", ()),
        ("studies/page/web/view.js", ()),
        ("studies/page/answers.py", ()),
        ("studies/pictures/palette.py", ()),
        ("studies/commands/run.py", ()),
        ("studies/examples/harbour-riser.toml", ()),
        ("studies/sweeps/sweep_page.py", ()),
        ("studies/page/curves.py", ("results",)),
        ("studies/sweeps/worker.py", ("design",)),
        ("studies/files/checkpoints.py", ("path",)),
        ("studies/assessment/limits.py", ("results", "design")),
        ("studies/study_file/study.py", ("results", "design")),
        ("studies/collapse/path_analysis.py", KINDS),
        ("geometry/materials/al-7075-t6.toml", KINDS),
        ("loadcases/load.py", KINDS),
        ("fea/solid/kernels.py", KINDS),
    ],
)
def test_what_a_change_throws_away(copy: Path, file: str, kinds: tuple[Kind, ...]) -> None:
    """Looks throw nothing away; mechanics all; what lies between, what it makes."""
    content = (copy / file).read_bytes()
    before = {kind: hash_of(copy, kind) for kind in KINDS}
    try:
        with (copy / file).open("ab") as end:
            end.write(b"\n")
        after = {kind: hash_of(copy, kind) for kind in KINDS}
    finally:
        (copy / file).write_bytes(content)
    assert {kind for kind in KINDS if before[kind] != after[kind]} == set(kinds)


def test_line_ends_and_compiled_files_change_nothing(copy: Path) -> None:
    """A checkout of another system is the same program, before and after it ran."""
    file = copy / "fea/solid/kernels.py"
    content, before = file.read_bytes(), hash_of(copy, "design")
    (copy / "fea/solid/__pycache__").mkdir()
    (copy / "fea/solid/__pycache__/kernels.pyc").write_bytes(b"x")
    file.write_bytes(content.replace(b"\n", b"\r\n"))
    try:
        assert hash_of(copy, "design") == before
    finally:
        file.write_bytes(content)
        shutil.rmtree(copy / "fea/solid/__pycache__")


def test_packages_in_an_archive_have_the_same_hash(copy: Path, tmp_path: Path) -> None:
    """Imported from a zip, as from a folder."""
    archive = tmp_path / "packages.zip"
    with zipfile.ZipFile(archive, "w") as made_archive:
        for path in sorted(copy.rglob("*")):
            made_archive.write(path, path.relative_to(copy))
    code = (
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "from studies.files import provenance as p\n"
        "assert '.zip' in p.__file__\n"
        "print(*(p.sources_sha256(kind) for kind in p.COUNTED))"
    )
    done = python(code, str(archive))
    assert done.stdout.split() == [sources_sha256(kind) for kind in made.COUNTED], done.stderr


def test_read_once_a_process(copy: Path, tmp_path: Path) -> None:
    """A source that is edited while the program runs is not what runs."""
    other = tmp_path / "copy"
    shutil.copytree(copy, other)
    with sources_at(other):
        first = sources_sha256("design")
        correct(other / "fea/solid/kernels.py")
        assert sources_sha256("design") == first


def test_libraries_are_those_that_made_the_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Always the same four, and the solver's own where it was used."""
    monkeypatch.setattr(made, "library_version", lambda name: f"{name}-1")
    assert set(numerical_libraries("splu")) == {"gmsh", "scikit-fem", "numpy", "scipy"}
    assert set(numerical_libraries("pardiso")) - set(numerical_libraries()) == {"pypardiso", "mkl"}
    monkeypatch.setattr(made, "library_version", lambda name: "")
    assert numerical_libraries("pardiso") == {}


@pytest.mark.parametrize("name", ["numpy", "scipy", "scikit-fem", "gmsh", "mkl"])
def test_another_version_of_a_library_is_not_current(
    monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """One that is not here contradicts nothing, nor does one that moves no number."""
    here = provenance("design", "pardiso")
    assert is_current("design", here)
    assert not is_current("design", Provenance("0" * 64, here.libraries))
    stored = {**here.libraries, name: "0.0.1"}
    monkeypatch.setattr(made, "library_version", lambda asked: "" if asked == name else "2.0")
    everywhere = dict.fromkeys(stored, "2.0")
    assert is_current("design", Provenance(here.sources_sha256, {**everywhere, name: "0.0.1"}))
    monkeypatch.setattr(made, "library_version", lambda asked: "2.0")
    assert not is_current("design", Provenance(here.sources_sha256, {**everywhere, name: "0.0.1"}))
    assert is_current("design", Provenance(here.sources_sha256, {**everywhere, "pyvista": "0.1"}))


def test_the_sentence_counts() -> None:
    """One, and many."""
    assert older_in_words(1, "stored design") == (
        "1 stored design is of another version of barwright or its libraries and is computed again"
    )
    assert older_in_words(12, "stored design").startswith("12 stored designs are of another")
