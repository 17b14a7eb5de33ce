"""Pages of random bars whose view is all that counts: nothing is solved, limits lie anywhere."""

import json
import re
from pathlib import Path
from typing import Any

import numpy as np

from geometry.arrays import Floats
from geometry.bar import nominal_od_mm
from geometry.centreline import locate
from geometry.mesh import build_mesh
from loadcases.load import PlacedLoad
from studies.page.faces import sheet_at_rest
from studies.page.packing import packed_reals
from support.random_bars import Setup

ISLAND = re.compile(r'(<script id="scene" type="application/json">)(.*?)(</script>)', re.DOTALL)
PREVIEW = re.compile(r'(<script id="preview" type="application/json">)(.*?)(</script>)', re.DOTALL)

FIELDS = ("yield", "hoop_yield", "local_buckling", "fatigue")
LONGEST = "0.95 to 1.46 × load"


def with_bar(page: Path, setup: Setup, chance: np.random.Generator, out: Path) -> None:
    """Write the page once more, with a random bar in its view in place of its own."""
    text = page.read_text(encoding="utf-8")
    found = ISLAND.search(text)
    assert found
    scene = json.loads(found[2])
    case = _case(scene["cases"][0], setup, chance)
    mesh = build_mesh(setup.bar, level="preview")
    drawn = {
        **scene,
        **sheet_at_rest(mesh),
        "ends_mm": [setup.bar.line.left_end_mm, setup.bar.line.right_end_mm],
        "bends_mm": [],
        "cases": [{**case, "id": one["id"]} for one in scene["cases"]],
    }
    nodes = len(mesh.sheet.nodes)
    for one in drawn["cases"]:
        one["moved_mm"] = packed_reals(np.zeros((nodes, 6)))
        one["fields"] = [_field(name, one["marks"], nodes) for name in FIELDS]
    island = json.dumps(drawn).replace("<", "\\u003c")
    text = text[: found.start(2)] + island + text[found.end(2) :]
    out.write_text(PREVIEW.sub(r"\1null\3", text), encoding="utf-8")


def _case(case: dict[str, Any], setup: Setup, chance: np.random.Generator) -> dict[str, Any]:
    return {
        **case,
        "path": None,
        "marks": [_mark(n, name, setup, chance) for n, name in enumerate(FIELDS, start=1)],
        "loads": [_load(load, setup) for load in setup.loads],
    }


def _mark(number: int, name: str, setup: Setup, chance: np.random.Generator) -> dict[str, Any]:
    """Return a limit; half of them lie close together, where labels have least room."""
    line = setup.bar.line
    s = chance.uniform(line.left_end_mm, line.right_end_mm) if number % 2 else 60 + 6 * number
    return {
        "number": number,
        "field": f"utilisation_{name}",
        "reached": LONGEST,
        "words": f"{name}, {LONGEST}",
        "below": True,
        "s_mm": float(np.clip(s, line.left_end_mm + 1, line.right_end_mm - 1)),
        "theta_rad": float(chance.uniform(0, 2 * np.pi)),
        "surface": str(chance.choice(["outer", "inner"])),
    }


def _field(name: str, marks: list[dict[str, Any]], nodes: int) -> dict[str, Any]:
    identity = f"utilisation_{name}"
    mark = next(one for one in marks if one["field"] == identity)
    place = {key: mark[key] for key in ("s_mm", "theta_rad", "surface")}
    values: Floats = np.linspace(0, 1.1, nodes)
    return {
        "id": identity,
        "name": f"utilisation, {name}",
        "unit": "",
        "range": [0, 1.2],
        "signed": False,
        "surfaces": ["wall"],
        "data": packed_reals(values),
        "shape": None,
        "most": None,
        "peak": {"value": 1.05, **place},
        "steps": False,
        "blank_below": None,
        "rings": [],
        "note": "",
    }


def _load(load: PlacedLoad, setup: Setup) -> dict[str, Any]:
    at = np.array(load.at_mm)
    return {
        "name": "",
        "s_mm": load.at_mm,
        "from_mm": load.from_mm,
        "to_mm": load.to_mm,
        "at_mm": locate(setup.bar.line, at).position_mm.tolist(),
        "radius_mm": float(nominal_od_mm(setup.bar, at)) / 2,
        "force_n": list(load.force_n),
        "moment_nmm": [0.0, 0.0, 0.0],
    }
