"""Keys, units, types and choices of a study file gone wrong.

What is replaced in the good study, by what, the field that must be named, words that must be said.
"""

from support.broken_studies import BEND, CASE, ID, LOAD, POINTS, STATION

BAD_KEYS: list[tuple[str, str, str, list[str]]] = [
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
    ("[clamp]", "[clamp]\nat_mm = 1", "clamp.at_mm", ["belongs to bar.stations"]),
    ("[clamp]", "[clamp]\naxes = 1", "clamp.axes", ["belongs to [[cases]]"]),
    ("[clamp]", "[clamp]\nunload_at = 1", "clamp.unload_at", ["belongs to [cases.collapse]"]),
    ("[clamp]", "[clamp]\ntitle = 1", "clamp.title", ["belongs to the top of the file"]),
    ("axes =", "use_ = 1\naxes =", "cases[1].use_", ["it knows title, cycle"]),
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
]
BAD_TYPES: list[tuple[str, str, str, list[str]]] = [
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
        ['"elastic", "rigid" or "none"', 'nearest is "rigid"'],
    ),
    ('level = "standard"', 'level = "hyper"', "mesh.level", ["coarse", "standard", "fine"]),
    ('axes = "gravity"', 'axes = "Bar"', "cases[1].axes", ['nearest is "bar"']),
    ('side = "right"', 'side = "starboard"', "cases[1].loads[0].side", ['"left" or "right"']),
    ('bicycle = "mountain"', 'bicycle = "montain"', "cases[0].bicycle", ["mountain"]),
    (CASE, 'use = "iso-4210-5.bar-bendin"', "cases[0].use", ["iso-4210-5.bar-bending"]),
    (ID, 'material = "al-6061"', "bar.material", ["al-6061-t6"]),
]
