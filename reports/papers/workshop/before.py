"""The first sheet of the workshop pack: what holds the work, and which wall may be drilled."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.plugins.safety import SafetyNotes
from listel.plugins.site import Site
from listel.reports.papers.holds import Hold, holds


@dataclass(frozen=True, kw_only=True)
class Answer:
    """Whether some walls of a room may be drilled: what the search found, the numbers of what holds them, and whether a
    ``flue`` runs in them: yes, no or unknown."""

    room: str
    walls: tuple[str, ...]
    searched: str
    held_by: tuple[int, ...]
    flue: str


@dataclass(frozen=True, kw_only=True)
class Before:
    """The first sheet: what holds the work, and which wall may be drilled."""

    holds: tuple[Hold, ...]
    answers: tuple[Answer, ...]
    region: str
    zones: tuple[str, ...]


def before(outcome: Outcome) -> Before:
    """What is settled before the first hole."""
    notes, found = outcome.sheet.get(SafetyNotes), holds(outcome)
    site = outcome.sheet.get(Site)
    groups: dict[tuple[str, str, tuple[int, ...], str], list[str]] = {}
    for wall in notes.walls if notes else ():
        held = tuple(hold.number for hold in found if hold.protects and hold.touches(wall.room, wall.wall))
        flue = site.wall(wall.room, wall.wall).flue if site else "unknown"
        groups.setdefault((wall.room, wall.detected, held, flue), []).append(wall.wall)
    answers = tuple(
        Answer(room=room, walls=tuple(walls), searched=searched, held_by=held, flue=flue)
        for (room, searched, held, flue), walls in groups.items()
    )
    region = outcome.job.building.region or ""
    return Before(holds=found, answers=answers, region=region, zones=tuple(_zones(notes)))


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
