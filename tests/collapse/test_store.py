"""The steps of a path on disk: as they were, whole or not there, and of that very path."""

import csv
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path
from shutil import rmtree

import meshio
import numpy as np
import pytest

from fea.collapse.middle_bend import MiddleBend
from geometry.errors import InputError
from loadcases.path_control import PathControl
from studies.collapse.stored_steps import path_key, resumed_path
from studies.files.checkpoints import (
    POSITION,
    STEPS,
    clear_store,
    set_aside_place,
    store_step,
    stored_path,
)
from studies.files.provenance import provenance
from studies.files.step_series import write_lists, write_step
from support.paths import UNIT_N, path_of, short_mesh, short_run, usual
from support.stored_steps import position, steps, way


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """Two steps kept in a results folder."""
    place = tmp_path / "collapse" / "push"
    clear_store(place)
    for number, step in enumerate(steps()[:2], start=1):
        store_step(place, "key", provenance("path"), number, step, position(), to=2.0)
    return place


def test_what_is_kept_comes_back_to_the_last_bit(place: Path) -> None:
    """Readings, looks, and all that the next step needs."""
    found = stored_path(place, "key", 2.0, way().equations)
    assert found is not None
    for given, back in zip(steps()[:2], found.steps, strict=True):
        assert repr(back.reading) == repr(given.reading)
        assert back.reading.strain.index == (3, 4, 0)
        np.testing.assert_array_equal(back.snapshot.displacement_mm, given.snapshot.displacement_mm)
        np.testing.assert_array_equal(back.snapshot.outer, given.snapshot.outer)
    wanted = position()
    assert (found.position.segment, found.position.length, found.position.share) == (2, 0.125, 0.5)
    one, other = found.position.point, wanted.point
    assert (one.factor, one.size) == (0.75, other.size)
    np.testing.assert_array_equal(one.unknowns, other.unknowns)
    np.testing.assert_array_equal(one.before.equivalent, other.before.equivalent)
    np.testing.assert_array_equal(one.response.forces, other.response.forces)
    for before, after in zip(wanted.passed, found.position.passed, strict=True):
        assert (after.deflection, after.factor) == (before.deflection, before.factor)
        np.testing.assert_array_equal(after.unknowns, before.unknowns)
    start = replace(wanted, passed=())
    store_step(place, "key", provenance("path"), 3, steps()[2], start, to=2.0)
    again = stored_path(place, "key", 2.0, way().equations)
    assert again is not None
    assert again.position.passed == ()


def test_dents_and_a_bent_middle_come_back_too(place: Path) -> None:
    """Of a ram's path, and of a tube under couples."""
    bend = MiddleBend(2e5, 80.0, 1e-3, 5.0, 0.05, None)
    one, step = {"indentation_mm": 0.3, "dents_mm": np.array([0.1, 0.2]), "bend": bend}, steps()[2]
    given = replace(step, reading=replace(step.reading, **one))
    store_step(place, "key", provenance("path"), 3, given, position(), to=2.0)
    found = stored_path(place, "key", 2.0, way().equations)
    assert found is not None
    assert repr(found.steps[2].reading) == repr(given.reading)


