"""Traces of old trim: each moved from the edge of the member that left it to the member's top."""

from __future__ import annotations

from functools import partial

from listel.core.contract.findings import Grounds, Input
from listel.core.survey.job import Evidence, Job, Room
from listel.core.survey.units import show_length
from listel.plugins.heights.mark_floor import MarkFloor, mark_floor
from listel.plugins.heights.orders import table
from listel.plugins.heights.results import Mark
from listel.plugins.site import RoomSite

EDGE_TO_TOP = {"top": 0.0, "centre": 0.5, "underside": 1.0}
"""How much of the face lies between an edge of the member and its top."""


def top_of_mark(height: float, edge: str, face: float) -> float:
    """The top of the member, mm, from the height of a mark left by one edge of it and the depth of its face, mm.

    Source: geometry.
    """
    return height + EDGE_TO_TOP[edge] * face


def assumed_face(member: str) -> Input:
    """The depth of face taken, and shown as assumed, where a member's section was not surveyed; none where no usual
    depth is known of it."""
    row = table("limits").find(f"{member}-face")
    note = "the section was not surveyed" if row else "neither the section nor a usual depth of it is known"
    return Input("depth of its face", row["value"] if row else 0.0, "mm", assumed=True, note=note)


def room_marks(job: Job, site: RoomSite) -> tuple[Mark, ...]:
    """Every trace of old trim in the survey of a room, as the top of the member it tells of."""
    return tuple(_mark(job, site, evidence) for evidence in site.traces)


def _seen(evidence: Evidence) -> str:
    """What was seen, and the photographs that show it."""
    shown = f"photograph {', '.join(evidence.photos)}" if evidence.photos else ""
    return "; ".join(words for words in (evidence.note, shown) if words)


def _face(job: Job, room: Room, member: str) -> Input:
    for trim in job.trim:
        here = trim.member == member and any(place.room == room.name for place in trim.where)
        if here and trim.section.height is not None:
            return Input("depth of its face", trim.section.height, "mm", job.line(trim.section, "height"))
    return assumed_face(member)


def _mark(job: Job, site: RoomSite, evidence: Evidence) -> Mark:
    row = table("evidence").row(evidence.kind)
    edge = evidence.edge or row["edge"]
    face = _face(job, site.room, evidence.member)
    depth = float(face.value)
    length = partial(show_length, units=job.units)
    there = top_of_mark(evidence.height, edge, depth)
    floor = mark_floor(job, site, evidence) if row["here"] else MarkFloor(unsure=row.note)
    top = floor.at_reference(there)
    wall = f" on wall {evidence.wall}" if evidence.wall else ""
    at = f" at {length(evidence.at)}" if evidence.at is not None else ""
    inputs = [
        Input(f"height of the mark{wall}{at}", evidence.height, "mm", job.line(evidence), note=_seen(evidence)),
        Input("the edge that left it", edge, assumed=evidence.edge is None),
    ]
    formula, worked = "the height of the mark above the floor of its own wall", length(evidence.height)
    if edge != "top":
        inputs.append(face)
        formula += ", moved to the top edge by the depth of face"
        worked += f" + {'half of ' if edge == 'centre' else ''}{length(depth)}"
    if floor.inputs:
        formula += f", brought {floor.formula}"
        worked += floor.worked(length)
    if worked != length(top):
        worked += f" = {length(top)}"
    unsure = "; ".join(filter(None, (floor.unsure, row.note if row["here"] else "")))
    grounds = Grounds((*inputs, *floor.inputs), formula, worked, length(top), row.sources, uncertainty=unsure)
    return Mark(
        member=evidence.member,
        says=f"{row['says']}{wall}",
        kind=evidence.kind,
        measured=evidence.height,
        edge=edge,
        top=top,
        here=bool(row["here"]),
        wall=evidence.wall,
        at=evidence.at,
        note=evidence.note,
        rank=row["rank"],
        grounds=grounds,
    )
