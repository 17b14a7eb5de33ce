"""Style and scripts as the pages carry them: one text each, in the page itself.

The scripts are ES modules with types in comments, which `.ci/scripts/check` checks. A page opened
from disk cannot load modules one by one, so they are joined here into one, without imports,
exports and comments. Names must therefore be unique over all of them.
"""

import re
from base64 import b64encode
from functools import cache
from importlib.resources import files

import numpy as np
from markupsafe import Markup

from fea.stability import criteria
from studies.pictures.palette import ramp, signed_ramp, written

REPORT, COMPARISON, SWEEP, LIVE = "page.js", "comparison.js", "sweep.js", "live.js"
"""The modules that start each page."""

STYLES = ("page.css", "first.css", "below.css", "marks.css")
"""Of all pages with a view; what a run shows first, what below, and marks have their own."""

BESIDE = "beside.css"
"""Of the pages that show many designs."""

STOPS = 17
"""Colours of a legend's gradient, between which a browser draws straight lines."""

_IMPORT = re.compile(r'^import\s[^;]*?from "\./([\w-]+\.js)";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export ", re.MULTILINE)
_TYPES = re.compile(r"[ \t]*/\*\*.*?\*/\n?", re.DOTALL)
_COMMENT = re.compile(r"^[ \t]*//.*\n", re.MULTILINE)


@cache
def script(entry: str) -> str:
    """Return the script of a page: its entry module and all that it imports, once each."""
    order: list[str] = []
    _collect(entry, order)
    joined = "\n".join(_shipped(_module(name)) for name in order)
    # a page's own text must not end the element that holds the script
    return f'"use strict";\n(() => {{\n{joined}}})();\n'.replace("</", "<\\/")


@cache
def style(entry: str = REPORT) -> str:
    """Return the style of a page, with the legends' gradients and the criteria's colours."""
    sheets = (*STYLES, BESIDE) if entry in (COMPARISON, SWEEP) else STYLES
    text = "".join(_module(name) for name in sheets)
    share = np.linspace(0, 1, STOPS)
    rules = {"plain": ramp(share), "signed": signed_ramp(2 * share - 1)}
    bars = "".join(
        f'.legend-bar[data-ramp="{name}"] {{ background: linear-gradient(to right, '
        f"{', '.join(written(colour) for colour in colours)}); }}\n"
        for name, colours in rules.items()
    )
    lines = "".join(
        f".line.{one.id} {{ stroke: {one.line_colour}; }} "
        f".swatch.{one.id} {{ background: {one.colour}; }}\n"
        for one in criteria.LOCAL
    )
    return text + bars + lines


def sheet(name: str) -> Markup:
    """Return a style sheet of a page that has no scripts."""
    return Markup(_module(name))  # noqa: S704 ours, and written for the page


def ramps() -> dict[str, str]:
    """Return the 256 colours of each ramp, three bytes each, in base64."""
    share = np.linspace(0, 1, 256)
    rows = {"plain": ramp(share), "signed": signed_ramp(2 * share - 1)}
    return {
        name: b64encode(np.rint(colours * 255).astype(np.uint8).tobytes()).decode("ascii")
        for name, colours in rows.items()
    }


def _shipped(text: str) -> str:
    """Return a module without what only its readers and the type check need."""
    for part in (_TYPES, _COMMENT, _IMPORT, _EXPORT):
        text = part.sub("", text)
    return text


def _module(name: str) -> str:
    return (files("studies.page.web") / name).read_text(encoding="utf-8")


def _collect(name: str, order: list[str]) -> None:
    """Add a module behind all that it imports."""
    for needed in _IMPORT.findall(_module(name)):
        if needed not in order:
            _collect(needed, order)
    if name not in order:
        order.append(name)
