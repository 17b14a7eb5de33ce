"""`barwright collapse` from outside: what it writes and prints, how it ends, how it goes on."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from studies.commands.main import main
from studies.records.case import ResultsRecord
from support.pages import short_bar
from support.processes import ROOT, RUN


def bar(folder: Path) -> Path:
    """Write the short bar whose first case is pushed from three times its load to 1.1 mm."""
    path = short_bar(folder, "pier", 0.6)
    text = path.read_text(encoding="utf-8")
    table = "band_mm = 20 }]\ncollapse = { displacement_mm = 1.1, unload_at = [3.0] }\n"
    path.write_text(text.replace("band_mm = 20 }]\n", table, 1), encoding="utf-8")
    return path


def started(path: Path, *options: str) -> subprocess.Popen[str]:
    """Start the command in a process of its own."""
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    call = [sys.executable, "-c", RUN, "collapse", str(path), "--no-figures", *options]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    return subprocess.Popen(call, cwd=path.parent, env=env, text=True, **pipes)  # type: ignore[call-overload,no-any-return]


def ended_after(path: Path, steps: int, sign: signal.Signals) -> tuple[int, str]:
    """Start it, end it by a signal once so many steps are kept; return exit code and messages."""
    place = path.parent / "results" / "pier" / "collapse" / "push" / "steps"
    process = started(path)
    until = time.monotonic() + 300
    while not (place / f"{steps:04d}.npz").exists():
        assert process.poll() is None, process.communicate()[1]
        assert time.monotonic() < until
        time.sleep(0.05)
    process.send_signal(sign)
    _, said = process.communicate(timeout=120)
    return process.returncode, said


def results(path: Path) -> ResultsRecord:
    """Return what was written."""
    text = (path.parent / "results" / "pier" / "results.json").read_text(encoding="utf-8")
    return ResultsRecord.model_validate_json(text)


@pytest.mark.slow
def test_killed_and_resumed_it_walks_the_undisturbed_path(tmp_path: Path) -> None:
    """Killed, stopped by hand, then resumed: the same curve to round-off, one set of files."""
    for name in ("whole", "broken"):
        (tmp_path / name).mkdir()
    whole, broken = bar(tmp_path / "whole"), bar(tmp_path / "broken")
    assert started(whole).wait(timeout=600) == 0
    code, _ = ended_after(broken, 4, signal.SIGKILL)
    assert code == -signal.SIGKILL
    # whatever a kill leaves half-written goes
    place = broken.parent / "results" / "pier" / "collapse" / "push"
    (place / "steps" / ".0005.npz.new").write_bytes(b"half")
    assert not (broken.parent / "results" / "pier" / "results.json").exists()
    process = started(broken, "--resume")
    out, said = process.communicate(timeout=600)
    assert process.returncode == 0, said
    one, other = (results(path).cases[0].collapse for path in (whole, broken))
    assert one is not None
    assert other is not None
    assert len(one.curve.load_n or []) > 12
    for key, values in one.curve.model_dump().items():
        if values is not None and key not in {"phase", "cycle", "negative_pivots"}:
            assert getattr(other.curve, key) == pytest.approx(values, rel=1e-9, abs=1e-12), key
    assert other.curve.phase == one.curve.phase
    assert other.curve.cycle == one.curve.cycle
    assert other.text == one.text
    assert other.unloadings[0].permanent_set_mm == pytest.approx(
        one.unloadings[0].permanent_set_mm, rel=1e-9
    )
    assert (one.unloadings[0].permanent_set_mm or 0.0) > 0.01
    assert "Past yield: 1" in out
    files = sorted(file.name for file in place.rglob("*") if file.is_file())
    count = len(one.curve.phase)
    assert [name for name in files if name.startswith(".")] == []
    assert len([name for name in files if name.endswith(".vtu")]) == count
    # beside the steps the position at the end, and that from which a longer path goes on
    assert len([name for name in files if name.endswith(".npz")]) == count + 2


@pytest.mark.slow
def test_stopped_by_hand_it_says_what_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 130; then `run` with --resume walks on, and a plain `run --case` leaves it."""
    path = bar(tmp_path)
    code, said = ended_after(path, 3, signal.SIGINT)
    assert code == 130
    assert "the finished steps are stored" in said
    assert "--resume continues" in said
    assert "Traceback" not in said
    monkeypatch.chdir(tmp_path)
    assert main(["run", str(path), "--no-figures", "--resume", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["cases"]
    (case,) = [one for one in told if one["collapse"]]
    assert case["id"] == "push"
    curve = case["collapse"]["curve"]
    assert len(curve["load_n"]) == len(curve["deflection_mm"]) == len(curve["plastic_strain"])
    # three times the load was gone up to, not the load itself
    assert case["collapse"]["permanent_set_mm"] is None
    assert case["collapse"]["unloadings"][0]["permanent_set_mm"] > 0.01
    page = (tmp_path / "results" / "pier" / "report.html").read_text(encoding="utf-8")
    assert "Traceback" not in page


def test_the_command_is_light_to_ask(capsys: pytest.CaptureFixture[str]) -> None:
    """Its options are told without loading the mechanics."""
    assert main(["collapse", "--help"]) == 0
    told = capsys.readouterr().out
    for option in ("--case", "--displacement-mm", "--imperfection", "--resume"):
        assert option in told


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--case", "posh"], ["--case", "push"]),
        (["--displacement-mm", "-1"], ["--displacement-mm", "above 0"]),
        (["--imperfection", "500"], ["--imperfection", "at most 100"]),
        (["--set", "bar.stations.*.wal_mm=2"], ["wal_mm"]),
        (["--solver", "best"], ["--solver"]),
    ],
)
def test_bad_options_end_in_a_sentence(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    options: list[str],
    words: list[str],
) -> None:
    """Exit code 2 and no folder."""
    path = bar(tmp_path)
    monkeypatch.chdir(tmp_path)
    assert main(["collapse", str(path), *options]) == 2
    said = capsys.readouterr().err
    for word in words:
        assert word in said
    assert not (tmp_path / "results").exists()
