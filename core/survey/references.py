"""What a survey says that cannot be so: names that are nowhere, places past the end of a wall or board, slips of sense.

The checks read the plain data and pass over whatever the schema has refused already, so that both tell their
faults at once.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from copy import deepcopy
from functools import partial
from itertools import pairwise
from typing import Any

from listel.core.survey.messages import Fault, KeyPath, inside, shown
from listel.core.survey.nodes import TAPE_SLACK, Node, Told, named, names_of, parsed, past_end, span_faults
from listel.core.survey.units import Units, parse_length, show_length
from listel.core.survey.wall_faults import room_height, wall_faults, wall_length
from listel.core.survey.yaml_places import Document

BEHIND = 0.5
"""mm by which the sum of a profile may fall behind the wall before it is a fault: elements are read to 0.5 mm."""
PAPERS = {
    "removed": ("reference",),
    "sealed": ("reference",),
    "by-plan": ("reference",),
    "dealt-with": ("reference",),
    "granted": ("reference", "on"),
    "not-needed": ("reference", "on"),
}
"""Outcomes that nothing but a paper can bear out, and the keys that name it."""
PAPER_WORDS = {"reference": "the number of the certificate, licence or decision", "on": "its day, as 2026-03-14"}
ELSEWHERE = "elsewhere"
"""Where an opening leads that leads to no room of the survey."""
NOTHING = ("", "nobody", "no one", "no-one", "none", "n/a", "na", "tbc", "tba", "to follow", "unknown")
"""Words that name neither a person nor a paper."""
NO_PAPER = ("none yet", "not yet", "pending", "applied for", "awaited", "lost", "phone call", "by phone", "verbal")
"""Words that tell only that there is no paper."""


def reference_faults(
    document: Document, units: Units, schema: Mapping[str, Any] | None = None, refused: Iterable[Fault] = ()
) -> list[Fault]:
    """Every fault of sense in a survey's data; the composed schema tells where a word is known. ``refused``: faults of
    its form, so that no other follows from a value that one of them names."""
    job = Node(_without(document.data, {fault.keys for fault in refused if fault.keys}), (), units)
    told = [
        *_elsewhere(job.map("building"), schema or {}),
        *_too_early(job.map("building")),
        *_names(job, document),
        *_rooms(job),
        *_trims(job),
        *_boards(job),
        *_notes(job),
    ]
    return [document.fault(path, says) for path, says in told]


def _without(data: Any, refused: Collection[KeyPath]) -> Any:
    """The data with nothing in place of each value that was refused; a map or a list stays."""
    data = deepcopy(data) if refused else data
    for path in refused:
        held = data
        for key in path[:-1]:
            held = inside(held, key)
        if inside(held, path[-1]) is not None and not isinstance(held[path[-1]], (dict, list)):
            held[path[-1]] = None
    return data


def _elsewhere(building: Node, schema: Mapping[str, Any]) -> Iterator[Told]:
    """Words of the building that are not known in its region, each with those that are."""
    fields = schema.get("properties", {}).get("building", {}).get("properties", {})
    for key, field in fields.items():
        where: Mapping[str, list[str]] = field.get("x-known-where", {})
        place, word = building.text(field.get("x-known-in", "")), building.text(key)
        if not place or not where.get(word) or place in where[word]:
            continue
        known = [each for each, regions in where.items() if place in regions]
        if known:
            says = f"{shown(word)} is not known in {place.replace('-', ' ')}. There it may be {', '.join(known)}."
            yield building.at(key), says


def _too_early(building: Node) -> Iterator[Told]:
    """Works on the building before it was built."""
    built, works = building.data.get("built"), building.data.get("refurbished")
    for number, year in enumerate(works if isinstance(works, list) else []):
        if isinstance(built, int) and isinstance(year, int) and year < built:
            yield (
                (*building.at("refurbished"), number),
                f"works of {year} on a building of {built}; write when it was built, and the works since",
            )


# ---------------------------------------------------------------- names


def _names(job: Node, document: Document) -> Iterator[Told]:
    yield from _unique(job.maps("photos"), "photographs", document)
    yield from _unique(job.maps("rooms"), "rooms", document)
    yield from _unique(job.maps("trim"), "trims", document)
    yield from _unique(job.maps("rack"), "pieces on the rack", document)
    for room in job.maps("rooms"):
        yield from _unique(room.maps("walls"), "walls of this room", document)
        yield from _unique(room.maps("stairs"), "flights of this room", document)


def _unique(nodes: list[Node], what: str, document: Document) -> Iterator[Told]:
    first: dict[str, Node] = {}
    for node in nodes:
        name = node.text("name")
        if name and first.setdefault(name, node) is not node:
            line = document.fault(first[name].at("name"), "").line
            yield node.at("name"), f"two {what} are called {shown(name)}; the other is on line {line}"


# ---------------------------------------------------------------- rooms and walls


def _rooms(job: Node) -> Iterator[Told]:
    yield from _photos(job)
    behind = [*names_of(job.maps("rooms")), ELSEWHERE]
    for room in job.maps("rooms"):
        walls = names_of(room.maps("walls"))
        lengths = {wall.text("name"): wall_length(wall) for wall in room.maps("walls")}
        what = f"wall in {shown(room.text('name')) or 'this room'}"
        for mark in room.maps("evidence"):
            yield from _placed(mark, lengths, what, "the mark stands")
        for flight in room.maps("stairs"):
            for along in (*flight.maps("walls"), *flight.maps("existing")):
                yield from named(along.at("wall"), along.text("wall"), walls, what)
            for along in flight.maps("walls"):
                end = lengths.get(along.text("wall"))
                yield from past_end(along.at("foot"), along.length("foot"), end, "its first riser stands", along.units)
                yield from span_faults(along.map("winders"), end, "the wall")
            for old in flight.maps("existing"):
                yield from _old(job, old, lengths.get(old.text("wall")), "flight")
        for reading in room.maps("height"):
            yield from _placed(reading, lengths, what, "the reading stands")
        up_stairs = {along.text("wall") for flight in room.maps("stairs") for along in flight.maps("walls")}
        for wall in room.maps("walls"):
            own = wall.text("name") in up_stairs or "ceiling" in wall.data or "raised" in wall.data
            yield from wall_faults(wall, None if own else room_height(room))
            yield from _old_on(job, wall)
            for opening in wall.maps("openings"):
                yield from _leads(opening, room.text("name"), behind)


def _leads(opening: Node, room: str, behind: list[str]) -> Iterator[Told]:
    """Where an opening leads: a room of the survey, another than its own, or elsewhere."""
    path, told = opening.at("leads-to"), opening.text("leads-to")
    if told and told == room:
        yield path, f"it leads back into its own room, {shown(room)}; write the room behind it, or elsewhere"
    for at, says in named(path, told, behind, "room"):
        yield at, f"{says} Where the room behind it is not in this survey write elsewhere"


def _photos(job: Node) -> Iterator[Told]:
    """Where photographs were taken, and those that are named elsewhere."""
    rooms = {room.text("name"): room for room in job.maps("rooms")}
    for photo in job.maps("photos"):
        yield from named(photo.at("room"), photo.text("room"), rooms, "room")
        if photo.text("wall") and not photo.text("room"):
            yield photo.at("wall"), "name the room of the wall too, as room: Hall"
        room = rooms.get(photo.text("room"))
        if room is not None:
            lengths = {wall.text("name"): wall_length(wall) for wall in room.maps("walls")}
            yield from _placed(photo, lengths, f"wall in {shown(photo.text('room'))}", "it was taken")
    names = names_of(job.maps("photos"))
    for node in _showing(job):
        for path, name in node.texts("photos"):
            yield from named(path, name, names, "photograph under photos")


def _showing(job: Node) -> Iterator[Node]:
    """Everything that names the photographs that show it."""
    yield from job.maps("records")
    for room in job.maps("rooms"):
        yield from room.maps("evidence")
        for holder in (*room.maps("walls"), *room.maps("stairs")):
            yield from holder.maps("existing")
            for opening in holder.maps("openings"):
                yield from opening.maps("existing")


def _old_on(job: Node, wall: Node) -> Iterator[Told]:
    """Faults of the old trim on a wall and round its openings."""
    end = wall_length(wall)
    for old in wall.maps("existing"):
        yield from _old(job, old, end, "wall")
    yield from _overlapping(wall.maps("existing"), end)
    for opening in wall.maps("openings"):
        for old in opening.maps("existing"):
            yield from _old(job, old, None, "opening")
            for key in ("from", "to", "damage", "holes"):
                if key in old.data and not old.text("side"):
                    yield old.at(key), "stations round an opening count along one side; name it, as side: left"
                    break


ONLY_ON = {"side": ("opening", "an opening"), "wall": ("flight", "a flight")}
"""Keys of old trim that tell something only where it is on that."""


def _old(job: Node, old: Node, end: float | None, on: str) -> Iterator[Told]:
    """Faults of one piece of old trim, ``on`` a wall, an opening or a flight: stations past what bears it, or past
    itself; names that are nowhere; what cannot be told of it there."""
    what = "the opening" if on == "opening" else "the wall"
    for key, (place, words) in ONLY_ON.items():
        if key in old.data and on != place:
            yield old.at(key), f"{key} is told of old trim of {words}; take it out, or put the piece under {words}"
    if on == "flight" and not old.text("wall"):
        yield old.at("member"), "old trim up a flight says along which wall, as wall: A"
    yield from span_faults(old, end, what)
    start, stop = old.length("from") or 0.0, old.length("to")
    stop = end if stop is None else stop
    inside = [(bad.at(key), bad.length(key)) for bad in old.maps("damage") for key in ("from", "to")]
    holes = old.data.get("holes")
    for number, hole in enumerate(holes if isinstance(holes, list) else []):
        at = hole.get("at") if isinstance(hole, dict) else hole
        inside.append(((*old.at("holes"), number), parsed(at, lambda value: parse_length(value, old.units))))
    for bad in old.maps("damage"):
        yield from span_faults(bad, None, what)
    for path, at in inside:
        if at is not None and (at < start - TAPE_SLACK or (stop is not None and at > stop + TAPE_SLACK)):
            shown_at = show_length(at, old.units)
            yield path, f"{shown_at} is no place on this piece; its stations are those of what bears it"
    yield from named(old.at("for"), old.text("for"), names_of(job.maps("trim")), "trim")


def _overlapping(olds: list[Node], end: float | None) -> Iterator[Told]:
    """Two old pieces of one member at one place."""
    spans = [
        (old.text("member"), old.length("from") or 0.0, old.length("to") or end or float("inf"), old) for old in olds
    ]
    for (member, _, stop, _), (other, start, _, old) in pairwise(sorted(spans, key=lambda one: one[:3])):
        if member == other and start < stop - TAPE_SLACK:
            yield (
                old.at("from" if "from" in old.data else "member"),
                f"two pieces of {member.replace('-', ' ')} lie over each other here; give each its from and to",
            )


def _placed(mark: Node, lengths: dict[str, float | None], what: str, stands: str) -> Iterator[Told]:
    """Faults of a wall and a station on it."""
    yield from named(mark.at("wall"), mark.text("wall"), lengths, what)
    station = mark.length("at")
    if station is not None and not mark.text("wall"):
        yield mark.at("at"), "the station counts along a wall; name the wall too, as wall: A"
    elif station is not None:
        yield from past_end(mark.at("at"), station, lengths.get(mark.text("wall")), stands, mark.units)


# ---------------------------------------------------------------- trims, boards, notes


def _trims(job: Node) -> Iterator[Told]:
    rooms = {room.text("name"): room for room in job.maps("rooms")}
    for trim in job.maps("trim"):
        for place in trim.maps("where"):
            yield from named(place.at("room"), place.text("room"), rooms, "room")
            room = rooms.get(place.text("room"))
            if room is not None:
                yield from _place(place, room)
        yield from _profile(trim)
        yield from _match_groups(trim, rooms)


def _profile(trim: Node) -> Iterator[Told]:
    """A profile that falls back behind the wall it lies on."""
    out = trim.length("foot")
    for element in trim.maps("profile"):
        if out is None:
            return
        out += element.length("projection") or 0.0
        if out < -BEHIND:
            behind = f"the profile ends {show_length(-out, trim.units)} behind the wall here"
            yield element.at("projection"), f"{behind}; a projection is counted from the element below, out or in (-)"
            return


def _place(place: Node, room: Node) -> Iterator[Told]:
    walls = {wall.text("name"): wall for wall in room.maps("walls")}
    chosen = place.texts("walls")
    for path, name in chosen:
        yield from named(path, name, walls, f"wall in {shown(room.text('name'))}")
    if not any(key in place.data for key in ("from", "to")):
        return
    names = [name for _, name in chosen] or list(walls)
    if len(names) != 1:
        key = "from" if "from" in place.data else "to"
        yield place.at(key), "from and to are stations along one wall; name that one wall under walls"
    elif names[0] in walls:
        yield from span_faults(place, wall_length(walls[names[0]]), f"wall {shown(names[0])}")


def _match_groups(trim: Node, rooms: dict[str, Node]) -> Iterator[Told]:
    """Walls of grain groups: by their name, or as ROOM/WALL."""
    known: list[str] = []
    for place in trim.maps("where"):
        room = rooms.get(place.text("room"))
        for wall in names_of(room.maps("walls")) if room else []:
            known += [wall, f"{place.text('room')}/{wall}"]
    groups = trim.data.get("match")
    for at, group in enumerate(groups if isinstance(groups, list) else []):
        for number, name in enumerate(group if isinstance(group, list) else []):
            if isinstance(name, str):
                yield from named((*trim.at("match"), at, number), name, known, "wall of this trim")


def _boards(job: Node) -> Iterator[Told]:
    trims = names_of(job.maps("trim"))
    for key in ("stock", "rack"):
        for board in job.maps(key):
            yield from named(board.at("for"), board.text("for"), trims, "trim")
            length = board.length("length")
            for defect in board.maps("defects"):
                yield from span_faults(defect, length, "the board")
            for bend in ("bow", "spring", "twist"):
                rise = board.length(bend)
                if length is not None and rise is not None and rise > length / 2:
                    most = show_length(length, board.units)
                    yield (
                        board.at(bend),
                        f"a {bend} of {show_length(rise, board.units)} is more than half the board's length, {most}",
                    )


def _joints(job: Node, rooms: Mapping[str, Node]) -> Iterator[Told]:
    """Joints past the end of their wall."""
    for joint in job.maps("joints"):
        room = rooms.get(joint.text("room"))
        walls = {wall.text("name"): wall_length(wall) for wall in room.maps("walls")} if room else {}
        places = joint.data.get("at")
        for number, place in enumerate(places if isinstance(places, list) else []):
            at = parsed(place, partial(parse_length, bare=joint.units))
            yield from past_end(
                (*joint.at("at"), number), at, walls.get(joint.text("wall")), "the joint stands", joint.units
            )


def _notes(job: Node) -> Iterator[Told]:
    """Records, departures and what work took: the rooms, walls and trims they name."""
    rooms = {room.text("name"): room for room in job.maps("rooms")}
    all_walls = [wall for room in rooms.values() for wall in names_of(room.maps("walls"))]
    trims = names_of(job.maps("trim"))
    done = job.map("done")
    for note in [*done.maps("pieces"), *done.maps("boards"), *done.maps("marked")]:
        yield from named(note.at("for"), note.text("for"), trims, "trim")
    for board in done.maps("marked"):
        pieces, at = board.data.get("pieces"), board.data.get("at")
        if isinstance(pieces, list) and isinstance(at, list) and len(pieces) != len(at):
            yield (
                board.at("at"),
                f"places: {len(at)}, pieces: {len(pieces)}; each piece wants the place where it begins",
            )
    yield from _joints(job, rooms)
    after = [*job.maps("joints"), *job.maps("changes"), *done.maps("fixings")]
    for note in [*job.maps("records"), *job.maps("departures"), *job.maps("actual"), *after]:
        several = note.texts("room")
        for path, name in several or [(note.at("room"), note.text("room"))]:
            yield from named(path, name, rooms, "room")
        if several and note.text("wall"):
            yield note.at("wall"), "a wall is one room's; write a record of its own for each room with its wall"
            continue
        room = rooms.get(note.text("room"))
        walls = names_of(room.maps("walls")) if room else all_walls
        yield from named(
            note.at("wall"), note.text("wall"), walls, f"wall in {shown(room.text('name'))}" if room else "wall"
        )
        yield from named(note.at("trim"), note.text("trim"), trims, "trim")
    for record in job.maps("records"):
        for key in PAPERS.get(record.text("outcome"), ()):
            if key not in record.data:
                outcome = record.text("outcome")
                yield record.at("outcome"), f"what is {outcome} names its paper; {key} is missing: {PAPER_WORDS[key]}"
        if _names_nothing(record, "by"):
            yield record.at("by"), "a record is somebody's; write who it is by, by name"
        if _names_nothing(record, "reference"):
            yield record.at("reference"), f"this names no paper; write {PAPER_WORDS['reference']}, or leave it out"
    for departure in job.maps("departures"):
        if _names_nothing(departure, "agreed"):
            yield departure.at("agreed"), "a departure is agreed by somebody; write who agreed to it, by name"


def _names_nothing(note: Node, key: str) -> bool:
    """Whether a text that is there names neither a person nor a paper."""
    words = (*NOTHING, *NO_PAPER) if key == "reference" else NOTHING
    return bool(note.text(key)) and note.text(key).strip(" .-?").lower() in words
