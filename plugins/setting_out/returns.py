"""Return pieces: the small wedges that carry a profile round a mitred end and back to the wall."""

from __future__ import annotations

from collections.abc import Iterable

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.plugins.setting_out.results import Piece, PieceEnd

SQUARE = PieceEnd("square", note="against the wall")


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
    mitre = PieceEnd("external-mitre", end.cut_angle, end.saw_reading, end.bevel, end.gives, "glued to the piece")
    grounds = Grounds(
        (Input("projection", end.gives, "mm"),),
        "as long at the face as the moulding stands out, nothing at the back",
        result=f"{end.gives:.1f} mm long point to the wall",
        sources=(GEOMETRY,),
    )
    return Piece(
        label,
        piece.room,
        piece.wall,
        piece.trim,
        at,
        at,
        0.0,
        end.gives,
        end.gives,
        mitre,
        SQUARE,
        piece.order,
        part_of=piece.label,
        grounds=grounds,
    )
