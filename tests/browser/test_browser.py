"""The watch over pages itself: each fault that it must see, shown to it."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from support import browser as support
from support.browser import accessibility_faults, watch

HEAD = '<!doctype html><html lang="en"><title>t</title><link rel="icon" href="data:,">'


@pytest.mark.parametrize(
    ("body", "offence"),
    [
        ('<img alt="x" src="http://barwright.invalid/x.png">', "asked the network"),
        ("<script>console.error('ouch')</script>", "complained: ouch"),
        ("<script>null.x</script>", "complained"),
    ],
)
def test_what_a_page_must_not_do_is_seen(
    browser: Any, tmp_path: Path, body: str, offence: str
) -> None:
    """A request, an error told and an exception nobody caught."""
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


def test_a_machine_without_a_browser_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    """The reason of a skip names the package."""
    monkeypatch.setattr(support.shutil, "which", lambda name: None)
    monkeypatch.delenv("BARWRIGHT_BROWSER", raising=False)
    assert "apt-get install chromium" in str(support.what_is_missing())
