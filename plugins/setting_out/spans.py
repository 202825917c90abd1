"""Runs cut into spans, one for each piece, and how each span meets the next one round the room."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from listel.core.quick import dataclass
from listel.core.survey.job import Room, Trim, Wall
from listel.plugins.setting_out.corners import apart, joint_for
from listel.plugins.setting_out.results import Run, RunKey
from listel.plugins.site import corner_pairs

EyeLines = dict[tuple[str, str], tuple[float, ...]]


@dataclass(frozen=True, kw_only=True)
class Span:
    """One piece to be: ``start`` to ``end`` of a run, bounded by ``left`` and ``right`` (what bounds the run, or
    "scarf")."""

    run: Run
    wall: Wall
    start: float
    end: float
    left: str
    right: str


@dataclass(frozen=True)
class Meeting:
    """Two spans that meet at a corner: indices of both, their walls, the joint and why, and which span is coped
    (None: neither)."""

    before: int
    after: int
    joint: str
    why: str
    coped: int | None = None


def whole_spans(room: Room, runs: list[Run]) -> list[Span]:
    """Every run as one span, as if a board could be as long as that."""
    return [
        Span(run=run, wall=room.wall(run.wall), start=run.start, end=run.end, left=run.start_at, right=run.end_at)
        for run in runs
    ]


def jointed_spans(whole: list[Span], joints: Mapping[RunKey, tuple[float, ...]]) -> list[Span]:
    """The spans of one trim in one room, from left to right, jointed at these stations."""
    found: list[Span] = []
    for span in whole:
        run = span.run
        edges = [run.start, *joints.get((run.room, run.wall, run.trim, run.start), ()), run.end]
        for a, b in pairwise(edges):
            left, right = span.left if a == run.start else "scarf", span.right if b == run.end else "scarf"
            found.append(Span(run=run, wall=span.wall, start=a, end=b, left=left, right=right))
    return found


def meetings_of(room: Room, trim: Trim, spans: list[Span]) -> list[Meeting]:
    """Where spans meet at corners, with the joint; which is coped is settled by :func:`settle_copes`."""
    found = []
    for first, second in corner_pairs(room):
        before = next((i for i, span in enumerate(spans) if span.wall is first and span.right == "corner"), None)
        after = next((i for i, span in enumerate(spans) if span.wall is second and span.left == "corner"), None)
        if before is None or after is None or before == after or apart(spans[before].run, spans[after].run):
            continue
        raking = bool(spans[before].run.pitch or spans[after].run.pitch)
        found.append(Meeting(before, after, *joint_for(trim, first.corner, raking)))
    return found


def settle_copes(spans: list[Span], meetings: list[Meeting]) -> tuple[list[Meeting], list[int], list[int]]:
    """Which span of each coped corner is coped, the order of fixing, and the spans that are coped at both ends."""
    coped = {meeting.before for meeting in meetings if meeting.joint == "cope"}
    linked = [i in coped for i in range(len(spans))]
    ring = bool(meetings) and any(meeting.after == 0 and meeting.before == len(spans) - 1 for meeting in meetings)
    order: list[int] = []
    doubles: list[int] = []
    for chain in cope_chains(linked, ring):
        closed = ring and len(chain) == len(spans) and all(linked)
        first, last = _first_and_last(spans, chain)
        sequence, copes = work_order(chain, first, closed, last)
        order += sequence
        doubles += [piece for piece, count in copes.items() if count == 2]
    at = {piece: place for place, piece in enumerate(order)}
    settled = [
        Meeting(
            each.before,
            each.after,
            each.joint,
            each.why,
            (each.before if at[each.before] > at[each.after] else each.after) if each.joint == "cope" else None,
        )
        for each in meetings
    ]
    return settled, order, doubles


def _first_and_last(spans: list[Span], chain: list[int]) -> tuple[int, int]:
    """The piece to begin with, of the longest run that faces a door rather than flanks one; and the one to end
    with."""

    def has_door(i: int) -> bool:
        return any(opening.kind in ("door", "archway") for opening in spans[i].wall.openings)

    def length(i: int) -> float:
        return spans[i].run.end - spans[i].run.start

    first = max(chain, key=lambda i: (not has_door(i), length(i)))
    rest = [i for i in chain if i != first]
    return first, min(rest, key=lambda i: (not has_door(i), length(i))) if rest else first


def cope_chains(linked: Sequence[bool], ring: bool) -> list[list[int]]:
    """Pieces 0 to n-1 from left to right round the room as chains joined by coped corners.

    ``linked[i]``: piece i is coped to the next (the last to the first, in a ``ring``). A ring that nothing breaks
    comes back as one chain of all the pieces.
    """
    count = len(linked)
    if count == 0:
        return []
    starts = (
        [i for i in range(count) if not linked[i - 1]]
        if ring
        else [i for i in range(count) if i == 0 or not linked[i - 1]]
    )
    if not starts:
        return [list(range(count))]
    chains = []
    for start in starts:
        chain = [start]
        while linked[chain[-1]] and (ring or chain[-1] < count - 1):
            chain.append((chain[-1] + 1) % count)
        chains.append(chain)
    return chains


def work_order(chain: list[int], first: int, closed: bool, last: int | None = None) -> tuple[list[int], dict[int, int]]:
    """The order to fix a chain in, starting with piece ``first`` square at both ends, and for each piece the number
    of its copes.

    From the first piece the work goes to the right to the end of the chain and then to the left to its beginning,
    each piece coped to the one before it. In a ``closed`` chain piece ``last`` is left to the end and is coped at both.
    """
    at = chain.index(first)
    if not closed:
        order = chain[at:] + chain[:at][::-1]
        return order, {piece: 0 if piece == first else 1 for piece in order}
    turned = chain[at:] + chain[:at]
    stop = turned.index(last) if last is not None and last != first else len(turned) - 1
    order = [*turned[:stop], *turned[stop + 1 :][::-1], turned[stop]]
    return order, {piece: 0 if piece == first else 2 if piece == turned[stop] else 1 for piece in order}
