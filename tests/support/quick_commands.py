"""The command line on a mesh that is too coarse for figures, with designs of a sweep by a formula.

What is tried with it is how commands begin, write, end and go on. Run as a module it is the command
`barwright`.
"""

import sys

from geometry.grading import LEVELS, Level
from support.quick_sweep import quick_main

CRUDE = Level(8, 4.0, 1.0)


def main() -> int:
    """Run the command on this mesh, and return its exit code."""
    LEVELS.update(dict.fromkeys(LEVELS, CRUDE))
    return quick_main()


if __name__ == "__main__":
    # by its name as a module, which is what other processes import
    from support.quick_commands import main as command

    sys.exit(command())
