"""Statically indeterminate and rubbing straight tubes against closed forms.

Source: propped cantilever, three-point bending with shear and with friction at the underside: unit
loads on a Timoshenko beam, derived; the hogging moment mu P r/2 of fixed rollers likewise. Textbook
forms (P L^3/48EI and P L/(4 kappa G A)) are theirs with a clamp of no width.
"""

from pathlib import Path

import numpy as np
import pytest

from fea.beam.section import section_compliance
from fea.solid.model import build_model, mesh_for
from fea.solid.statics import factorise_model
from fea.supports.compliance import Supported, beam_on_supports, solids_on_supports
from fea.supports.reactions import SupportedBar, reactions_of
from geometry.bar import Bar
from loadcases.clamp import Clamp
from loadcases.contact_points import SupportKind
from loadcases.load import PlacedLoad
from loadcases.supports import PlacedSupport, Support, place_support
from studies.study_file.study import study_from_table

OD_MM, HALF_MM, LOAD_N = 31.8, 220.0, 1000.0
CLAMP = Clamp(20.0, model="rigid")
REACH_MM = 200.0 - CLAMP.to_mm
"""From the clamp's edge to a roller at 200 mm."""

SOLID = 0.02
"""Of a solid: a rigid clamp holds the section's own shape, and a band is 10 mm long."""


@pytest.fixture(scope="module")
def bar() -> Bar:
    """Return a straight tube."""
    table = {
        "name": "tube",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": OD_MM, "wall_mm": 1.6}],
            "right": {"points_mm": [[0, 0, 0], [HALF_MM, 0, 0]]},
        },
        "clamp": {"width_mm": 20},
    }
    return study_from_table(table, Path("tube.toml"), "").bar


def roller(bar: Bar, at_mm: float, friction: float = 0.0) -> PlacedSupport:
    """Return a roller under the tube."""
    written = Support("roller", friction=friction, at_mm=at_mm)
    return place_support(written, bar, CLAMP, np.eye(3))


def pairs(bar: Bar, loads: tuple[PlacedLoad, ...], *on: PlacedSupport) -> list[SupportedBar]:
    """Return beam and solid on supports; a ram where there is no load."""
    ram_n = 0.0 if loads else LOAD_N
    beam = beam_on_supports(bar, CLAMP, loads, on, ram_n, flexible=False)
    bands = [*loads, *(one.loaded((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)) for one in on)]
    model = build_model(bar, CLAMP, mesh_for(bar, CLAMP, bands, "coarse"))
    case = Supported(loads, on, ram_n)
    ((solid,),) = solids_on_supports(model, factorise_model(model), [case])
    return [beam, solid]


def compliances(bar: Bar) -> tuple[float, float]:
    """Return 1/EI and 1/(kappa G A)."""
    one = section_compliance(bar, np.array([0.0]), False)[0]
    return float(one[4, 4]), float(one[1, 1])


def test_a_propped_cantilever(bar: Bar) -> None:
    """The prop takes what makes its place stand still; lifted off, nothing."""
    bend, shear = compliances(bar)
    arm = 100.0 - CLAMP.to_mm
    by_load = bend * arm**2 * (3 * REACH_MM - arm) / 6 + shear * arm
    by_prop = bend * REACH_MM**3 / 3 + shear * REACH_MM
    down = PlacedLoad("right", 100.0, (0.0, 0.0, -LOAD_N), (0.0, 0.0, 0.0), 10.0)
    up = PlacedLoad("right", 100.0, (0.0, 0.0, LOAD_N), (0.0, 0.0, 0.0), 10.0)
    known = LOAD_N * by_load / by_prop
    for one, off in zip(pairs(bar, (down,), roller(bar, 200.0)), (3e-3, SOLID), strict=True):
        assert reactions_of(one).wrenches[0, 2] == pytest.approx(known, rel=off)
    for one in pairs(bar, (up,), roller(bar, 200.0)):
        assert reactions_of(one).states == ("open",)
        assert not reactions_of(one).wrenches.any()


@pytest.mark.parametrize("friction", [0.0, 0.2, 0.4])
def test_three_points(bar: Bar, friction: float) -> None:
    """Fixed rollers rub at the underside, which slides outward, and hold the tube back."""
    bend, shear = compliances(bar)
    arm = friction * OD_MM / 2
    fall = bend * (REACH_MM**3 / 3 - arm * REACH_MM**2 / 2) + shear * REACH_MM
    on = (roller(bar, 200.0, friction), roller(bar, -200.0, friction))
    for one, off in zip(pairs(bar, (), *on), (1e-3, SOLID), strict=True):
        found = reactions_of(one)
        assert found.travel_mm == pytest.approx(LOAD_N / 2 * fall, rel=off)
        assert found.states == ("slides", "slides")
        # outward on both sides, and friction against it
        assert found.slides_mm[0, 0] > 0 > found.slides_mm[1, 0]
        assert found.forces_n[0, 0] == pytest.approx(-friction * LOAD_N / 2, abs=1e-3)
    # 3 mu r/span less, to first order in the clamp's width and in shear
    bare = bend * REACH_MM**3 / 3 + shear * REACH_MM
    assert 1 - fall / bare == pytest.approx(3 * friction * OD_MM / 2 / 400.0, rel=0.15, abs=1e-12)


def test_the_textbook_form(bar: Bar) -> None:
    """A clamp of 20 mm is the stiffer: the form without it is an upper bound, 13 % off."""
    bend, shear = compliances(bar)
    plain = LOAD_N * (bend * 400.0**3 / 48 + shear * 400.0 / 4)
    beam, _ = pairs(bar, (), roller(bar, 200.0), roller(bar, -200.0))
    assert 0.84 * plain < reactions_of(beam).travel_mm < 0.9 * plain


def test_a_pin_beside_a_slider(bar: Bar) -> None:
    """Along the tube a pin holds and a slider does not."""
    pull = PlacedLoad("right", 100.0, (LOAD_N, 0.0, 0.0), (0.0, 0.0, 0.0), 10.0)
    places: dict[SupportKind, float] = {"pin": -1.0, "slider": 0.0}
    for kind, sign in places.items():
        held = place_support(Support(kind, at_mm=200.0), bar, CLAMP, np.eye(3))
        beam, solid = pairs(bar, (pull,), held)
        # a band that carries its force evenly is stretched by itself: a sixth of its length less
        known = sign * LOAD_N * (100.0 - CLAMP.to_mm) / (REACH_MM - held.band_mm / 6)
        assert reactions_of(beam).wrenches[0, 0] == pytest.approx(known, rel=2e-3, abs=1e-6)
        assert reactions_of(solid).wrenches[0, 0] == pytest.approx(known, rel=SOLID, abs=0.1)
