"""The templates of all pages, and what each of them is filled with."""

from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from fea.stability import criteria
from geometry.source import MARKS
from studies.page import assets
from studies.page.chart import HEIGHT, LEFT, RIGHT, WIDTH
from studies.page.graph import FOOT
from studies.page.writing import FILTERS


def shared_parts(entry: str) -> dict[str, Any]:
    """Return what the templates of all pages need; `entry` is the module that starts the page."""
    return {
        # ours, and written for the page
        "style": Markup(assets.style(entry)),  # noqa: S704
        "script": Markup(assets.script(entry)),  # noqa: S704
        "ramps": assets.ramps(),
        "marks_in_words": MARKS,
        "local_criteria": criteria.LOCAL,
        "graph_foot": FOOT,
        "chart_size": {"width": WIDTH, "height": HEIGHT, "left": LEFT, "right": WIDTH - RIGHT},
    }


@cache
def environment() -> Environment:
    """Return the templates; whatever they fill in is escaped."""
    made = Environment(
        loader=PackageLoader("studies.page", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters.update(FILTERS)
    return made
