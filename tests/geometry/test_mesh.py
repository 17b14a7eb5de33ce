"""The sheet and the hexahedra extruded from it: topology, regions, grading, refusals."""

import numpy as np
import pytest

from fea.solid.element import hex20, hex20_gauss
from fea.solid.kernels import gradients
from geometry.bar import Bar, BarSpec, build_bar, position_mm
from geometry.bend_effects import BendEffects
from geometry.bend_table import Bend, BendTable, Polyline, polyline_from_table
from geometry.errors import MeshError
from geometry.grading import (
    LEVELS,
    SNAP_PER_OD,
    Seed,
    bar_seeds,
    element_size_mm,
    interpolating,
    mesh_lines_mm,
)
from geometry.material import load_material
from geometry.mesh import TubeMesh, build_mesh
from geometry.properties import volume_pappus_mm3
from geometry.section import Station
from support.blocks import HALF_STEPS
from support.processes import python

REGIONS = {"clamp": (-23.0, 23.0), "band": (300.0, 330.0), "other": (-330.0, -300.0)}


def _bar() -> Bar:
    bends = (Bend(60, 80, 30, 60), Bend(35, -70, 25, 70), Bend(20, 120, 80, 50))
    stations = Station(0, 31.8, 2.0), Station(35, 31.8, 2.0), Station(95, 22.2, 1.6)
    spec = BarSpec(
        "three bends",
        polyline_from_table(BendTable(bends, 100)),
        stations,
        load_material("al-6061-t6"),
        effects=BendEffects(ovality_percent=4.0),
    )
    return build_bar(spec)


def _straight() -> Bar:
    line = Polyline(((0, 0, 0), (300, 0, 0)), ())
    return build_bar(BarSpec("tube", line, (Station(0, 30, 2),), load_material("al-6061-t6")))


@pytest.fixture(scope="module")
def mesh() -> TubeMesh:
    """Return a coarse mesh of a bar with three bends in three planes."""
    return build_mesh(_bar(), (), REGIONS, "coarse")


def test_the_sheet_closes_round_the_tube(mesh: TubeMesh) -> None:
    """Every mesh line has 2 x 16 nodes, no node stands twice, Euler's number is that of a tube."""
    nodes, quads = mesh.sheet.nodes, mesh.sheet.quads
    assert len(np.unique(nodes.round(7), axis=0)) == len(nodes)
    assert nodes[:, 1].min() >= 0
    assert nodes[:, 1].max() < 2 * np.pi - 1e-6
    edges = len(nodes) - mesh.sheet.corner.sum()
    assert mesh.sheet.corner.sum() - edges + len(quads) == 0
    _, uses = np.unique(quads[:, 4:], return_counts=True)
    # a side lies between two quads, except on the two ends with 16 sides each
    assert (uses == 1).sum() == 2 * LEVELS["coarse"].round
    assert uses.max() == 2


def test_regions_are_exact_and_apart(mesh: TubeMesh) -> None:
    """Each named interval is filled by whole elements, and none is in two of them."""
    every = np.concatenate(list(mesh.sheet.regions.values()))
    assert len(np.unique(every)) == len(every)
    for name, (low, high) in REGIONS.items():
        s = mesh.sheet.places[mesh.sheet.regions[name], :, 0]
        assert s.min() == pytest.approx(low)
        assert s.max() == pytest.approx(high)


def test_nodes_lie_on_the_map(mesh: TubeMesh) -> None:
    """Outer and inner nodes have the depth they claim, and all lie where the map says."""
    assert np.all(mesh.block[mesh.outer, 2] == 1)
    assert np.all(mesh.block[mesh.inner, 2] == 0)
    assert np.allclose(mesh.points_mm, position_mm(_bar(), *mesh.block.T), atol=1e-12)
    assert np.array_equal(mesh.sheet.nodes[mesh.owner], mesh.block[:, :2])
    assert len(np.unique(mesh.cells)) == len(mesh.points_mm)


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("layers", [1, 2])
def test_volume_and_orientation(level: str, layers: int) -> None:
    """Jacobians positive at Gauss points and nodes; volume within 0.1 % of Pappus."""
    bar = _bar()
    mesh = build_mesh(bar, level=level, layers=layers)
    volumes = gradients(mesh.points_mm, mesh.cells, hex20_gauss(3)).volumes_mm3
    gradients(mesh.points_mm, mesh.cells, hex20(HALF_STEPS / 2))
    assert volumes.sum() == pytest.approx(volume_pappus_mm3(bar), rel=1e-3)


