"""Steps that wind round a corner: where their risers meet the walls."""

from __future__ import annotations

import itertools
from dataclasses import replace
from math import cos, radians, sin, tan

from listel.core.quick import dataclass
from listel.core.survey.job import Corner, Flight, FlightWall, Room, Wall, Winders
from listel.plugins.site.plan import corner_pairs
from listel.plugins.site.results import Winding, straight_nosings

NEAR = 2.0
"""Winders that come this close to the end of a wall [mm] go on round its corner."""


def radial_risers(out: float, reach: float, theta: float, number: int) -> tuple[list[float], float | None]:
    """Where risers that share the turn of a corner evenly round a newel meet its two walls [mm].

    ``out``: the newel's centre from the wall; ``reach``: along the wall from it to the corner; ``theta``: the corner
    through the room, under 180 [deg]; ``number`` of winders. Gives how far past the newel those stand that meet this
    wall, the first at 0, square to it; and how far from the corner the next one meets the other wall, None where all
    meet this one. Source: where a ray meets two lines, derived; winders of equal angles about the newel's centre are
    common practice.
    """
    own: list[float] = []
    for place in range(number + 1):
        turn = radians((180.0 - theta) * place / number)
        if cos(turn) <= 0 or out * tan(turn) > reach:
            return own, (reach * cos(turn) - out * sin(turn)) / cos(radians(theta) + turn)
        own.append(out * tan(turn))
    return own, None


@dataclass(frozen=True, kw_only=True)
class _Side:
    """One wall that winders stand against: they wind round the corner at its ``right`` end or at its left, ``beyond``
    the head of the flight there or before its foot."""

    flight: Flight
    along: FlightWall
    winders: Winders
    length: float
    corner: Corner | None
    next_wall: str
    right: bool
    beyond: bool

    @property
    def at_corner(self) -> float:
        """The station of the corner [mm]."""
        return self.length if self.right else 0.0

    @property
    def turns(self) -> bool:
        """Whether they go on round the corner."""
        return abs((self.winders.end if self.right else self.winders.start) - self.at_corner) <= NEAR

    def risers(self) -> tuple[list[float], float | None] | None:
        """The stations of the risers, and how far from the corner the next one meets the other wall where the newel
        tells it [mm]; None where they are not known."""
        newel, number = self.winders.newel, self.winders.number
        theta = self.corner.through_room if self.corner else None
        if self.winders.risers is not None:
            return list(self.winders.risers), None
        if newel is None or not number or theta is None or theta >= 180.0:
            return None
        past, over = radial_risers(newel.out, abs(self.at_corner - newel.at), theta, number)
        to_corner = 1.0 if self.right else -1.0
        return [newel.at + to_corner * each for each in (past if self.beyond else past[1:])], over


def windings_of(room: Room) -> dict[tuple[str, str], Winding]:
    """The winders of a room by flight and wall: those whose risers are known up to the corner that they wind round."""
    found = {}
    for flight in room.stairs:
        for along in flight.walls:
            side = _side(room, flight, along)
            winding = _winding(room, side) if side else None
            if winding is not None:
                found[flight.name, along.wall] = winding
    return found


def _side(room: Room, flight: Flight, along: FlightWall) -> _Side | None:
    wall, winders = room.wall(along.wall), along.winders
    if winders is None or wall.length is None:
        return None
    ahead = 1.0 if along.up == "right" else -1.0
    beyond = along.foot is None or ahead * ((winders.start + winders.end) / 2 - along.foot) > 0
    right = beyond == (ahead > 0)
    corner, next_wall = _next(room, wall, right)
    return _Side(
        flight=flight,
        along=along,
        winders=winders,
        length=wall.length.value,
        corner=corner,
        next_wall=next_wall,
        right=right,
        beyond=beyond,
    )


def _next(room: Room, wall: Wall, right: bool) -> tuple[Corner | None, str]:
    """The corner at an end of a wall, and the name of the wall beyond it; empty where none was surveyed."""
    pairs = corner_pairs(room)
    if right:
        return wall.corner, next((b.name for a, b in pairs if a is wall), "")
    return next(((a.corner, a.name) for a, b in pairs if b is wall), (None, ""))


def _winding(room: Room, side: _Side) -> Winding | None:
    known = side.risers()
    if known is None or not side.flight.rise:
        return None
    risers, over = known
    ahead = 1.0 if side.along.up == "right" else -1.0
    straight = straight_nosings(side.flight, side.along)
    risers = sorted((at for at in risers if all(abs(at - each) > NEAR for each in straight)), key=lambda at: ahead * at)
    if side.beyond and side.along.foot is not None and not straight:
        return None  # how high they begin is not known
    low, high = side.winders.start - NEAR, min(side.winders.end + NEAR, side.length)
    within = all(low <= at <= high for at in risers)
    if not within or not _in_order(risers, straight, ahead, side.beyond):
        return None
    nearest = max([*risers, *straight], key=lambda at: at if side.right else -at)
    corner = side.at_corner if side.turns and abs(nearest - side.at_corner) > NEAR else None
    if corner is not None:
        marked = _round_the_corner(room, side)
        over = over if marked is None else marked
        if over is None:
            return None
    if not risers and corner is None:
        return None
    return Winding(
        risers=tuple(risers),
        beyond=side.beyond,
        corner=corner,
        over=over or 0.0,
        behind=_behind(room, side, risers) if side.along.foot is None and risers else None,
        reckoned=side.winders.risers is None,
    )


def _behind(room: Room, side: _Side, risers: list[float]) -> tuple[float, float] | None:
    """Of a wall with winders alone that come from round the corner behind: its station, and how far beyond it the riser
    before their first stands; None where they begin on this wall [mm]."""
    wall = room.wall(side.along.wall)
    corner, next_wall = _next(room, wall, not side.right)
    back = replace(side, right=not side.right, corner=corner, next_wall=next_wall)
    over = _round_the_corner(room, back) if back.turns and abs(risers[0] - back.at_corner) > NEAR else None
    return None if over is None else (back.at_corner, over)


def _in_order(risers: list[float], straight: tuple[float, ...], ahead: float, beyond: bool) -> bool:
    """Whether winders stand beyond the straight steps, or before them, and no two in one place."""
    way = [ahead * at for at in ([*straight, *risers] if beyond else [*risers, *straight])]
    if len(straight) > 1 and straight[0] == straight[1]:
        way.remove(ahead * straight[0])
    return bool(way) and all(a < b for a, b in itertools.pairwise(way))


def _round_the_corner(room: Room, side: _Side) -> float | None:
    """How far from the corner the next riser meets the other wall, as it was surveyed there [mm]."""
    for flight in room.stairs:
        for along in flight.walls:
            length = room.wall(along.wall).length
            if along is side.along or along.wall != side.next_wall or length is None:
                continue
            other = _side(room, flight, along)
            known = other.risers() if other else None
            there: list[float] = [*(known[0] if known else ()), *straight_nosings(flight, along)]
            if there:
                return min(abs(at - (0.0 if side.right else length.value)) for at in there)
    return None
