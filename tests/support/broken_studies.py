"""A good study file, and the edits that break it."""

from pathlib import Path

import pytest

from studies.study_file.errors import StudyError
from studies.study_file.study import read_study

GOOD = """\
name = "trial"
title = "A trial"

[bar]
name = "trial bar"
roll_deg = 4.5
material = "al-6061-t6"
blend_mm = 5
mass_g = 304.0
stations = [
    { at_mm = 0, od_mm = 31.8, wall_mm = 2.2 },
    { at_mm = 48, od_mm = 31.8, wall_mm = 2.2 },
    { at_mm = 150, od_mm = 22.2, wall_mm = 2.0 },
]

[bar.right]
points_mm = [[0, 0, 0], [75, 0, 0], [130, -5, 25], [380, -37, 30]]
bend_radii_mm = [65, 66]

[bar.left]
bends = [ { straight_mm = 90, rotation_deg = 180, angle_deg = 8, radius_mm = 70 } ]
tail_mm = 270
stations = [
    { at_mm = 0, od_mm = 31.8, wall_mm = 2.2 },
    { at_mm = 140, od_mm = 22.2, wall_mm = 2.1 },
]

[bar.bend_effects]
wall_change = true
ovality_percent = 2.5

[clamp]
width_mm = 46
model = "elastic"
normal_n_per_mm3 = 7000

[mesh]
level = "standard"

[[cases]]
use = "iso-4210-5.bar-bending"
bicycle = "mountain"

[[cases]]
id = "my-case"
title = "Mine"
axes = "gravity"
steerer_angle_deg = 70
loads = [ { side = "right", from_end_mm = 50, force_n = [0, 0, -600], band_mm = 31 } ]
[cases.cycle]
other = "iso-4210-5.bar-bending"
cycles = 100000

[fatigue]
clamp_factor = [1.3, 1.6, 1.8]
reliability_factor = 0.9

[[spectrum]]
case = "my-case"
cycles = 2000
scale = 1.5

[[sweep]]
path = "bar.stations.*.wall_mm"
values = [1.8, 2.0, 2.2]
"""

MATERIAL = """\
[bar.material]
youngs_modulus_mpa = 68300
poisson_ratio = 0.33
density_kg_m3 = 2713
proof_stress_mpa = 241
ultimate_stress_mpa = 290
source = { kind = "measured", reference = "pulled strips" }
"""

ID = 'material = "al-6061-t6"'
STATION = "{ at_mm = 48, od_mm = 31.8, wall_mm = 2.2 }"
RADII = "bend_radii_mm = [65, 66]"
POINTS = "points_mm = [[0, 0, 0], [75, 0, 0], [130, -5, 25], [380, -37, 30]]"
BEND = "straight_mm = 90, rotation_deg = 180, angle_deg = 8, radius_mm = 70"
LOAD = '{ side = "right", from_end_mm = 50, force_n = [0, 0, -600], band_mm = 31 }'
CASE = 'use = "iso-4210-5.bar-bending"'
AGAIN = f'[[cases]]\n{CASE}\nbicycle = "racing"\n'
MANY = ", ".join(["[1, 0, 0]"] * 101)
MANY_STATIONS = ", ".join(f"{{ at_mm = {i}, od_mm = 22, wall_mm = 2 }}" for i in range(101))
MANY_LOADS = ", ".join([LOAD] * 21)

CURVE = "[0.0035, 239], [0.0056, 242], [0.08, 290], [0.1, 270]"
PAIRS = "bar.material.stress_strain"


def edited(old: str, new: str) -> str:
    """Return the good study with one edit, which must apply."""
    assert old in GOOD
    return GOOD.replace(old, new, 1)


def with_material(old: str, new: str) -> str:
    """Return the good study with a material table of its own, edited."""
    assert old in MATERIAL
    return GOOD.replace(ID, "").replace("[clamp]", MATERIAL.replace(old, new, 1) + "[clamp]", 1)


def with_points(old: str, new: str) -> str:
    """Return the good study with a material whose points past yield are edited."""
    assert old in CURVE
    points = f"stress_strain = [{CURVE.replace(old, new, 1)}]\n"
    return with_material("[bar.material]\n", f"[bar.material]\n{points}")


def refused(path: Path) -> StudyError:
    """Return the error by which a study file is refused."""
    with pytest.raises(StudyError) as caught:
        read_study(path)
    return caught.value
