"""The command line and the packages in processes of their own."""

import os
import signal
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
RUN = "import sys; from studies.commands.main import main; sys.exit(main())"
HEAVY = ("scipy", "skfem", "gmsh", "pyvista", "matplotlib", "meshio", "vtk")


def python(code: str, *arguments: str, **keywords: object) -> subprocess.CompletedProcess[str]:
    """Run Python code in a process of its own that finds the packages."""
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    usual = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "env": env}
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        text=True,
        check=False,
        timeout=120,
        **{**usual, **keywords},
    )


def loaded(code: str, *arguments: str) -> set[str]:
    """Return the top-level modules that are loaded after `code`."""
    tail = "\nimport sys; sys.stderr.write('\\n@' + ' '.join(sys.modules))"
    done = python(code + tail, *arguments)
    assert done.returncode == 0, done.stderr
    return {name.partition(".")[0] for name in done.stderr.rpartition("\n@")[2].split()}


def dies(*_: object) -> None:
    """End this process as the system does where memory runs out, in place of its work."""
    os.kill(os.getpid(), signal.SIGKILL)
