"""What there is to say of a trim of which some pieces are done: what does not fit, is not told, or costs more."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import pairwise

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.house.filters import money
from listel.core.survey.job import Done, DonePiece, Job, Trim
from listel.core.survey.units import show_length
from listel.plugins.cutting.group import Group, group_of
from listel.plugins.cutting.plan import NUMBERED, boards
from listel.plugins.cutting.search import NOBODY, solve
from listel.plugins.cutting.supply import bench
from listel.plugins.cutting.under_way import FIT, Solved, begun_boards, cut_again, lying
from listel.plugins.defects import BoardCheck
from listel.plugins.setting_out import Piece

RULES = load_rules(__package__)


def told(
    job: Job,
    trim: Trim,
    as_told: Done,
    done_so_far: Done,
    pieces: Sequence[Piece],
    checks: Sequence[BoardCheck],
    now: Solved,
    planned: Group,
) -> Iterator[Finding]:
    """Pieces that no longer fit, those of which not all is told (``as_told``), those whose grain breaks, and what the
    spoilt ones cost, the spares ``planned`` used first."""
    by_label = {piece.label: piece for piece in pieces}
    for bare, done in zip(as_told.pieces, done_so_far.pieces, strict=True):
        piece = by_label.get(done.piece)
        if piece is None:
            continue
        where = Where(piece.room, piece.wall, trim.name, piece.label, line=job.line(bare))
        if bare != done or not done.board:
            yield _not_told(job, bare, done, where)
        elif why := _doubtful(job, done, done_so_far, checks):
            says = f"{done.piece} is told as cut from {done.board}, {why}."
            mend = "look at the mark on the board; what is left of it is reckoned from there"
            yield RULES["done-board-doubtful"].told("caution", says, where, mend=mend)
        if done.length is not None and done.piece in done_so_far.made and abs(done.length - piece.overall) > FIT:
            yield _misfit(job, done, piece, where)
    yield from _grain_breaks(job, trim, done_so_far, now, planned)
    yield from _spoilt(job, trim, done_so_far, pieces, checks, now, planned)


def _not_told(job: Job, bare: DonePiece, done: DonePiece, where: Where) -> Finding:
    """What is not told of a piece that is made, and what is taken meanwhile."""
    show = partial(show_length, units=job.units)
    asked = [
        *([] if bare.board else [f"from which board {done.piece} was cut"]),
        *([] if bare.at is not None else [f"where on {'it' if not bare.board else bare.board} {done.piece} was cut"]),
        *([] if bare.length is not None else ["how long it is"]),
    ]
    taken = "it is taken from no board"
    if done.board and done.at is not None:
        taken = f"it is taken from {done.board}, {show(done.at)} from its marked end, {show(done.length or 0.0)} long"
    decides = "what is left of that board, and whether the piece fits"
    return RULES["done-not-told"].lacking(", ".join(asked), decides, where, f"tell it under done; until then {taken}")


def _doubtful(job: Job, done: DonePiece, done_so_far: Done, checks: Sequence[BoardCheck]) -> str:
    """Why a piece cannot have been cut where it is told, in words that follow its board; "" where it can."""
    assert done.at is not None and done.length is not None
    kinds = {done.board, done.board.rpartition(NUMBERED)[0]}
    check = next((check for check in checks if check.board in kinds), None)
    if check is None:
        return "and there is no such board for this trim" if checks else ""
    end = done.at + done.length
    if end > check.length + FIT:
        ends, long = show_length(end, job.units), show_length(check.length, job.units)
        return f"where it would end at {ends}, and the board is {long} long"
    for other in done_so_far.pieces[: done_so_far.pieces.index(done)]:
        if other.board != done.board or other.piece == done.piece or other.at is None or other.length is None:
            continue
        if min(end, other.at + other.length) - max(done.at, other.at) > FIT:
            return f"where {other.piece} was cut"
    return ""


def _misfit(job: Job, done: DonePiece, piece: Piece, where: Where) -> Finding:
    assert done.length is not None
    more = done.length - piece.overall
    much = show_length(abs(more), job.units)
    says = (
        f"{piece.label} is {done.state.replace('-', ' ')}, and as measured now it is {much} too "
        f"{'long' if more > 0 else 'short'}: it was cut {show_length(done.length, job.units)}, and would be "
        f"{show_length(piece.overall, job.units)}."
    )
    grounds = Grounds(
        (Input("as cut", done.length, "mm", where.line), Input("as measured now", piece.overall, "mm")),
        "as cut less as measured now",
        f"{done.length:.1f} - {piece.overall:.1f} = {more:.1f}",
        f"{more:.1f} mm",
        (GEOMETRY,),
    )
    mend = "trim it, or " if more > 0 else ""
    mend += "cut it again: tell it as spoilt, and it is cut from what is left first"
    return RULES["done-no-longer-fits"].told("caution", says, where, grounds, mend, differs=abs(more))


def _grain_breaks(job: Job, trim: Trim, done: Done, now: Solved, planned: Group) -> Iterator[Finding]:
    """Pieces still to cut that do not follow, on its board, a piece that was made and whose grain was to run on."""
    group, _, (laid, _) = now
    cut = boards(laid, bench(job), group.kerf, begun_boards(done))
    places = {each.piece: (board.board, each.start, each.end) for board in cut for each in board.cuts}
    made = {piece.piece: piece for piece in done.pieces if piece.piece in done.made}
    for label, piece in made.items():
        if piece.board and piece.at is not None and piece.length is not None:
            places[label] = piece.board, piece.at, piece.at + piece.length
    for one, other in (pair for pieces in planned.in_one for pair in pairwise(pieces)):
        (board, _, end), (on, start, _) = (places.get(each.label, ("", 0.0, 0.0)) for each in (one, other))
        follows = board == on and -FIT <= start - end <= group.kerf + FIT
        if (one.label in made) != (other.label in made) and board and on and not follows:
            there, to_cut = (one, other) if one.label in made else (other, one)
            says = (
                f"{trim.name}: the grain of {to_cut.label} was to run on with that of {there.label}, which is cut, and "
                "the timber beside it is gone."
            )
            mend = f"tell {there.label} as spoilt, and both are cut again in one; or agree that the grain breaks there"
            where = Where(to_cut.room, to_cut.wall, trim.name, to_cut.label, line=job.line(made[there.label]))
            yield RULES["grain-cannot-run"].told("caution", says, where, Grounds(sources=(GEOMETRY,)), mend)


def _spoilt(
    job: Job,
    trim: Trim,
    done: Done,
    pieces: Sequence[Piece],
    checks: Sequence[BoardCheck],
    now: Solved,
    planned: Group,
) -> Iterator[Finding]:
    """What the spoilt pieces cost: the plan as it is, against the one without them and with the spares there were."""
    labels = {piece.label for piece in pieces} - done.made.keys()
    wanted = [piece for piece in done.pieces if piece.state == "spoilt" and piece.piece in labels]
    spoilt = list(dict.fromkeys(piece.piece for piece in wanted))
    if not spoilt:
        return
    group, solution, _ = now
    others = [piece for piece in pieces if piece.label not in {*spoilt, *done.made}]
    saw = bench(job)
    boards = lying(checks, done, saw, group.kerf)
    again = cut_again(wanted, planned)
    spares = max(0, planned.spares - cut_again(done.pieces, planned) + again)
    names, more = " and ".join(spoilt), 0.0
    if again <= spares:
        left = spares - again
        cost = f"from what is to spare, and nothing more is bought; spares left: {left or 'none'}"
    else:
        without = group_of(trim.name, others, boards, saw, job.cutting.spare, spares)
        more = group.made_cost(solution.patterns) - without.made_cost(solve(without.problem, NOBODY).patterns)
        cost = "from what is left, and nothing more is bought"
    if more > 0:
        cost = f"and costs {_shown(job, group, more)} more of new timber"
    verb = "is" if len(spoilt) == 1 else "are"
    says = f"{names} {verb} spoilt, and {verb} cut again {cost}."
    where = Where(trim=trim.name, line=job.line(wanted[-1]))
    yield RULES["spoilt"].told("record", says, where, more=max(0.0, more))


def _shown(job: Job, group: Group, cost: float) -> str:
    return money(cost, job.cutting.currency or "") if group.priced else f"{show_length(cost, job.units)} of boards"
