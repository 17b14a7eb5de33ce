"""A small study that is saved again and again."""

from pathlib import Path

import pytest

from support.study_texts import cantilever

TEXT = """\
name = "wall-test"
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 25, wall_mm = 2.0 }]
""" + cantilever(90, 300).removeprefix("\n")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Return a study file."""
    path = tmp_path / "wall-test.toml"
    path.write_text(TEXT, encoding="utf-8")
    return path
