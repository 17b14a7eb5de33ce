"""`barwright materials`: the material catalogue with sources and evidence."""

from typing import TYPE_CHECKING, Annotated

import typer

from studies.commands.output import (
    TABLE_WIDTH,
    evidence_of,
    indented,
    plain,
    show,
    table,
    write_json,
)

if TYPE_CHECKING:
    from geometry.material import Material


def materials(
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")] = False,
) -> None:
    """List the materials with sources and evidence."""
    from geometry.material import load_material, material_ids
    from geometry.source import MARKS

    found = [load_material(material_id) for material_id in material_ids()]
    if as_json:
        content = {"format": "barwright-materials", "format_version": 1, "marks": MARKS}
        write_json({**content, "materials": [plain(material) for material in found]})
        return
    _print_values(found)
    _print_sources(found)


def _print_values(found: "list[Material]") -> None:
    rows = table(
        "Materials at room temperature",
        "id", "E\nGPa", "nu", "density\nkg/m³", "proof\nMPa", "tensile\nMPa", "elong.\n%",
        "evidence",
        words=1,
    )  # fmt: skip
    for m in found:
        elongation = "-" if m.elongation_percent is None else f"{m.elongation_percent:g}"
        rows.add_row(
            m.id,
            f"{m.youngs_modulus_mpa / 1000:g}",
            f"{m.poisson_ratio:g}",
            f"{m.density_kg_m3:g}",
            f"{m.proof_stress_mpa:g}",
            f"{m.ultimate_stress_mpa:g}",
            elongation,
            evidence_of(m.source),
        )
    show(rows, width=TABLE_WIDTH)


def _print_sources(found: "list[Material]") -> None:
    from geometry.material import material_sources

    for material in found:
        grouped = _by_source(material_sources(material))
        lines = (f"{'; '.join(blocks)}: {source}" for source, blocks in grouped.items())
        show(f"{material.id}: {material.title}", *map(indented, lines))


def _by_source(pairs: tuple[tuple[str, object], ...]) -> dict[str, list[str]]:
    """Return the blocks of values under each source, in the order given."""
    grouped: dict[str, list[str]] = {}
    for block, source in pairs:
        blocks = grouped.setdefault(str(source), [])
        if block not in blocks:
            blocks.append(block)
    return grouped
