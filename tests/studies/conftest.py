"""What the tests of this folder share."""

from pathlib import Path

import pytest


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
