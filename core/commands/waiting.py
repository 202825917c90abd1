"""What a command is at, on a terminal, once it has taken a while."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event, Thread
from time import monotonic

from listel.core.host.engine import AT_WORK

QUIET, EACH = 2.0, 0.5
"""Seconds before anything is shown, and from one showing to the next."""
CLEAR = "\r\x1b[K"


@contextmanager
def waiting(what: str) -> Iterator[None]:
    """While the block runs, on a terminal and after 2 s, what is done and for how long; taken off again at its end."""
    if not sys.stderr.isatty():
        yield
        return
    at, done, begun = [""], Event(), monotonic()

    def show() -> None:
        wait = QUIET
        while not done.wait(wait):
            words = ", ".join(filter(None, (what, at[0], f"{monotonic() - begun:.0f} s")))
            print(f"{CLEAR}{words}", end="", file=sys.stderr, flush=True)
            wait = EACH

    def tell(stage: str) -> None:
        at[0] = stage.replace("_", " ").replace("-", " ")

    shown, told = Thread(target=show, daemon=True), AT_WORK.set(tell)
    shown.start()
    try:
        yield
    finally:
        AT_WORK.reset(told)
        done.set()
        shown.join()
        if monotonic() - begun >= QUIET:
            print(CLEAR, end="", file=sys.stderr, flush=True)
