"""Which stored steps a path continues from: those of the same inputs, sources and libraries."""

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
    StoredPath,
    set_aside_place,
    stored_label,
    stored_path,
)
from studies.files.provenance import is_current, older_in_words
from studies.study_file.study import Study


def path_key(
    study: Study, placed: PlacedCase, path_control: PathControl, solver: SolverName = "auto"
) -> str:
    """Return the hash of a path's inputs.

    The solver is one of them: splu cannot always count negative pivots, so it may see no
    bifurcation where the other does.
    """
    spec = replace(study.bar_spec, name="", measured_mass_g=None)
    one = replace(path_control, knock_down_percent=())
    given = (
        FORMAT_VERSION,
        choose_solver(solver),
        spec,
        study.clamp,
        study.levers,
        placed.loads,
        one,
    )
    return sha256(repr(given).encode()).hexdigest()


def resumed_path(
    place: Path, key: str, equations: Equations, say: Callable[[str], None]
) -> StoredPath | None:
    """Return the stored steps to continue from; None, and a sentence, where they are of others.

    Args:
        place: Where they lie.
        key: Hash of the inputs.
        equations: Of the path.
        say: Called with a sentence on steps that are not reused.

    Raises:
        InputError: They have an earlier format.
    """
    found = stored_path(place, key, equations)
    label = stored_label(place)
    if found is None and label:
        count = label.steps
        # names of inputs may differ between versions, so the version is asked first
        if label.made_by is None or not is_current("path", label.made_by):
            reason = older_in_words(count, "stored step")
        else:
            steps = "1 stored step is" if count == 1 else f"{count} stored steps are"
            reason = f"{steps} of other inputs; the path is traced anew"
        say(f"{place.name}: {reason}; kept until then in {set_aside_place(place)}")
    return found
