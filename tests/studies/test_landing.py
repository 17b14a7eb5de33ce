"""The results folder: all files of a run or none, and nobody else's touched."""

import json
from pathlib import Path

import pytest

from geometry.errors import InputError
from studies.files.results_folder import check_folder, is_ours, land


def _results(folder: Path, mark: str = "new") -> None:
    (folder / "results.json").write_text(
        json.dumps({"format": "barwright-results", "mark": mark}), encoding="utf-8"
    )


def _mark(folder: Path) -> str:
    return str(json.loads((folder / "results.json").read_text(encoding="utf-8"))["mark"])


def _only(parent: Path, *names: str) -> bool:
    return {item.name for item in parent.iterdir()} == set(names)


def test_a_new_folder_appears_whole(tmp_path: Path) -> None:
    """Parents are made, and nothing but the folder is left."""
    land(tmp_path / "results" / "bar", _results)
    assert is_ours(tmp_path / "results" / "bar")
    assert _only(tmp_path / "results", "bar")


def test_a_rerun_replaces_its_own_files_only(tmp_path: Path) -> None:
    """Old figures go, a sweep's table and the user's notes stay."""
    folder = tmp_path / "bar"
    land(folder, lambda fresh: _results(fresh, "old"))
    (folder / "figures").mkdir()
    (folder / "figures" / "gone.png").touch()
    (folder / "designs.csv").write_text("1,2", encoding="utf-8")
    (folder / "notes").mkdir()
    (folder / "notes" / "mine.txt").touch()
    land(folder, _results)
    assert _mark(folder) == "new"
    assert _only(folder, "results.json", "designs.csv", "notes")
    assert (folder / "notes" / "mine.txt").exists()
    assert _only(tmp_path, "bar")


@pytest.mark.parametrize("fault", [KeyboardInterrupt, RuntimeError, OSError(28, "No space left")])
def test_a_failed_write_leaves_the_old_results(tmp_path: Path, fault: BaseException) -> None:
    """An interruption, a bug or a full disk: the earlier set stays as it was."""
    folder = tmp_path / "bar"
    land(folder, lambda fresh: _results(fresh, "old"))

    def fail(fresh: Path) -> None:
        _results(fresh)
        raise fault

    with pytest.raises((KeyboardInterrupt, RuntimeError, InputError)):
        land(folder, fail)
    assert _mark(folder) == "old"
    assert _only(tmp_path, "bar")


def test_a_full_disk_is_said_in_a_sentence(tmp_path: Path) -> None:
    """The system's reason stands in the message."""

    def fail(fresh: Path) -> None:
        raise OSError(28, "No space left on device")

    with pytest.raises(InputError, match="no space left on device"):
        land(tmp_path / "bar", fail)
    assert _only(tmp_path)


def test_a_folder_that_is_not_ours_is_refused(tmp_path: Path) -> None:
    """A folder with other files is left alone."""
    (tmp_path / "thesis.txt").touch()
    with pytest.raises(InputError, match="holds files and no results"):
        land(tmp_path, _results)
    assert _only(tmp_path, "thesis.txt")


@pytest.mark.parametrize("content", ["[1]", "{", '{"format": "other"}', '"barwright-results"'])
def test_a_strangers_results_json_is_not_ours(tmp_path: Path, content: str) -> None:
    """The name alone does not make a folder ours."""
    (tmp_path / "results.json").write_text(content, encoding="utf-8")
    with pytest.raises(InputError):
        check_folder(tmp_path)


def test_a_file_and_a_broken_link_are_refused(tmp_path: Path) -> None:
    """Neither can become a folder."""
    (tmp_path / "file").touch()
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    for name in ("file", "link"):
        with pytest.raises(InputError, match="name a"):
            check_folder(tmp_path / name)
    with pytest.raises(InputError, match="cannot be written"):
        check_folder(tmp_path / "file" / "below" / "deeper")


def test_results_of_another_study_file_stay(tmp_path: Path) -> None:
    """A copied study with its name unchanged does not replace the first one's results."""

    def write(fresh: Path) -> None:
        content = {"format": "barwright-results", "study": {"file": "first.toml"}}
        (fresh / "results.json").write_text(json.dumps(content), encoding="utf-8")

    land(tmp_path / "bar", write)
    check_folder(tmp_path / "bar", "first.toml")
    with pytest.raises(InputError, match=r"holds results of first\.toml"):
        check_folder(tmp_path / "bar", "copy.toml")


def test_strange_files_in_our_folders_stay(tmp_path: Path) -> None:
    """A photograph among the pictures is the user's, an old picture of ours is not."""
    folder = tmp_path / "bar"
    land(folder, _results)
    (folder / "figures").mkdir()
    for name in ("photo.jpg", "gone.png"):
        (folder / "figures" / name).touch()
    land(folder, _results)
    assert _only(folder / "figures", "photo.jpg")


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    """A folder made beforehand is no hindrance."""
    (tmp_path / "bar").mkdir()
    land(tmp_path / "bar", _results)
    assert _mark(tmp_path / "bar") == "new"
