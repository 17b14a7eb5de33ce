"""The shipped examples past yield: what the reviewer reads, against our own former numbers.

The mechanics are held against published answers in `tests/validation`; this only tells when a change
moves what a user sees.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from studies.collapse.asked import asked_pushes
from studies.collapse.record import collapse_record
from studies.collapse.records import CollapseRecord
from studies.collapse.walk import How, walked_paths
from studies.runner import run_study, with_paths
from studies.study import read_study, with_cases

EXAMPLES = Path(__file__).parents[2] / "studies" / "examples"
