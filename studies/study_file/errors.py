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

    def __reduce__(self) -> tuple[type["StudyError"], tuple[Path | Problem, ...]]:
        """Let another process raise it: an exception is made anew there, by default of its text."""
        return type(self), (self.path, *self.problems)


class StoppedError(Exception):
    """Work over many designs that ended early; what is finished stays."""
