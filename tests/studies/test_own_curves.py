"""Curves past yield in a study: what arrives, its source, its warning, and how it varies."""

import tomllib
from copy import deepcopy
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from fea.collapse.flow_curve import TableCurve
from fea.collapse.material_curve import curve_statement, flow_curve_of
from geometry.material import Material, load_material, material_sources
from studies.page.inputs import inputs
from studies.study_file.changes import Change
from studies.study_file.errors import StudyError
from studies.study_file.format.study_tables import study_schema
from studies.study_file.key_places import places
from studies.study_file.study import Study, study_from_table
from studies.study_file.variants import design_table, variant_of
from studies.sweeps.rows import key_of

PLACE = Path("trial.toml")
POINTS = [[0.0035, 235], [0.0055, 241], [0.08, 290]]
OWN = {
    "youngs_modulus_mpa": 68300,
    "poisson_ratio": 0.33,
    "density_kg_m3": 2713,
    "proof_stress_mpa": 241,
    "ultimate_stress_mpa": 290,
    "source": {"kind": "measured", "reference": "pulled strips"},
}
LIKE = {"like": "al-6061-t6"}


def study_of(material: object) -> Study:
    """Return a small study of a material."""
    table: dict[str, Any] = tomllib.loads(
        """
        name = "trial"
        [bar]
        stations = [ { at_mm = 0, od_mm = 31.8, wall_mm = 2.0 } ]
        [bar.right]
        points_mm = [[0, 0, 0], [350, 0, 0]]
        bend_radii_mm = []
        """
    )
    table["bar"]["material"] = material
    return study_from_table(table, PLACE, "")


def material_of(material: object) -> Material:
    """Return the material that a study of it holds."""
    return study_of(material).bar.spec.material


@pytest.mark.parametrize("table", [OWN, LIKE], ids=["own", "like"])
def test_points_arrive_in_both_kinds_of_table(table: dict[str, Any]) -> None:
    """As tuples, with the kind that the file names."""
    material = material_of({**table, "stress_strain": POINTS, "curve": "true"})
    assert material.stress_strain == ((0.0035, 235), (0.0055, 241), (0.08, 290))
    assert (material.curve, material.tangent_modulus_mpa) == ("true", None)
    curve = flow_curve_of(material)
    assert isinstance(curve, TableCurve)
    assert curve.stress_mpa[-1] == 290
    assert "read as true stress" in curve_statement(material)


@pytest.mark.parametrize("table", [OWN, LIKE], ids=["own", "like"])
@pytest.mark.parametrize("slope", [0, 700])
def test_a_slope_arrives_in_both_kinds_of_table(table: dict[str, Any], slope: float) -> None:
    """Zero too, which is a metal that does not harden; the curve is engineering by default."""
    material = material_of({**table, "tangent_modulus_mpa": slope})
    assert (material.curve, material.tangent_modulus_mpa) == ("engineering", slope)
    curve = flow_curve_of(material)
    assert isinstance(curve, TableCurve)
    assert (len(curve.plastic) == 1) == (slope == 0)


def test_a_catalogue_material_keeps_what_is_not_changed() -> None:
    """Exponent, fatigue curves and the sources of the strengths; the curve has a source itself."""
    known = load_material("al-6061-t6")
    source = {"kind": "measured", "reference": "pulled strips"}
    material = material_of({**LIKE, "stress_strain": POINTS, "source": source})
    assert material.hardening == known.hardening
    assert (material.source, material.fatigue) == (known.source, known.fatigue)
    sources = dict(material_sources(material))
    assert sources["stress-strain curve"].reference == "pulled strips"
    assert sources["strength"] == known.source
    assert "stress-strain curve" not in dict(material_sources(known))
    bare = material_of({**LIKE, "curve": "true"})
    assert dict(material_sources(bare))["stress-strain curve"].kind == "practice"
    assert dict(material_sources(material_of({**OWN, "tangent_modulus_mpa": 0})))[
        "stress-strain curve"
    ] == (material_of(OWN).source)


