"""A run's page in a browser: what is read off it, and where the mouse goes."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import meshio
import numpy as np

OpenPage = Callable[..., Any]

VIEW = "document.querySelector('.view').barView"
CASE = "iso-4210-5.bar-bending"


def to_view(page: Any) -> None:
    """Scroll to the view."""
    page.locator("#bar").evaluate("part => part.scrollIntoView()")
    page.wait_for_timeout(50)


def unfold(page: Any) -> None:
    """Unfold the view's controls."""
    page.evaluate("for (const one of document.querySelectorAll('details.fold')) one.open = true")


def to_stress(page: Any) -> None:
    """Show the first case's stress from the rider's side, in place of the governing limit."""
    unfold(page)
    page.select_option("[data-part='case']", index=0)
    page.select_option("[data-part='field']", "von_mises")
    page.click("[data-preset='rider']")


def number(text: str) -> float:
    """Return the first number that a text holds."""
    found = re.search(r"[-\u2212]?\d+(\.\d+)?", text)
    assert found, text
    return float(found[0].replace("\u2212", "-"))


def part_text(page: Any, part: str) -> str:
    """Return what a part of the page says."""
    return str(page.locator(f"[data-part='{part}']").inner_text())


def changed_text(page: Any, part: str, before: str) -> str:
    """Return a part's text once it is another: a case's fields are unpacked when it is chosen."""
    asked = f"before => document.querySelector(\"[data-part='{part}']\").innerText !== before"
    page.wait_for_function(asked, arg=before)
    return part_text(page, part)


def picture(page: Any) -> str:
    """Return what the view shows, as the address of an image."""
    return str(page.evaluate(f"{VIEW}.canvas.toDataURL()"))


def outer_nodes(results: Path, count: int) -> tuple[np.ndarray, Any]:
    """Return numbers of outer nodes well outside clamp and loads that face the rider, and all."""
    fields = meshio.read(results / "fields" / f"{CASE}.vtu")
    s, theta, zeta = (fields.point_data[name] for name in ("s_mm", "theta_deg", "zeta"))
    good = (zeta == 1) & (np.abs(s) > 60) & (np.abs(s) < 280) & ((theta < 20) | (theta > 320))
    chosen = np.flatnonzero(good)
    return chosen[np.linspace(0, len(chosen) - 1, count).astype(int)], fields


def aim(page: Any, s: float, theta: float) -> None:
    """Put a place into the middle of the picture, large, and the mouse on it."""
    page.evaluate(
        f"""([s, theta]) => {{
            const view = {VIEW};
            const centre = view.probe(s, theta, "outer").point;
            Object.assign(view.camera, {{ centre, mmPerDot: 0.02 }});
            view.store.set({{ hover: null }});
        }}""",
        [s, theta],
    )
    dot = page.evaluate(f"([s, theta]) => {VIEW}.probe(s, theta, 'outer')", [s, theta])
    frame = page.locator(".view canvas").bounding_box()
    page.mouse.move(frame["x"] + dot["x"] + 3, frame["y"] + dot["y"])
    page.mouse.move(frame["x"] + dot["x"], frame["y"] + dot["y"])


def meet(one: list[float], other: list[float]) -> bool:
    """Return whether two boxes (left, top, right, bottom) overlap by more than half a dot."""
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return min(wide, high) > 0.5
