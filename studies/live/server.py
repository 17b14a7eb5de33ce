"""A server for this machine alone: 127.0.0.1, and no answer without the random token in the path.

A page of another site that guesses the port knows no token; one that points its own name at
127.0.0.1 sends that name as the host, which is refused.
"""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from secrets import compare_digest, token_urlsafe
from threading import Thread
from urllib.parse import parse_qs, urlsplit

from geometry.errors import refuse
from studies.live.board import Board

HERE = "127.0.0.1"

WAIT_S = 20.0
"""Longest wait for the next page before a browser asks again."""

LOOK_S = 0.05
"""Between two looks at whether to end."""

HTML, JSON_TYPE = "text/html; charset=utf-8", "application/json"


@contextmanager
def serving(board: Board, port: int = 0) -> Iterator[str]:
    """Serve what the board shows, and yield the address; at the end nothing listens any more.

    Raises:
        InputError: The port is taken.
    """
    token = token_urlsafe(16)
    try:
        server = _Server(board, token, port)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        sentence = f"is {port}, which cannot be used ({reason}); give another, or none for any"
        raise refuse("--port", sentence) from None
    thread = Thread(target=server.serve_forever, args=(LOOK_S,), daemon=True)
    thread.start()
    try:
        yield f"http://{HERE}:{server.port}/{token}/"
    finally:
        board.end()
        server.shutdown()
        server.server_close()


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    block_on_close = False

    def __init__(self, board: Board, token: str, port: int) -> None:
        super().__init__((HERE, port), _Handler)
        self.board, self.token, self.port = board, token, int(self.server_address[1])


class _Handler(BaseHTTPRequestHandler):
    server: _Server

    def do_GET(self) -> None:
        """Answer the page, the report, or the version once it changes."""
        parts = urlsplit(self.path)
        _, given, *rest = (*parts.path.split("/", 2), "")
        name = rest[0]
        if not self._is_ours(given):
            self._answer(HTTPStatus.NOT_FOUND, "text/plain", "")
        elif name == "after":
            self._after(parts.query)
        elif name in ("", "report.html"):
            shown = self.server.board.shown
            self._answer(HTTPStatus.OK, HTML, shown.report if name else shown.page)
        else:
            self._answer(HTTPStatus.NOT_FOUND, "text/plain", "")

    def _is_ours(self, given: str) -> bool:
        hosts = {f"{HERE}:{self.server.port}", f"localhost:{self.server.port}"}
        known = compare_digest(given.encode(), self.server.token.encode())
        return known and self.headers.get("Host", "") in hosts

    def _after(self, query: str) -> None:
        version = parse_qs(query).get("version", [""])[0]
        known = int(version) if version.isdecimal() and len(version) < 10 else -1
        latest = self.server.board.after(known, WAIT_S)
        self._answer(HTTPStatus.OK, JSON_TYPE, json.dumps({"version": latest}))

    def _answer(self, status: HTTPStatus, kind: str, text: str) -> None:
        content = text.encode("utf-8")
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("Referrer-Policy", "no-referrer")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.end_headers()
        try:
            self.wfile.write(content)
        except (BrokenPipeError, ConnectionResetError):
            return  # the browser left, as at every reload

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 the base class's name
        """Write nothing: the terminal is for answers."""
