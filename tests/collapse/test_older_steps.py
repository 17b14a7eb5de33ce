"""Steps of a path that other sources or libraries made: told, traced again, kept until then."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from loadcases.path_control import PathControl
from studies.collapse import path_analysis
from studies.collapse.path_analysis import TraceOptions, trace_paths
from studies.collapse.path_gauges import PathGauges
from studies.collapse.stored_steps import resumed_path
from studies.files import provenance as made
from studies.files.checkpoints import (
    POSITION,
    STEPS,
    StoredPath,
    clear_store,
    drop_set_aside,
    set_aside_place,
    store_step,
    stored_path,
)
from studies.files.provenance import Provenance, provenance
from support.copies import copied, correct, sources_at
from support.pages import short_bar
from support.paths import short_run
from support.processes import ROOT, RUN
from support.stored_steps import position, steps, way

OTHER = "of another version of barwright or its libraries"


def stored(place: Path, count: int, made_by: Provenance | None = None, key: str = "key") -> None:
    """Store so many steps of a path."""
    for number, step in enumerate(steps()[:count], start=1):
        store_step(place, key, made_by or provenance("path"), number, step, position(), to=2.0)


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """Return a place with room for steps."""
    place = tmp_path / "collapse" / "push"
    clear_store(place)
    return place


def resumed(place: Path, key: str = "key") -> tuple[StoredPath | None, list[str]]:
    """Return the steps to continue from, and what is said."""
    said: list[str] = []
    return resumed_path(place, key, 2.0, way().equations, said.append, resume=True), said


def test_corrected_sources_have_no_stored_steps(place: Path, tmp_path: Path) -> None:
    """They are counted in a sentence that says where they stay."""
    stored(place, 2)
    found, said = resumed(place)
    assert found
    assert len(found.steps) == 2
    assert said == []
    copy = copied(tmp_path)
    correct(copy / "fea/collapse/plastic.py")
    with sources_at(copy):
        found, said = resumed(place)
    assert found is None
    kept = f"kept until then in {place.with_name('push@before')}"
    assert said == [f"push: 2 stored steps are {OTHER} and are computed again; {kept}"]


def test_a_changed_page_keeps_the_steps(place: Path, tmp_path: Path) -> None:
    """As does whatever judges a linear run."""
    stored(place, 2)
    copy = copied(tmp_path)
    correct(copy / "studies/page/templates/past_yield.html")
    correct(copy / "studies/assessment/limits.py")
    with sources_at(copy):
        found, said = resumed(place)
    assert found
    assert said == []


@pytest.mark.parametrize(
    ("made_by", "key", "words"),
    [
        (Provenance("0" * 64, {}), "key", OTHER),
        # names of inputs may have changed with the version
        (Provenance("0" * 64, {}), "another", OTHER),
        (None, "another", "1 stored step is of other inputs; the path is traced anew"),
    ],
)
def test_other_steps_are_told(
    place: Path, made_by: Provenance | None, key: str, words: str
) -> None:
    """By what differs; nothing is said where nothing lies."""
    assert resumed(place) == (None, [])
    stored(place, 1, made_by, key)
    found, said = resumed(place)
    assert found is None
    assert len(said) == 1
    assert words in said[0]


def test_another_library_has_no_stored_steps(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Such as a newer solver, where it was used."""
    monkeypatch.setattr(made, "library_version", lambda name: "1.0")
    stored(place, 1, provenance("path", "pardiso"))
    monkeypatch.setattr(made, "library_version", lambda name: "2" if name == "mkl" else "1.0")
    found, said = resumed(place)
    assert found is None
    assert OTHER in said[0]


def test_what_was_set_aside_stays_until_it_is_dropped(place: Path) -> None:
    """Also when the path that is to replace it begins anew; steps half-way there go."""
    stored(place, 3)
    content = (place / POSITION).read_bytes()
    clear_store(place)
    aside = set_aside_place(place)
    assert [one.name for one in place.iterdir()] == [STEPS]
    assert (aside / POSITION).read_bytes() == content
    stored(place, 1)
    clear_store(place)
    assert [one.name for one in place.iterdir()] == [STEPS]
    assert (aside / POSITION).read_bytes() == content
    assert len(list((aside / STEPS).iterdir())) == 3
    drop_set_aside(place)
    assert [one.name for one in place.parent.iterdir()] == ["push"]


