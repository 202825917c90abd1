"""What the form asks of a room behind its walls and on them: layers, the other side, old trim, stairs."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.survey.job import Room, Wall, Winders
from listel.reports.papers.form.filling import LEAST, Table, Words, number, plain, table

LAYERS = (
    "Wall", "Plaster, deep", "Rings hollow at", "Studs: first, centres", "Other side: outdoors, neighbour, indoors",
    "Other face: sockets, pipes", "Wall, thick", "Flue in it?", "Photographs",
)  # fmt: skip
OLD = (
    "Where", "Member", "From, to", "Height, thick", "State", "Intent", "Original?", "Damage: from, to, kind; probed",
    "Top; fixed at, which loose", "Behind it", "Photo",
)  # fmt: skip
STAIRS = (
    "Wall", "First riser at", "Up, to the left or right", "Rise", "Going", "Steps", "Handrail over nosing",
    "Winders: from, to; risers at",
)  # fmt: skip


def behind(room: Room, words: Words) -> tuple[Table, ...]:
    """What lies behind each wall, the trim that is there, stairs."""
    rows = []
    for wall in room.walls:
        made = wall.substrate
        timbers = made.studs if made else None
        rows.append(
            (
                wall.name,
                words.length(made.plaster if made else None),
                "all of it" if made and made.condition == "hollow" else "",
                words.lengths(timbers.first, timbers.centres) if timbers else "",
                _other_side(wall),
                "; ".join(f"{plain(each.kind)} at {words.length(each.at)}" for each in wall.behind),
                words.length(wall.thickness),
                wall.flue or "",
                "",
            )
        )
    flights = [
        (
            along.wall,
            words.length(along.foot),
            f"to the {along.up}",
            *map(words.length, (flight.rise, flight.going)),
            number(flight.steps),
            words.length(flight.handrail),
            _winders(along.winders, words),
        )
        for flight in room.stairs
        for along in flight.walls
    ]
    return (
        table("Behind the face of each wall", LAYERS, rows, 0 if room.extent == "whole" and rows else LEAST["walls"]),
        table(
            "Trim that is there. Intent: keep, refix, repair, set aside, replace", OLD, _old(room, words), LEAST["old"]
        ),
        table(
            "Stairs along a wall",
            STAIRS,
            *((flights, LEAST["flights"]) if flights or room.use == "stair" else ([("",) * 8],)),
        ),
    )


def _other_side(wall: Wall) -> str:
    """What is on the other side of a wall, as far as it was said."""
    sides = [word for word, there in (("outdoors", wall.external), ("neighbour", wall.party)) if there]
    return ", ".join(sides) or ("indoors" if wall.external is False and wall.party is False else "")


def _winders(winders: Winders | None, words: Words) -> str:
    """The stretch of the winders along a wall, and where their risers meet it."""
    if winders is None:
        return ""
    span = words.span(winders.start, winders.end)
    return span if winders.risers is None else f"{span}; {words.lengths(*winders.risers) or 'none'}"


def _old(room: Room, words: Words) -> Iterator[tuple[str, ...]]:
    """The trim that is there: on walls, round openings, along stairs."""
    for place, old in (
        *((wall.name, old) for wall in room.walls for old in wall.existing),
        *(
            (f"{wall.name}, {opening.name or plain(opening.kind)} {old.side or ''}".rstrip(), old)
            for wall in room.walls
            for opening in wall.openings
            for old in opening.existing
        ),
        *((f"{old.wall}, {flight.name}", old) for flight in room.stairs for old in flight.existing),
    ):
        damage = "; ".join(
            f"{words.length(bad.start)} to {words.length(bad.end)} {plain(bad.kind)}"
            + (", probed" if bad.probed else "")
            for bad in old.damage
        )
        holes = ", ".join(f"{words.length(hole.at)}{' loose' if hole.bites is False else ''}" for hole in old.holes)
        yield (
            place,
            plain(old.member),
            words.span(old.start, old.end),
            words.lengths(old.section.height, old.section.thick),
            plain(old.state),
            plain(old.intent),
            old.original or "",
            damage,
            "; ".join(part for part in (words.length(old.top), holes) if part),
            ", ".join(plain(each) for each in old.hides),
            ", ".join(old.photos),
        )
