"""What an outcome is made of holds no rings, so that looking for them as it grows only takes time."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """No search for objects that hold each other in a ring while the block runs: each looks through all that was made
    so far, so that the searches grow faster than the house."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
