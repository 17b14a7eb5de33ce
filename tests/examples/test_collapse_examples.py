"""The shipped examples past yield: what the reviewer reads, against our own former numbers.

The mechanics are held against published answers in `tests/validation`; this only tells when a
change moves what a user sees.
"""

from pathlib import Path

EXAMPLES = Path(__file__).parents[2] / "studies" / "examples"
