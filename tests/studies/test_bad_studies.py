"""Broken study files: each mistake gets one sentence at its place, and the exit code 2."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from studies.commands.main import main
from studies.study_file.errors import StudyError
from studies.study_file.study import read_study

ROOT = Path(__file__).parents[2]

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
clamp_edge_factor = 1.8
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

# what is replaced, by what, the field that must be named, words that must be said
BAD: list[tuple[str, str, str, list[str]]] = [
    # missing keys
    ('name = "trial"\ntitle', "title", "name", ["missing", 'name = "harbour-flat"']),
    (ID, "", "bar.material", ["missing", "al-6061-t6"]),
    (STATION, "{ at_mm = 48, wall_mm = 2.2 }", "bar.stations[1].od_mm", ["missing", "mm", "31.8"]),
    (POINTS, "", "bar.right.points_mm", ["missing", "bend_radii_mm"]),
    ("tail_mm = 270", "", "bar.left.tail_mm", ["missing", "mm"]),
    (BEND, BEND.replace("angle_deg = 8, ", ""), "bar.left.bends[0].angle_deg", ["missing", "deg"]),
    (CASE + "\n", "", "cases[0].use", ["missing", "barwright cases"]),
    ('id = "my-case"\n', "", "cases[1].id", ["missing", "my-case"]),
    (f"loads = [ {LOAD} ]", "", "cases[1].loads", ["missing"]),
    ('path = "bar.stations.*.wall_mm"', "", "sweep[0].path", ["missing"]),
    # unknown keys
    ("blend_mm", "blnd_mm", "bar.blnd_mm", ["nearest is blend_mm"]),
    ('title = "A trial"', 'titel = "A trial"', "titel", ["nearest is title"]),
    ("[clamp]", "[clmp]", "clmp", ["nearest is clamp"]),
    ("[clamp]", "[clamp]\nmaterial = 1", "clamp.material", ["belongs to [bar]"]),
    ("[bar.right]", "[bar.right]\nstations = []", "bar.right.stations", ["belongs to [bar]"]),
    ("level =", "zz = 3\nlevel =", "mesh.zz", ["it knows level"]),
    ("[clamp]", '[clamp]\n"a b\\u001b" = 1', 'clamp."a b\\u001b"', ["no key of this table"]),
    ("bicycle", "bicicle", "cases[0].bicicle", ["bicycle"]),
    ("axes =", "axis =", "cases[1].axis", ["nearest is axes"]),
    ("[[cases]]\nuse", "[[cases]]\nus", "cases[0].use", ["missing"]),
    # units
    (STATION, STATION.replace("od_mm", "od_cm"), "bar.stations[1].od_cm", ["cm", "mm", "od_mm"]),
    (
        STATION,
        STATION.replace("wall_mm", "wall_in"),
        "bar.stations[1].wall_in",
        ["inches", "wall_mm"],
    ),
    (STATION, STATION.replace("wall_mm", "wall"), "bar.stations[1].wall", ["no unit", "wall_mm"]),
    (STATION, STATION.replace("od_mm", "diameter"), "bar.stations[1].diameter", ["od_mm"]),
    (
        LOAD,
        LOAD.replace("force_n", "force_kn"),
        "cases[1].loads[0].force_kn",
        ["kN", "unit here is N", "force_n"],
    ),
    (LOAD, LOAD.replace("force_n", "force_lbf"), "cases[1].loads[0].force_lbf", ["lbf", "force_n"]),
    (LOAD, LOAD.replace("force_n", "moment_nm"), "cases[1].loads[0].moment_nm", ["N·mm"]),
    ("roll_deg", "roll_rad", "bar.roll_rad", ["rad", "roll_deg"]),
    ("mass_g = 304.0", "mass_kg = 0.304", "bar.mass_kg", ["kg", "mass_g"]),
    ("tail_mm", "tail", "bar.left.tail", ["mm", "tail_mm"]),
    # wrong types
    (
        "od_mm = 31.8, wall_mm = 2.2 },\n    { at_mm = 48",
        'od_mm = "31.8", wall_mm = 2.2 },\n    { at_mm = 48',
        "bar.stations[0].od_mm",
        ['the text "31.8"', "mm", "without quotes"],
    ),
    ("roll_deg = 4.5", "roll_deg = true", "bar.roll_deg", ["is true", "number in deg"]),
    ("roll_deg = 4.5", "roll_deg = 2026-01-31", "bar.roll_deg", ["a date"]),
    ("roll_deg = 4.5", "roll_deg = [4.5]", "bar.roll_deg", ["a list"]),
    ("roll_deg = 4.5", "roll_deg = { deg = 4 }", "bar.roll_deg", ["a table"]),
    ("wall_change = true", "wall_change = 1", "bar.bend_effects.wall_change", ["true or false"]),
    ('name = "trial"\n', "name = 3\n", "name", ["is 3", "text in quotes"]),
    ("cycles = 100000", "cycles = 1.5", "cases[1].cycle.cycles", ["1.5", "whole number"]),
    (POINTS, "points_mm = 3", "bar.right.points_mm", ["is 3", "list"]),
    (
        POINTS,
        POINTS.replace("[75, 0, 0]", "[75, 0]"),
        "bar.right.points_mm[1]",
        ["2 numbers", "three"],
    ),
    (POINTS, POINTS.replace("[75, 0, 0]", "75"), "bar.right.points_mm[1]", ["[x, y, z]"]),
    (POINTS, POINTS.replace("[75, 0, 0]", '["75", 0, 0]'), "bar.right.points_mm[1][0]", ["mm"]),
    (LOAD, LOAD.replace("-600]", "true]"), "cases[1].loads[0].force_n[2]", ["is true", "in N"]),
    (STATION, "4", "bar.stations[1]", ["is 4", "table"]),
    (ID, "material = 6061", "bar.material", ["6061", "catalogue id", "[bar.material]"]),
    ("[mesh]", "[[mesh]]", "mesh", ["[mesh]", "single brackets"]),
    ("values = [1.8, 2.0, 2.2]", "values = [true]", "sweep[0].values[0]", ["number or a text"]),
    ('bicycle = "mountain"', 'bicycle = ["mountain"]', "cases[0].bicycle", ["a list"]),
    # choices
    (
        'model = "elastic"',
        'model = "rigit"',
        "clamp.model",
        ['"elastic" or "rigid"', 'nearest is "rigid"'],
    ),
    ('level = "standard"', 'level = "hyper"', "mesh.level", ["coarse", "standard", "fine"]),
    ('axes = "gravity"', 'axes = "Bar"', "cases[1].axes", ['nearest is "bar"']),
    ('side = "right"', 'side = "starboard"', "cases[1].loads[0].side", ['"left" or "right"']),
    ('bicycle = "mountain"', 'bicycle = "montain"', "cases[0].bicycle", ["mountain"]),
    (CASE, 'use = "iso-4210-5.bar-bendin"', "cases[0].use", ["iso-4210-5.bar-bending"]),
    (ID, 'material = "al-6061"', "bar.material", ["al-6061-t6"]),
    # numbers that no bar has
    ("roll_deg = 4.5", "roll_deg = nan", "bar.roll_deg", ["nan", "finite", "deg"]),
    ("roll_deg = 4.5", "roll_deg = inf", "bar.roll_deg", ["inf", "finite"]),
    ("roll_deg = 4.5", "roll_deg = -inf", "bar.roll_deg", ["-inf", "finite"]),
    ("roll_deg = 4.5", "roll_deg = 200", "bar.roll_deg", ["200 deg", "at most 180 deg"]),
    ("roll_deg = 4.5", "roll_deg = 1e300", "bar.roll_deg", ["1e+300", "180"]),
    ("roll_deg = 4.5", "roll_deg = 0x" + "f" * 500, "bar.roll_deg", ["digits"]),
    (STATION, STATION.replace("2.2", "0"), "bar.stations[1].wall_mm", ["0 mm", "at least 0.1 mm"]),
    (
        STATION,
        STATION.replace("2.2", "-1.5"),
        "bar.stations[1].wall_mm",
        ["-1.5 mm", "at least 0.1 mm"],
    ),
    (
        STATION,
        STATION.replace("31.8", "3180"),
        "bar.stations[1].od_mm",
        ["3180 mm", "at most 250 mm"],
    ),
    (
        STATION,
        STATION.replace("31.8", "1.25"),
        "bar.stations[1].od_mm",
        ["1.25 mm", "at least 5 mm"],
    ),
    (STATION, STATION.replace("48", "-48"), "bar.stations[1].at_mm", ["-48 mm", "at least 0"]),
    ("width_mm = 46", "width_mm = 0", "clamp.width_mm", ["0 mm", "at least 5 mm"]),
    ("blend_mm = 5", "blend_mm = -5", "bar.blend_mm", ["-5 mm", "at least 0 mm"]),
    ("mass_g = 304.0", "mass_g = 0.304", "bar.mass_g", ["0.304 g", "at least 1 g"]),
    (RADII, "bend_radii_mm = [0, 66]", "bar.right.bend_radii_mm[0]", ["above 0 mm"]),
    (LOAD, LOAD.replace("-600", "-6e9"), "cases[1].loads[0].force_n[2]", ["-1000000 N"]),
    (LOAD, LOAD.replace("31", "0"), "cases[1].loads[0].band_mm", ["at least 2 mm"]),
    (
        "steerer_angle_deg = 70",
        "steerer_angle_deg = 7",
        "cases[1].steerer_angle_deg",
        ["at least 30 deg"],
    ),
    ("cycles = 100000", "cycles = 0", "cases[1].cycle.cycles", ["at least 1"]),
    (
        "ovality_percent = 2.5",
        "ovality_percent = 25",
        "bar.bend_effects.ovality_percent",
        ["25 %", "20 %"],
    ),
    ("normal_n_per_mm3 = 7000", "normal_n_per_mm3 = 0", "clamp.normal_n_per_mm3", ["N/mm3"]),
    # lists
    (POINTS, f"points_mm = [{MANY}]", "bar.right.points_mm", ["101", "limit is 100"]),
    (STATION, MANY_STATIONS, "bar.stations", ["103", "limit is 100"]),
    (LOAD, MANY_LOADS, "cases[1].loads", ["21", "limit is 20"]),
    (LOAD, "", "cases[1].loads", ["no entries", "at least 1"]),
    (POINTS, "points_mm = [[0, 0, 0]]", "bar.right.points_mm", ["1 entry", "at least 2"]),
    # texts
    ('name = "trial"\n', 'name = "My Bar"\n', "name", ['"My Bar"', "file name", '"my-bar"']),
    ('name = "trial"\n', 'name = "../up"\n', "name", ["file name"]),
    ('name = "trial"\n', f'name = "{"a" * 65}"\n', "name", ["65 characters", "at most 64"]),
    ('name = "trial"\n', 'name = ""\n', "name", ["empty"]),
    ('title = "A trial"', 'title = ""', "title", ["empty"]),
    ('title = "A trial"', 'title = "  "', "title", ["blanks"]),
    ('title = "A trial"', 'title = "A\\u001b[31m"', "title", ["U+001B", "control character"]),
    ('title = "A trial"', 'title = "A\\u202Eb"', "title", ["U+202E"]),
    ('title = "A trial"', f'title = "{"a" * 201}"', "title", ["201", "200"]),
    ('id = "my-case"', 'id = "my/case"', "cases[1].id", ['"my-case"']),
    # the bar's shape
    (STATION, STATION.replace("2.2", "15.9"), "bar.stations[1].wall_mm", ["15.9 mm", "inner"]),
    (STATION, STATION.replace("48", "0"), "bar.stations[1].at_mm", ["0 mm", "outwards"]),
    (STATION, STATION.replace("48", "150"), "bar.stations[2].at_mm", ["150 mm", "beyond"]),
    (
        POINTS,
        POINTS.replace("[75, 0, 0]", "[75, 0, 9]"),
        "bar.right.points_mm[1]",
        ["[75, 0, 9]", "+x"],
    ),
    (
        POINTS,
        POINTS.replace("[75, 0, 0]", "[-75, 0, 0]"),
        "bar.right.points_mm[1]",
        ["[-75, 0, 0]", "+x"],
    ),
    (
        POINTS,
        POINTS.replace("[0, 0, 0]", "[1, 0, 0]"),
        "bar.right.points_mm[0]",
        ["[1, 0, 0]", "[0, 0, 0]"],
    ),
    (POINTS, POINTS.replace("380,", "3800,"), "bar.right", ["mm long", "limit is 1500 mm"]),
    (RADII, "bend_radii_mm = [65]", "bar.right.bend_radii_mm", ["1 radii", "2 interior points"]),
    (RADII, "bend_radii_mm = [15, 66]", "bar.right.bend_radii_mm[0]", ["15 mm", "too tight", "mm"]),
    (
        RADII,
        "bend_radii_mm = [250, 66]",
        "bar.right.points_mm[2]",
        ["take", "reduce a bend radius"],
    ),
    (RADII, f"{RADII}\ntail_mm = 3", "bar.right", ["points and by bends"]),
    (f"{POINTS}\n{RADII}", "", "bar.right", ["no shape"]),
    (BEND, BEND.replace("= 70", "= 9"), "bar.left.bends[0].radius_mm", ["9 mm", "too tight"]),
    (BEND, BEND.replace("= 8", "= 0"), "bar.left.bends[0].angle_deg", ["0 deg", "above 0 deg"]),
    (BEND, BEND.replace("= 8", "= 180"), "bar.left.bends[0].angle_deg", ["180 deg", "175 deg"]),
    (
        "wall_mm = 2.2 },\n    { at_mm = 140",
        "wall_mm = 2.1 },\n    { at_mm = 140",
        "bar.left.stations[0].wall_mm",
        ["2.1 mm", "agree"],
    ),
    # clamp, cases, loads
    ("width_mm = 46", "width_mm = 900", "clamp.width_mm", ["900 mm", "below"]),
    (
        LOAD,
        LOAD.replace("right", "left").replace("50", "5"),
        "cases[1].loads[0].from_end_mm",
        ["5 mm", "end"],
    ),
    (LOAD, LOAD.replace("50", "370"), "cases[1].loads[0].from_end_mm", ["clamp"]),
    (LOAD, "{ at_mm = 20, force_n = [0, 0, -600] }", "cases[1].loads[0].at_mm", ["clamp"]),
    (LOAD, LOAD.replace("side", "at_mm = 200, side"), "cases[1].loads[0]", ["two places", "at_mm"]),
    (LOAD, "{ force_n = [0, 0, -600] }", "cases[1].loads[0]", ["no place"]),
    (LOAD, LOAD.replace('side = "right", ', ""), "cases[1].loads[0].side", ["missing", "left"]),
    (
        LOAD,
        LOAD.replace("from_end_mm = 50, ", ""),
        "cases[1].loads[0].from_end_mm",
        ["missing", "mm"],
    ),
    (LOAD, LOAD.replace("-600", "0"), "cases[1].loads[0]", ["neither force nor moment"]),
    ("[[sweep]]", AGAIN + "[[sweep]]", "cases[2].id", ["twice"]),
    ('other = "iso-4210-5.bar-bending"', 'other = "nobody"', "cases[1].cycle.other", ["nobody"]),
    ('bicycle = "mountain"', 'bicycle = "mountain"\nloads = []', "cases[0].loads", ["use"]),
    (
        'bicycle = "mountain"',
        'bicycle = "mountain"\ndirection_deg = nan',
        "cases[0].direction_deg",
        ["nan"],
    ),
    ('bicycle = "mountain"', "", "cases[0].bicycle", ["missing", "mountain"]),
    ("values = [1.8, 2.0, 2.2]", "", "sweep[0]", ["values", "scale", "linspace"]),
    ("values = [1.8, 2.0, 2.2]", "values = [1]\nscale = [1]", "sweep[0]", ["exactly one"]),
    (
        "values = [1.8, 2.0, 2.2]",
        "linspace = { from = 1, to = 2, count = 1 }",
        "sweep[0].linspace.count",
        ["at least 2"],
    ),
]

BAD += [
    # fatigue
    ("= 1.8\n", "= 0.9\n", "fatigue.clamp_edge_factor", ["0.9", "at least 1"]),
    ("= 1.8\n", "= 18\n", "fatigue.clamp_edge_factor", ["18", "at most 5"]),
    ("= 1.8\n", "= nan\n", "fatigue.clamp_edge_factor", ["finite"]),
    ("clamp_edge_factor", "clamp_edge_faktor", "fatigue.clamp_edge_faktor", ["clamp_edge_factor"]),
    ("= 0.9\n", "= 0.4\n", "fatigue.reliability_factor", ["0.4", "at least 0.5"]),
    ("= 0.9\n", "= 1.1\n", "fatigue.reliability_factor", ["1.1", "at most 1"]),
    ("= 0.9\n", '= "0.9"\n', "fatigue.reliability_factor", ["without quotes"]),
    ("[fatigue]", "[[fatigue]]", "fatigue", ["single brackets"]),
    ("[[spectrum]]", "[spectrum]", "spectrum", ["double brackets", "[[spectrum]]"]),
    ('case = "my-case"', 'case = "my-cse"', "spectrum[0].case", ["'my-cse'", "nearest: my-case"]),
    ('case = "my-case"\n', "", "spectrum[0].case", ["missing", "my-case"]),
    ("cycles = 2000\n", "", "spectrum[0].cycles", ["missing", "100000"]),
    ("cycles = 2000", "cycles = 0", "spectrum[0].cycles", ["0", "at least 1"]),
    ("scale = 1.5", "scale = 0", "spectrum[0].scale", ["0", "above 0"]),
    ("scale = 1.5", "scale = 1000", "spectrum[0].scale", ["1000", "at most 100"]),
    ("scale = 1.5", "skale = 1.5", "spectrum[0].skale", ["nearest is scale"]),
    (
        'other = "iso-4210-5.bar-bending"\ncycles = 100000\n',
        "preload = true\n",
        "spectrum[0].case",
        ["'my-case'", "preload", "repeated"],
    ),
]

BAD_MATERIALS: list[tuple[str, str, str, list[str]]] = [
    ("density_kg_m3", "density", "bar.material.density", ["kg/m3", "density_kg_m3"]),
    ("= 68300", "= 68.3", "bar.material.youngs_modulus_mpa", ["68.3 MPa", "at least 1000 MPa"]),
    ("= 68300", "= inf", "bar.material.youngs_modulus_mpa", ["finite", "MPa"]),
    ("youngs_modulus_mpa", "youngs_modulus_gpa", "bar.material.youngs_modulus_gpa", ["GPa", "MPa"]),
    ("= 0.33", "= 0.6", "bar.material.poisson_ratio", ["0.6", "at most 0.49"]),
    ("= 2713", "= 2.713", "bar.material.density_kg_m3", ["2.713 kg/m3", "at least 500"]),
    ("= 290", "= 200", "bar.material.ultimate_stress_mpa", ["200 MPa", "241 MPa"]),
    ("proof_stress_mpa = 241\n", "", "bar.material.proof_stress_mpa", ["missing", "MPa"]),
    ('"measured"', '"guessed"', "bar.material.source.kind", ["standard", "measured"]),
    (', reference = "pulled strips"', "", "bar.material.source.reference", ["missing"]),
    ("[bar.material]", "[bar.material]\ncurve = 3", "bar.material.curve", ["engineering"]),
]

CURVE = "[0.0035, 239], [0.0056, 242], [0.08, 290], [0.1, 270]"
PAIRS = "bar.material.stress_strain"

# what is replaced in the points, by what, the place in them, words that must be said
BAD_POINTS: list[tuple[str, str, str, list[str]]] = [
    (CURVE, "[0.0056, 242]", "", ["1 entry", "at least 2"]),
    (CURVE, ", ".join(["[0.01, 242]"] * 101), "", ["101", "limit is 100"]),
    ("[0.0056, 242]", "[0.0056]", "[1]", ["1 numbers", "two", "[strain, stress"]),
    ("[0.0056, 242]", "0.0056", "[1]", ["is 0.0056", "a pair", "[strain, stress"]),
    ("0.0056", '"0.0056"', "[1][0]", ["without quotes"]),
    ("0.0056", "nan", "[1][0]", ["nan", "finite"]),
    ("0.08", "8", "[2][0]", ["is 8", "at most 1", "0.0072 and not 0.72 %"]),
    ("0.0035", "0", "[0][0]", ["is 0", "above 0"]),
    ("242", "0", "[1][1]", ["0 MPa", "above 0"]),
    ("242", "242e6", "[1][1]", ["242000000 MPa", "at most 100000 MPa"]),
    ("0.08", "0.0056", "[2][0]", ["0.0056", "not above", "sort"]),
    ("242", "238", "[1][1]", ["238 MPa", "239 MPa", "before the highest", "smooth"]),
    ("0.0035, 239", "0.0034, 239", "[0][0]", ["0.0034 at 239 MPa", "0.003499", "total strain"]),
    ("[0.08, ", "[0.0058, 261], [0.08, ", "[2]", ["9.5e+04 MPa", "68300 MPa", "leave one"]),
    ("[0.0035, 239], ", "[0.35, 239], [0.56, 242], [0.6, 241], ", "[3][0]", ["0.0056", "0.6"]),
    ("[0.0035, 239], ", "", "[0]", ["0.00206", "0.002 of the proof", "at or below yield"]),
    (CURVE, "[0.0035, 239], [0.0045, 242]", "[1]", ["0.000957", "short of the 0.002", "carry"]),
    (CURVE, "[0.0035, 239], [0.0056, 270], [0.08, 290]", "", ["270.1 MPa", "+12.1 %", "5 %"]),
]
BAD_MATERIALS += [
    ("[bar.material]", f"[bar.material]\n{text}", f"bar.material.{field}", words)
    for text, field, words in [
        ("stress_strain = 240", "stress_strain", ["is 240", "list", "[[0.0035, 239]"]),
        ("stres_strain = []", "stres_strain", ["nearest is stress_strain"]),
        ("tangent_modulus_gpa = 1", "tangent_modulus_gpa", ["GPa", "tangent_modulus_mpa"]),
        ("tangent_modulus_mpa = -1", "tangent_modulus_mpa", ["-1 MPa", "at least 0 MPa"]),
        ("tangent_modulus_mpa = 35000", "tangent_modulus_mpa", ["35000", "34150 MPa", "slope"]),
        (
            f"tangent_modulus_mpa = 700\nstress_strain = [{CURVE}]",
            "tangent_modulus_mpa",
            ["beside stress_strain", "keep one"],
        ),
    ]
]

FORBIDDEN = re.compile(
    r"input should|pydantic|field required|extra inputs|valid (string|number|integer)|traceback|"
    r"validation error|\bdict\b|\btuple\b|\bNone\b|<\w+Table>",
    re.IGNORECASE,
)


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


CASES = [(edited(old, new), field, words) for old, new, field, words in BAD]
CASES += [(with_material(old, new), field, words) for old, new, field, words in BAD_MATERIALS]
CASES += [(with_points(old, new), PAIRS + at, words) for old, new, at, words in BAD_POINTS]
NAMES = [f"{index}-{field or 'top'}" for index, (_, field, _) in enumerate(CASES)]


@pytest.fixture
def study_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A path for a study in an empty folder that is the current one."""
    monkeypatch.chdir(tmp_path)
    return tmp_path / "trial.toml"


