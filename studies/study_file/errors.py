"""A study file that cannot be used."""

from pathlib import Path

from geometry.errors import Problem


class StudyError(Exception):
    """The study file at `path` is wrong (exit code 2); carries every problem found in it."""

    def __init__(self, path: Path, *problems: Problem) -> None:
        """Keep path and problems; the message holds one line for each problem."""
        self.path = path
        self.problems = problems
        super().__init__("\n".join(f"{path}: {problem}" for problem in problems))


class StoppedError(Exception):
    """Work over many designs that ended early; what is finished stays."""
