"""A study's own material gone wrong, and its points past yield.

What is replaced, by what, the field or the place that must be named, words that must be said.
"""

from support.broken_studies import CURVE

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
    (
        CURVE,
        "[0.0035, 239], [0.0045, 242]",
        "[1]",
        ["0.000957", "short of the 0.002", "give points further"],
    ),
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
