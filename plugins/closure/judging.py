"""Whether a room's readings close within what tape and bevel explain, and by which other walk they would."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from listel.core.quick import dataclass
from listel.core.survey.job import Room
from listel.plugins.closure.conditions import conditions, expected_misclosure
from listel.plugins.closure.settings import allowance
from listel.plugins.closure.suspects import Reading, misclosure
from listel.plugins.site import angle_error, is_ring, spread_angles

FROM_THE_RIGHT = (
    "It would close to {to} if each corner stood at the left end of its wall, as in a room listed from right to left: "
    "list the walls the other way round, each the one to the right of the wall before it"
)
FROM_OUTSIDE = (
    "It would close to {to} if every internal corner were external and every external one internal, as in a room "
    "walked from outside: write each corner as it is seen from the room"
)


@dataclass(frozen=True)
class Verdict:
    """How a traverse closes: misclosure and what chance explains [mm], angle error and what chance explains [deg]."""

    misses: float
    allowed: float
    turn: float
    turn_allowed: float

    @property
    def closed(self) -> bool:
        """Whether tape and bevel explain both."""
        return self.misses <= self.allowed and abs(self.turn) <= self.turn_allowed


def judge(sides: Sequence[float], angles: Sequence[float], tape: float, bevel: float) -> Verdict:
    """Whether a traverse closes within what tape [mm] and bevel [deg] explain in 99 rooms of 100.

    The error of the angle sum is judged first, then spread over the corners, and what is left in plan is judged
    against its own spread in its own direction. Source: least squares, derived; chi-squared points as the allowances
    say.
    """
    turn = angle_error(angles)
    variance = len(angles) * bevel**2
    found = conditions(sides, angles, tape, bevel)
    misses, plan = misclosure(sides, angles), max(0.0, found.weight - turn**2 / variance)
    limit = allowance("plan-limit")
    if plan > 1e-9:
        allowed = misses * sqrt(limit / plan)
    else:
        allowed = sqrt(limit / 2) * expected_misclosure(sides, spread_angles(angles), tape, bevel)
    return Verdict(misses, allowed, turn, sqrt(allowance("turn-limit") * variance))


def other_walk(sides: Sequence[float], angles: Sequence[float], tape: float, bevel: float) -> tuple[str, float] | None:
    """The walk by which readings that do not close would, in words with ``{to}`` for how close, and that [mm]; None
    where no other walk closes them either."""
    ways = (
        (FROM_THE_RIGHT, [*angles[1:], angles[0]]),
        (FROM_OUTSIDE, [360.0 - angle for angle in angles]),
    )
    for words, turned in ways:
        verdict = judge(sides, turned, tape, bevel)
        if verdict.closed:
            return words, verdict.misses
    return None


def through_room(angle: float, kind: str) -> float:
    """The plan angle through the room [deg], from what a bevel reads at an ``internal`` or ``external`` corner [deg].

    Raises ValueError if a corner cannot have that angle. Source: plane geometry, derived.
    """
    if not 0 < angle < 360:
        raise ValueError(
            f"a corner of {angle:g} degrees cannot be: give the angle as the bevel reads it, between 0 and 360"
        )
    if abs(angle - 180) < 1e-9:
        raise ValueError("a corner of 180 degrees is a straight wall: leave it out, or measure it again")
    return angle if kind == "internal" else 360.0 - angle


def readings_of(room: Room) -> list[Reading]:
    """The readings of a fully surveyed room: sides, then angles through the room."""
    found = []
    for wall in room.walls:
        tape = wall.length
        others = () if tape is None or tape.second is None else (tape.first, tape.second)
        found.append(Reading(tape.value if tape else 0.0, False, others=others))
    for wall in room.walls:
        external = wall.corner is not None and wall.corner.kind == "external"
        found.append(Reading(wall.turn or 0.0, True, external))
    return found


def lacks(room: Room) -> str:
    """What keeps a room that goes all the way round from being judged, in words; empty where nothing does."""
    bare = [wall.name for wall in room.walls if wall.length is None]
    blind = [wall.name for wall in room.walls if wall.turn is None]
    words = [f"length of wall {', '.join(bare)}"] if bare else []
    words += [f"angle of the corner at the right end of wall {', '.join(blind)}"] if blind else []
    return " and the ".join(words)


def in_part(room: Room) -> bool:
    """Whether a room was surveyed in part, so that nothing can be said of its closing."""
    return room.extent == "part" or not is_ring(room)
