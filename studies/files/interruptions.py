"""Ctrl-C and SIGTERM wait while files are put in place or a process starts."""

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from threading import current_thread, main_thread
from types import FrameType

INTERRUPTIONS = (signal.SIGINT, signal.SIGTERM)


@contextmanager
def uninterrupted(afterwards: str = "") -> Iterator[None]:
    """Let interruptions wait until the end of the block.

    Args:
        afterwards: What is true then, as the end of a sentence; none where the block changes
            nothing that is told.

    Raises:
        KeyboardInterrupt: At the end, with that sentence, if one came.
    """
    if current_thread() is not main_thread():  # signals come to the main thread alone
        yield
        return
    came = []

    def wait(number: int, frame: FrameType | None) -> None:
        came.append(number)

    before = {number: signal.signal(number, wait) for number in INTERRUPTIONS}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
    if came:
        raise KeyboardInterrupt(*filter(None, [afterwards]))
