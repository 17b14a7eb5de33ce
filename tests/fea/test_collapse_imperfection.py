"""Imperfect walls: where the points lie, how short elements are, what is refused, what it costs."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from fea.collapse.collapse_mode import rings_of, shape_of
from fea.collapse.flow_curve import PowerCurve
from fea.collapse.imperfection import (
    PER_HALF_WAVE,
    Imperfection,
    Stretch,
    imperfect,
    imperfection_seeds,
    rippled_stretches,
    with_mode,
    with_ripples,
)
from fea.solid.assembly import build_pattern
from fea.solid.model import build_model, mesh_for
from fea.solid.statics import band_modes, nodal_loads
from geometry.arrays import Floats
from geometry.bar import nominal_wall_mm
from geometry.errors import InputError
from geometry.mesh import TubeMesh
from studies.study_file.study import Study, read_study
from support.large import metal
from support.pages import short_bar
from support.pure_bending import bent
from support.ripples import rippled_slice

RIPPLE = Imperfection("ripple", 5.0)

MORE = """
[[cases]]
id = "both"
title = "Both"
loads = [{ side = "right", from_end_mm = 30, force_n = [0, 0, -300], band_mm = 20 },
         { side = "left", from_end_mm = 30, force_n = [0, 0, -300], band_mm = 20 }]
