"""What the tests of this folder share."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from support.once import made_once

if TYPE_CHECKING:
    from support.preview_bars import Previewed


@pytest.fixture
def study_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A path for a study in an empty folder that is the current one."""
    monkeypatch.chdir(tmp_path)
    return tmp_path / "trial.toml"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty current folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(scope="session")
def previewed(tmp_path_factory: pytest.TempPathFactory) -> "Previewed":
    """Return a run with a preview, computed once for all workers."""
    # slow to import, and few tests need it
    from support.preview_bars import previewed_results, read_previewed

    return read_previewed(made_once(tmp_path_factory, "previewed", previewed_results))
