"""Several houses cut as one: their pieces of one trim out of one rack and one buying list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from heapq import heappop, heappush
from math import inf

from listel.core.contract.findings import Grounds
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Trim
from listel.plugins.cutting.gather import gathered
from listel.plugins.cutting.group import group_of
from listel.plugins.cutting.listing import not_made, purchases
from listel.plugins.cutting.plan import boards, laid_out
from listel.plugins.cutting.results import (
    HAIR,
    CutBoard,
    CuttingList,
    HouseSaving,
    PooledTrim,
    Share,
    TrimCutting,
    Unmade,
)
from listel.plugins.cutting.search import solve
from listel.plugins.cutting.supply import Bench, bench
from listel.plugins.cutting.under_way import still_open
from listel.plugins.defects import BoardCheck, DefectChecks
from listel.plugins.setting_out import Piece, SettingOut


def shares_of(job: Job, sheet: Sheet, house: str) -> list[Share]:
    """What a house asks of each trim that has pieces."""
    set_out, checks, lists = sheet.get(SettingOut), sheet.get(DefectChecks), sheet.get(CuttingList)
    if set_out is None or checks is None or lists is None:
        return []
    saw, own = bench(job), {line.trim: line for line in lists.lines}
    every = (*set_out.pieces, *set_out.returns, *set_out.splices)
    shares = []
    for trim in (trim for trim in job.trim if trim.name in own):
        pieces = [piece for piece in every if piece.trim == trim.name]
        pieces, boards = still_open(job, trim.name, pieces, [one for one in checks.boards if one.trim == trim.name])
        shares.append(
            Share(
                house=house,
                alike=_alike(job, trim, own[trim.name], house),
                pieces=tuple(replace(piece, grounds=Grounds()) for piece in pieces),
                boards=tuple(replace(check, grounds=Grounds()) for check in boards),
                own=replace(own[trim.name], grounds=Grounds()),
                kerf=saw.kerf,
                end_trim=saw.end_trim,
                keep=saw.keep,
                rack_price=saw.rack_price,
                spare=job.cutting.spare or 0.0,
                begins=job.work.start or "",
            )
        )
    return shares


def _alike(job: Job, trim: Trim, line: TrimCutting, house: str) -> tuple[str, ...]:
    """A section that was not surveyed is like no other's."""
    section = trim.section
    sizes = (section.height, section.thick)
    size = " x ".join(f"{size:g}" for size in sizes if size is not None) if None not in sizes else f"of {house}"
    profile = "; ".join(f"{each.kind} {each.height:g} {each.projection:g}" for each in trim.profile)
    money = (job.cutting.currency or "") if line.priced else "not priced"
    return (trim.member, size, profile, trim.timber or "", trim.finish or "", money)


def pooled(shares: Iterable[Share], by_date: bool) -> Iterator[PooledTrim]:
    """Every trim of all the houses, those that are alike as one; the order of the houses makes no difference."""
    groups: dict[tuple[object, ...], list[Share]] = {}
    for share in sorted(shares, key=lambda share: (share.alike, share.house)):
        saw = (share.kerf, share.end_trim, share.keep, share.rack_price, share.spare)
        groups.setdefault((share.alike, saw), []).append(share)
    for group in groups.values():
        yield _pooled(group, by_date)


def _pooled(shares: list[Share], by_date: bool) -> PooledTrim:
    first = shares[0]
    alone = sum(share.own.cost for share in shares)
    cut, unmade, cost, bound = _as_one(shares) if len(shares) > 1 else _apart(shares)
    missing = sum(len(share.own.unmade) for share in shares)
    together = len(shares) > 1 and len(unmade) <= missing and (cost <= alone + HAIR or len(unmade) < missing)
    apart = _apart(shares)
    if not together:
        cut, unmade, cost, least = apart
        bound = min(cost, max(bound, least))
    owner = {named(share.house, piece.label): share.house for share in shares for piece in share.pieces}
    houses = [share.house for share in sorted(shares, key=lambda share: share.begins or "9")]
    order, most = in_turn(
        [{owner[cut.piece] for cut in board.cuts if cut.piece in owner} for board in cut], houses, by_date
    )
    ordered = tuple(cut[number] for number in order)
    of = tuple(tuple(sorted({owner[c.piece] for c in board.cuts if c.piece in owner})) for board in ordered)
    part = cost / alone if alone else 0.0
    return PooledTrim(
        trim=first.own.trim,
        alike=first.alike,
        houses=tuple(share.house for share in shares),
        boards=ordered,
        houses_of=of,
        bought=purchases(ordered),
        bought_apart=purchases(apart[0]),
        cost=cost,
        alone=alone,
        bound=bound,
        priced=first.own.priced,
        pooled=together,
        open=most,
        unmade=unmade,
        shares=tuple(
            HouseSaving(house=share.house, alone=share.own.cost, together=share.own.cost * part) for share in shares
        ),
    )