@pytest.mark.parametrize(
    ("table", "key", "n"),
    [
        ({**LIKE, "stress_strain": POINTS}, "stress_strain", "n = 34"),
        ({**LIKE, "tangent_modulus_mpa": 0}, "tangent_modulus_mpa", "n = 34"),
        ({**OWN, "tangent_modulus_mpa": 700}, "tangent_modulus_mpa", "n = 19.93, an estimate"),
        ({**OWN, "stress_strain": POINTS, "ramberg_osgood_n": 25}, "stress_strain", "n = 25"),
        ({"like": "al-2014-t6", "tangent_modulus_mpa": 700}, "tangent_modulus_mpa", "n = 15"),
    ],
)
def test_a_warning_says_that_the_linear_assessment_keeps_its_exponent(
    table: dict[str, Any], key: str, n: str
) -> None:
    """That in compression, which wrinkles use; a material without a curve has no such warning."""
    (warning,) = [w for w in study_of(table).warnings if "Ramberg" in w]
    assert warning.startswith(f"bar.material.{key}: only the equilibrium path")
    assert warning.endswith(f"Ramberg-Osgood with {n}")
    assert not any("Ramberg" in w for w in study_of("al-6061-t6").warnings)


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"proof_stress_mpa": 260}, "stress_strain", "-7.3 % from the proof stress of 260 MPa"),
        ({"youngs_modulus_mpa": 60000}, r"stress_strain\[0\]\[0\]", "correct youngs_modulus"),
        ({"tangent_modulus_mpa": 5}, "tangent_modulus_mpa", "keep one of the two"),
    ],
)
def test_points_that_do_not_fit_the_catalogue_are_refused(
    change: dict[str, float], field: str, words: str
) -> None:
    """One sentence at the key, also where the catalogue's values are what they do not fit."""
    with pytest.raises(StudyError, match=rf"bar\.material\.{field}: .*{words}") as caught:
        study_of({**LIKE, "stress_strain": POINTS, **change})
    assert len(caught.value.problems) == 1


def test_a_bad_curve_is_told_beside_a_bad_shape() -> None:
    """Both at once, so that the user mends once."""
    table = deepcopy(dict(study_of(OWN).table))
    both = {"stress_strain": POINTS, "tangent_modulus_mpa": 0}
    table["bar"]["material"] = {**OWN, **both}
    table["bar"]["right"]["points_mm"] = [[0, 0, 0], [0, 350, 0]]
    with pytest.raises(StudyError) as caught:
        study_from_table(table, PLACE, "")
    fields = [problem.field for problem in caught.value.problems]
    assert fields == ["bar.material.tangent_modulus_mpa", "bar.right.points_mm[1]"]


def test_a_slope_too_steep_for_the_catalogue_is_refused() -> None:
    """The modulus is that of the material that it is like."""
    with pytest.raises(StudyError, match=r"40000 MPa but must be at most 0\.5 of Young's"):
        study_of({**LIKE, "tangent_modulus_mpa": 40000})


def test_the_schema_knows_the_curves() -> None:
    """In both tables, with the limits of a point."""
    tables = study_schema()["$defs"]
    for name in ("MaterialTable", "LikeMaterialTable"):
        keys = tables[name]["properties"]
        assert keys["tangent_modulus_mpa"]["anyOf"][0]["minimum"] == 0
        points = keys["stress_strain"]["anyOf"][0]
        assert (points["minItems"], points["maxItems"]) == (2, 100)
        strain, stress = points["items"]["prefixItems"]
        assert (strain["exclusiveMinimum"], strain["maximum"]) == (0, 1)
        assert (stress["exclusiveMinimum"], stress["type"]) == (0, "number")
        assert "curve" in keys


@pytest.mark.parametrize("material", ["al-6061-t6", LIKE, {**OWN, "tangent_modulus_mpa": 700}])
def test_a_sweep_varies_the_slope(material: object) -> None:
    """Also of a material named by its id alone; each slope is another design."""
    study, path = study_of(material), "bar.material.tangent_modulus_mpa"
    keys = {key_of(design_table(study.table, ()), "coarse", ())}
    for slope in (0, 300, 1200):
        change = [Change(path, "value", slope)]
        made = variant_of(study, change).bar.spec.material
        assert made.tangent_modulus_mpa == slope
        keys.add(key_of(design_table(study.table, change), "coarse", ()))
    assert len(keys) == 4


def test_a_point_and_the_kind_of_the_curve_vary_too() -> None:
    """A point is named by its numbers; a factor acts on what is written."""
    study = study_of({**LIKE, "stress_strain": POINTS})
    assert len(places(study.table, "bar.material.stress_strain[*][1]")) == 3
    change = [
        Change("bar.material.stress_strain[*][1]", "factor", 0.98),
        Change("bar.material.curve", "value", "true"),
    ]
    made = variant_of(study, change).bar.spec.material
    assert made.stress_strain[2] == (0.08, pytest.approx(0.98 * 290))
    assert made.curve == "true"
    assert design_table(study.table, change)["bar"]["material"]["curve"] == "true"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"stress_strain": POINTS}, ["engineering curve", "241 MPa at 0.0055"]),
        ({"tangent_modulus_mpa": 0, "curve": "true"}, ["slope past yield, true", "0 MPa"]),
    ],
)
def test_the_inputs_of_the_page_show_the_curve(change: dict[str, Any], words: list[str]) -> None:
    """With its values and its source."""
    run: Any = SimpleNamespace(study=study_of({**LIKE, **change}), level="coarse")
    rows = [row for group in inputs(run) for row in group.rows]
    told = [row for row in rows if all(word in f"{row.name} {row.value}" for word in words)]
    assert len(told) == 1
    assert "no source given" in told[0].source
