"""The form's sheet of a room: the room, its walls, and the openings and fittings in them."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.survey.job import Fitting, Opening, Room, Wall
from listel.core.survey.units import Units, show_angle
from listel.plugins.site import corner_pairs
from listel.reports.drawings.paper import Drawing
from listel.reports.drawings.sketch import grid, way_round
from listel.reports.papers.form.behind import behind
from listel.reports.papers.form.filling import LEAST, Firm, Form, Table, Words, joined, number, plain, table, yes_no

WALLS = (
    "Wall", "Tape, first", "Tape, second", "Corner i / e", "Angle", "Made of; state, any damp", "Bow in", "Moist. %",
    "Floor to level line, at",
)  # fmt: skip
ROUND = (
    "Wall", "Opening", "Reveal, deep: frame to plaster", "Splay of its sides", "Apron, under the sill",
    "Lock rail, over the floor", "Plinth block, wide", "Plinth block, high",
)  # fmt: skip


def of_room(room: Room, units: Units, firm: Firm, plan: Drawing | None) -> Form:
    """All that can be taken in a room, under its plan, or under that of any room where its own is not known."""
    words = Words(units)
    hints = (
        "Stand in the room and face a wall. Stations run from its left end; the corner is read at its right end; the "
        "next wall is the one to its right. Corners: i internal, e external (it sticks out into the room)."
    )
    return Form(
        way=plan or way_round(),
        hints=hints,
        tables=(
            *walls(room, words, firm),
            *behind(room, words),
            *firm.table("wall", "Of each wall", "Wall", room.walls),
        ),
        sketch=grid(185.0, 70.0, f"Sketch of {room.name}"),
    )


def walls(room: Room, words: Words, firm: Firm) -> tuple[Table, ...]:
    """The room, its walls, openings and fittings."""
    heights = "; ".join(
        f"{words.length(r.height)}{f' (wall {r.wall}, at {words.length(r.at)})' if r.wall else ''}" for r in room.height
    )
    facts = [
        ("Period; use; floor it is on", joined(plain(room.period), room.use, room.storey)),
        ("Floor to ceiling, three places", heights),
        ("Level line above the floor, where struck", words.length(room.datum)),
        ("How it is heated, if not as the house is", plain(room.climate.heating if room.climate else None)),
        ("Floor covering, and what sticks it down; coating of the ceiling", ""),
        *_free_ends(room),
        *(("Old mark: member, height, edge, wall", _trace(room, n, words)) for n in range(max(len(room.evidence), 1))),
        *firm.facts("room", room),
    ]
    openings = [(wall, opening) for wall in room.walls for opening in wall.openings]
    fittings = [(wall, fitting) for wall in room.walls for fitting in wall.fittings]
    whole = room.extent == "whole" and room.walls
    return (
        table("The room", ("What", "Known, or to be taken"), facts),
        table("Walls", WALLS, (_wall(wall, words) for wall in room.walls), 0 if whole else LEAST["walls"]),
        table(
            "Openings",
            ("Wall", "Kind", "Left edge at", "Width", "Height", "Sill", "Architrave", "Leads to", "Photo"),
            (_opening(wall, opening, words) for wall, opening in openings),
            LEAST["openings"],
        ),
        table(
            "What is round each opening, and its sides where they are lined",
            ROUND,
            (_round(wall, opening, words) for wall, opening in openings),
            LEAST["openings"],
        ),
        table(
            "Sockets, switches, radiators, pipes",
            ("Wall", "Kind", "Left edge at", "Underside", "Width", "Up the wall", "Stands out", "Taken off?"),
            (_fitting(wall, fitting, words) for wall, fitting in fittings),
            LEAST["fittings"],
        ),
    )


def _free_ends(room: Room) -> Iterator[tuple[str, str]]:
    """Each end of a wall that no other wall surveyed meets, with what it comes to."""
    pairs = corner_pairs(room)
    for wall in room.walls:
        for left, met in ((True, [second for _, second in pairs]), (False, [first for first, _ in pairs])):
            if not any(each is wall for each in met):
                what = f"{'Left' if left else 'Right'} end of wall {wall.name}: return, butt, newel or run on"
                yield what, plain(wall.ends.at(left) if wall.ends else None)


def _trace(room: Room, number: int, words: Words) -> str:
    if number >= len(room.evidence):
        return ""
    mark = room.evidence[number]
    edge = f" ({mark.edge})" if mark.edge else ""
    return f"{plain(mark.member)} {words.length(mark.height)}{edge}{f' on {mark.wall}' if mark.wall else ''}"


def _wall(wall: Wall, words: Words) -> tuple[str, ...]:
    length, corner, made = wall.length, wall.corner, wall.substrate
    return (
        wall.name,
        *map(words.length, (length.first, length.second) if length else (None, None)),
        corner.kind[0] if corner else "",
        show_angle(corner.angle) if corner and corner.angle is not None else "",
        ", ".join(filter(None, (plain(made.kind), plain(made.condition)))) if made else "",
        f"{words.length(wall.bow.rise)} in {words.length(wall.bow.chord)}" if wall.bow else "",
        number(wall.moisture),
        ", ".join(f"{words.length(one.to_datum)} at {words.length(one.at)}" for one in wall.floor),
    )


def _opening(wall: Wall, opening: Opening, words: Words) -> tuple[str, ...]:
    sizes = (opening.at, opening.width, opening.height, opening.sill, opening.architrave)
    return wall.name, plain(opening.kind), *(words.length(size) for size in sizes), opening.leads_to, ""


def _round(wall: Wall, opening: Opening, words: Words) -> tuple[str, ...]:
    """What linings, shutters and the ends of skirting are set out by."""
    splay = "" if opening.splay is None else show_angle(opening.splay)
    sizes = (opening.apron, opening.lock_rail, opening.plinth_block, opening.plinth_block_height)
    named = opening.name or plain(opening.kind)
    return wall.name, named, words.length(opening.reveal), splay, *(words.length(size) for size in sizes)


def _fitting(wall: Wall, fitting: Fitting, words: Words) -> tuple[str, ...]:
    sizes = (fitting.at, fitting.height, fitting.width, fitting.depth, fitting.projection)
    return wall.name, plain(fitting.kind), *(words.length(size) for size in sizes), yes_no(fitting.taken_off)
