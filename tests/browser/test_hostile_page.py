"""A study full of hostile text in a browser: shown, not run; with pictures for who cannot draw."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from studies.commands.main import main
from support.hostile import NAME, hostile_study


@pytest.fixture(scope="module")
def page_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the page of the hostile study, with its pictures."""
    folder = tmp_path_factory.mktemp("hostile")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BARWRIGHT_PICTURES", "plain")
        assert main(["run", str(hostile_study(folder)), "--out", str(folder / "out")]) == 0
    return folder / "out" / "report.html"


@pytest.mark.parametrize("javascript", [True, False])
def test_a_name_that_is_a_script_is_shown(
    open_page: Callable[..., Any], page_path: Path, javascript: bool
) -> None:
    """The heading reads as written, and the title was not touched by it."""
    page = open_page(page_path, javascript=javascript)
    assert page.locator("h1").inner_text() == NAME
    assert page.title().startswith(NAME)
    assert page.locator("script").count() == 6


def test_names_reach_the_view_as_text(open_page: Callable[..., Any], page_path: Path) -> None:
    """Choices and words over the picture are text too."""
    page = open_page(page_path)
    first = page.locator("[data-part='case'] option").first
    assert "<b onmouseover" in str(first.text_content())
    assert page.locator("b[onmouseover]").count() == 0


def test_pictures_stand_in_for_the_view(open_page: Callable[..., Any], page_path: Path) -> None:
    """Without WebGL each case shows its pictures, drawn and with words for who does not see."""
    page = open_page(page_path, webgl=False)
    stills = page.locator(".case.shown .still")
    assert stills.count() == 2
    for still in stills.all():
        assert still.is_visible()
        assert still.evaluate("picture => picture.naturalWidth") == 1000
        assert still.get_attribute("alt")
    assert "pictures" in page.locator(".instead").inner_text()
