"""What the page of a comparison says first: what the change does, and each design in a line."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from studies.comparison.differences import (
    MASS,
    Cell,
    Row,
    alike_cases,
    case_of,
    figure_row,
)
from studies.comparison.limits_beside import shared_ids, with_cases
from studies.page.first_screen import Headline, headline
from studies.page.limit_order import factor_in_words
from studies.page.sentence import GAP, Piece
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.measures import FIRST_YIELD, first_yield_factor
from studies.records.parts import governing_case

LETTERS = "ABCDEFGH"

MOST_LISTED = 3
"""Designs whose figures a sentence lists; of more it says from where to where they reach."""


@dataclass(frozen=True)
class CaseInStrip:
    """A case in the strip.

    Attributes:
        number: From 1.
        id: Of the case.
        title: Its title.
        load: The first design's, or that loads differ.
        factor: The least of any design.
        letter: Of that design.
        limit: Name of that limit.
        below: Whether it lies below the load.
        governs: Whether it is the first design's governing case.
    """

    number: int
    id: str
    title: str
    load: str
    factor: str
    letter: str
    limit: str
    below: bool
    governs: bool


def key_rows(designs: Sequence[ResultsRecord]) -> tuple[Row, ...]:
    """Return the four figures of a page, over the cases that all have; mass alone without any."""
    ids = shared_ids(designs)
    mass = figure_row(MASS, 1, "less", [design.bar.mass_g for design in designs])
    if not ids:
        return (mass,)
    kept = [with_cases(design, ids).cases for design in designs]
    alike = [alike_cases(designs[0], design, ids) for design in designs]
    errors = [max(case.error_estimate.stress_percent for case in cases) for cases in kept]
    factors = [("governing factor", _governing), (FIRST_YIELD, first_yield_factor)]
    rows = [
        figure_row(name, 2, "more", _least(kept, of), alike=alike, errors=errors)
        for name, of in factors
    ]
    return (*rows, *_stiffness(designs, ids), mass)


def _governing(case: CaseRecord) -> float:
    return case.governing_factor


def _least(
    kept: Sequence[Sequence[CaseRecord]], of: Callable[[CaseRecord], float]
) -> list[float | None]:
    return [min(map(of, cases)) for cases in kept]


def _stiffness(designs: Sequence[ResultsRecord], ids: Sequence[str]) -> Iterator[Row]:
    """Yield the stiffness in the first case in which every design has one."""
    for number, id_ in enumerate(ids, start=1):
        cases = [case for design in designs if (case := case_of(design, id_))]
        values = [case.stiffness_n_per_mm for case in cases]
        if None not in values:
            alike = [alike_cases(designs[0], design, [id_]) for design in designs]
            errors = [case.error_estimate.deflection_percent for case in cases]
            name = f"stiffness, N/mm, case {number}"
            yield figure_row(name, 1, "", values, alike=alike, errors=errors)
            return


def sentences(designs: Sequence[ResultsRecord], rows: Sequence[Row]) -> list[list[Piece]]:
    """Return what the page says in large: one design against the other, all, or their range."""
    heads = [headline(design) for design in designs]
    if len(designs) > MOST_LISTED:
        return [_range_of_factors(designs, heads), _range_of_masses(designs)]
    if len(designs) > 2:
        return [_factors(heads), _masses(designs)]
    return [_against(designs, heads, {row.name: row for row in rows})]


def _factors(heads: Sequence[Headline]) -> list[Piece]:
    pieces = [Piece("Governing factor")]
    for letter, head in zip(LETTERS, heads, strict=False):
        pieces += [Piece(f" {letter} "), Piece(_bare(head), strong=True, below=head.below)]
        pieces.append(Piece(","))
    return [*pieces[:-1], Piece(" × the load.")]


def _masses(designs: Sequence[ResultsRecord]) -> list[Piece]:
    pieces = [Piece("Mass")]
    for letter, design in zip(LETTERS, designs, strict=False):
        pieces += [Piece(f" {letter} "), Piece(f"{design.bar.mass_g:.0f}", strong=True), Piece(",")]
    return [*pieces[:-1], Piece(f"{GAP}g.")]


def _against(
    designs: Sequence[ResultsRecord], heads: Sequence[Headline], rows: dict[str, Row]
) -> list[Piece]:
    first, own = heads
    factor = rows.get("governing factor")
    masses = rows[MASS].cells
    return [
        Piece("B against A: governing factor "),
        Piece(_bare(own), strong=True, below=own.below),
        Piece(" against "),
        Piece(_bare(first), strong=True, below=first.below),
        Piece(f" × the load{_by(_of_all(designs, factor))}; mass "),
        Piece(f"{masses[1].value:.0f}", strong=True),
        Piece(f" against {masses[0].value:.0f}{GAP}g{_by(masses[1])}."),
    ]


def _of_all(designs: Sequence[ResultsRecord], factor: Row | None) -> Cell | None:
    """Return the difference of the governing factor where the shared cases hold both of them."""
    if factor is None:
        return None
    own = [_low(design) for design in designs]
    return factor.cells[1] if [cell.value for cell in factor.cells] == own else None


def _bare(head: Headline) -> str:
    return head.factor.removesuffix(" × the load")


def _by(cell: Cell | None) -> str:
    if cell is None or cell.percent is None:
        return ""
    if cell.judged == "same":
        return ", the same"
    return f", {cell.percent:+.1f}{GAP}%".replace("-", "\u2212")


def _range_of_factors(designs: Sequence[ResultsRecord], heads: Sequence[Headline]) -> list[Piece]:
    order = sorted(range(len(designs)), key=lambda k: _low(designs[k]))
    least, most = order[0], order[-1]
    return [
        Piece("Governing factor from "),
        Piece(_bare(heads[least]), strong=True, below=heads[least].below),
        Piece(f" ({LETTERS[least]}) up to "),
        Piece(_bare(heads[most]), strong=True, below=heads[most].below),
        Piece(f" × the load ({LETTERS[most]}); {_below(heads)}."),
    ]


def _low(design: ResultsRecord) -> float:
    return governing_case(design.cases).governing_factor


def _below(heads: Sequence[Headline]) -> str:
    letters = [LETTERS[k] for k, head in enumerate(heads) if head.below]
    if not letters:
        return "no limit below the load"
    return f"{len(letters)} of {len(heads)} with a limit below the load"


def _range_of_masses(designs: Sequence[ResultsRecord]) -> list[Piece]:
    order = sorted(range(len(designs)), key=lambda k: designs[k].bar.mass_g)
    least, most = order[0], order[-1]
    return [
        Piece("Mass from "),
        Piece(f"{designs[least].bar.mass_g:.0f}", strong=True),
        Piece(f" ({LETTERS[least]}) to "),
        Piece(f"{designs[most].bar.mass_g:.0f}", strong=True),
        Piece(f"{GAP}g ({LETTERS[most]})."),
    ]


def cases_in_strip(designs: Sequence[ResultsRecord], loads: Mapping[str, str]) -> list[CaseInStrip]:
    """Return cases as the strip shows them.

    Args:
        designs: The designs.
        loads: Ids of the cases in their order, and what stands under the title of each.
    """
    first = governing_case(designs[0].cases).id
    return [
        _in_strip(number, id_, designs, load, first)
        for number, (id_, load) in enumerate(loads.items(), start=1)
    ]


def _in_strip(
    number: int, id_: str, designs: Sequence[ResultsRecord], load: str, first: str
) -> CaseInStrip:
    found = [(k, case) for k, design in enumerate(designs) if (case := case_of(design, id_))]
    least, nearest = min(found, key=lambda pair: pair[1].governing_factor)
    return CaseInStrip(
        number,
        id_,
        nearest.title,
        load,
        factor_in_words(nearest.nearest_limit),
        LETTERS[least],
        nearest.nearest_limit.name,
        nearest.governing_factor < 1,
        id_ == first,
    )
