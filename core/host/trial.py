"""A plugin from outside is first loaded in a process of its own: what would harm this one is found out there."""

from __future__ import annotations

import atexit
import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

from listel.core.host.apart import CAN_FORK, apart
from listel.core.host.limits import Failed
from listel.core.quick import finish_all


def try_out(load: Callable[[], object], call: Callable[[object], object], seconds: float) -> None:
    """Load a plugin's module and call its hooks in a process of its own, where the system has such.

    Raises TookTooLong or Failed where that process does not come through, and Failed where the plugin changes listel
    itself, leaves a thread running or asks to be called at the end.
    """
    if not CAN_FORK:
        return
    finish_all()
    if harm := apart(lambda: _harm(load, call), seconds):
        raise Failed(harm)


def _harm(load: Callable[[], object], call: Callable[[object], object]) -> str:
    before, threads = dict(_ours()), threading.active_count()
    asking = _who_asks_for_the_end()
    try:
        with (
            Path(os.devnull).open("w", encoding="utf-8") as sink,
            redirect_stdout(sink),
            redirect_stderr(sink),
        ):
            module = load()
            call(module)
    except Exception:
        return ""  # told better where it is loaded in earnest
    after = dict(_ours())
    changed = sorted(name for name, held in before.items() if after.get(name) is not held)
    if changed:
        return f"it changes listel itself: {', '.join(changed[:3])}"
    if threading.active_count() > threads:
        return "it leaves a thread running"
    own = getattr(module, "__name__", "").partition(".")[0]
    return "it asks to be called when the program ends" if own in asking else ""


def _who_asks_for_the_end() -> set[str]:
    """The packages that ask from now on to be called when the program ends, as they ask."""
    register, asking = atexit.register, set[str]()

    def registered(function: Callable[..., Any], *args: Any, **keys: Any) -> Callable[..., Any]:
        asking.add(sys._getframe(1).f_globals.get("__name__", "").partition(".")[0])
        return register(function, *args, **keys)

    atexit.register = registered  # type: ignore[assignment]
    return asking


def _ours() -> Iterator[tuple[str, object]]:
    """Everything that listel's modules and their classes hold, by name."""
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] != "listel":
            continue
        for key, held in list(vars(module).items()):
            yield f"{name}.{key}", held
            if isinstance(held, type) and held.__module__ == name:
                yield from ((f"{name}.{key}.{each}", inner) for each, inner in vars(held).items())
