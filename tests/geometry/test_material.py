"""The catalogue of materials, and materials of the user's own."""

from dataclasses import replace
from importlib.resources import files

import pytest

from geometry.errors import InputError
from geometry.material import (
    Hardening,
    Material,
    load_material,
    material_ids,
    material_sources,
    shear_modulus_mpa,
)
from geometry.material_table import material_problems
from geometry.source import KINDS, Source

MEASURED = Source("measured", "own tensile test")
OWN = Material("own", "own", 68300, 0.33, 2713, 241, 290, MEASURED)

# id: E, nu, density, proof, ultimate, elongation, kind of the elastic and of the strength values
ROWS = {
    "al-6061-t6": (68300, 0.33, 2713, 241, 290, 10, "handbook", "handbook"),
    "al-6061-t4": (68300, 0.33, 2713, 110, 207, 16, "handbook", "handbook"),
    "al-7075-t6": (71000, 0.33, 2796, 455, 531, 7, "handbook", "handbook"),
    "al-2014-t6": (74500, 0.33, 2796, 365, 414, 7, "handbook", "handbook"),
    "al-2024-t3": (72400, 0.33, 2768, 290, 441, 10, "handbook", "handbook"),
    "al-7050-t73511": (71000, 0.33, 2823, 414, 483, 8, "handbook", "handbook"),
    "steel-4130-n": (200000, 0.32, 7833, 517, 655, 10, "handbook", "handbook"),
    "steel-4130-qt125": (200000, 0.32, 7833, 690, 862, 12, "handbook", "handbook"),
    "steel-304-a": (200000, 0.27, 7916, 179, 503, 40, "handbook", "handbook"),
    "ti-3al-2.5v-cwsr": (103000, 0.30, 4480, 724, 862, 10, "secondary", "secondary"),
    "ti-3al-2.5v-a": (105000, 0.30, 4480, 483, 620, 15, "secondary", "secondary"),
    "ti-6al-4v-a": (110300, 0.31, 4430, 827, 896, 10, "secondary", "secondary"),
    "ti-cp2": (106900, 0.34, 4510, 275, 345, 20, "secondary", "secondary"),
}


@pytest.mark.parametrize("material_id", ROWS)
def test_every_row_of_the_catalogue(material_id):
    """Each material holds the values and marks of its row."""
    m = load_material(material_id)
    assert m.elastic_source is not None
    held = (
        m.youngs_modulus_mpa,
        m.poisson_ratio,
        m.density_kg_m3,
        m.proof_stress_mpa,
        m.ultimate_stress_mpa,
        m.elongation_percent,
        m.elastic_source.kind,
        m.source.kind,
    )
    assert held == ROWS[material_id]


def test_ids_keep_their_order_and_match_the_files():
    """The ids come in the order of the table, one file each."""
    assert material_ids() == tuple(ROWS)
    names = {f.name for f in files("geometry.materials").iterdir() if f.name.endswith(".toml")}
    assert names == {f"{material_id}.toml" for material_id in ROWS}


@pytest.mark.parametrize("material_id", ROWS)
def test_catalogue_values_pass_the_limits_for_users(material_id):
    """No value of the catalogue would be refused from a user, and each block has a mark."""
    material = load_material(material_id)
    assert material_problems(material) == ()
    for _, source in material_sources(material):
        assert source.kind in KINDS
        assert source.reference


def test_hardening_only_where_an_exponent_is_known():
    """2014-T6 has two exponents; materials without a figure have none."""
    two = load_material("al-2014-t6").hardening
    assert two is not None
    assert (two.tension_n, two.compression_n, two.source.kind) == (23, 15, "handbook")
    without = {i for i in material_ids() if load_material(i).hardening is None}
    assert without == {
        "al-6061-t4",
        "al-2024-t3",
        "al-7050-t73511",
        "steel-4130-qt125",
        "ti-6al-4v-a",
        "ti-cp2",
    }


def test_endurance_of_titanium_is_marked_as_memory():
    """Long-life amplitudes are ranges from memory and carry that mark."""
    endurance = load_material("ti-3al-2.5v-cwsr").endurance
    assert endurance is not None
    assert (endurance.cycles, endurance.amplitude_from_mpa, endurance.amplitude_to_mpa) == (
        1e7,
        345,
        415,
    )
    assert endurance.source.kind == "memory"


def test_shear_modulus():
    """G of E 200 GPa and nu 0.25 is 80 GPa."""
    material = replace(load_material("steel-4130-n"), poisson_ratio=0.25)
    assert shear_modulus_mpa(material) == pytest.approx(80000)


def test_unknown_id_names_the_nearest():
    """A mistyped id is refused with the ids near it."""
    with pytest.raises(InputError, match=r"'al-6061'.*al-6061-t6"):
        load_material("al-6061")


def test_own_material():
    """A user's material without and with what may be left out is possible."""
    assert material_problems(OWN) == ()
    whole = replace(OWN, hardening=Hardening(30, 30, MEASURED), curve="true", elongation_percent=10)
    assert material_problems(whole) == ()


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("youngs_modulus_mpa", 68.3, "68.3 MPa but must be at least 1000"),
        ("youngs_modulus_mpa", 68.3e9, "at most 1000000 MPa"),
        ("youngs_modulus_mpa", "68300", "not a number"),
        ("youngs_modulus_mpa", True, "not a number"),
        ("poisson_ratio", 0.5, "at most 0.49"),
        ("poisson_ratio", -0.1, "at least 0"),
        ("density_kg_m3", 0, "at least 500"),
        ("density_kg_m3", float("inf"), "not a finite number"),
        ("proof_stress_mpa", float("nan"), "not a finite number"),
        ("proof_stress_mpa", -5, "at least 1 MPa"),
        ("ultimate_stress_mpa", 240, "at least the proof stress of 241 MPa"),
        ("elongation_percent", 0, "above 0 %"),
        ("curve", "tru", "nearest: true"),
    ],
)
def test_own_material_refuses(key, value, words):
    """Each impossible value is the one problem, named by its key."""
    (problem,) = material_problems(replace(OWN, **{key: value}))
    assert problem.field == key
    assert words in problem.sentence


def test_each_exponent_is_judged():
    """An exponent that no metal has is named in its own sense."""
    (problem,) = material_problems(replace(OWN, hardening=Hardening(20, 1, MEASURED)))
    assert problem.field == "hardening.compression_n"
    assert "at least 2" in problem.sentence


def test_own_material_names_every_problem_at_once():
    """Three mistakes are three problems."""
    wrong = replace(OWN, poisson_ratio=0.7, density_kg_m3=-1, curve="tru")
    fields = [problem.field for problem in material_problems(wrong)]
    assert fields == ["poisson_ratio", "density_kg_m3", "curve"]
