"""The watch over pages itself: each fault that it must see, shown to it."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from support import browser as support
from support.browser import accessibility_faults, watch

HEAD = '<!doctype html><html lang="en"><title>t</title><link rel="icon" href="data:,">'
LATE = '<button onclick="null.x">t</button>'
CLICK = """
from pathlib import Path

def test_a(open_page):
    open_page(Path(__file__).with_name("page.html"), ready=False).click("button")
"""


@pytest.mark.parametrize(
    ("body", "offence"),
    [
        ('<img alt="x" src="http://barwright.invalid/x.png">', "asked the network"),
        ("<script>console.error('ouch')</script>", "complained: ouch"),
        ("<script>null.x</script>", "complained"),
        ("<script>open('about:blank').eval('setTimeout(() => null.x)')</script>", "complained"),
    ],
)
def test_what_a_page_must_not_do_is_seen(
    browser: Any, tmp_path: Path, body: str, offence: str
) -> None:
    """A request, an error told, an exception nobody caught, and one in a window it opened."""
    path = tmp_path / "page.html"
    path.write_text(HEAD + body, encoding="utf-8")
    context = browser.new_context(offline=True)
    page = context.new_page()
    seen = watch(page)
    page.goto(path.as_uri())
    page.wait_for_timeout(100)
    context.close()
    assert any(offence in found for found in seen.offences())


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        (
            '<main><h1>t</h1><img src="data:image/gif;base64,R0lGODlhAQABAAAAACw="></main>',
            "image-alt",
        ),
        ('<main><h1 style="color:#ccc;background:#fff">pale</h1></main>', "color-contrast"),
        ("<main><h1>t</h1><input></main>", "label"),
    ],
)
def test_a_fault_of_accessibility_is_seen(
    open_page: Callable[..., Any], tmp_path: Path, body: str, fault: str
) -> None:
    """A picture without words, pale letters and a field without a name."""
    path = tmp_path / "page.html"
    path.write_text(HEAD + body, encoding="utf-8")
    found = accessibility_faults(open_page(path, ready=False))
    assert any(one.startswith(fault) for one in found), found


@pytest.mark.parametrize("webgl", [True, False])
def test_webgl_is_there_and_can_be_taken_away(
    open_page: Callable[..., Any], tmp_path: Path, webgl: bool
) -> None:
    """Both kinds of browser can be tried on one machine."""
    path = tmp_path / "page.html"
    path.write_text(HEAD + "<canvas></canvas>", encoding="utf-8")
    page = open_page(path, webgl=webgl, ready=False)
    asked = "document.querySelector('canvas').getContext('webgl2') !== null"
    assert page.evaluate(asked) is webgl


@pytest.mark.parametrize(("touch", "seen"), [(True, [True, 390, 1]), (False, [False, 1000, 1])])
def test_a_phone_is_touched_and_narrow(
    open_page: Callable[..., Any], tmp_path: Path, touch: bool, seen: list[Any]
) -> None:
    """A phone has a finger and a phone's width, a desk neither; both draw pixel for pixel."""
    path = tmp_path / "page.html"
    path.write_text(HEAD + '<meta name="viewport" content="width=device-width">', encoding="utf-8")
    page = open_page(path, touch=touch, ready=False)
    asked = "[matchMedia('(pointer: coarse)').matches, innerWidth, devicePixelRatio]"
    assert page.evaluate(asked) == seen


def test_a_page_has_no_network(open_page: Callable[..., Any], tmp_path: Path) -> None:
    """What a page asks for is not only noted but refused."""
    path = tmp_path / "page.html"
    path.write_text(HEAD, encoding="utf-8")
    assert open_page(path, ready=False).evaluate("navigator.onLine") is False


@pytest.mark.usefixtures("browser")
def test_a_page_that_errs_late_fails_its_test(tmp_path: Path) -> None:
    """The fixture itself tells what a page did, even if the test looked at nothing."""
    shutil.copy(Path(__file__).with_name("conftest.py"), tmp_path)
    (tmp_path / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
    (tmp_path / "page.html").write_text(HEAD + LATE, encoding="utf-8")
    (tmp_path / "test_a.py").write_text(CLICK, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(tmp_path)]
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])}
    run = subprocess.run(command, env=environment, check=False, capture_output=True, text=True)
    assert "1 passed, 1 error" in run.stdout, run.stdout + run.stderr
    assert "complained: Cannot read properties of null" in run.stdout


def test_a_machine_without_a_browser_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    """The reason of a skip names the package."""
    monkeypatch.setattr(support.shutil, "which", lambda name: None)
    monkeypatch.delenv("BARWRIGHT_BROWSER", raising=False)
    assert "apt-get install chromium" in str(support.what_is_missing())
