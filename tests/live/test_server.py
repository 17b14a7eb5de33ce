"""The server of `barwright live`: this machine alone, nothing without the token."""

import json
from collections.abc import Iterator
from http.client import HTTPConnection
from threading import Thread
from time import perf_counter
from urllib.parse import urlsplit

import pytest

from geometry.errors import InputError
from studies.live.board import Board
from studies.live.server import HERE, serving

PAGE, REPORT = "<p>\u00e4 page</p>", "<p>a report</p>"


@pytest.fixture
def board() -> Board:
    """Return a board that shows something."""
    made = Board()
    made.show(PAGE, REPORT)
    return made


@pytest.fixture
def address(board: Board) -> Iterator[str]:
    """Yield where it is served."""
    with serving(board) as found:
        yield found


def get(address: str, path: str = "", **headers: str) -> tuple[int, str]:
    """Return status and text of a path below the address, or of an absolute one."""
    parts = urlsplit(address)
    connection = HTTPConnection(parts.hostname or "", parts.port, timeout=10)
    whole = path if path.startswith("/") else parts.path + path
    connection.request("GET", whole, headers=headers)
    answer = connection.getresponse()
    text = answer.read().decode("utf-8")
    connection.close()
    return answer.status, text


def test_page_and_report(address: str) -> None:
    """Both are what the board shows; anything else is not there."""
    assert get(address) == (200, PAGE)
    assert get(address, "report.html") == (200, REPORT)
    assert get(address, "other")[0] == 404
    assert get(address, "../../etc/passwd")[0] == 404


@pytest.mark.parametrize("path", ["/", "/report.html", "/after?version=0", "/wrong-token/", "//"])
def test_nothing_without_the_token(address: str, path: str) -> None:
    """The port alone answers nothing, not even what changes."""
    assert get(address, path) == (404, "")


def test_another_host_is_refused(address: str) -> None:
    """A page that points its own name at 127.0.0.1 is not answered, even with the token."""
    port = urlsplit(address).port
    assert get(address, Host=f"evil.example:{port}")[0] == 404
    assert get(address, Host=f"localhost:{port}")[0] == 200


def test_the_token_is_another_each_time(board: Board, address: str) -> None:
    """It has 16 random bytes, so nobody guesses it."""
    with serving(board) as other:
        assert urlsplit(other).path != urlsplit(address).path
    assert len(urlsplit(address).path.strip("/")) >= 22
    assert urlsplit(address).hostname == HERE == "127.0.0.1"


def test_a_waiting_browser_is_told_at_once(board: Board, address: str) -> None:
    """The answer to a version that is known comes with the next page, not before."""
    version = board.shown.version
    found: list[tuple[int, float]] = []

    def wait() -> None:
        _, text = get(address, f"after?version={version}")
        found.append((json.loads(text)["version"], perf_counter()))

    waiting = Thread(target=wait)
    waiting.start()
    waiting.join(0.3)
    assert not found
    shown = perf_counter()
    board.show("<p>next</p>")
    waiting.join(5)
    assert found[0][0] == version + 1
    assert found[0][1] - shown < 1
    assert board.shown.report == REPORT


@pytest.mark.parametrize("version", ["x", "-1", "9" * 400, "", "\u0663"])
def test_an_odd_version_is_answered(address: str, version: str) -> None:
    """It is no version that is shown, so the latest is told."""
    from urllib.parse import quote

    assert json.loads(get(address, f"after?version={quote(version)}")[1]) == {"version": 1}


def test_a_port_that_is_taken(board: Board, address: str) -> None:
    """One sentence with the port."""
    port = urlsplit(address).port or 0
    words = f"--port: is {port}, which cannot be used"
    with pytest.raises(InputError, match=words), serving(board, port):
        pass


def test_nothing_listens_at_the_end(board: Board) -> None:
    """The port is free again."""
    with serving(board) as address:
        pass
    with pytest.raises(ConnectionError):
        get(address)
