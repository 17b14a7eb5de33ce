"""A browser without a network or a screen, and what a page did in it.

Debian's chromium, driven by the Python package playwright, which brings no browser of its own
here. Drawing goes through a software renderer, so that it is there on every machine.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib.util import find_spec
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome")

FLAGS = (
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
)

OWN = ("file:", "data:", "blob:", "about:")
"""Addresses that need no network."""

NO_WEBGL = """
const ask = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, ...rest) {
  return kind.startsWith("webgl") ? null : ask.call(this, kind, ...rest);
};
"""

SERIOUS = ("serious", "critical")


def browser_path() -> str | None:
    """Return the browser that is installed, or the one that BARWRIGHT_BROWSER names."""
    given = os.environ.get("BARWRIGHT_BROWSER")
    return given or next((found for name in NAMES if (found := shutil.which(name))), None)


def what_is_missing() -> str | None:
    """Return why no page can be opened here, None where it can."""
    for library in ("playwright", "axe_playwright_python"):
        if find_spec(library) is None:
            return f"{library} is not installed; run .ci/setup test"
    if browser_path() is None:
        return "no chromium was found; on Debian: apt-get install chromium"
    return None


@contextmanager
def started_browser() -> Iterator[Any]:
    """Yield a browser; only where nothing is missing."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        started = driver.chromium.launch(
            executable_path=browser_path(), args=list(FLAGS), chromium_sandbox=False
        )
        yield started
        started.close()


@dataclass
class Watched:
    """What a page did that it must not do.

    Attributes:
        requests: Addresses that it asked the network for.
        errors: What it complained of, and exceptions that nothing caught.
    """

    requests: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def offences(self) -> list[str]:
        """Return everything, in sentences."""
        asked = [f"asked the network for {address}" for address in self.requests]
        return asked + [f"complained: {error}" for error in self.errors]


def watch(page: Any) -> Watched:
    """Note from now on what a page, or a window that it opens, asks for and complains of."""
    seen = Watched()
    context = page.context
    context.on("request", lambda asked: _note(seen, asked.url))
    context.on("weberror", lambda told: seen.errors.append(str(told.error)))
    context.on(
        "console",
        lambda told: seen.errors.append(told.text) if told.type in ("error", "warning") else None,
    )
    return seen


def _note(seen: Watched, address: str) -> None:
    if not address.startswith(OWN):
        seen.requests.append(address)


def accessibility_faults(page: Any) -> list[str]:
    """Return the serious faults that axe-core finds in a page as it stands."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [
        f"{fault['id']}: {fault['help']}: {node['html'][:120]}"
        for fault in found
        if fault["impact"] in SERIOUS
        for node in fault["nodes"]
    ]
