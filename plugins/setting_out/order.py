"""The order in which the pieces of one trim go round a room, so that copes run the right way."""

from __future__ import annotations

from collections.abc import Sequence


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
