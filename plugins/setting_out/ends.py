"""The ends of pieces that are not joints of two walls: butts, stops, returns, scarfs, knees and plumb cuts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import cos, radians, tan

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.survey.job import Corner, Trim
from listel.plugins.setting_out.compound import edge_difference, sprung_cut
from listel.plugins.setting_out.results import Piece, PieceEnd
from listel.plugins.setting_out.settings import allowance

HEAD_MITRE = PieceEnd(
    kind="head-mitre",
    cut_angle=45.0,
    saw_reading=45.0,
    note="mitred in the plane of the wall; halve the angle of the opening's own corner if it is not square",
)
SQUARE = PieceEnd(kind="square")
TOO_SHORT_TO_RETURN = PieceEnd(kind="square", note="too short here for a return: cut square, its end grain finished")
BUTTS = {
    "architrave": "the architrave",
    "plinth-block": "the plinth block",
    "hearth": "the chimneypiece",
    "string": "the wall string",
    "stair": "the stair; scribe it to it",
    "winders": "the piece along the winders, which is set out by hand",
    "butt": "what stands there",
    "step-in": "the edge of what stands out round the corner; scribe it to it, last",
    "newel": "the newel; scribe it to it",
}


def plain_end(trim: Trim, at: str, corner: Corner | None, pitch: float) -> PieceEnd:
    """The end of a run that no other piece meets. ``at`` is what bounds it, ``corner`` the one that stands there."""
    external = corner is not None and corner.kind == "external"
    into = square_into(trim, corner.through_room if corner else None, pitch) if at == "corner" and not external else 0.0
    if pitch:
        return PieceEnd(
            kind="plumb", cut_angle=90.0 - abs(pitch), saw_reading=abs(pitch), past=into, note="cut plumb on the rake"
        )
    if at in BUTTS:
        return PieceEnd(kind="butt", note=f"butts against {BUTTS[at]}")
    if at == "close-fitting":
        return replace(SQUARE, note="clear of the fitting, too close to it for a return; scribe it to a pipe")
    if at == "horn":
        return replace(SQUARE, note="the horn, past the architrave; round or return its corner like the nosing")
    if at == "free":
        return replace(SQUARE, note="what it comes to was not surveyed: leave it long, and cut it last")
    if at == "corner" and not external:
        return PieceEnd(kind="square", past=into, note="runs square into the corner")
    gives = trim.section.projection or 0.0
    mitre, bevel = sprung_cut(trim.section.spring, 90.0) if trim.section.spring else (45.0, 0.0)
    lying = "; lying flat on its back, the blade tilted as given" if bevel else ""
    return PieceEnd(
        kind="return",
        cut_angle=90.0 - mitre,
        saw_reading=mitre,
        bevel=bevel,
        gives=gives,
        past=-gives,
        note=f"mitred, with a return piece cut from the same board and glued on{lying}",
    )


def square_into(trim: Trim, theta: float | None, pitch: float = 0.0) -> float:
    """How far a square end goes past a corner of ``theta`` through the room [mm]: none at 90 degrees or over; under it
    the face meets the other wall first, and the piece stops projection x cot(theta) short. Source: derived."""
    if theta is None or theta >= 90.0 or trim.section.projection is None:
        return 0.0
    return -trim.section.projection / tan(radians(theta)) / cos(radians(pitch))


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
        kind="scarf",
        cut_angle=cut,
        saw_reading=90.0 - cut,
        bevel=0.0,
        gives=overlap if lies_over else -overlap,
        past=-overlap / 2 if lies_over else overlap / 2,
        note=f"{note}; glue and fix through both",
    )


def knee_end(turn: float) -> PieceEnd:
    """Where a level and a raking piece of one section meet on one wall: each cut at half of the turn from square."""
    half = abs(turn) / 2
    longer, said = ("underside", "underside") if turn > 0 else ("top", "top edge")
    note = f"in the plane of the wall; the {said} is the long edge"
    return PieceEnd(kind="knee", cut_angle=90.0 - half, saw_reading=half, note=note, long_edge=longer)


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


def beyond(end: PieceEnd, underside: float) -> float:
    """How far a piece's long point stands past the station of its end [mm], where its ``underside`` runs that far past
    its top edge [mm]. Source: plane geometry, derived."""
    return end.past + max(0.0, end.gives) + max(0.0, underside)


def along_rake(length: float, pitch: float) -> float:
    """A level length as it lies along the rake [mm]: over cos pitch. Source: derived."""
    return length / cos(radians(pitch))


def return_pieces(pieces: Iterable[Piece]) -> list[Piece]:
    """The return of every end that has one, in the order of the pieces they are glued to.

    A return is as long at its face as the moulding stands out, and comes to nothing at its back, for both of its ends
    meet there. Source: plane geometry, derived.
    """
    found = []
    for piece in pieces:
        ends = [(at, end) for at, end in ((piece.start, piece.left), (piece.end, piece.right)) if end.kind == "return"]
        for number, (at, end) in enumerate(ends, 1):
            if end.gives > 0:
                found.append(_return(piece, end, at, f"{piece.label}r{number if len(ends) > 1 else ''}"))
    return found


def _return(piece: Piece, end: PieceEnd, at: float, label: str) -> Piece:
    mitre = PieceEnd(
        kind="external-mitre",
        cut_angle=end.cut_angle,
        saw_reading=end.saw_reading,
        bevel=end.bevel,
        gives=end.gives,
        note="glued to the piece",
    )
    grounds = Grounds(
        (Input("projection", end.gives, "mm"),),
        "as long at the face as the moulding stands out, nothing at the back",
        result=f"{end.gives:.1f} mm long point to the wall",
        sources=(GEOMETRY,),
    )
    return Piece(
        label=label,
        room=piece.room,
        wall=piece.wall,
        trim=piece.trim,
        start=at,
        end=at,
        back=0.0,
        face=end.gives,
        overall=end.gives,
        left=mitre,
        right=replace(SQUARE, note="against the wall"),
        order=piece.order,
        part_of=piece.label,
        grounds=grounds,
    )
