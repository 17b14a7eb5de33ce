"""Files that an earlier version wrote: refused with what to do, and left as they are."""

import json
from pathlib import Path

from geometry.errors import InputError, refuse


def refuse_older(path: Path, current: int, remedy: str) -> None:
    """Refuse a JSON file of an earlier format; any other, or none, passes.

    Args:
        path: The file.
        current: The `format_version` that is read.
        remedy: What the user can do.

    Raises:
        InputError: Its `format_version` is lower.
    """
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return
    version = content.get("format_version") if isinstance(content, dict) else None
    if isinstance(version, int) and version < current:
        raise older(path, version, current, remedy)


def older(path: Path, version: int, current: int, remedy: str) -> InputError:
    """Return the refusal of a file of an earlier format."""
    return refuse(str(path), f"has format {version}, this version reads format {current}; {remedy}")
