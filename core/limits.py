"""A time limit round code that is not ours."""

from __future__ import annotations

import faulthandler
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


class TookTooLong(BaseException):
    """Code that is not ours did not end within its time limit."""


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Stop the block with :class:`TookTooLong` after that many seconds.

    Where the system has no interval timer, or outside the main thread, nothing can stop code that keeps the
    interpreter to itself: there, as a last resort, the whole process ends after three times as long, with a
    trace of where it stood. Output is written whole at the very end, so nothing half done is left.
    """
    if not hasattr(signal, "setitimer") or threading.current_thread() is not threading.main_thread():
        faulthandler.dump_traceback_later(3 * seconds, exit=True)
        try:
            yield
        finally:
            faulthandler.cancel_dump_traceback_later()
        return

    def stop(_number: int, _frame: FrameType | None) -> None:
        raise TookTooLong(f"it did not end within {seconds:g} s")

    before = signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