def test_steps_of_another_path_are_not_taken(place: Path) -> None:
    """Nor half a position, nor one whose steps are not all there."""
    assert stored_path(place, "other", 2.0, way().equations) is None
    whole = (place / POSITION).read_bytes()
    (place / POSITION).write_bytes(whole[: len(whole) // 2])
    assert stored_path(place, "key", 2.0, way().equations) is None
    (place / POSITION).write_bytes(whole)
    (place / STEPS / "0001.npz").unlink()
    assert stored_path(place, "key", 2.0, way().equations) is None
    assert stored_path(place.with_name("nothing"), "key", 2.0, way().equations) is None


def test_a_step_without_its_position_is_walked_again(place: Path) -> None:
    """As after a kill between the two files."""
    position_after_two = (place / POSITION).read_bytes()
    store_step(place, "key", provenance("path"), 3, steps()[2], position(), to=2.0)
    (place / POSITION).write_bytes(position_after_two)
    found = stored_path(place, "key", 2.0, way().equations)
    assert found is not None
    assert len(found.steps) == 2


def test_beginning_anew_clears_what_was_there(place: Path) -> None:
    """Of this case, and of no other."""
    other = place.with_name("pull")
    clear_store(other)
    clear_store(place)
    assert [one.name for one in place.iterdir()] == [STEPS]
    assert other.is_dir()


def test_a_full_disk_is_said_with_what_goes_on(
    place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And leaves the steps before it."""

    def full(path: Path, content: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("studies.files.checkpoints.write_whole", full)
    with pytest.raises(InputError, match=r"no space left on device.*again with --resume"):
        store_step(place, "key", provenance("path"), 3, steps()[2], position(), to=2.0)
    monkeypatch.undo()
    assert stored_path(place, "key", 2.0, way().equations) is not None


def test_a_path_is_known_by_all_that_goes_into_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not by names, masses or titles, its end, nor by further paths of other amplitudes."""
    monkeypatch.setattr("fea.solid.linear_solver.pardiso_usable", lambda: True)
    study = short_run().study
    placed, push = study.cases[0], PathControl(2.0)
    key = path_key(study, placed, push)
    bar = replace(study.bar, spec=replace(study.bar_spec, name="other", measured_mass_g=31.0))
    assert path_key(replace(study, bar=bar), placed, push) == key
    assert path_key(study, placed, replace(push, displacement=2.1)) == key
    assert path_key(study, placed, replace(push, knock_down_percent=(5.0,))) == key
    others = [
        path_key(study, study.cases[1], push),
        path_key(study, placed, replace(push, unload_at=(1.1,))),
        path_key(study, placed, replace(push, mesh="fine")),
        path_key(study, placed, push, "splu"),
        path_key(study, placed, replace(push, imperfection_percent=1.0)),
        path_key(replace(study, clamp=replace(study.clamp, width_mm=41.0)), placed, push),
        path_key(
            replace(study, bar=replace(study.bar, spec=replace(study.bar_spec, blend_mm=4.0))),
            placed,
            push,
        ),
    ]
    assert len({key, *others}) == 8


def test_the_series_is_read_by_viewers(tmp_path: Path) -> None:
    """The list names each file in its order; a file holds what the step looks like."""
    shown, mesh = steps(), short_mesh()
    for number in (1, 2):
        write_step(tmp_path, number, mesh, shown[number].snapshot)
    write_lists(tmp_path, shown[1:3], UNIT_N, by_moments=False)
    listed = ET.parse(tmp_path / "path.pvd").getroot().findall("Collection/DataSet")  # noqa: S314
    assert [one.get("timestep") for one in listed] == ["1", "2"]
    second = meshio.read(tmp_path / str(listed[1].get("file")))
    np.testing.assert_array_equal(
        second.point_data["displacement_mm"], shown[2].snapshot.displacement_mm
    )
    on_outer = mesh.block[:, 2] == 1
    np.testing.assert_allclose(
        second.point_data["plastic_strain"][on_outer],
        shown[2].snapshot.outer[mesh.owner[on_outer]],
        rtol=1e-6,
    )
    assert not list(tmp_path.glob(".*"))


@pytest.mark.parametrize(
    ("by_moments", "heads", "load", "move"),
    [
        (False, "load_n,deflection_mm", 320.0, 0.2),
        (True, "moment_nmm,rotation_deg", 320.0, 11.459156),
    ],
)
def test_the_curve_is_a_table(
    tmp_path: Path, heads: str, load: float, move: float, *, by_moments: bool
) -> None:
    """One row a step, units in the heads."""
    write_lists(tmp_path, path_of(usual()).steps, UNIT_N, by_moments=by_moments)
    text = (tmp_path / "curve.csv").read_text(encoding="utf-8")
    assert heads in text.splitlines()[0]
    rows = list(csv.reader(text.splitlines()))
    assert len(rows) == 1 + len(usual())
    assert [float(value) for value in rows[2][4:6]] == pytest.approx([load, move], rel=1e-7)


def test_steps_of_an_earlier_format_are_refused(place: Path) -> None:
    """In one sentence with what to do, whatever path they are of; none of them goes."""
    before = sorted(place.rglob("*"))
    with np.load(place / POSITION) as found:
        old = {name: found[name] for name in found.files if name != "format_version"}
    np.savez_compressed(place / POSITION, **old)
    for key in ("key", "other"):
        with pytest.raises(InputError, match="has format 1, this version reads format 4; move"):
            stored_path(place, key, 2.0, way().equations)
    assert sorted(place.rglob("*")) == before


def finished(place: Path) -> None:
    """Keep a path of ten steps to its end at 2.0 mm, the last step from 1.3 mm on."""
    rmtree(place)
    clear_store(place)
    for number, step in enumerate(steps(), start=1):
        made = replace(position(), length=0.1 * number)
        store_step(place, "key", provenance("path"), number, step, made, to=2.0)
        write_step(place, number, short_mesh(), step.snapshot)


@pytest.mark.parametrize(("to", "count"), [(2.0, 10), (3.0, 9), (1.5, 9), (1.3, None), (1.0, None)])
def test_a_path_with_another_end_goes_on_before_the_last_step(
    place: Path, to: float, count: int | None
) -> None:
    """That one its end had cut; the others depend on the bar alone."""
    finished(place)
    found = stored_path(place, "key", to, way().equations)
    assert (len(found.steps) if found else None) == count
    if found and count:
        assert found.position.length == pytest.approx(0.1 * count)
    assert stored_path(place, "other", to, way().equations) is None


def test_a_path_that_was_stopped_goes_on_to_any_end_beyond(place: Path) -> None:
    """Its last step was not cut; there is no position before."""
    for to in (0.3, 2.0, 3.0):
        found = stored_path(place, "key", to, way().equations)
        assert found is not None
        assert len(found.steps) == 2
    assert stored_path(place, "key", 0.15, way().equations) is None


@pytest.mark.parametrize(
    ("to", "resume", "words", "count"),
    [
        (3.0, False, "push: continues from 9 stored steps of a path with another end", 9),
        (1.5, True, "push: continues from 9 stored steps of a path with another end", 9),
        (2.0, True, "", 10),
        (2.0, False, "10 stored steps are not used without --resume; the path is traced anew", 0),
        (1.0, True, "10 stored steps are of a longer path; the path is traced anew", 0),
    ],
)
def test_what_becomes_of_stored_steps_is_said(
    place: Path, to: float, words: str, count: int, *, resume: bool
) -> None:
    """A longer path always goes on; what is not gone on from stays until the new path stands."""
    finished(place)
    said: list[str] = []
    found = resumed_path(place, "key", to, way().equations, said.append, resume=resume)
    assert len(found.steps if found else ()) == count
    assert len(said) == bool(words)
    assert words in "".join(said)
    kept = count or 10
    for pattern, folder in (("step-*.vtu", place), ("*.npz", place / STEPS)):
        assert len(list(folder.glob(pattern))) == kept
    if not count:
        assert f"kept until then in {set_aside_place(place)}" in said[0]
    again = stored_path(place, "key", to, way().equations)
    assert len(again.steps if again else ()) == (count or (10 if to == 2.0 else 0))
