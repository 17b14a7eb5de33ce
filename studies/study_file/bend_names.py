"""Names that a study gives its bends."""

from loadcases.load import Side
from studies.study_file.format.bar_tables import BarTable
from studies.study_file.format.square_coupling import names_of_bends
from studies.study_file.study import Study


def bend_names(study: Study, side: Side) -> tuple[str | None, ...]:
    """Return the name of each bend of a half, None where it has none, from the clamp outwards."""
    bar = BarTable.model_validate(study.table["bar"])
    return names_of_bends(bar.left if side == "left" and bar.left else bar.right)
