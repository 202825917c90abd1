"""The ends of pieces that are not joints of two walls: butts, stops, returns, scarfs, knees and plumb cuts."""

from __future__ import annotations

from math import cos, radians, tan

from listel.core.survey.job import Trim
from listel.plugins.setting_out.compound import edge_difference
from listel.plugins.setting_out.results import PieceEnd
from listel.plugins.setting_out.settings import allowance
from listel.plugins.site import tables

HEAD_MITRE = PieceEnd(
    "head-mitre",
    45.0,
    45.0,
    note="mitred in the plane of the wall; halve the angle of the opening's own corner if it is not square",
)
SQUARE = PieceEnd("square")


def plain_end(trim: Trim, at: str, external: bool, pitch: float) -> PieceEnd:
    """The end of a run that no other piece meets. ``at`` is what bounds it, ``external`` that it is an external
    corner."""
    if pitch:
        return PieceEnd("plumb", 90.0 - abs(pitch), abs(pitch), note="cut plumb on the rake")
    if at in ("architrave", "plinth-block"):
        return PieceEnd("butt", note=f"butts against the {at.replace('-', ' ')}")
    if at == "corner" and not external:
        return PieceEnd("square", note="runs square into the corner")
    if not tables.member(trim.member).get("returned", True):
        return SQUARE
    gives = trim.section.projection or 0.0
    return PieceEnd(
        "return", 45.0, 45.0, 0.0, gives, "mitred, with a return piece cut from the same board and glued on"
    )


def scarf_overlap(trim: Trim) -> float:
    """How far the two pieces of a scarf lap along the wall [mm]: thickness over the tangent of the cut. Source:
    derived."""
    thickness = trim.section.thick
    return (thickness or 0.0) / tan(radians(allowance("scarf-cut")))


def scarf_end(trim: Trim, lies_over: bool) -> PieceEnd:
    """One side of a scarf: the piece fixed first keeps the longer back, the other lies over it with the longer face."""
    cut, overlap = allowance("scarf-cut"), scarf_overlap(trim)
    note = "lies over the piece before it" if lies_over else "the next piece lies over it"
    return PieceEnd(
        "scarf", cut, 90.0 - cut, 0.0, overlap if lies_over else -overlap, f"{note}; glue and fix through both"
    )


def knee_end(turn: float) -> PieceEnd:
    """Where a level and a raking piece of one section meet on one wall: each cut at half of the turn from square."""
    half = abs(turn) / 2
    longer = "underside" if turn > 0 else "top edge"
    return PieceEnd("knee", 90.0 - half, half, note=f"in the plane of the wall; the {longer} is the long edge")


def underside_longer(end: PieceEnd, height: float | None, pitch: float, turn: float, at_start: bool) -> float:
    """How far the underside runs past the top edge at an end of a piece, along the piece [mm]; negative where it
    falls short.

    At a knee: height times tan(turn / 2). At a plumb end of a piece that rises at ``pitch``: height times tan(pitch),
    longer at its lower end. A scarf is cut square across the face, and leaves both edges alike. Source: plane geometry,
    derived.
    """
    if height is None or end.kind == "scarf":
        return 0.0
    if end.kind == "knee":
        return edge_difference(height, turn)
    return height * tan(radians(pitch)) * (1.0 if at_start else -1.0)


def set_back(end: PieceEnd) -> float:
    """How far a piece's back goes on past the station of its end [mm]; negative where it stops short of it.

    The face of a return ends at the station, and the two sides of a scarf lie half of its lap to each side. Source:
    plane geometry, derived.
    """
    return -end.gives * {"return": 1.0, "scarf": 0.5}.get(end.kind, 0.0)


def beyond(end: PieceEnd, underside: float) -> float:
    """How far a piece's long point stands past the station of its end [mm], where its ``underside`` runs that far past
    its top edge [mm]. Source: plane geometry, derived."""
    return set_back(end) + max(0.0, end.gives) + max(0.0, underside)


def along_rake(length: float, pitch: float) -> float:
    """A level length as it lies along the rake [mm]: over cos pitch. Source: derived."""
    return length / cos(radians(pitch))
