"""The switch with which the checks refuse skipped tests."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

CONFTEST = Path(__file__).with_name("conftest.py")
SKIPS = {
    "a mark": "import pytest\n@pytest.mark.skip('why')\ndef test_a(): pass\n",
    "a call": "import pytest\ndef test_a(): pytest.skip('why')\n",
    "a file": "import pytest\npytest.importorskip('no_such_library')\ndef test_a(): pass\n",
}


def _exit_code(folder: Path, test: str, no_skips: str) -> int:
    shutil.copy(CONFTEST, folder)
    (folder / "test_a.py").write_text(test, encoding="utf-8")
    (folder / "test_b.py").write_text("def test_b(): pass\n", encoding="utf-8")
    (folder / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(folder)]
    environment = {**os.environ, "BARWRIGHT_NO_SKIPS": no_skips}
    return subprocess.run(command, env=environment, check=False, capture_output=True).returncode


@pytest.mark.parametrize("test", SKIPS.values(), ids=SKIPS)
def test_a_skip_fails_where_the_switch_is_set(tmp_path: Path, test: str) -> None:
    """A skipped test or file fails the run, however it was skipped."""
    assert _exit_code(tmp_path, test, "1") != 0


def test_a_skip_passes_without_the_switch(tmp_path: Path) -> None:
    """Without the switch a skip is a skip."""
    assert _exit_code(tmp_path, SKIPS["a mark"], "") == 0


def test_a_skip_fails_in_the_folder_that_the_switch_names(tmp_path: Path) -> None:
    """Where a folder is named skips elsewhere are skips, those in it are failures."""
    assert _exit_code(tmp_path, SKIPS["a call"], "test_a") != 0
    assert _exit_code(tmp_path, SKIPS["a file"], "test_a") != 0
    assert _exit_code(tmp_path, SKIPS["a call"], "test_b") == 0


def test_an_expected_failure_is_no_skip(tmp_path: Path) -> None:
    """The switch leaves tests alone that are marked as expected to fail."""
    test = "import pytest\n@pytest.mark.xfail\ndef test_a(): raise ValueError\n"
    assert _exit_code(tmp_path, test, "1") == 0
