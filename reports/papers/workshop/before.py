"""The first sheet of the workshop pack: what holds the work, and which wall may be drilled."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.units import show_length
from listel.plugins.safety import Emergency, LeftInPlace, SafetyNotes
from listel.plugins.site import Site, deepest_hole, tables
from listel.reports.papers.holds import Hold, holds


@dataclass(frozen=True, kw_only=True)
class Keeps:
    """What every hole in a wall keeps to: whether a ``gas`` pipe is on it; how far behind the plaster it goes at the
    most, "" where nothing bounds it, and why; whether a ``flue`` runs in the wall: yes, no or unknown; what its plaster
    is where that is not sound; whether asbestos in its coating is drilled by a ``plan``."""

    gas: bool
    deepest: str
    why: str
    flue: str
    unsound: str
    plan: bool = False


@dataclass(frozen=True, kw_only=True)
class Answer:
    """Whether some walls of a room may be drilled: what the search found, the numbers of what holds them, and what
    every hole in them keeps to."""

    room: str
    walls: tuple[str, ...]
    searched: str
    held_by: tuple[int, ...]
    keeps: Keeps


@dataclass(frozen=True, kw_only=True)
class Before:
    """The first sheet: what holds the work, and which wall may be drilled. ``plan``: the law wants one for safe work;
    ``several``: firms at work, one of them in control."""

    holds: tuple[Hold, ...]
    answers: tuple[Answer, ...]
    calls: tuple[Emergency, ...]
    zones: tuple[str, ...]
    left: tuple[LeftInPlace, ...]
    lead: bool
    plan: bool
    several: bool


def before(outcome: Outcome) -> Before:
    """What is settled before the first hole."""
    notes, found = outcome.sheet.get(SafetyNotes), holds(outcome)
    groups: dict[tuple[str, str, tuple[int, ...], Keeps], list[str]] = {}
    for wall in notes.walls if notes else ():
        held = tuple(hold.number for hold in found if hold.touches(wall.room, wall.wall))
        keeps = kept_to(outcome, wall.room, wall.wall)
        groups.setdefault((wall.room, wall.detected, held, keeps), []).append(wall.wall)
    answers = tuple(
        Answer(room=room, walls=tuple(walls), searched=searched, held_by=held, keeps=keeps)
        for (room, searched, held, keeps), walls in groups.items()
    )
    calls = tuple(each for each in notes.emergency if each.call) if notes else ()
    return Before(
        holds=found,
        answers=answers,
        calls=calls,
        zones=tuple(_zones(notes)),
        left=notes.left if notes else (),
        lead=any(line.rule == "safety/lead-paint" for line in outcome.findings),
        plan=bool(notes and notes.client),
        several=bool(notes and notes.several),
    )


def kept_to(outcome: Outcome, room: str, wall: str) -> Keeps:
    """What every hole in a wall keeps to."""
    site = outcome.sheet.get(Site)
    if site is None:
        return Keeps(gas=False, deepest="", why="", flue="unknown", unsound="")
    face = site.wall(room, wall)
    most = deepest_hole(outcome.job, face)
    condition = face.wall.substrate.condition if face.wall.substrate else None
    notes = outcome.sheet.get(SafetyNotes)
    return Keeps(
        gas=any(zone.kind == "gas" for zone in notes.zones_on(room, wall)) if notes else False,
        deepest=show_length(most.depth, outcome.job.units) if most else "",
        why=most.why if most else "",
        flue=face.flue,
        unsound=condition if condition in tables.UNSOUND else "",
        plan=any(line.plan and (line.room, line.wall) == (room, wall) for line in (notes.left if notes else ())),
    )


ZONES = {
    "top": "below the top of a wall",
    "corner": "beside its corners",
    "vertical": "straight up and down from every socket, switch and light",
    "horizontal": "level with them",
    "pipe": "where a pipe or its casing goes",
    "gas": "where a gas pipe goes",
}
"""Each kind of zone in words, as one meets it on a wall."""


def _zones(notes: SafetyNotes | None) -> Iterator[str]:
    """Where a cable or pipe may run on the walls of this job."""
    kinds = {zone.kind for zone in (notes.zones if notes else ())}
    yield from (says for kind, says in ZONES.items() if kind in kinds)
