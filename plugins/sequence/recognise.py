"""What a line of a plan means, in the words people use."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Reading:
    """A line read: the ``steps`` it holds, hours it says to ``wait``, the ``day`` it names; ``lost``: it meant
    something and
    was not recognised, ``nearest`` the step it is nearest to."""

    steps: tuple[str, ...] = ()
    wait: float | None = None
    day: float | None = None
    lost: bool = False
    nearest: str = ""


def read_line(text: str, settled: tuple[str, ...] = ()) -> Reading:
    """One line of a plan; ``settled`` are step names the person gave for it."""
    return Reading(settled, lost=not settled)
