"""The first sheet of the workshop pack: what holds the work, and which wall may be drilled."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from listel.core.host.engine import Outcome
from listel.plugins.safety import SafetyNotes
from listel.reports.papers.rooms import Hold, holds, words_of


@dataclass(frozen=True, kw_only=True)
class Answer:
    """Whether some walls of a room may be drilled: what the search found, and what holds them."""

    room: str
    walls: tuple[str, ...]
    searched: str
    held_by: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Before:
    """The first sheet: what holds the work, and which wall may be drilled."""

    holds: tuple[Hold, ...]
    answers: tuple[Answer, ...]
    region: str
    zones: tuple[str, ...]


def before(outcome: Outcome) -> Before:
    """What is settled before the first hole."""
    notes = outcome.sheet.get(SafetyNotes)
    groups: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
    for wall in notes.walls if notes else ():
        held = dict.fromkeys(
            words_of(hold).lower()
            for hold in outcome.holds
            if hold.protects and hold.where.room in ("", wall.room) and hold.where.wall in ("", wall.wall)
        )
        groups.setdefault((wall.room, wall.detected, tuple(held)), []).append(wall.wall)
    answers = tuple(
        Answer(room=room, walls=tuple(walls), searched=searched, held_by=held)
        for (room, searched, held), walls in groups.items()
    )
    region = outcome.job.building.region or ""
    return Before(holds=tuple(holds(outcome)), answers=answers, region=region, zones=tuple(_zones(notes)))


ZONES = {
    "top": "below the top of a wall",
    "corner": "beside its corners",
    "vertical": "straight up and down from every socket, switch and light",
    "horizontal": "level with them",
    "pipe": "where a pipe or its casing goes",
}
"""Each kind of zone in words, as one meets it on a wall."""


def _zones(notes: SafetyNotes | None) -> Iterator[str]:
    """Where a cable or pipe may run on the walls of this job."""
    kinds = {zone.kind for zone in (notes.zones if notes else ())}
    yield from (says for kind, says in ZONES.items() if kind in kinds)
