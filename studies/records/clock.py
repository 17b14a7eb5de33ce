"""Dates and times of this machine, UTC to the second, as in ISO 8601."""

from datetime import UTC, datetime
from pathlib import Path

FORM = "%Y-%m-%dT%H:%M:%SZ"


def now_utc() -> str:
    """Return date and time."""
    return datetime.now(UTC).strftime(FORM)


def changed_at(path: Path) -> str:
    """Return when a file was last changed, empty where that cannot be told."""
    try:
        return datetime.fromtimestamp(path.stat().st_mtime, UTC).strftime(FORM)
    except (OSError, ValueError, OverflowError):
        return ""
