"""From patterns to boards at the bench: which part goes on which board, in which order, where each cut falls, what
is left."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from itertools import count, pairwise

from listel.core.quick import dataclass
from listel.plugins.cutting.demand import Part
from listel.plugins.cutting.problem import Pattern
from listel.plugins.cutting.results import Cut, CutBoard
from listel.plugins.cutting.supply import Bench, Source
from listel.plugins.setting_out import PieceEnd

Setting = tuple[float, float]
"""What the saw is set to: angle from the length, blade tilt, degrees."""


@dataclass(frozen=True)
class Laid:
    """One stretch with the parts cut from it, in order from its marked end. ``name``: what its board, a new one, was
    called before; empty: nothing yet."""

    source: Source
    parts: tuple[Part, ...]
    name: str = ""


def laid_out(
    patterns: Iterable[Pattern], parts: dict[int, list[Part]], sources: list[list[Source]]
) -> tuple[list[Laid], list[Part]]:
    """The patterns with parts and stretches named, and the parts that nothing real was found for.

    ``parts``: by number of the size; ``sources``: those of each kind of stretch, empty for the stand-in; a kind of new
    board has one, used as often as it is wanted.
    """
    waiting = {size: list(named) for size, named in parts.items()}
    free = [list(named) for named in sources]
    found: list[Laid] = []
    unmade: list[Part] = []
    for number, cuts in patterns:
        taken = [waiting[size].pop(0) for size, count in cuts for _ in range(count)]
        if not sources[number]:
            unmade += taken
            continue
        source = free[number].pop(0) if sources[number][0].board.rack else free[number][0]
        found.append(Laid(source, tuple(in_order(taken))))
    return found, unmade


def _ends(part: Part) -> tuple[Setting, Setting]:
    if not part.pieces:
        return (90.0, 0.0), (90.0, 0.0)
    return _setting(part.pieces[0].left), _setting(part.pieces[-1].right)


def _setting(end: PieceEnd) -> Setting:
    return (90.0 if end.cut_angle is None else round(end.cut_angle, 2), round(end.bevel, 2))


def in_order(parts: list[Part]) -> list[Part]:
    """The parts in an order that asks for few saw settings: after each, one that starts as it ends, else the next to
    fix."""
    waiting = sorted(parts, key=lambda part: (part.pieces[0].order if part.pieces else 1 << 30, part.name))
    found: list[Part] = []
    while waiting:
        last = _ends(found[-1])[1] if found else None
        part = next((part for part in waiting if _ends(part)[0] == last), waiting[0])
        waiting.remove(part)
        found.append(part)
    return found


def settings(laid: Iterable[Laid]) -> tuple[int, int]:
    """How often the saw is set anew when the boards are cut one after another as listed, and the fewest that could
    do: one less than the settings there are."""
    asked = [end for one in laid for part in one.parts for end in _ends(part)]
    changes = sum(before != after for before, after in pairwise(asked))
    return changes, max(0, len(set(asked)) - 1)


NUMBERED = " no. "
"""Between the kind of a new board and its number."""


def named(laid: list[Laid], begun: Collection[str] = ()) -> list[tuple[str, Laid]]:
    """Every stretch with the name of its board, from the rack first: a new one is numbered, after those already
    ``begun``."""
    taken = {*begun, *(one.name or one.source.board.board for one in laid if one.name or one.source.board.rack)}
    free = {one.source.board.board: free_names(one.source.board.board, taken) for one in laid}
    ordered = ((one.source.board, one) for one in sorted(laid, key=_by_rack_then_length))
    return [(board.board if board.rack else one.name or next(free[board.board]), one) for board, one in ordered]


def free_names(kind: str, taken: Collection[str]) -> Iterator[str]:
    """Names for new boards of a kind, by number, but for those that are taken."""
    return (name for number in count(1) if (name := f"{kind}{NUMBERED}{number}") not in taken)


def boards(laid: list[Laid], bench: Bench, kerf: float, begun: Collection[str] = ()) -> tuple[CutBoard, ...]:
    """Every board that is cut, named as by :func:`named`: cuts at running dimensions from the marked end, remnants and
    waste.

    ``kerf`` along the board [mm] is counted after each piece but where the piece ends with the stretch.
    """
    by_board: dict[str, list[Laid]] = defaultdict(list)
    for name, one in named(laid, begun):
        by_board[name].append(one)
    return tuple(_board(name, on_it, bench, kerf, name in begun) for name, on_it in by_board.items())


def _by_rack_then_length(one: Laid) -> tuple[object, ...]:
    board = one.source.board
    first = one.parts[0]
    order = first.pieces[0].order if first.pieces else 1 << 30
    return not board.rack, board.length, board.board, one.source.start if board.rack else 0.0, order, first.name


def _board(name: str, on_it: list[Laid], bench: Bench, kerf: float, cut_into: bool) -> CutBoard:
    board = on_it[0].source.board
    cuts: list[Cut] = []
    remnants: list[tuple[float, float]] = []
    used = {one.source.start for one in on_it}
    for start, end in board.clear:
        if board.rack and start not in used and end - start >= bench.keep:
            remnants.append((start, end))
    for one in sorted(on_it, key=lambda one: one.source.start):
        at = one.source.start
        for part in one.parts:
            for cut in _cuts(part, at, one.source.end, kerf):
                cuts.append(cut)
                at = cut.end + cut.kerf
        if one.source.end - at >= bench.keep:
            remnants.append((at, one.source.end))
    lengths = sum(cut.end - cut.start for cut in cuts) + sum(end - start for start, end in remnants)
    whole = sum(end - start for start, end in board.clear) if cut_into else board.length
    out = tuple((verdict.start, verdict.end, verdict.kind) for verdict in board.verdicts if verdict.cut_out)
    return CutBoard(
        board=name,
        length=board.length,
        bought=not board.rack,
        price=None if board.rack else board.price,
        cuts=tuple(cuts),
        defects=out,
        remnants=tuple(sorted(remnants)),
        waste=max(0.0, whole - lengths),
    )


def _cuts(part: Part, at: float, end: float, kerf: float) -> list[Cut]:
    found = []
    for name, length, left, right in part.lengths():
        stop = at + length
        after = max(0.0, min(kerf, end - stop))
        found.append(Cut(piece=name, start=at, end=stop, left=left, right=right, kerf=after))
        at = stop + after
    return found