def test_a_folded_mesh_is_refused(mesh: TubeMesh) -> None:
    """A node moved through its element turns the Jacobian, and the place is named."""
    points = mesh.points_mm.copy()
    cell = mesh.cells[100]
    points[cell[0]] = points[cell[6]]
    with pytest.raises(MeshError, match="folds near x"):
        gradients(points, mesh.cells, hex20_gauss(3))


def test_finer_levels_have_more_elements() -> None:
    """Coarse, standard, fine: each about twice the one before."""
    counts = [len(build_mesh(_bar(), level=level).cells) for level in LEVELS]
    assert counts[1] > 1.5 * counts[0]
    assert counts[2] > 1.5 * counts[1]


def test_elements_are_short_where_asked() -> None:
    """At a seed the length is the wanted one, and it grows away from it."""
    mesh = build_mesh(_straight(), [Seed(100, 100, 0.8)])
    s = np.unique(mesh.sheet.nodes[mesh.sheet.corner, 0].round(6))
    lengths = np.diff(s)
    at = int(np.searchsorted(s, 100))
    assert s[at] == pytest.approx(100)
    assert lengths[at] < 1.2
    assert lengths.max() > 8
    assert (lengths[1:] / lengths[:-1]).max() < 2.5


def test_a_table_of_lengths_is_read_as_numpy_reads_it() -> None:
    """To the bit: at its places, between them, at its ends and beyond them."""
    bar = _bar()
    s, size = element_size_mm(bar, bar_seeds(bar), LEVELS["coarse"])
    read = interpolating(tuple(s.tolist()), tuple(size.tolist()))
    between = np.random.default_rng(1).uniform(s[0] - 1, s[-1] + 1, 5000)
    places = [*between.tolist(), *s[::7].tolist(), float(s[-1])]
    assert [read(place) for place in places] == np.interp(places, s, size).tolist()


def test_close_mesh_lines_become_one() -> None:
    """A limit that falls nearly onto an earlier one snaps to it; no sliver is born."""
    bar = _straight()
    lines = mesh_lines_mm(bar, (*bar_seeds(bar), Seed(50, 80, 5), Seed(50.1, 79.9, 5)))
    assert np.diff(lines).min() > SNAP_PER_OD * 30
    assert {50.0, 80.0} < set(lines)


def test_an_empty_region_is_refused() -> None:
    """A band shorter than the snapping distance holds no element."""
    with pytest.raises(MeshError, match=r"'thin' from 50 to 50\.01 mm has no element"):
        build_mesh(_straight(), regions={"thin": (50.0, 50.01)})


def test_a_sheet_asked_for_again_is_the_same_and_cannot_be_spoilt() -> None:
    """Designs of a sweep share what gmsh made; the mesh of one is no way to change another's."""
    bar = _straight()
    first, again = build_mesh(bar, level="coarse"), build_mesh(bar, level="coarse")
    np.testing.assert_array_equal(first.cells, again.cells)
    np.testing.assert_array_equal(first.points_mm, again.points_mm)
    first.cells[:] = 0
    first.sheet.nodes[:] = 0
    third = build_mesh(bar, level="coarse")
    np.testing.assert_array_equal(third.cells, again.cells)
    np.testing.assert_array_equal(third.points_mm, again.points_mm)


BROKEN_PIPE = """
import os
import numpy as np
from geometry.mesh import flat_sheet
flat_sheet(np.array([0.0, 10.0]), (np.array([0.0, 10.0]), np.full(2, 5.0)), 8)
read, write = os.pipe()
os.close(read)
try:
    os.write(write, b"nobody reads this")
except BrokenPipeError:
    print("told")
"""


def test_a_broken_pipe_is_still_told() -> None:
    """A process that has meshed outlives a reader or a worker that ends, and is told of it."""
    done = python(BROKEN_PIPE)
    assert (done.returncode, done.stdout) == (0, "told\n"), done.stderr
