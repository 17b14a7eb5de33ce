"""Errors, each with a sentence for the reader.

`InputError` is the user's to correct (exit code 2), `MeshError` and `SolveError`
are failures of the analysis (exit code 3). Anything else is a bug and shows a traceback.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One mistake: the field it stands in and one sentence with value, limit and remedy."""

    field: str
    sentence: str

    def __str__(self) -> str:
        """Return the line that a user reads."""
        return f"{self.field}: {self.sentence}" if self.field else self.sentence


class InputError(ValueError):
    """Values that a user gave and that cannot be used; carries every problem found."""

    def __init__(self, *problems: Problem) -> None:
        """Keep the problems, one line each."""
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))

    def within(self, prefix: str) -> "InputError":
        """Return the same error with `prefix` before each field path."""
        return InputError(*(Problem(_join(prefix, p.field), p.sentence) for p in self.problems))


class MeshError(RuntimeError):
    """The mesh could not be made, or is not fit to compute on."""


class SolveError(RuntimeError):
    """The equations could not be solved to the stated residual."""


def refuse(field: str, sentence: str) -> InputError:
    """Return an `InputError` of a single problem."""
    return InputError(Problem(field, sentence))


def _join(prefix: str, field: str) -> str:
    if not field:
        return prefix
    return prefix + field if field.startswith("[") else f"{prefix}.{field}"