def refused(path: Path) -> StudyError:
    """Return the error by which a study file is refused."""
    with pytest.raises(StudyError) as caught:
        read_study(path)
    return caught.value


def test_the_unbroken_study_is_good(study_file: Path) -> None:
    """The text that every broken one is made of is itself a study without a warning on mass."""
    study_file.write_text(GOOD, encoding="utf-8")
    study = read_study(study_file)
    assert [case.case.id for case in study.cases] == ["iso-4210-5.bar-bending", "my-case"]
    assert not any("mass" in warning for warning in study.warnings)


def test_a_material_table_is_good(study_file: Path) -> None:
    """The material table that broken ones are made of is good, and its values arrive."""
    study_file.write_text(with_material("= 241", "= 240"), encoding="utf-8")
    assert read_study(study_file).bar.spec.material.proof_stress_mpa == 240


def test_points_past_yield_are_good(study_file: Path) -> None:
    """The points that broken ones are made of are good, a neck after the highest one included."""
    study_file.write_text(with_points("242", "242"), encoding="utf-8")
    assert read_study(study_file).bar.spec.material.stress_strain[3] == (0.1, 270)


def test_there_are_many_and_different_mistakes() -> None:
    """There are at least 60 broken files with at least 25 different places."""
    assert len(CASES) >= 60
    assert len({re.sub(r"\[\d+\]", "[]", field) for _, field, _ in CASES}) >= 25


