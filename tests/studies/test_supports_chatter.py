"""A contact that never settles: an error with its place, and steps that are not lost."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from fea.collapse.equilibrium import Equations
from fea.collapse.path import Plan, Position, next_position
from fea.solid.direct_solvers import Pivoting
from geometry.grading import LEVELS
from studies.collapse import path_analysis
from studies.commands.main import main
from support.portal import STOOD, STUDY
from support.preview_bars import CRUDE

GOOD, TO_MM = 2, "2.0"
"""Steps before the contact chatters, and the ram's travel, well before the force of the case."""

ABSURD = 1e10
"""Stiffness of the layer over its own: a displacement's last digit then outweighs the tolerance."""

Spoil = Callable[[pytest.MonkeyPatch, Equations], Equations]


def stiff(patch: pytest.MonkeyPatch, equations: Equations) -> Equations:
    """Return equations with a layer so stiff that points touch and let go for ever."""
    assert equations.contact
    layer = replace(equations.contact, stiffness=ABSURD * equations.contact.stiffness)
    return replace(equations, contact=layer)


def restless(patch: pytest.MonkeyPatch, equations: Equations) -> Equations:
    """Let friction be another one after each round."""
    patch.setattr("fea.collapse.newton.is_settled", lambda *of: False)
    return equations


def traced(*options: str, out: str = "out") -> int:
    """Press the bar with the command, and return its exit code."""
    fixed = ["collapse", "study.toml", "--no-figures", "--displacement-mm", TO_MM, "--out", out]
    return main([*fixed, *options])


def path_in(out: str) -> dict:
    """Return what results.json says of the path."""
    return json.loads(Path(out, "results.json").read_text(encoding="utf-8"))["cases"][0]["collapse"]


@pytest.mark.slow
@pytest.mark.parametrize("spoil", [stiff, restless])
def test_a_chattering_contact_ends_with_its_place_and_resumes(
    spoil: Spoil,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Exit 3; the steps before stay, and without the cause the path ends as if there were none."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)
    Path("study.toml").write_text(STUDY + STOOD, encoding="utf-8")
    with monkeypatch.context() as patch:
        made = list[Position]()

        def spoiled(
            equations: Equations, plan: Plan, position: Position, pivoting: Pivoting
        ) -> Position:
            if len(made) == GOOD:
                # few tries: each fails
                patch.setattr("fea.collapse.newton.IN_CONTACT", 2)
                patch.setattr("fea.collapse.step_length.LEAST", 0.1)
                equations = spoil(patch, equations)
            made.append(next_position(equations, plan, position, pivoting))
            return made[-1]

        patch.setattr(path_analysis, "next_position", spoiled)
        assert traced() == 3
    said = " ".join(capsys.readouterr().err.split())
    assert "mm converges at a deflection of 1.6" in said
    assert len(made) == GOOD
    assert traced("--resume") == 0
    said = capsys.readouterr().err
    assert ", step 3:" in said
    assert ", step 2:" not in said
    assert traced(out="at_once") == 0
    resumed, at_once = path_in("out"), path_in("at_once")
    assert len(resumed["curve"]["load_n"]) > GOOD
    assert resumed["curve"]["load_n"] == pytest.approx(at_once["curve"]["load_n"], rel=1e-9)
