"""Code that is not ours: a time limit round it, and what went wrong with it in words."""

from __future__ import annotations

import faulthandler
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
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
    left, _ = signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
        if left:  # a limit stands round this one: it goes on
            signal.setitimer(signal.ITIMER_REAL, left)


def told_error(error: BaseException) -> str:
    """An error in one line, with the file and line of the code that is not the core's where it arose."""
    text = " ".join(str(error).split())
    words = f"{type(error).__name__}: {text}" if text else type(error).__name__
    place = _place(error)
    return f"{words} ({place})" if place else words


_CORE = Path(__file__).parent


def _place(error: BaseException) -> str:
    """The last line of the first folder that the error came through, after the core and the caller of hooks."""
    home, place = None, ""
    trace = error.__traceback__
    while trace:
        path = Path(trace.tb_frame.f_code.co_filename)
        if home is None and path.is_absolute() and path.parent.name != "pluggy" and path.parent != _CORE:
            home = path.parent
        if path.parent == home:
            place = f"{path.name}, line {trace.tb_lineno}"
        trace = trace.tb_next
    return place
