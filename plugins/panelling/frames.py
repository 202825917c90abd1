"""The geometry of one frame of panelling, and of a panel in its groove. All mm, angles in degrees.

Source: plane geometry, derived; which frame runs through at a corner is common practice, no source.
"""

from __future__ import annotations

from math import ceil, cos, floor, radians, sin, tan

from listel.core.quick import dataclass

ROUNDING = 1e-9


@dataclass(frozen=True, kw_only=True)
class Edge:
    """How an upright edge of a frame meets what is there. ``past``: how far its face goes past that end of the stretch
    of wall, or (-) stops short of it; ``wider``: what its stile has to be over what it shows."""

    past: float = 0.0
    wider: float = 0.0
    note: str = "square"


def covered(corner: float, thick: float) -> float:
    """How far from an inside corner two frames so thick show, along either wall."""
    return thick / tan(radians(corner) / 2)


def into_the_corner(corner: float, thick: float, meets: bool) -> Edge:
    """The edge that runs through into an inside corner: under 90 degrees its face meets the other wall first. Where the
    next frame ``meets`` it, its stile is wider by what that covers."""
    short = -to_old(corner, thick, 0.0).past
    if not meets:
        return Edge(past=-short, note="scribed into the corner")
    return Edge(
        past=-short,
        wider=covered(corner, thick) - short,
        note="runs through; the next frame is tongued into it",
    )


def to_old(corner: float, thick: float, out: float) -> Edge:
    """The edge scribed to old work that stands ``out`` from the other wall of an inside corner: its back or its face
    meets that first."""
    short = (out + max(0.0, thick * cos(radians(corner)))) / sin(radians(corner))
    return Edge(past=-short, note="scribed to the face of the old work")


def tongued(corner: float, thick: float, groove: float) -> Edge:
    """The edge that is tongued into the face of the frame before it, in an inside corner."""
    return Edge(past=groove - covered(corner, thick), wider=groove, note="tongued into the frame before it")


def mitred(corner: float, thick: float) -> Edge:
    """The edge at an outside corner, the solid's angle given."""
    return Edge(past=covered(corner, thick), note=f"mitred at {corner / 2:g}\u00b0 to the next frame")


def shared_out(between: float, muntin: float, most: float) -> tuple[int, float]:
    """How many panels stand between two stiles, none showing more than the ``most``, and what each shows; at least
    one."""
    count = max(1, ceil((between + muntin) / (most + muntin) - ROUNDING))
    return count, (between - (count - 1) * muntin) / count


@dataclass(frozen=True, kw_only=True)
class Grain:
    """What timber does after delivery, as shares of its size: across and along the grain."""

    swells: float
    shrinks: float
    along: float


def panel_size(sight: float, groove: float, ease: float, moves: float, swells: float, member: float) -> float:
    """The size of a panel, whole mm, that is never tight: not when it is put in, with its ``ease`` at each side, nor
    when it has swollen by its own share ``moves`` and the two members beside it, each ``member`` wide, by ``swells``,
    half of that towards it."""
    room = sight + 2 * groove
    wettest = (room - swells * max(0.0, member - 2 * groove)) / (1 + moves)
    return float(floor(min(room - 2 * ease, wettest) + ROUNDING))


def least_hold(size: float, sight: float, moves: float, shrinks: float, member: float) -> float:
    """How deep a panel held at its middle still stands in each groove when it has shrunk by its own share ``moves`` and
    the members beside it by ``shrinks``."""
    return (size * (1 - moves) - sight - shrinks * member) / 2
