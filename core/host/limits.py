"""Code that is not ours: a time limit round it, and what went wrong with it in words."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from types import FrameType

from listel.core.survey.messages import SurveyFaults

AGAIN = 0.1
"""Seconds after which code that went on in spite of its limit is stopped again."""


class TookTooLong(BaseException):
    """Code that is not ours did not end within its time limit."""


class Failed(Exception):
    """Code that is not ours failed in a process of its own; the text is all there is to tell."""


def time_limit(seconds: float) -> AbstractContextManager[None]:
    """Stop the block with :class:`TookTooLong` after that many seconds, and again while it goes on in spite of it.

    In the main thread an alarm does it; elsewhere, and where the system has no alarm, a thread that watches, which
    reaches only what runs as Python.
    """
    if hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread():
        return _alarm(seconds)
    return _watch(seconds)


@contextmanager
def _alarm(seconds: float) -> Iterator[None]:
    def stop(_number: int, _frame: FrameType | None) -> None:
        raise TookTooLong(f"it did not end within {seconds:g} s")

    before = signal.signal(signal.SIGALRM, stop)
    left, _ = signal.setitimer(signal.ITIMER_REAL, seconds, AGAIN)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
        if left:  # a limit stands round this one: it goes on
            signal.setitimer(signal.ITIMER_REAL, left, AGAIN)


@contextmanager
def _watch(seconds: float) -> Iterator[None]:
    import ctypes

    watched = ctypes.c_ulong(threading.get_ident())
    raised = ctypes.pythonapi.PyThreadState_SetAsyncExc
    done = threading.Event()

    def watch() -> None:
        wait = seconds
        while not done.wait(wait):
            raised(watched, ctypes.py_object(TookTooLong))
            wait = AGAIN

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        yield
    except TookTooLong as stopped:
        raise TookTooLong(f"it did not end within {seconds:g} s") from stopped
    finally:
        done.set()
        watcher.join()
        raised(watched, None)


def told_error(error: BaseException) -> str:
    """An error in one line, with the file and line of the code that is not the core's where it arose."""
    if isinstance(error, SurveyFaults):
        return _text(error)
    if isinstance(error, Failed):
        return str(error)
    text = _text(error)
    words = f"{type(error).__name__}: {text}" if text else type(error).__name__
    place = _place(error)
    return f"{words} ({place})" if place else words


def _text(error: BaseException) -> str:
    try:
        text = " ".join(str(error).split())
    except BaseException:
        return "it cannot say what is wrong"
    return "".join(letter if letter.isprintable() else "?" for letter in text[:400])


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
