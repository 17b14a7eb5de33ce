"""What lies where, and how long a file may be. Each rule returns the offences it sees."""

import fnmatch
from pathlib import Path

from support.code_rules import ORDER

ALLOWED_AT_TOP = {
    "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "tests", *ORDER,
}  # fmt: skip
LONGEST_FILE = 300
# longer all the same, each with its reason
LONG_WITH_REASON = {}


def too_long(path: str, text: str) -> list[str]:
    """Return the file if nobody would read it in one go."""
    lines = len(text.splitlines())
    return [f"{path} has {lines} lines, over {LONGEST_FILE}"] if lines > LONGEST_FILE else []


def strangers_at_top(root: Path) -> list[str]:
    """Return what lies at the top level and is neither allowed there, ignored nor a dot-file."""
    ignored = [line.strip("/") for line in (root / ".gitignore").read_text().splitlines() if line]
    names = sorted(path.name for path in root.iterdir() if not path.name.startswith("."))
    return [
        name
        for name in names
        if name not in ALLOWED_AT_TOP and not any(fnmatch.fnmatch(name, i) for i in ignored)
    ]


def packages_amiss(root: Path, listed: list[str]) -> list[str]:
    """Return packages listed without a folder and `__init__`, and folders that are not listed."""
    holders = {path.parent for name in ORDER for path in (root / name).rglob("*") if path.is_file()}
    folders = {".".join(path.relative_to(root).parts) for path in holders}
    folders = {name for name in folders if "__pycache__" not in name}
    bare = [n for n in listed if not (root / n.replace(".", "/") / "__init__.py").is_file()]
    return [f"{name} is listed but has no __init__.py" for name in bare] + [
        f"{name} is a folder but not listed in pyproject.toml"
        for name in sorted(folders - set(listed))
    ]
