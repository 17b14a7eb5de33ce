"""The square bar that is computed beside one out of square: record, terminal, page, check."""

import json
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

from geometry.grading import LEVELS
from studies.commands.main import main
from studies.commands.square_lines import square_lines
from studies.records.square import SquareRecord
from studies.study_file.variants import variant_of
from support.crude import CRUDE
from support.off_square import POINTS, READ, READ_BACK_MM, study_of


@pytest.fixture(scope="module")
def ran(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the results folder of a bar out of square, its terminal output beside it."""
    folder = tmp_path_factory.mktemp("off")
    study = study_of(POINTS, {**READ, "height_within_mm": 0.3, "bend": "knee"})
    (folder / "off.toml").write_text(variant_of(study, []).text, encoding="utf-8")
    (folder / "drawn.toml").write_text(variant_of(study_of(POINTS, None), []).text, "utf-8")
    with patch.dict(LEVELS, coarse=CRUDE):
        for name in ("off", "drawn"):
            where = ["--no-live", "--no-figures", "--out", str(folder / name)]
            assert main(["run", str(folder / f"{name}.toml"), *where]) == 0
    return folder


def _record(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "results.json").read_text(encoding="utf-8"))
    return found


def test_the_square_bar_stands_beside_it(ran: Path) -> None:
    """Its figures are those of a run of the study that is drawn square, to the bit."""
    off, drawn = _record(ran / "off"), _record(ran / "drawn")
    assert drawn["square"] is None
    (beside,), (own,), (other,) = off["square"]["cases"], off["cases"], drawn["cases"]
    assert beside["loads_on_side"]
    for name in ("deflection_mm", "governing_factor", "peak_stress_mpa"):
        assert beside[name] == other[name]
        change = 100 * (own[name] / other[name] - 1)
        key = f"{name.removesuffix('_mm').removesuffix('_mpa')}_change_percent"
        assert beside[key] == pytest.approx(change, abs=1e-9)
    # the left arm is longer and higher: it must show, and not by much
    assert 0.05 < beside["deflection_change_percent"] < 5


def test_the_page_shows_both(ran: Path) -> None:
    """Beside the inputs: what was read, and a row for each figure."""
    page = (ran / "off" / "report.html").read_text(encoding="utf-8")
    assert "Left end 2 ± 0.3 mm higher, 1 mm rearward, 0.5 mm further out" in page
    assert '<th scope="col">Square bar</th>' in page
    assert '<th scope="col">Square bar</th>' not in (ran / "drawn" / "report.html").read_text(
        "utf-8"
    )


def test_run_prints_the_difference(ran: Path) -> None:
    """One row a case, as `run` prints it, rebuilt from the record."""
    record = SquareRecord.model_validate(_record(ran / "off")["square"])
    text = "\n".join(square_lines(record))
    assert "left end 2 ± 0.3 mm higher, 1 mm rearward" in " ".join(text.split())
    deflection = record.cases[0].deflection_mm
    assert f"{deflection:.2f}" in text
    assert max(map(len, text.splitlines())) <= 80
    away = record.model_copy(
        update={"cases": [record.cases[0].model_copy(update={"loads_on_side": False})]}
    )
    assert "Case 1: no load on the left half" in "\n".join(square_lines(away))


def test_check_says_which_bends_turn(ran: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """For people and as JSON, with the differences read back."""
    assert main(["check", str(ran / "off.toml")]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "bend 2 knee: plane" in text
    assert "read back: height 2.000 mm, fore-aft -1.000 mm, length 0.500 mm" in text
    assert main(["check", str(ran / "off.toml"), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["bend_names"] == {"right": ["inner", "knee"], "left": ["inner", "knee"]}
    assert found["out_of_square"]["read_back"] == pytest.approx(READ, abs=READ_BACK_MM)
    assert found["out_of_square"]["angle_deg"][0] == 0
