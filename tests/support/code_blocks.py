"""Code that people are shown, run as it stands: blocks of a page, cells of a notebook.

A notebook's cells run here without a kernel: the last expression of a cell is what it shows, and
`%load_ext` hands the extension a shell that remembers what shows itself how.
"""

import ast
import json
import re
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace
from typing import Any

_BLOCK = re.compile(r"```python\n(.*?)```", re.DOTALL)
_MAGIC = re.compile(r"%load_ext (\S+)")


class Formatter(dict[type, Callable[..., dict[str, Any]]]):
    """What shows which type, as a notebook's shell remembers it."""

    def for_type(self, kind: type, show: Callable[..., dict[str, Any]]) -> None:
        """Remember."""
        self[kind] = show


def shell() -> Any:
    """Return what stands for a notebook's shell."""
    return SimpleNamespace(display_formatter=SimpleNamespace(mimebundle_formatter=Formatter()))


def blocks_of(path: Path) -> list[str]:
    """Return the Python blocks of a page."""
    return _BLOCK.findall(path.read_text(encoding="utf-8"))


def cells_of(path: Path) -> list[str]:
    """Return the code cells of a notebook."""
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]


def run_cells(cells: list[str]) -> list[Any]:
    """Run cells after each other, and return what each shows: forms by their kind, or the value."""
    names: dict[str, Any] = {"__name__": "cells"}
    ipython = shell()
    return [_shown(ipython, _run(cell, names, ipython)) for cell in cells]


def _run(cell: str, names: dict[str, Any], ipython: Any) -> Any:
    if magic := _MAGIC.fullmatch(cell.strip()):
        import_module(magic[1]).load_ipython_extension(ipython)
        return None
    tree = ast.parse(cell)
    last = tree.body.pop() if isinstance(tree.body[-1], ast.Expr) else None
    exec(compile(tree, "<cell>", "exec"), names)  # noqa: S102 our own text
    if not isinstance(last, ast.Expr):
        return None
    return eval(compile(ast.Expression(last.value), "<cell>", "eval"), names)  # noqa: S307 likewise


def _shown(ipython: Any, value: Any) -> Any:
    show = ipython.display_formatter.mimebundle_formatter.get(type(value))
    return show(value) if show else value
