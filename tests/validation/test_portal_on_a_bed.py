"""A U stood on both ends and pushed at its clamp, against flexibilities of the planar half bar.

Source: unit loads on a statically determinate frame (Castigliano), derived and integrated here
apart from the project's own chain; shear coefficient of the hollow circle after Cowper (1966), from
memory. With f_vv, f_vh, f_hh the motions of a foot (V up, H inward) of one half:

    no friction 2/f_vv; sliding out 2/(f_vv + mu f_vh); stuck 2/(f_vv - f_vh^2/f_hh).

The beam with rigid bends is that frame and must meet it; the solid lies between the two beams, but
for 3 %. Where an open end stands on its edge, the foot is a radius inboard of the leg's axis.
"""

from dataclasses import replace

import numpy as np
import pytest

from fea.beam.section import section_compliance
from fea.solid.model import build_model, mesh_for
from fea.solid.statics import factorise_model
from fea.supports.compliance import Supported, beam_on_supports, solids_on_supports
from fea.supports.reactions import reactions_of
from geometry.arrays import Floats
from geometry.bar import Bar
from loadcases.clamp import Clamp
from loadcases.contact_points import SupportKind
from loadcases.supports import PlacedSupport, Support, place_support
from support.portal import HALF_MM, HEIGHT_MM, RADIUS_MM, portal

RAM_N = 1000.0
CLAMP = Clamp(40.0, model="rigid")
CLOSE = 2.5e-3
"""Of the beam: a foot's force enters over the last 10 mm of the leg, not at its very end."""


@pytest.fixture(scope="module")
def bar() -> Bar:
    """Return the U."""
    return portal()


def flexibilities(bar: Bar, foot_mm: Floats, stiffer: float = 1.0) -> Floats:
    """Return (2, 2): motion of the foot up and inward over forces up and inward, mm/N."""
    start, bend = CLAMP.to_mm, HALF_MM - RADIUS_MM
    parts = [
        (bend - start, lambda d: (np.array([start + d, 0.0]), np.array([1.0, 0.0]))),
        (
            RADIUS_MM * np.pi / 2,
            lambda d: (
                np.array(
                    [
                        bend + RADIUS_MM * np.sin(d / RADIUS_MM),
                        RADIUS_MM * (np.cos(d / RADIUS_MM) - 1),
                    ]
                ),
                np.array([np.cos(d / RADIUS_MM), -np.sin(d / RADIUS_MM)]),
            ),
        ),
        (
            HEIGHT_MM - RADIUS_MM,
            lambda d: (np.array([HALF_MM, -RADIUS_MM - d]), np.array([0.0, -1.0])),
        ),
    ]
    axial, shear, _, _, bending, _ = np.diagonal(section_compliance(bar, np.array([0.0]), False)[0])
    loads = np.array([[0.0, 1.0], [-1.0, 0.0]])
    total = np.zeros((2, 2))
    point, weight = np.polynomial.legendre.leggauss(40)
    for length, place in parts:
        for at, share in zip((point + 1) * length / 2, weight * length / 2, strict=True):
            where, tangent = place(at)
            arm = foot_mm - where
            moments = arm[0] * loads[:, 1] - arm[1] * loads[:, 0]
            along, across = loads @ tangent, loads @ np.array([-tangent[1], tangent[0]])
            total += share * bending / stiffer * np.outer(moments, moments)
            total += share * (axial * np.outer(along, along) + shear * np.outer(across, across))
    return total


def feet(bar: Bar, kind: SupportKind, friction: float) -> tuple[PlacedSupport, ...]:
    """Return both ends on a bed."""
    return tuple(
        place_support(Support(kind, friction=friction, side=side), bar, CLAMP, np.eye(3))
        for side in ("left", "right")
    )


