"""What is to be cut for one trim: its pieces, those whose grain must run on as one, and spares."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, inf, radians, sin, tan

from listel.core.quick import dataclass
from listel.plugins.setting_out import Piece, PieceEnd

FLATTEST = 30.0
"""The flattest cut that is sawn across a board, degrees from its length: our own setting."""


@dataclass(frozen=True)
class Part:
    """What is cut in one length: one piece, several in running order, or a spare with none. ``length`` mm overall."""

    name: str
    length: float
    pieces: tuple[Piece, ...] = ()

    def lengths(self) -> Iterator[tuple[str, float, str, str]]:
        """Each of its pieces, or the spare: its label, its length [mm], and its left and right end in words."""
        for piece in self.pieces:
            yield piece.label, piece.overall, *both_ends(piece)
        if not self.pieces:
            yield self.name, self.length, "square", "square"


def served(pieces: list[Piece]) -> tuple[list[Piece], list[Piece]]:
    """The pieces that boards of their trim's section give, and those that want a section of their own."""
    return [each for each in pieces if not each.section], [each for each in pieces if each.section]


def kerf_along(kerf: float, cut_angle: float | None, bevel: float = 0.0) -> float:
    """The kerf along the board [mm] of a cut at ``cut_angle`` [deg] from its length, the blade tilted by ``bevel``
    [deg].

    ``kerf`` [mm] of a square cut. Source: geometry. A cut that was not surveyed is taken as a mitre of 45 degrees.

    >>> round(kerf_along(3, 45), 2)
    4.24
    """
    slope = 45.0 if cut_angle is None else cut_angle
    return kerf / max(0.1, sin(radians(slope)) * sin(radians(90 - bevel)))


def at_bench(end: PieceEnd) -> bool:
    """Whether an end is a long scarf, as a splice has it: cut at the bench on a length that was cut off square."""
    return end.kind == "scarf" and end.cut_angle is not None and end.cut_angle < FLATTEST


def widest_kerf(pieces: list[Piece], kerf: float) -> float:
    """The widest kerf along the board of any cut of these pieces [mm]: it is charged for each, which is safe."""
    ends = [end for piece in pieces for end in (piece.left, piece.right)]
    return max((kerf if at_bench(end) else kerf_along(kerf, end.cut_angle, end.bevel) for end in ends), default=kerf)


def parts(
    pieces: list[Piece], kerf: float, longest: float, spare: float | None, most_spares: float = inf
) -> tuple[list[Part], list[str]]:
    """The parts to cut, longest first, and the grain groups that fit no stretch and were parted.

    ``longest``: the longest clear stretch to be had [mm]. ``spare``: spare timber, % of the length of the pieces
    without returns, in lengths as the longest part, so that each serves for any that is spoilt: one at least, and no
    more than ``most_spares``.
    """
    found: list[Part] = []
    split: list[str] = []
    groups: dict[str, list[Piece]] = {}
    for piece in sorted(pieces, key=lambda p: (p.order, p.label)):
        groups.setdefault(piece.match or f"\0{piece.label}", []).append(piece)
    for name, group in groups.items():
        length = sum(piece.overall for piece in group) + kerf * (len(group) - 1)
        if len(group) > 1 and length > longest:
            split.append(name)
            found += [Part(piece.label, piece.overall, (piece,)) for piece in group]
        else:
            found.append(Part("+".join(piece.label for piece in group), length, tuple(group)))
    if spare and pieces:
        most = max(part.length for part in found)
        share = sum(piece.overall for piece in pieces if not piece.part_of) * spare / 100
        found += [Part(f"spare {n + 1}", most) for n in range(int(min(ceil(share / most - 1e-9), most_spares)))]
    return sorted(found, key=lambda part: (-part.length, part.name)), split


def both_ends(piece: Piece) -> tuple[str, str]:
    """The left and the right end of a piece in words, as one faces the wall; foot and head of an upright one."""
    left, right = end_words(piece.left), end_words(piece.right)
    return (f"foot: {left}", right if "head" in right else f"head: {right}") if piece.upright else (left, right)


def end_words(end: PieceEnd) -> str:
    """An end cut in words, with what the saw shows: "internal mitre, saw at 44.4°"."""
    from listel.core.survey.units import show_angle

    words = end.kind.replace("-", " ")
    if at_bench(end):
        return f"{words} 1 in {1 / tan(radians(end.cut_angle or 0.0)):.3g}, at the bench"
    if end.saw_reading:
        words += f", saw at {show_angle(end.saw_reading)}"
    if end.bevel:
        words += f", blade tilted {show_angle(end.bevel)}"
    return words
