"""Elements that move far: rotation, tangent, symmetry, and the divided differences they rest on."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fea.collapse.flow_curve import FlowCurve, PowerCurve, TableCurve
from fea.collapse.log_strain import curvature_of, slopes_of, stretch_of
from fea.collapse.plastic import Metal, State, virgin
from fea.collapse.solid import Solid, respond, tangents
from fea.solid.element import hex20_gauss
from fea.solid.kernels import gradients
from geometry.arrays import Floats
from geometry.errors import SolveError
from support.blocks import mapped_block
from support.large import metal

E = 70000.0
CURVES: dict[str, FlowCurve | None] = {
    "elastic": None,
    "power": PowerCurve(E, 240.0, 20.0),
    "held": PowerCurve(E, 240.0, 20.0, "engineering", 270.0),
    "table": TableCurve(np.array([0.0, 0.01, 0.3]), np.array([240.0, 260.0, 300.0])),
}


def _element(made_of: Metal) -> tuple[Solid, Floats]:
    block = mapped_block((1, 1, 1), lambda box: box * [1.0, 1.2, 0.9])
    places, cells = block.points_mm[block.cells[0]], np.arange(20)[None]
    return Solid(cells, gradients(places, cells, hex20_gauss(2)), made_of), places


def _strained(made_of: Metal, size: float) -> tuple[Solid, Floats, State]:
    """Return an element, a displacement far from the last state, and that state."""
    solid, places = _element(made_of)
    random = np.random.default_rng(7)
    before = places @ random.normal(scale=size, size=(3, 3))
    before += random.normal(scale=size / 4, size=before.shape)
    state = respond(solid, before, virgin(1, 8)).state
    return solid, before + random.normal(scale=size / 6, size=before.shape), state


@pytest.mark.parametrize("curve", CURVES.values(), ids=CURVES.keys())
@pytest.mark.parametrize("size", [0.004, 0.06])
def test_the_tangent_is_the_derivative(curve: FlowCurve | None, size: float) -> None:
    """Against central differences, at small and at large strain; and it is symmetric."""
    solid, moved, state = _strained(metal(E, 0.33, curve), size)
    tangent = tangents(solid, moved, state)[0]
    steps = 3e-7 * np.eye(60).reshape(60, 20, 3)
    differences = [
        (respond(solid, moved + h, state).forces - respond(solid, moved - h, state).forces).ravel()
        for h in steps
    ]
    apart = np.abs(tangent - np.array(differences).T / 6e-7).max() / np.abs(tangent).max()
    assert apart < 1e-8
    assert np.abs(tangent - tangent.T).max() < 1e-13 * np.abs(tangent).max()


def test_a_turned_element_feels_nothing() -> None:
    """However far it is turned."""
    solid, places = _element(metal(E, 0.33, CURVES["power"]))
    for turn in ([0.3, -0.8, 0.6], [0.0, 0.0, 3.0]):
        turned = places @ Rotation.from_rotvec(turn).as_matrix().T
        response = respond(solid, turned - places + 5.0, virgin(1, 8))
        assert np.abs(response.forces).max() < 1e-13 * E
        assert not response.state.equivalent.any()


def test_a_turned_strained_element_turns_its_forces() -> None:
    """Forces and stress turn along; plastic strain stays in the axes of the mesh."""
    solid, moved, state = _strained(metal(E, 0.33, CURVES["power"]), 0.06)
    places = _element(metal(E, 0.33))[1]
    turn = Rotation.from_rotvec([0.4, 1.1, -0.2]).as_matrix()
    still = respond(solid, moved, state)
    turned = respond(solid, (places + moved) @ turn.T - places, state)
    assert turned.forces == pytest.approx(still.forces @ turn.T, abs=1e-9)
    assert turned.state.plastic == pytest.approx(still.state.plastic, abs=1e-14)


def test_plastic_flow_keeps_the_volume() -> None:
    """The plastic strain has no trace."""
    solid, moved, state = _strained(metal(E, 0.33, CURVES["power"]), 0.06)
    plastic = respond(solid, moved, state).state.plastic
    assert np.abs(plastic[..., :3].sum(axis=-1)).max() < 1e-14
    assert np.abs(plastic).max() > 0.01


def test_a_crushed_element_is_refused() -> None:
    """Turned inside out it has no answer."""
    solid, places = _element(metal(E, 0.33))
    with pytest.raises(SolveError, match="of its volume left"):
        respond(solid, -1.5 * places, virgin(1, 8))


@pytest.mark.parametrize("apart", [0.0, 1e-9, 1e-5, 1e-2, 0.3, 0.8])
def test_divided_differences_do_not_care_how_far_apart(apart: float) -> None:
    """Stress and stiffness of a pulled cube with (nearly) equal stretches against differences."""
    squares = np.array([1.0, 1.0 + apart, 1.9])
    F = np.diag(np.sqrt(squares))[None]
    stretch = stretch_of(F)
    stress = np.array([[3.0, -2.0, 1.0, 0.5, 0.25, -0.7]])

    def pulled(step: Floats) -> Floats:
        """Return T : H of C = F'F + step."""
        values, axes = np.linalg.eigh(F[0] @ F[0] + step)
        H = axes @ np.diag(0.5 * np.log(values)) @ axes.T
        T = np.array([[3.0, -0.7 / np.sqrt(2), 0.25 / np.sqrt(2)]] * 3)
        T[1] = [-0.7 / np.sqrt(2), -2.0, 0.5 / np.sqrt(2)]
        T[2] = [0.25 / np.sqrt(2), 0.5 / np.sqrt(2), 1.0]
        return float(np.sum(T * H))

    h = 1e-4
    direction = np.array([[0.2, 0.7, -0.3], [0.7, -0.4, 0.5], [-0.3, 0.5, 0.9]])
    six = np.array([0.2, -0.4, 0.9, *(np.sqrt(2) * np.array([0.5, -0.3, 0.7]))])
    first = (pulled(h * direction) - pulled(-h * direction)) / (2 * h)
    second = (pulled(h * direction) - 2 * pulled(0 * direction) + pulled(-h * direction)) / h**2
    # dC is twice dE
    assert 0.5 * float((slopes_of(stretch) * stress)[0] @ six) == pytest.approx(first, rel=1e-7)
    assert 0.25 * float(six @ curvature_of(stretch, stress)[0] @ six) == pytest.approx(
        second, rel=1e-5
    )
