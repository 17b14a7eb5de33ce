"""A table whose rows have the inch counterparts in a second line."""

import re

from rich.console import RenderableType
from rich.style import StyleType
from rich.table import Table

from studies.records.units import COUNTERPARTS, NUMBER, beside, counterparts, replaced, unit_at_end

UNIT_HEAD = "unit"
"""The column that names the unit of its row, which holds for the columns in `OF_THE_ROW`."""

OF_THE_ROW = ("value", "95 %", "measured", "predicted")


class InchTable(Table):
    """A table as `output.table` makes it, with the heads that it was asked for."""

    heads: tuple[str, ...] = ()

    def add_row(
        self,
        *renderables: RenderableType | None,
        style: StyleType | None = None,
        end_section: bool = False,
    ) -> None:
        """Add a row, each quantity with its counterpart below."""
        cells = tuple(map(str, renderables))
        both = (self._both(cells, place) for place in range(len(cells)))
        super().add_row(*both, style=style, end_section=end_section)

    def _both(self, cells: tuple[str, ...], place: int) -> str:
        head, cell = self.heads[place], cells[place]
        of_row = self._unit_of(cells)
        unit = unit_at_end(head) or (of_row if head in OF_THE_ROW else None)
        if unit:
            return _below(cell, counterparts(cell, unit))
        if head == UNIT_HEAD and of_row:
            return f"{cell}\n{COUNTERPARTS[of_row][0]}"
        if of_row:
            return _below(cell, replaced(cell))
        labelled = _unit_of_label(cells[0])
        if labelled and place:
            first = re.match(NUMBER, cell)
            return _below(cell, counterparts(first[0], labelled)) if first else cell
        if labelled:
            return f"{cell}\n{COUNTERPARTS[labelled][0]}"
        return beside(cell)

    def _unit_of(self, cells: tuple[str, ...]) -> str | None:
        """Return the unit that a row names in a column of its own, None where none does."""
        if UNIT_HEAD not in self.heads:
            return None
        return unit_at_end(cells[self.heads.index(UNIT_HEAD)])


def _unit_of_label(label: str) -> str | None:
    """Return the unit of a row that is called `deflection, mm`, None of others."""
    unit = label.rpartition(", ")[2]
    return unit if unit in COUNTERPARTS and unit != label else None


def inch_head(head: str) -> str:
    """Return a column's head with the inch unit in a line of its own."""
    unit = unit_at_end(head)
    return f"{head}\n{COUNTERPARTS[unit][0]}" if unit else head


def _below(cell: str, other: str) -> str:
    return f"{cell}\n{other}" if other != cell else cell