"""


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    """Return a straight bar, 25.4 x 1.2 to 1.0, clamped over 40 mm, loaded on one or both sides."""
    path = short_bar(tmp_path_factory.mktemp("ripple"), "pier", 1.2, MORE)
    text = path.read_text(encoding="utf-8")
    tapered = "wall_mm = 1.2 }, { at_mm = 100, od_mm = 22.2, wall_mm = 1.0 }]"
    path.write_text(text.replace("wall_mm = 1.2 }]", tapered), encoding="utf-8")
    return read_study(path)


def _meshed(study: Study, case: int, imperfection: Imperfection) -> tuple[TubeMesh, Floats]:
    """Return an imperfect mesh, and how its points have moved."""
    bar, clamp, loads = study.bar, study.clamp, study.cases[case].loads
    wanted = imperfection_seeds(imperfection, bar, clamp, loads)
    mesh = mesh_for(bar, clamp, loads, "coarse", 2, extra_seeds=wanted)
    pattern = build_pattern(mesh.cells, len(mesh.points_mm))
    found = imperfect(imperfection, bar, clamp, loads, mesh, pattern)
    return found, found.points_mm - mesh.points_mm


def _out_mm(mesh: TubeMesh, moved: Floats) -> Floats:
    """Return the part of moves (N, 3) out of the tube, which lies along x."""
    theta = mesh.block[:, 1]
    out: Floats = moved[:, 2] * np.cos(theta) + moved[:, 1] * np.sin(theta)
    return out


def _half_wave_mm(s_mm: float) -> float:
    """Return the half wave of the tapered bar beside its kinks, from its drawing."""
    share = min(abs(s_mm) / 100.0, 1.0)
    wall, od = 1.2 - 0.2 * share, 25.4 - 3.2 * share
    ratio = 0.33
    return float(np.pi * np.sqrt((od - wall) / 2 * wall) / (12 * (1 - ratio**2)) ** 0.25)


def test_points_lie_on_the_formula(study: Study) -> None:
    """From the edge on, 5 % of the wall times the cosine of a phase summed by another rule."""
    assert study.bar.spec.material.poisson_ratio == pytest.approx(0.33)
    mesh, moved = _meshed(study, 0, RIPPLE)
    (stretch,) = rippled_stretches(study.bar, study.clamp, study.cases[0].loads)
    assert stretch.edge_mm == 20.0
    assert stretch.end_mm == pytest.approx(80.0)
    s, out = mesh.block[:, 0], _out_mm(mesh, moved)
    on = np.flatnonzero((s >= 20.0) & (s <= stretch.end_mm))
    for node in on[:: len(on) // 40]:
        phase = quad(lambda at: np.pi / _half_wave_mm(at), 20.0, s[node])[0]
        wall = 1.2 - 0.2 * s[node] / 100.0
        assert out[node] == pytest.approx(-0.05 * wall * np.cos(phase), abs=0.05 * 2e-3)
    assert out[on].max() > 0.045
    assert out[on].min() < -0.045


def test_the_wall_and_the_rings_stay(study: Study) -> None:
    """All points of a ring move as far, straight out, the inner ones as those above them."""
    mesh, moved = _meshed(study, 0, RIPPLE)
    out, s = _out_mm(mesh, moved), mesh.block[:, 0]
    assert np.linalg.norm(moved, axis=1) == pytest.approx(np.abs(out), abs=1e-12)
    for place in np.unique(s.round(6))[::7]:
        assert np.ptp(out[np.abs(s - place) < 1e-5]) < 1e-6
    rings = rings_of(mesh)
    walls = np.linalg.norm(mesh.points_mm[rings.outer] - mesh.points_mm[rings.inner], axis=2)
    drawn = nominal_wall_mm(study.bar, rings.s_mm)[:, None]
    assert walls == pytest.approx(np.broadcast_to(drawn, walls.shape), abs=1e-6)


def test_it_fades_out_within_half_a_wave(study: Study) -> None:
    """Into the clamp and beyond the outer end; the arm without a load has none."""
    mesh, moved = _meshed(study, 0, RIPPLE)
    (stretch,) = rippled_stretches(study.bar, study.clamp, study.cases[0].loads)
    s, out = mesh.block[:, 0], np.abs(_out_mm(mesh, moved))
    far = (s < 20.0 - _half_wave_mm(20.0)) | (s > stretch.end_mm + _half_wave_mm(stretch.end_mm))
    assert out[far].max() < 1e-12
    assert out[(s > 17.0) & (s < 20.0)].max() > 0.01


def test_both_arms_are_mirror_images(study: Study) -> None:
    """Where both carry a load: the wall is in at both edges."""
    bar, stretches = study.bar, rippled_stretches(study.bar, study.clamp, study.cases[2].loads)
    assert [stretch.edge_mm for stretch in stretches] == [-20.0, 20.0]
    mesh = mesh_for(bar, study.clamp, study.cases[2].loads, "coarse")
    mirrored = tuple(Stretch(-one.edge_mm, -one.end_mm) for one in reversed(stretches))
    one, other = (with_ripples(bar, mesh, found, 5.0) for found in (stretches, mirrored))
    assert one.points_mm == pytest.approx(other.points_mm, abs=1e-3)
    out = _out_mm(mesh, one.points_mm - mesh.points_mm)
    s = mesh.block[:, 0]
    assert out[np.abs(s + 20.0) < 1e-5] == pytest.approx(-0.05 * 1.16, rel=1e-6)
    assert out[np.abs(s - 20.0) < 1e-5] == pytest.approx(-0.05 * 1.16, rel=1e-6)


def test_a_negative_one_is_turned_over(study: Study) -> None:
    """What was in is out."""
    _, moved = _meshed(study, 0, RIPPLE)
    _, turned = _meshed(study, 0, replace(RIPPLE, percent=-5.0))
    assert turned == pytest.approx(-moved, abs=1e-12)


def test_elements_are_short_enough(study: Study) -> None:
    """As many to a half wave as promised, where it ripples."""
    mesh, _ = _meshed(study, 0, RIPPLE)
    (stretch,) = rippled_stretches(study.bar, study.clamp, study.cases[0].loads)
    s = np.unique(mesh.sheet.nodes[mesh.sheet.corner, 0].round(5))
    lengths, middles = np.diff(s), (s[1:] + s[:-1]) / 2
    on = (middles > stretch.edge_mm) & (middles < stretch.end_mm)
    halves = np.array([_half_wave_mm(at) for at in middles[on]])
    assert np.all(lengths[on] <= 1.05 * halves / PER_HALF_WAVE)


def test_moves_are_measured_from_where_the_wall_began(study: Study) -> None:
    """A wall that did not move has no shape; one that ovalised has that alone."""
    mesh, _ = _meshed(study, 0, replace(RIPPLE, percent=50.0))
    rings, theta = rings_of(mesh), mesh.block[:, 1]
    still = shape_of(rings, mesh.points_mm, np.zeros_like(mesh.points_mm))
    assert max(still.oval_mm.max(), still.local_mm.max()) < 1e-12
    out = 0.3 * np.cos(2 * theta)
    moved = np.column_stack([0 * out, out * np.sin(theta), out * np.cos(theta)])
    shape = shape_of(rings, mesh.points_mm, moved)
    assert shape.oval_mm == pytest.approx(0.3, rel=1e-3)
    assert shape.local_mm.max() < 2e-3


@pytest.mark.slow
@pytest.mark.parametrize("percent", [2.0, -80.0])
def test_a_mode_is_as_large_as_it_is_given(study: Study, percent: float) -> None:
    """In its largest move, and in the sense of the loads or against it."""
    bar, clamp, loads = study.bar, study.clamp, study.cases[0].loads
    mesh = mesh_for(bar, clamp, loads, "coarse")
    model = build_model(bar, clamp, mesh)
    moved = with_mode(model, loads, percent).points_mm - mesh.points_mm
    size = np.linalg.norm(moved, axis=1)
    wall = nominal_wall_mm(study.bar, mesh.block[int(np.argmax(size)), 0])
    assert size.max() == pytest.approx(abs(percent) / 100 * wall, rel=1e-9)
    nodal = nodal_loads(model, loads, {load: band_modes(model, load) for load in loads})
    assert np.sum(nodal * moved) * percent > 0


def test_a_load_goes_through_the_bar_as_it_is(study: Study) -> None:
    """Its moment about a band that lies 0.7 mm off is none, too."""
    bar, clamp, loads = study.bar, study.clamp, study.cases[0].loads
    mesh = mesh_for(bar, clamp, loads, "coarse")
    off = np.array([0.0, 0.7, 0.0])
    model = build_model(bar, clamp, replace(mesh, points_mm=mesh.points_mm + off))
    nodal = nodal_loads(model, loads, {load: band_modes(model, load) for load in loads})
    place = np.array([loads[0].at_mm, 0.7, 0.0])
    turn = np.cross(model.mesh.points_mm - place, nodal).sum(axis=0)
    assert turn == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("shape", "percent", "sentence"),
    [
        ("ripple", 120.0, "is 120 % but must be at most 100 %"),
        ("mode", -101.0, "is -101 % but"),
        ("ripple", float("nan"), "is nan, which is not a finite number"),
        ("dent", 2.0, "no shape is called 'dent'"),
    ],
)
def test_what_is_no_imperfection_is_refused(shape: str, percent: float, sentence: str) -> None:
    """In one sentence that names the field."""
    with pytest.raises(InputError, match=f"imperfection: {sentence}"):
        Imperfection(shape, percent)  # type: ignore[arg-type]


@pytest.mark.slow
def test_a_bar_that_nothing_buckles_has_no_mode(study: Study) -> None:
    """Pulled along its axis."""
    loads = (replace(study.cases[0].loads[0], force_n=(400.0, 0.0, 0.0)),)
    mesh = mesh_for(study.bar, study.clamp, loads, "coarse")
    model = build_model(study.bar, study.clamp, mesh)
    with pytest.raises(
        InputError, match="imperfection: is a mode, but the loads cause no buckling"
    ):
        with_mode(model, loads, 2.0)


TUBES = {20: 1.3, 35: 1.2}
"""Outer diameter over wall, and the largest curvature in units of t/(4 r^2)."""


@pytest.mark.slow
@pytest.mark.parametrize("slender", TUBES)
def test_ripples_lower_the_limit_of_a_tube_in_bending(slender: int) -> None:
    """An endless tube of 6061-T6 with ripples all along."""
    wall, made_of = 1.5, metal(68300.0, 0.33, PowerCurve(68300.0, 241.0, 34.0, "true"))
    radius = wall * (slender - 1) / 2
    curvatures = np.linspace(0, TUBES[slender], 10)[1:] * wall / (4 * radius**2)

    def limit(percent: float) -> float:
        block = rippled_slice(radius, wall, 0.33, percent, (2, 12, 2))
        return max(point.moment for point in bent(block, made_of, curvatures))

    perfect, tiny, small, large = (limit(percent) for percent in (0.0, 0.1, 2.0, 5.0))
    assert tiny == pytest.approx(perfect, rel=1e-3)
    assert perfect > small > large
