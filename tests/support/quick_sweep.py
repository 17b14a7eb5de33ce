"""The command line with workers that take 50 ms for a design, in place of a solution.

Whoever hands out designs, keeps and counts them is the program itself. Run as a module it is the
command `barwright`; processes of this machine and of a cluster find `compute` by its name here.
"""

import sys
from time import sleep

from studies.commands.main import main
from studies.sweeps import executors
from studies.sweeps.rows import Job
from support.sweeps import made_row

DESIGN_S = 0.05
"""What a design takes."""


def compute(job: Job) -> str:
    """Return the row of a design as JSON, its figures by a formula."""
    sleep(DESIGN_S)
    return made_row(job).model_dump_json()


def quick_main() -> int:
    """Run the command with these workers, and return its exit code."""
    executors.compute = compute
    return main()


if __name__ == "__main__":
    # by its name as a module, which is what other processes import
    from support.quick_sweep import quick_main as command

    sys.exit(command())
