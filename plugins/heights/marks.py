"""Traces of old trim: each moved from the edge of the member that left it to the member's top."""

from __future__ import annotations

from listel.core.findings import Grounds, Input
from listel.core.job import Evidence, Job, Room
from listel.core.units import show_length
from listel.plugins.heights.levels import floor_fall
from listel.plugins.heights.orders import table
from listel.plugins.heights.results import Mark

EDGE_TO_TOP = {"top": 0.0, "centre": 0.5, "underside": 1.0}
"""How much of the face lies between an edge of the member and its top."""


def top_of_mark(height: float, edge: str, face: float) -> float:
    """The top of the member, mm, from the height of a mark left by one edge of it and the depth of its face, mm.

    Source: geometry.
    """
    return height + EDGE_TO_TOP[edge] * face


def assumed_face(member: str) -> Input:
    """The depth of face taken, and shown as assumed, where a member's section was not surveyed."""
    value = table("limits").row(f"{member}-face")["value"]
    return Input("depth of its face", value, "mm", assumed=True, note="the section was not surveyed")


def room_marks(job: Job, room: Room) -> tuple[Mark, ...]:
    """Every trace of old trim in the survey of a room, as the top of the member it tells of."""
    fall = floor_fall(room)
    out = f"the floor falls {show_length(fall, job.units)} in the room, and the mark's place on the wall is not known"
    return tuple(_mark(job, room, evidence, out if fall >= 1 else "") for evidence in room.evidence)


def _face(job: Job, room: Room, member: str) -> Input:
    for trim in job.trim:
        here = trim.member == member and any(place.room == room.name for place in trim.where)
        if here and trim.section.height is not None:
            return Input("depth of its face", trim.section.height, "mm", job.line(trim.section, "height"))
    return assumed_face(member)


def _mark(job: Job, room: Room, evidence: Evidence, uncertainty: str) -> Mark:
    row = table("evidence").row(evidence.kind)
    edge = evidence.edge or row["edge"]
    face = _face(job, room, evidence.member)
    depth = float(face.value)
    top = top_of_mark(evidence.height, edge, depth)
    wall = f" on wall {evidence.wall}" if evidence.wall else ""
    shown = show_length(top, job.units)
    inputs = [
        Input(f"height of the mark{wall}", evidence.height, "mm", job.line(evidence), note=evidence.note),
        Input("the edge that left it", edge, assumed=evidence.edge is None),
    ]
    worked = shown
    if edge != "top":
        inputs.append(face)
        part = "half of " if edge == "centre" else ""
        added = f"{part}{show_length(depth, job.units)}"
        worked = f"{show_length(evidence.height, job.units)} + {added} = {shown}"
    grounds = Grounds(
        tuple(inputs),
        "the height of the mark, moved to the top edge by the depth of face",
        worked,
        shown,
        row.sources,
        uncertainty or row.note,
    )
    return Mark(evidence.member, f"{row['says']}{wall}", evidence.kind, top, bool(row["here"]), row["rank"], grounds)
