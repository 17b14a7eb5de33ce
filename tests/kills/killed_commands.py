"""Kill commands at random times, give them again, and print a table of what was lost.

    export PYTHONPATH=tests
    .venv/bin/python tests/kills/killed_commands.py [--share 1] [--seed 20] [--only WORD] [--quick]

Whole, these are 100 kills of `sweep` and 30 each of `run`, `collapse` and `optimise`. Two thirds of
them are quick: crude meshes, designs of a sweep by a formula. The others solve as users do. Half
come at any time, half while files are put in place. After each kill the results of before must be
there, whole, and the finished designs; the same command must then end with 0, with the numbers of
one that nobody disturbed, the user's own files in place and nothing left over. After the kills: two
commands at once in one folder, and files that cannot be written. Schedulers and workers that are
lost have their tests in `tests/sweeps/test_kills.py`. Ends with 1 if anything was lost.
"""

import argparse
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from kills.commands import (
    COMMANDS,
    Place,
    completed,
    damage,
    finished_designs,
    full_disk,
    is_landing,
    leftovers,
    prepare,
    started,
    two_at_once,
)

REAL = 1 / 3
"""Share of the kills in real solutions."""

LANDING_S = 0.3
"""Files are in place soon after that."""

OTHERS = {"two at once": two_at_once, "files full": full_disk}
"""What is no kill."""

HEADS = ("command", "solution", "kills", "landing", "left over", "hidden", "lost")


@dataclass
class Tally:
    """What came of the kills of a command, of one kind.

    Attributes:
        seen: How many kills came where, and what they left.
        lost: What must not be, in words.
    """

    seen: Counter[str] = field(default_factory=Counter)
    lost: list[str] = field(default_factory=list)


def main(arguments: list[str] | None = None) -> int:
    """Kill what is asked for, print a line for each command and kind, and return the exit code."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--share", type=float, default=1.0, help="share of the kills")
    parser.add_argument("--seed", type=int, default=20)
    parser.add_argument("--only", default="", help="lines that hold this word")
    parser.add_argument("--quick", action="store_true", help="no real solutions")
    asked = parser.parse_args(arguments)
    draw = random.Random(asked.seed)  # noqa: S311 no secret
    _line(HEADS)
    lost: list[str] = []
    with tempfile.TemporaryDirectory() as at:
        for command, count in COMMANDS.items():
            if asked.only not in command:
                continue
            for real, share in ((False, 1 - REAL), (True, REAL)):
                kills = round(count * asked.share * share)
                if kills and not (real and asked.quick):
                    place = Place(Path(at) / f"{command}-{'real' if real else 'quick'}", real)
                    lost += _row(command, place, kills, draw)
        for name, attempt in OTHERS.items():
            if asked.only in name:
                lost += _other_row(name, attempt, Path(at) / "other", draw)
    for words in lost:
        print(f"LOST {words}")
    return int(bool(lost))


def _row(command: str, place: Place, kills: int, draw: random.Random) -> list[str]:
    """Kill a command so many times, print the line, and return what was lost."""
    whole_s, tally = prepare(place, command), Tally()
    try:
        # one that ended before its kill is no kill
        while tally.seen["kills"] < kills:
            for words in _killed(command, place, whole_s, draw, tally):
                tally.lost.append(f"{command}, kill {tally.seen['kills']}: {words}")
    finally:  # also where the script is stopped
        kind = "real" if place.real else "quick"
        seen = [tally.seen[name] for name in ("kills", "landing", "left over", "hidden")]
        _line((command, kind, *seen, len(tally.lost)))
    shutil.rmtree(place.folder)
    return tally.lost


def _killed(
    command: str, place: Place, whole_s: float, draw: random.Random, tally: Tally
) -> list[str]:
    """Kill a command once, give it again, and return what was lost."""
    place.clear_designs()
    running = started(command, place)
    if draw.random() < 0.5:
        time.sleep(draw.uniform(0.0, whole_s))
    else:
        while running.is_alive() and not is_landing(command, place):
            time.sleep(0.002)
        time.sleep(draw.uniform(0.0, min(0.05 * whole_s, LANDING_S)))
    landing = is_landing(command, place)
    tally.seen["kills"] += running.is_alive()
    running.kill()
    running.join()
    tally.seen["landing"] += landing
    tally.seen["left over"] += bool(leftovers(place))
    tally.seen["hidden"] += not place.results.exists()
    lost, kept = damage(command, place, after="the kill"), finished_designs(place)
    lost += completed(command, place)
    if not finished_designs(place).items() >= kept.items():
        lost.append("finished designs were computed again")
    return lost + damage(command, place, after="the next command")


def _other_row(
    name: str, attempt: Callable[[Place, random.Random], list[str]], at: Path, draw: random.Random
) -> list[str]:
    """Try what is no kill, print its line, and return what was lost."""
    place = Place(at, real=False)
    prepare(place, "run")
    lost = [f"{name}: {words}" for words in attempt(place, draw)]
    _line((name, "quick", "-", "-", "-", "-", len(lost)))
    shutil.rmtree(at)
    return lost


def _line(cells: tuple[object, ...]) -> None:
    print("".join(f"{cell!s:<12}" for cell in cells), flush=True)


if __name__ == "__main__":
    sys.exit(main())
