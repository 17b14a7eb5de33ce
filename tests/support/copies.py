"""A copy of the packages whose sources a test may change."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from studies.files import provenance
from support.processes import ROOT

PACKAGES = ("geometry", "loadcases", "fea", "studies")


def copied(folder: Path) -> Path:
    """Copy the packages into a folder, and return where they lie."""
    for name in PACKAGES:
        left_out = shutil.ignore_patterns("__pycache__")
        shutil.copytree(ROOT / name, folder / "copy" / name, ignore=left_out)
    return folder / "copy"


def correct(file: Path) -> None:
    """Change a source, as a correction would."""
    comment = "<!-- corrected -->" if file.suffix == ".html" else "# corrected"
    file.write_text(f"{file.read_text(encoding='utf-8')}\n{comment}\n", encoding="utf-8")


@contextmanager
def sources_at(copy: Path) -> Iterator[None]:
    """Let the hash of sources be that of a copy, read now."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(provenance, "files", copy.joinpath)
        provenance.sources_sha256.cache_clear()
        yield
    provenance.sources_sha256.cache_clear()