@pytest.mark.parametrize(("text", "field", "words"), CASES, ids=NAMES)
def test_one_mistake_gets_one_sentence(
    text: str, field: str, words: list[str], study_file: Path
) -> None:
    """Each mistake is told once, at its place, with the words that help."""
    study_file.write_text(text, encoding="utf-8")
    problems = refused(study_file).problems
    assert [problem.field for problem in problems] == [field], problems
    sentence = problems[0].sentence
    assert all(word in sentence for word in words), sentence
    assert not FORBIDDEN.search(sentence), sentence
    assert sentence.isprintable()
    assert not re.search(r"[.!?] [A-Z]|\.$", sentence), sentence
    assert len(sentence) < 400


@pytest.mark.parametrize(("text", "field", "words"), CASES, ids=NAMES)
def test_the_command_refuses_with_2(
    text: str, field: str, words: list[str], study_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command line ends with 2, says it on standard error alone and writes nothing."""
    study_file.write_text(text, encoding="utf-8")
    assert main(["check", "--json", str(study_file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"{study_file}: {field}: " in err
    assert "Traceback" not in err
    assert [path.name for path in study_file.parent.iterdir()] == [study_file.name]


def test_mistakes_in_different_parts_are_told_together(study_file: Path) -> None:
    """Schema, material, geometry, clamp, case, load and cycle: all seven at once."""
    text = GOOD
    for old, new in [
        ('level = "standard"', 'level = "hyper"'),
        (ID, 'material = "wood"'),
        (RADII, "bend_radii_mm = [250, 66]"),
        ("width_mm = 46", "width_mm = -1"),
        ('bicycle = "mountain"', 'bicycle = "hobby-horse"'),
        ("-600]", "nan]"),
        (STATION, STATION.replace("2.2", "16")),
    ]:
        assert old in text
        text = text.replace(old, new, 1)
    study_file.write_text(text, encoding="utf-8")
    assert {problem.field for problem in refused(study_file).problems} == {
        "mesh.level",
        "bar.material",
        "bar.right.points_mm[2]",
        "bar.stations[1].wall_mm",
        "clamp.width_mm",
        "cases[0].bicycle",
        "cases[1].loads[0].force_n[2]",
    }


def test_case_mistakes_are_told_beside_schema_mistakes(study_file: Path) -> None:
    """A load that meets the clamp is told although the mesh table is wrong too."""
    text = edited('level = "standard"', "level = 3").replace(
        "from_end_mm = 50", "from_end_mm = 370"
    )
    study_file.write_text(text, encoding="utf-8")
    fields = [problem.field for problem in refused(study_file).problems]
    assert fields == ["mesh.level", "cases[1].loads[0].from_end_mm"]


def test_several_mistakes_of_one_table_are_all_told(study_file: Path) -> None:
    """Three wrong values in one station are three sentences."""
    study_file.write_text(
        edited(STATION, '{ at_mm = "a", od_mm = -1, wall_mm = true }'), encoding="utf-8"
    )
    problems = refused(study_file).problems
    assert [problem.field for problem in problems] == [
        "bar.stations[1].at_mm",
        "bar.stations[1].od_mm",
        "bar.stations[1].wall_mm",
    ]


def test_a_flood_of_mistakes_is_cut_short(
    study_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two hundred unknown keys are not two hundred lines."""
    extra = "".join(f"zz{index} = 1\n" for index in range(200))
    study_file.write_text(extra + GOOD, encoding="utf-8")
    assert main(["check", str(study_file)]) == 2
    err = capsys.readouterr().err
    assert "200 problems" in err
    assert len(err.splitlines()) < 60


NOT_TOML = [
    ("a = = 2", "line 1", "quotes"),
    ("a = 1\nb = 31,8", "line 2", "decimal point"),
    ("a = 1\na = 2", "line 2", "twice"),
    ("[a]\nb = 1\n[a]", "line 3", "twice"),
    ("a = [1, 2", "line 1", "close"),
    ('a = "open', "line 1", "quotes"),
    ("just words", "line 1", "key = value"),
    ("a = 1\n\n[bar", "line 3", "close"),
    ("a = 12:99:00", "line 1", "key = value"),
]


@pytest.mark.parametrize(("text", "line", "word"), NOT_TOML, ids=[t for t, _, _ in NOT_TOML])
def test_bad_toml_names_its_line(text: str, line: str, word: str, study_file: Path) -> None:
    """A slip in TOML's grammar is told with its line, the line's text and what helps."""
    study_file.write_text(text, encoding="utf-8")
    (problem,) = refused(study_file).problems
    assert problem.field == line
    assert word in problem.sentence
    assert "\n" not in problem.sentence


def _folder(path: Path) -> None:
    path.mkdir()


def _loop(path: Path) -> None:
    path.symlink_to(path)


def _long_chain(path: Path) -> None:
    path.symlink_to(path.with_name("nobody"))


def _huge(path: Path) -> None:
    path.write_bytes(b"# " + b"x" * 1_000_001)


def _latin(path: Path) -> None:
    path.write_bytes(b'name = "a"\ntitle = "Br\xfccke"\n')


def _utf16(path: Path) -> None:
    path.write_text(GOOD, encoding="utf-16")


def _empty(path: Path) -> None:
    path.write_bytes(b"")


def _blank(path: Path) -> None:
    path.write_bytes(b" \n\n")


def _pipe(path: Path) -> None:
    os.mkfifo(path)


def _nested(path: Path) -> None:
    path.write_text("a = " + "[" * 50_000, encoding="utf-8")


def _endless_number(path: Path) -> None:
    path.write_text("a = " + "9" * 9000, encoding="utf-8")


def _nothing(path: Path) -> None:
    """Leave the place empty."""


NO_FILE = [
    (_nothing, "does not exist"),
    (_folder, "is a folder"),
    (_loop, "cannot be opened"),
    (_long_chain, "does not exist"),
    (_huge, "1 MB"),
    (_latin, "line 2"),
    (_utf16, "UTF-8"),
    (_empty, "is empty"),
    (_blank, "is empty"),
    (_pipe, "no plain file"),
    (_nested, "deeply"),
    (_endless_number, "digits"),
]


@pytest.mark.parametrize(("make", "words"), NO_FILE, ids=[m.__name__ for m, _ in NO_FILE])
def test_what_is_no_study_file_is_refused(make, words: str, study_file: Path) -> None:
    """Folders, loops, pipes, foreign encodings and endless things are refused in one sentence."""
    make(study_file)
    (problem,) = refused(study_file).problems
    assert problem.field == ""
    assert words in problem.sentence
    assert main(["check", str(study_file)]) == 2


def test_a_path_with_a_null_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """A path that no system can open is bad input and not a crash."""
    assert "cannot be opened" in str(refused(Path("a\0b")).problems[0])
    assert main(["check", "a\0b"]) == 2
    assert "\0" not in capsys.readouterr().err


@pytest.mark.parametrize("index", [0, 10, 40, 70])
def test_a_whole_process_refuses_with_2(index: int, study_file: Path) -> None:
    """The exit code of the process itself is 2, with no traceback and nothing printed."""
    text, field, _ = CASES[index]
    study_file.write_text(text, encoding="utf-8")
    code = "import sys; from studies.commands.main import main; sys.exit(main())"
    done = subprocess.run(
        [sys.executable, "-c", code, "check", str(study_file)],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
        timeout=60,
    )
    assert done.returncode == 2
    assert field in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
