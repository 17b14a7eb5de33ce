"""The steps of a path on disk: each as it is finished, and what the next one needs.

A step is written before the position that follows from it, so that a path that ends at any time
goes on from the last step whose position is whole: at most one step is computed again. Steps of an
earlier path are set aside until the one that replaces them is complete.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from io import BytesIO
from math import inf
from pathlib import Path
from shutil import rmtree
from typing import Any
from zipfile import BadZipFile

import numpy as np

from fea.collapse.equilibrium import Equations, point_at
from fea.collapse.middle_bend import MiddleBend
from fea.collapse.path import Passed, Position
from fea.collapse.path_run import Snapshot, Step
from fea.collapse.phase import Phase
from fea.collapse.plastic import State
from fea.collapse.reading import PathPoint, Reading
from fea.collapse.strain import StrainPeak
from geometry.errors import SolveError
from studies.files.atomic_files import unwritable, write_whole
from studies.files.format_version import older
from studies.files.provenance import Provenance, is_current

STEPS, POSITION = "steps", "position.npz"

BEFORE_END = "before-end.npz"
"""The position before a finished path's last step, which its end cut: a longer path goes on there,
for steps depend on nothing else of the end."""

SAME = 1e-9

FORMAT_VERSION = 4
"""Of the steps and the position; earlier ones held no number."""

RESUME = " with --resume"
"""What goes on from the steps at hand."""


@dataclass(frozen=True, eq=False)
class StoredPath:
    """The steps at hand, and where the path goes on."""

    steps: tuple[Step, ...]
    position: Position


@dataclass(frozen=True)
class StoredLabel:
    """Of which path the steps at hand are.

    Attributes:
        key: Hash of its inputs.
        made_by: Sources and libraries, None where they are not told.
        steps: How many there are.
        to: Deflection where it ends, or was to end.
    """

    key: str
    made_by: Provenance | None
    steps: int
    to: float


def clear_store(place: Path) -> None:
    """Make room for a path that begins anew; steps of an earlier one are set aside.

    Where some are aside already, those at hand are of a path that was to replace them and go.

    Raises:
        InputError: The folder cannot be written.
    """
    try:
        if (place / POSITION).exists() and not set_aside_place(place).exists():
            place.rename(set_aside_place(place))
        elif place.exists():
            rmtree(place)
        (place / STEPS).mkdir(parents=True)
    except OSError as error:
        raise unwritable(place.parent.parent, error, RESUME) from None


def set_aside_place(place: Path) -> Path:
    """Return where the steps of an earlier path lie until another replaces them."""
    return place.with_name(f"{place.name}@before")


def drop_set_aside(place: Path) -> None:
    """Remove what was set aside: the path that replaces it is complete."""
    rmtree(set_aside_place(place), ignore_errors=True)


def store_step(  # noqa: PLR0913 label, step and position, as they are stored
    place: Path,
    key: str,
    made_by: Provenance,
    number: int,
    step: Step,
    position: Position,
    *,
    to: float,
) -> None:
    """Write a step, counted from one, and the position after it.

    Args:
        place: Where they go.
        key: Hash of the path's inputs.
        made_by: What computes the path.
        number: Of the step.
        step: The step.
        position: Where the path goes on.
        to: Deflection where it ends; with a step there, the position before is kept as well.

    Raises:
        InputError: It cannot be written; the steps before it stay.
    """
    point, shown = position.point, step.snapshot
    reading = np.array(json.dumps(asdict(step.reading), default=_plain))
    looks = {"displacement_mm": shown.displacement_mm, "outer": shown.outer, "inner": shown.inner}
    after = {
        "unknowns": point.unknowns,
        "plastic": point.before.plastic,
        "equivalent": point.before.equivalent,
        "anchors_mm": point.before.anchors_mm,
        "numbers": np.array([point.factor, point.size, position.length, position.share, to]),
        "counts": np.array([number, position.segment]),
        "passed": np.array([(one.deflection, one.factor) for one in position.passed]),
        "passed_unknowns": np.array([one.unknowns for one in position.passed]),
        "format_version": np.array(FORMAT_VERSION),
        "key": np.array(key),
        "made_by": np.array(json.dumps(asdict(made_by))),
    }
    try:
        if step.reading.deflection >= to * (1 - SAME) and number > 1:
            write_whole(place / BEFORE_END, (place / POSITION).read_bytes())
        write_whole(_step(place, number), _packed({"reading": reading, **looks}))
        write_whole(place / POSITION, _packed(after))
    except OSError as error:
        raise unwritable(place.parent.parent, error, RESUME) from None


def stored_path(place: Path, key: str, to: float, equations: Equations) -> StoredPath | None:
    """Return the steps at hand from which a path goes on; None where there are none.

    Those of a path of the same key that has another end are its steps too, but for the last one
    of a finished path.

    Args:
        place: Where they lie.
        key: Hash of the path's inputs, its end aside; steps of other sources or libraries are of
            another path.
        to: Deflection where the path ends.
        equations: Of the path.

    Raises:
        InputError: They have an earlier format.
    """
    _refuse_older(place)
    label = stored_label(place)
    if label is None or label.key != key:
        return None
    if label.made_by is None or not is_current("path", label.made_by):
        return None
    own = abs(label.to - to) <= SAME * to
    whole = _stored_at(place, POSITION, equations)
    if own:
        return whole
    if whole and _furthest(whole) < min(label.to, to) * (1 - SAME):
        return whole
    cut = _stored_at(place, BEFORE_END, equations)
    return cut if cut and _furthest(cut) < to * (1 - SAME) else None


def _stored_at(place: Path, name: str, equations: Equations) -> StoredPath | None:
    """Return the steps up to a position, None where it or one of them is not whole."""
    try:
        with np.load(place / name) as found:
            position = _position(found, equations)
            count = int(found["counts"][0])
        steps = tuple(_read(_step(place, number)) for number in range(1, count + 1))
    except (OSError, ValueError, KeyError, TypeError, BadZipFile, SolveError):
        return None
    return StoredPath(steps, position)


def _furthest(stored: StoredPath) -> float:
    return max(step.reading.deflection for step in stored.steps)


def go_back(place: Path, count: int) -> None:
    """Take the first steps as all that there are: those before a finished path's last one.

    Raises:
        InputError: The folder cannot be written.
    """
    try:
        write_whole(place / POSITION, (place / BEFORE_END).read_bytes())
        for path in (*place.glob("step-*.vtu"), *(place / STEPS).glob("*.npz")):
            if int(path.stem.removeprefix("step-")) > count:
                path.unlink()
    except OSError as error:
        raise unwritable(place.parent.parent, error, RESUME) from None


def stored_label(place: Path) -> StoredLabel | None:
    """Return of which path the steps at hand are, None where there are none."""
    try:
        with np.load(place / POSITION) as found:
            told = json.loads(str(found["made_by"])) if "made_by" in found.files else None
            made_by = Provenance(**told) if told else None
            # earlier versions, whose steps depended on the end, did not say where it is
            to = found["numbers"][4] if len(found["numbers"]) > 4 else inf
            return StoredLabel(str(found["key"]), made_by, int(found["counts"][0]), float(to))
    except (OSError, ValueError, KeyError, TypeError, BadZipFile):
        return None


def _refuse_older(place: Path) -> None:
    try:
        with np.load(place / POSITION) as found:
            version = int(found["format_version"]) if "format_version" in found.files else 1
    except (OSError, ValueError, BadZipFile):
        return
    if version < FORMAT_VERSION:
        remedy = "move them away to keep them, and trace the path anew without --resume"
        raise older(place, version, FORMAT_VERSION, remedy)


def _position(found: Mapping[str, Any], equations: Equations) -> Position:
    factor, size, length, share = (float(number) for number in found["numbers"][:4])
    before, segment = _state(found), int(found["counts"][1])
    point = point_at(equations, found["unknowns"], factor, before, size)
    passed = tuple(
        Passed(float(at), unknowns, float(load))
        for (at, load), unknowns in zip(found["passed"], found["passed_unknowns"], strict=True)
    )
    return Position(point, segment, length, share, passed)


def _state(found: Mapping[str, Any]) -> State:
    return State(found["plastic"], found["equivalent"], found["anchors_mm"])


def _read(path: Path) -> Step:
    with np.load(path) as found:
        reading = json.loads(str(found["reading"]))
        shown = Snapshot(found["displacement_mm"], found["outer"], found["inner"])
    peaks = {name: StrainPeak(**_with_index(reading[name])) for name in ("strain", "edge")}
    arrays = {name: np.array(reading[name]).reshape(-1, 3) for name in ("moved_mm", "reactions_n")}
    arrays["dents_mm"] = np.array(reading["dents_mm"])
    bend = reading["bend"] and MiddleBend(*reading["bend"])
    values = {field.name: reading[field.name] for field in fields(Reading)}
    bifurcation = reading["bifurcation"] and tuple(
        PathPoint(*met) for met in reading["bifurcation"]
    )
    phase = Phase(reading["phase"])
    return Step(
        Reading(
            **{
                **values,
                **peaks,
                **arrays,
                "phase": phase,
                "bifurcation": bifurcation,
                "bend": bend,
            }
        ),
        shown,
    )


def _with_index(reading: dict[str, Any]) -> dict[str, Any]:
    return {**reading, "index": tuple(reading["index"])}


def _step(place: Path, number: int) -> Path:
    return place / STEPS / f"{number:04d}.npz"


def _packed(arrays: Mapping[str, Any]) -> bytes:
    buffer = BytesIO()
    np.savez_compressed(buffer, **arrays)
    return buffer.getvalue()


def _plain(value: Any) -> Any:
    return value.tolist() if isinstance(value, np.ndarray) else float(value)
