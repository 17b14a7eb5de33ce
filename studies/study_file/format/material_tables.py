"""The [bar.material] table of a study file, and the source that any value may name."""

from typing import Annotated, ClassVar, Self

from pydantic import (
    AfterValidator,
    ConfigDict,
    Discriminator,
    Field,
    Tag,
    field_validator,
    model_validator,
)
from pydantic_core import PydanticKnownError

from geometry.errors import InputError, Problem
from geometry.given_curve import STRAIN, STRESS
from geometry.material import CurveKind, Hardening, Material, load_material
from geometry.material_table import MATERIAL_LIMITS, REQUIRED, material_problems
from geometry.source import Source, SourceKind
from studies.study_file.format import values as v
from studies.study_file.format.table import Table, judged, key

MAX_POINTS = 100
SOURCE = "where the values come from"


class SourceTable(Table):
    """Where a value comes from."""

    kind: SourceKind = key("how sure you are of the value", example="measured")
    reference: v.Text = key("publication, certificate or person", example="mill certificate")
    locator: v.Text | None = key("clause, table or page", None)


def source_of(table: SourceTable) -> Source:
    """Return geometry's record of a source."""
    return Source(table.kind, table.reference, table.locator or "")


class MaterialValues(Table):
    """The values that a material of your own may have."""

    limits: ClassVar = {**MATERIAL_LIMITS, "stress_strain": (STRAIN, STRESS)}

    youngs_modulus_mpa: v.Real | None = key("Young's modulus", None, 68300)
    poisson_ratio: v.Real | None = key("Poisson's ratio", None, 0.33)
    density_kg_m3: v.Real | None = key("density", None, 2713)
    proof_stress_mpa: v.Real | None = key("0.2 % proof stress", None, 241)
    ultimate_stress_mpa: v.Real | None = key("tensile strength", None, 290)
    ramberg_osgood_n: v.Real | None = key("exponent of the Ramberg-Osgood curve", None, 20)
    curve: CurveKind | None = key(
        "what all stress-strain data relate, by default engineering values", None, "engineering"
    )
    stress_strain: (
        Annotated[tuple[v.CurvePoint, ...], Field(min_length=2, max_length=MAX_POINTS)] | None
    ) = key(
        "curve past yield as points of total strain (0.0072, not 0.72 %) and stress in MPa",
        None,
        [[0.0035, 239], [0.0055, 241], [0.08, 290]],
    )
    tangent_modulus_mpa: v.Real | None = key(
        "slope of a straight curve past the proof stress, in place of points", None, 700
    )


class MaterialTable(MaterialValues):
    """A material of your own."""

    # a value left out is judged too, so that all that are missing are named together
    model_config = ConfigDict(
        validate_default=True, json_schema_extra={"required": [*REQUIRED, "source"]}
    )

    title: v.Text | None = key("alloy, condition and form in words", None)
    elongation_percent: v.Real | None = key("elongation at fracture", None, 10)
    source: SourceTable = key(SOURCE, example={"kind": "measured", "reference": "mill certificate"})

    @field_validator(*REQUIRED, mode="before")
    @classmethod
    def _given(cls, value: object) -> object:
        if value is None:
            raise PydanticKnownError("missing")
        return value

    @model_validator(mode="after")
    def _possible(self) -> Self:
        return judged(self, material_problems(own_material(self)))


def own_material(table: MaterialTable) -> Material:
    """Return geometry's material of a table."""
    source = source_of(table.source)
    numbers = {key: getattr(table, key) for key in (*REQUIRED, "elongation_percent")}
    n = table.ramberg_osgood_n
    return Material(
        id="own",
        title=table.title or "own",
        source=source,
        hardening=Hardening(n, n, source) if n else None,
        curve=table.curve or "engineering",
        stress_strain=table.stress_strain or (),
        tangent_modulus_mpa=table.tangent_modulus_mpa,
        **numbers,
    )


def _known(material_id: str) -> str:
    """Refuse an id that the catalogue does not hold."""
    try:
        load_material(material_id)
    except InputError as error:
        raise InputError(*(Problem("", p.sentence) for p in error.problems)) from None
    return material_id


CatalogueId = Annotated[v.Text, AfterValidator(_known)]


class LikeMaterialTable(MaterialValues):
    """A material of the catalogue of which some values are your own; fatigue curves stay."""

    like: CatalogueId = key("catalogue id of the material", example="al-6061-t6")
    source: SourceTable | None = key(SOURCE, None)


def material_kind(value: object) -> str:
    """Return the tag of the table that tells a material."""
    if isinstance(value, str):
        return "<text>"
    like = isinstance(value, dict) and "like" in value
    return "<LikeMaterialTable>" if like else "<MaterialTable>"


MaterialChoice = Annotated[
    Annotated[CatalogueId, Tag("<text>")]
    | Annotated[LikeMaterialTable, Tag("<LikeMaterialTable>")]
    | Annotated[MaterialTable, Tag("<MaterialTable>")],
    Discriminator(material_kind),
]
