"""A browser for the tests of this folder: one for each worker, a page for each test."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from support.browser import NO_WEBGL, Watched, started_browser, watch, what_is_missing
from support.once import made_once
from support.view_page import to_stress, to_view

OpenPage = Callable[..., Any]

# width and height in CSS px; the desk is small since the renderer is of software
DESK = (1000, 640)
PHONE = (390, 844)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Yield a browser; the test is skipped, and says why, where there is none."""
    missing = what_is_missing()
    if missing:
        pytest.skip(missing)
    with started_browser() as started:
        yield started


@pytest.fixture
def open_page(browser: Any) -> Iterator[OpenPage]:
    """Yield a function that opens a page offline; at the end none may have done what it must not.

    Its arguments: the path; `width` and `height`, if others than usual; `touch` for a phone;
    `webgl` and `javascript` off; `ready` to wait until a page of ours says that it is.
    """
    opened: list[tuple[Any, Watched]] = []

    def opening(
        path: Path,
        *,
        width: int | None = None,
        height: int | None = None,
        touch: bool = False,
        webgl: bool = True,
        javascript: bool = True,
        ready: bool = True,
    ) -> Any:
        usual = PHONE if touch else DESK
        context = browser.new_context(
            viewport={"width": width or usual[0], "height": height or usual[1]},
            offline=True,
            has_touch=touch,
            is_mobile=touch,
            java_script_enabled=javascript,
            reduced_motion="reduce",
        )
        if not webgl:
            context.add_init_script(NO_WEBGL)
        page = context.new_page()
        opened.append((page, watch(page)))
        page.goto(path.resolve().as_uri())
        if ready and javascript:
            page.wait_for_selector("html[data-ready]", state="attached")
        return page

    yield opening
    offences = [offence for _, seen in opened for offence in seen.offences()]
    for page, _ in opened:
        page.context.close()
    assert not offences, "\n".join(offences)


@pytest.fixture(scope="session")
def results(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the results of the riser example, solved once for all workers.

    The browser is asked for first, so that nothing is solved where no page can be opened.
    """
    # slow to import, and most pages are made otherwise
    from support.pages import riser_results

    return made_once(tmp_path_factory, "riser", riser_results)


@pytest.fixture
def page(open_page: OpenPage, results: Path) -> Any:
    """Return its page, opened at a desk, the view in sight."""
    opened = open_page(results / "report.html")
    to_stress(opened)
    to_view(opened)
    return opened
