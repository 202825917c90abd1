"""Code that is not ours, run in a process of its own: whatever it does there stays there."""

from __future__ import annotations

import contextlib
import io
import os
import pickle
import signal
import sys
from collections.abc import Callable
from dataclasses import is_dataclass
from enum import Enum
from time import monotonic
from typing import Any, NoReturn, TypeVar

from listel.core.host.limits import AGAIN, Failed, TookTooLong, time_limit, told_error

T = TypeVar("T")

CAN_FORK = hasattr(os, "fork")

LARGEST_ANSWER = 200_000_000
"""So many bytes of an answer are read from a process."""

MOST_MEMORY = 8 * 2**30
"""So much address space a process of code that is not ours may have."""


def apart(call: Callable[[], T], seconds: float) -> T:
    """What a call answers, made in a copy of this process which then ends: whatever it does there stays there, and its
    printing goes to standard error. Where the system cannot copy a process, the call is made here within the limit.

    Raises TookTooLong after so many seconds, and Failed where the call raised or its process ended before it answered.
    """
    if not CAN_FORK:
        with time_limit(seconds):
            return call()
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    inlet, outlet = os.pipe()
    child = os.fork()
    if child == 0:
        _answer(call, seconds, outlet)
    os.close(outlet)
    whole = bytearray()
    try:
        ended = _read(inlet, whole, monotonic() + seconds + 10 * AGAIN)
    finally:
        os.close(inlet)
        if not whole.endswith(_END):
            os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
    if not ended:
        raise TookTooLong(f"it did not end within {seconds:g} s")
    if not whole.endswith(_END):
        raise Failed(_how_it_ended(status))
    try:
        good, answer = _Plain(io.BytesIO(whole)).load()
    except Exception as error:
        raise Failed(f"what it gives cannot be passed on: {told_error(error)}") from None
    if not good:
        raise Failed(answer)
    return answer  # type: ignore[no-any-return]


_END = b"listel: whole"


def _answer(call: Callable[[], object], seconds: float, outlet: int) -> NoReturn:
    """The process of its own: the answer or what went wrong goes into the pipe, and it ends."""
    try:
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_REAL, 0)
        with contextlib.suppress(ImportError, ValueError, OSError):
            import resource

            resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, resource.getrlimit(resource.RLIMIT_AS)[1]))
        os.dup2(2, 1)
        sys.stdout = sys.stderr
        try:
            with time_limit(seconds):
                told = pickle.dumps((True, call()))
        except BaseException as error:
            told = pickle.dumps((False, told_error(error)))
        sys.stdout.flush()
        with open(outlet, "wb") as pipe:
            pipe.write(told + _END)
    finally:
        os._exit(0)


def _read(inlet: int, whole: bytearray, until: float) -> bool:
    """Read all there is; False where it did not come in time, or is more than anyone can use."""
    from select import poll

    waiting = poll()
    waiting.register(inlet)
    while waiting.poll(max(0.0, until - monotonic()) * 1000):
        part = os.read(inlet, 1 << 20)
        if not part:
            return True
        whole += part
        if len(whole) > LARGEST_ANSWER:
            return False
    return False


def _how_it_ended(status: int) -> str:
    if os.WIFSIGNALED(status):
        return f"it ended its process ({signal.Signals(os.WTERMSIG(status)).name})"
    return f"it ended its process (exit status {os.waitstatus_to_exitcode(status)})"


_MEASURED = {("listel.core.survey.data", name) for name in ("Taped", "Hung", "Shared")}
"""A length, a load and a percentage as a survey writes them: numbers all the same."""

_PLAIN = ("builtins", "collections", "datetime", "decimal", "fractions", "pathlib")
"""Modules whose classes are plain data."""


class _Plain(pickle.Unpickler):
    """Reads nothing but data: a pickle may otherwise call anything."""

    def find_class(self, module: str, name: str) -> Any:
        found = super().find_class(module, name)
        if (module, name) in _MEASURED:
            return found
        if isinstance(found, type) and (found.__module__ in _PLAIN or is_dataclass(found) or issubclass(found, Enum)):
            return found
        raise pickle.UnpicklingError(f"{name} is neither a dataclass nor plain data")
