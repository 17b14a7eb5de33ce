"""A dose of the kills: the script tells what is lost, and nothing is."""

import json
from pathlib import Path

import pytest

from kills.commands import Place, damage, same
from kills.killed_commands import main


@pytest.mark.slow
@pytest.mark.parametrize("line", ["run", "collapse", "two at once", "files full"])
def test_nothing_is_lost_by_a_few_kills(line: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Two of a command; the whole table is a matter of hours."""
    assert main(["--quick", "--share", "0.1", "--only", line]) == 0
    assert f"\n{line}" in capsys.readouterr().out


def test_what_is_lost_is_told(tmp_path: Path) -> None:
    """Other numbers, a note that is gone, and what is left over."""
    place = Place(tmp_path, real=False)
    place.results.mkdir(parents=True)
    (tmp_path / "reference.json").write_text('{"peak": 1.0}', encoding="utf-8")
    (place.results / "results.json").write_text('{"peak": 1.1, "seconds": 3}', encoding="utf-8")
    (place.results.parent / ".pier.new-abcdefgh").mkdir()
    lost = damage("run", place, after="the next command")
    assert len(lost) == 4
    assert "left over" in lost[-1]
    assert same(json.loads('{"a": [1.0, "x"]}'), {"a": [1.0 + 1e-12, "x"]})