Cut = tuple[tuple[CutBoard, ...], tuple[Unmade, ...], float, float]
"""Boards, what is not made, what it costs, and a bound on that."""


def _as_one(shares: list[Share]) -> Cut:
    saw = Bench(shares[0].kerf, shares[0].end_trim, shares[0].keep, shares[0].rack_price, ())
    pieces = [_of(share.house, piece) for share in shares for piece in share.pieces]
    group = group_of(shares[0].own.trim, pieces, _merged(shares), saw, shares[0].spare)
    solution = solve(group.problem)
    laid, unmade = laid_out(solution.patterns, group.parts, group.sources)
    owner = {named(share.house, piece.label): share.house for share in shares for piece in share.pieces}
    laid = gathered(laid, lambda part: owner[part.pieces[0].label] if part.pieces else "", group.kerf, saw.keep)
    bound = (solution.proofs[0].bound or 0) / group.scale - group.standing_in(solution.patterns)
    return (
        boards(laid, saw, group.kerf),
        tuple(not_made(group, unmade)),
        group.made_cost(solution.patterns),
        max(0.0, bound),
    )


def _of(house: str, piece: Piece) -> Piece:
    """A piece with its house in its name."""
    match = named(house, piece.match) if piece.match else ""
    return replace(piece, label=named(house, piece.label), match=match)


def named(house: str, thing: str) -> str:
    """A piece or a board of a house, by a name that no other house's has."""
    return f"{house}: {thing}"


def _merged(shares: list[Share]) -> list[BoardCheck]:
    """The boards of all: a length that several houses can buy once, at the lowest price that one of them was told."""
    new: dict[tuple[float, tuple[tuple[float, float], ...], int | None], BoardCheck] = {}
    rack: list[BoardCheck] = []
    for share in shares:
        for board in share.boards:
            if board.rack:
                rack.append(replace(board, board=named(share.house, board.board)))
                continue
            key = (board.length, board.clear, None if board.quantity is None else 1)
            had = new.get(key)
            if had is None:
                new[key] = board
                continue
            count = None if board.quantity is None else board.quantity + (had.quantity or 0)
            cheaper = min(had, board, key=lambda one: inf if one.price is None else one.price)
            new[key] = replace(cheaper, quantity=count)
    return [*new.values(), *rack]


def _apart(shares: list[Share]) -> Cut:
    """Each house's own plan, board for board."""
    cut = tuple(
        replace(
            board,
            board=named(share.house, board.board),
            cuts=tuple(replace(cut, piece=named(share.house, cut.piece)) for cut in board.cuts),
        )
        for share in shares
        for board in share.own.boards
    )
    unmade = tuple(replace(each, piece=named(share.house, each.piece)) for share in shares for each in share.own.unmade)
    bound = shares[0].own.bound if len(shares) == 1 else 0.0
    return cut, unmade, sum(share.own.cost for share in shares), bound


DONE = (0, 0, -1)
"""Instead of its place in the order: a board that has had its turn."""


def in_turn(of: Sequence[set[str]], houses: Sequence[str], by_date: bool = False) -> tuple[list[int], int]:
    """An order of boards, by whose pieces are on each, in which few houses stand begun and unfinished at one time, and
    the most that do: next comes always the board that leaves the fewest open, of those the one of the house that comes
    first in ``houses``; ``by_date``: that house before all else."""
    rank = {house: number for number, house in enumerate(houses)}
    left = Counter(house for owners in of for house in owners)
    on: dict[str, list[int]] = {}
    for number, owners in enumerate(of):
        for house in owners:
            on.setdefault(house, []).append(number)
    begun: set[str] = set()
    most = 0
    order: list[int] = []

    def leaves(number: int) -> tuple[int, int, int]:
        more = sum(house not in begun for house in of[number])
        fewer = sum(left[house] == 1 for house in of[number])
        first = min((rank[house] for house in of[number]), default=len(rank))
        return (first, more - fewer, number) if by_date else (more - fewer, first, number)

    now = [leaves(number) for number in range(len(of))]
    heap = sorted(now)
    while heap:
        key = heappop(heap)
        number = key[2]
        if key != now[number]:
            continue
        now[number] = DONE
        order.append(number)
        changed = [house for house in of[number] if house not in begun or left[house] == 2]
        begun |= of[number]
        most = max(most, len(begun))
        left.subtract(of[number])
        begun -= {house for house in of[number] if not left[house]}
        for other in {other for house in changed for other in on[house] if now[other] != DONE}:
            now[other] = leaves(other)
            heappush(heap, now[other])
    return order, most