@pytest.mark.parametrize("resume", [True, False])
@pytest.mark.parametrize("end", ["complete", "terminated", "interrupted"])
def test_older_steps_stay_until_the_path_is_complete(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, end: str, *, resume: bool
) -> None:
    """A path that is stopped, or ends early, replaces nothing."""
    place = tmp_path / "out" / "collapse" / "push"
    clear_store(place)
    stored(place, 3, Provenance("0" * 64, {}))
    aside, said = set_aside_place(place), list[str]()
    monkeypatch.setattr(path_analysis, "_begun", _begun)
    monkeypatch.setattr(path_analysis, "_steps", _ending(end))
    monkeypatch.setattr(path_analysis, "met_at_end", lambda *_: (None, None))
    study, options = short_run().study, TraceOptions(resume=resume, say=said.append)

    def trace() -> None:
        trace_paths(study, {"push": PathControl(2.0)}, tmp_path / "out", options)

    if end == "interrupted":
        with pytest.raises(KeyboardInterrupt):
            trace()
    else:
        trace()
    assert len(said) == 1
    assert aside.exists() == (end != "complete")
    if aside.exists():
        assert len(list((aside / STEPS).iterdir())) == 3
    found = stored_path(place, "key", 2.0, way().equations)
    assert found
    assert len(found.steps) == 1
    # resumed, it goes on from its own step, and only then is the older path gone
    monkeypatch.setattr(path_analysis, "_steps", _ending("complete"))
    options = TraceOptions(resume=True, say=said.append)
    trace()
    assert len(said) == 1
    assert not aside.exists()


def _begun(*arguments: object) -> tuple[object, object]:
    """Return what traces a path, without its mechanics."""
    push, place = arguments[2], arguments[3]
    tracing = path_analysis._Tracing(  # noqa: SLF001
        way(),
        None,
        None,
        None,
        place,
        "key",
        provenance("path"),
        push,
        False,  # type: ignore[arg-type]
        400.0,
        PathGauges((), (), np.zeros((0, 3)), np.zeros((0, 3))),
    )
    return tracing, position()


def _ending(end: str) -> Callable[..., object]:
    """Return what stores one step of a path, which ends in one way or another."""

    def trace(tracing: object, stored_before: StoredPath, report: object) -> object:
        stored(tracing.place, 1)  # type: ignore[attr-defined]
        if end == "interrupted":
            raise KeyboardInterrupt
        return list(steps()[:1]), position(), "no equilibrium" if end == "terminated" else None

    return trace


@pytest.mark.slow
def test_killed_while_it_is_traced_again_nothing_is_lost(tmp_path: Path) -> None:
    """Over a copy of the packages: a finished path, a correction, a kill, then to the end."""
    copy, path = copied(tmp_path), short_bar(tmp_path, "pier", 0.6)
    place = tmp_path / "results" / "pier" / "collapse" / "push"
    aside = set_aside_place(place)
    assert _started(path).wait(timeout=600) == 0
    before = {one.name: one.read_bytes() for one in (place / STEPS).iterdir()}
    correct(copy / "fea/collapse/plastic.py")
    process = _started(path, "--resume")
    until = time.monotonic() + 300
    while not (aside.exists() and (place / STEPS / "0003.npz").exists()):
        assert process.poll() is None, process.communicate()[1]
        assert time.monotonic() < until
        time.sleep(0.02)
    process.send_signal(signal.SIGKILL)
    process.communicate()
    assert {one.name: one.read_bytes() for one in (aside / STEPS).iterdir()} == before
    begun = {one.name: one.stat().st_mtime_ns for one in (place / STEPS).glob("[0-9]*.npz")}
    assert len(begun) < len(before)
    last = _started(path, "--resume")
    _, said = last.communicate(timeout=600)
    assert last.returncode == 0, said
    # the steps before the kill are the corrected program's own
    assert "another version" not in said
    assert not aside.exists()
    after = {one.name: one.stat().st_mtime_ns for one in (place / STEPS).iterdir()}
    assert after.keys() == before.keys()
    kept = sorted(begun)[:-1]
    assert {name: after[name] for name in kept} == {name: begun[name] for name in kept}


def _started(path: Path, *options: str) -> subprocess.Popen[str]:
    where = os.pathsep.join([str(path.parent / "copy"), str(ROOT / "tests")])
    call = ["collapse", path.name, "--case", "push", "--displacement-mm", "0.8", "--no-figures"]
    return subprocess.Popen(
        [sys.executable, "-c", RUN, *call, *options],
        cwd=path.parent,
        env={**os.environ, "PYTHONPATH": where},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
