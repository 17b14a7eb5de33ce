"""Which stored steps a path continues from: those of the same inputs, sources and libraries.

Where a path ends is none of these inputs, for its steps do not depend on it: a longer path
continues from a shorter one.
"""

from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from fea.collapse.equilibrium import Equations
from fea.solid.linear_solver import SolverName, choose_solver
from loadcases.case import PlacedCase
from loadcases.path_control import PathControl
from studies.files.checkpoints import (
    FORMAT_VERSION,
    StoredLabel,
    StoredPath,
    go_back,
    set_aside_place,
    stored_label,
    stored_path,
)
from studies.files.provenance import is_current, older_in_words
from studies.study_file.study import Study


def path_key(
    study: Study, placed: PlacedCase, path_control: PathControl, solver: SolverName = "auto"
) -> str:
    """Return the hash of a path's inputs, but for where it ends.

    The solver is one of them: splu cannot always count negative pivots, so it may see no
    bifurcation where the other does.
    """
    spec = replace(study.bar_spec, name="", measured_mass_g=None, turned=None)
    one = replace(path_control, displacement=0.0, knock_down_percent=())
    given = (
        FORMAT_VERSION,
        choose_solver(solver),
        spec,
        study.clamp,
        study.levers,
        placed.loads,
        placed.supports,
        placed.case.ram_force_n,
        one,
    )
    return sha256(repr(given).encode()).hexdigest()


def resumed_path(
    place: Path,
    key: str,
    to: float,
    equations: Equations,
    say: Callable[[str], None],
    *,
    resume: bool,
) -> StoredPath | None:
    """Return the stored steps to continue from, and say what becomes of them; None without any.

    Args:
        place: Where they lie.
        key: Hash of the inputs.
        to: Deflection where the path ends.
        equations: Of the path.
        say: Called with a sentence.
        resume: Whether to continue from steps of a path that has this end too. A longer path always
            continues from a shorter one.

    Raises:
        InputError: They have an earlier format.
    """
    label = stored_label(place)
    longer = label is not None and label.key == key and label.to < to
    found = stored_path(place, key, to, equations) if resume or longer else None
    if label is None:
        return found
    if found is None:
        say(f"{place.name}: {_unused(label, key, to)}; {_kept(place)}")
    elif label.to != to:
        if len(found.steps) < label.steps:
            go_back(place, len(found.steps))
        say(f"{place.name}: continues from {_steps(len(found.steps))} of a path with another end")
    return found


def _kept(place: Path) -> str:
    """Return which steps stay until the path is complete."""
    aside = set_aside_place(place)
    # those at hand were to replace them, and go
    whose = "those of the path before stay" if aside.exists() else "kept"
    return f"{whose} until then in {aside}"


def _unused(label: StoredLabel, key: str, to: float) -> str:
    """Return why stored steps are not continued from."""
    # names of inputs may differ between versions, so the version is asked first
    if label.made_by is None or not is_current("path", label.made_by):
        return older_in_words(label.steps, "stored step")
    verb = "is" if label.steps == 1 else "are"
    if label.key != key:
        reason = "of other inputs"
    else:
        reason = "of a longer path" if label.to > to else "not used without --resume"
    return f"{_steps(label.steps)} {verb} {reason}; the path is traced anew"


def _steps(count: int) -> str:
    return "1 stored step" if count == 1 else f"{count} stored steps"