def beam_stiffness(
    bar: Bar, kind: SupportKind, friction: float, *, flexible: bool = False
) -> float:
    """Return the beam's stiffness at the ram, N/mm."""
    supports = feet(bar, kind, friction)
    known = beam_on_supports(bar, CLAMP, (), supports, RAM_N, flexible=flexible)
    return RAM_N / reactions_of(known).travel_mm


def closed(bar: Bar, kind: SupportKind, friction: float, stiffer: float = 1.0) -> float:
    """Return the stiffness at the ram by the flexibilities, of feet that slide out."""
    inboard = 11.1 if kind == "foot" else 0.0
    f = flexibilities(bar, np.array([HALF_MM - inboard, -HEIGHT_MM]), stiffer)
    return 2 / (f[0, 0] + friction * f[0, 1])


@pytest.mark.parametrize("friction", [0.0, 0.1, 0.2])
@pytest.mark.parametrize("kind", ["ball", "foot"])
def test_the_beam_is_the_frame(bar: Bar, kind: SupportKind, friction: float) -> None:
    """On the axis and on the edge, with friction and without; both raise it by a fifth or more."""
    assert beam_stiffness(bar, kind, friction) == pytest.approx(
        closed(bar, kind, friction), rel=CLOSE
    )
    # 5 % more bending stiffness is seen
    assert beam_stiffness(bar, kind, friction) != pytest.approx(
        closed(bar, kind, friction, 1.05), rel=0.03
    )


def test_what_sticks_is_stiffest(bar: Bar) -> None:
    """With friction above f_vh/f_hh the feet do not slide at all."""
    f = flexibilities(bar, np.array([HALF_MM, -HEIGHT_MM]))
    enough = abs(f[0, 1]) / f[1, 1]
    assert enough < 1.0
    stuck = 2 / (f[0, 0] - f[0, 1] ** 2 / f[1, 1])
    for friction in (1.01 * enough, 1.0):
        assert beam_stiffness(bar, "ball", friction) == pytest.approx(stuck, rel=CLOSE)
    assert beam_stiffness(bar, "ball", 0.95 * enough) < 0.99 * stuck


def test_friction_grows_with_the_coefficient(bar: Bar) -> None:
    """Compliance falls in proportion to it while the feet slide."""
    compliance = [1 / beam_stiffness(bar, "ball", one) for one in (0.0, 0.1, 0.2)]
    assert compliance[1] == pytest.approx((compliance[0] + compliance[2]) / 2, rel=1e-6)


@pytest.mark.parametrize(("kind", "friction"), [("ball", 0.0), ("foot", 0.0), ("foot", 0.2)])
def test_the_solid_lies_between_the_beams(bar: Bar, kind: SupportKind, friction: float) -> None:
    """The bends ovalise, and a solid's foot is the same rigid ring."""
    supports = feet(bar, kind, friction)
    bands = [one.loaded((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)) for one in supports]
    model = build_model(bar, CLAMP, mesh_for(bar, CLAMP, bands, "coarse"))
    case = Supported((), supports, RAM_N)
    ((known,),) = solids_on_supports(model, factorise_model(model), [case])
    found = reactions_of(known)
    softest = beam_stiffness(bar, kind, friction, flexible=True)
    assert 0.97 * softest <= RAM_N / found.travel_mm <= 1.03 * beam_stiffness(bar, kind, friction)
    assert found.forces_n.sum(axis=0) == pytest.approx([0, 0, RAM_N], abs=0.01)


def test_uneven_legs_share_the_ram_by_their_stiffness(bar: Bar) -> None:
    """The bed rises level: two springs side by side, each half its own."""
    left, right = feet(bar, "ball", 0.0)
    known = beam_on_supports(bar, CLAMP, (), (left, right), RAM_N, flexible=False)
    softer = np.diag(np.repeat([3.0, 1.0], 6))
    assert not known.compliance[:6, 6:].any()
    found = reactions_of(replace(known, compliance=softer @ known.compliance))
    soft, stiff = found.wrenches[:, 2]
    assert soft / stiff == pytest.approx(1 / 3, rel=0.02)
