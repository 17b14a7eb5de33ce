"""What the server shows now, and its change."""

from dataclasses import dataclass
from threading import Condition


@dataclass(frozen=True)
class Shown:
    """What is shown.

    Attributes:
        version: Counts up with every page.
        page: HTML.
        report: The whole report, empty before the first whole answer.
    """

    version: int
    page: str
    report: str


class Board:
    """The one thing that the threads share: written by the session, read by the server."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self._changed = Condition()
        self._shown = Shown(0, "", "")
        self._ended = False

    def show(self, page: str, report: str | None = None) -> None:
        """Show another page, whose version is `next_version`, and a report where one is given."""
        with self._changed:
            kept = self._shown.report if report is None else report
            self._shown = Shown(self._shown.version + 1, page, kept)
            self._changed.notify_all()

    @property
    def shown(self) -> Shown:
        """Return what is shown."""
        with self._changed:
            return self._shown

    @property
    def next_version(self) -> int:
        """Return the version of the page to come."""
        return self.shown.version + 1

    def after(self, version: int, timeout_s: float) -> int:
        """Return the version once it is another than this, or after so many seconds."""
        with self._changed:
            self._changed.wait_for(lambda: self._ended or self._shown.version != version, timeout_s)
            return self._shown.version

    def end(self) -> None:
        """Let nobody wait any more."""
        with self._changed:
            self._ended = True
            self._changed.notify_all()
