"""A trim of which some pieces are done: the boards as they lie now, and the plan that was, as far as it still holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import islice

from listel.core.quick import dataclass
from listel.core.survey.job import Done, DonePiece, Job
from listel.plugins.cutting.demand import Part, widest_kerf
from listel.plugins.cutting.group import Group, group_of
from listel.plugins.cutting.plan import NUMBERED, Laid, boards, free_names, laid_out
from listel.plugins.cutting.problem import Pattern, Proof, Solution, steps_up
from listel.plugins.cutting.results import Purchase
from listel.plugins.cutting.search import Watch, solve
from listel.plugins.cutting.supply import Bench, Source, bench
from listel.plugins.cutting.where_cut import Marks, Taken, whole, without
from listel.plugins.defects import BoardCheck
from listel.plugins.setting_out import Piece

Solved = tuple[Group, Solution, tuple[list[Laid], list[Part]]]
"""A trim as a problem, its plan, and that plan with its boards and parts named."""

FIT = 1.0
"""mm by which a piece may differ from what is measured now: so well a tape is read."""


def done_of(done: Done, trim: str, pieces: Sequence[Piece]) -> Done:
    """What is done of one trim: its own boards have names that another's have too."""
    labels = {piece.label for piece in pieces}
    mine = [piece for piece in done.pieces if (piece.trim == trim if piece.trim else piece.piece in labels)]
    boards = tuple(lot for lot in done.boards if lot.trim == trim)
    return Done(pieces=tuple(mine), boards=boards, marked=tuple(board for board in done.marked if board.trim == trim))


def begun_boards(done: Done) -> set[str]:
    """The boards that pieces were cut from."""
    return {piece.board for piece in done.pieces if piece.board}


def resumed(
    job: Job, done: Done, pieces: Sequence[Piece], checks: Sequence[BoardCheck], before: Solved, watch: Watch
) -> Solved:
    """What is open of a trim, from the boards as they lie: the plan that was marked out, else that was ``before``,
    where it costs no more than a fresh one, or grain is to run on from a piece that was made. What was spoilt uses up
    the spares."""
    saw = bench(job)
    still = [piece for piece in pieces if piece.label not in done.made]
    planned, marks = before[0], marked_out(done) or planned_on(before, saw)
    beside = _beside_made(planned, marks, done)
    now = lying(checks, done, saw, planned.kerf)
    group = group_of(planned.trim, still, now, saw, job.cutting.spare, spares_left(done, planned))
    fresh = solve(group.problem, watch)
    plans = [as_planned(group, held, done) for held in ((marks | beside, beside) if beside else (marks,))]
    kept = min(filter(None, plans), key=_Rooms.cost, default=None)
    if kept is None or (kept.cost() > fresh.proofs[0].value and not beside):
        return group, fresh, laid_out(fresh.patterns, group.parts, group.sources)
    cost, lost, opened = group.problem.total(kept.patterns())
    proofs = (Proof(cost, fresh.proofs[0].bound), Proof(lost), Proof(opened))
    return group, replace(fresh, patterns=kept.patterns(), proofs=proofs), (kept.laid(), [])


def spares_left(done: Done, planned: Group) -> int:
    """How many of the spares planned are left, where everything that is cut again uses one up."""
    return max(0, planned.spares - cut_again(done.pieces, planned))


def cut_again(told: Iterable[DonePiece], planned: Group) -> int:
    """How many lengths are cut again for what was told as spoilt, in this order; in one, pieces whose grain runs on,
    where none of them was made since."""
    in_one = {piece.label: pieces for pieces in planned.in_one for piece in pieces}
    waiting: dict[object, set[str]] = {}
    lengths = 0
    for done in told:
        part = in_one.get(done.piece, done.piece)
        spoilt = waiting.pop(part, set())
        if done.state == "spoilt":
            if not spoilt or done.piece in spoilt:
                lengths, spoilt = lengths + 1, set()
            waiting[part] = {*spoilt, done.piece}
    return lengths


def _beside_made(planned: Group, marks: Marks, done: Done) -> Marks:
    """Where pieces still to cut follow those that were made and whose grain is to run on, on the boards these came
    from."""
    made = {piece.piece: piece for piece in done.pieces if piece.piece in done.made and piece.at is not None}
    found: Marks = {}
    for pieces in planned.in_one:
        first = next((piece.label for piece in pieces if piece.label in made and piece.label in marks), None)
        if first is None:
            continue
        board, moved = made[first].board, (made[first].at or 0.0) - marks[first][1]
        still = [piece.label for piece in pieces if piece.label in marks and piece.label not in made]
        found |= {label: (board, marks[label][1] + moved) for label in still}
    return found


def planned_on(plan: Solved, saw: Bench) -> Marks:
    """Where a plan has each piece."""
    group, _, (laid, _) = plan
    return {cut.piece: (board.board, cut.start) for board in boards(laid, saw, group.kerf) for cut in board.cuts}


def as_done(done: Done, pieces: Sequence[Piece], checks: Sequence[BoardCheck], before: Solved, saw: Bench) -> Done:
    """What is done of a trim, what is not told of a piece as it was marked out, else planned."""
    return whole(done, pieces, checks, saw, before[0].kerf, marked_out(done) or planned_on(before, saw))


def still_open(
    job: Job, trim: str, pieces: Sequence[Piece], checks: Sequence[BoardCheck]
) -> tuple[list[Piece], list[BoardCheck]]:
    """The pieces of a trim that are still to be cut, and the boards as they lie, by what is told of each board."""
    done, saw = done_of(job.done, trim, pieces), bench(job)
    if not (done.pieces or done.boards):
        return list(pieces), list(checks)
    kerf = widest_kerf(list(pieces), saw.kerf)
    left = whole(done, pieces, checks, saw, kerf, marked_out(done))
    return [piece for piece in pieces if piece.label not in done.made], lying(checks, left, saw, kerf)


def had(checks: Sequence[BoardCheck], done: Done) -> tuple[Purchase, ...]:
    """The new boards that pieces were cut from, and those that lie in the shop."""
    begun = begun_boards(done)
    bought: Counter[float] = Counter()
    for lot in done.boards:
        bought[lot.length] += lot.count
    found = []
    for check in [*checks, *_of_other_lengths(checks, done)]:
        count = 0 if check.rack else max(len(_begun_of([check], begun)), bought.pop(check.length, 0))
        found += [Purchase(check.length, count, check.price)] if count else []
    return tuple(found)


def marked_out(done: Done) -> Marks:
    """What the survey tells is marked out."""
    return {
        piece: (board.board, at) for board in done.marked for piece, at in zip(board.pieces, board.at, strict=False)
    }


def lying(checks: Sequence[BoardCheck], done: Done, saw: Bench, kerf: float) -> list[BoardCheck]:
    """The boards as they lie: those begun with what is left of them, those bought and whole, and what can be had."""
    taken, odd = _taken(done, kerf), _of_other_lengths(checks, done)
    begun = [_begun(check, name, taken[name], saw) for check, name in _begun_of([*checks, *odd], taken)]
    bought: Counter[float] = Counter()
    for lot in done.boards:
        bought[lot.length] += lot.count
    found: list[BoardCheck] = []
    for check in [*checks, *odd]:
        if check.rack:
            found.append(replace(check, clear=without(check.clear, taken.get(check.board, []))))
            continue
        numbers = {name for of, name in _begun_of([check], taken)}
        if check not in odd:
            count = None if check.quantity is None else max(0, check.quantity - len(numbers))
            found.append(replace(check, quantity=count))
        whole = max(0, bought.pop(check.length, 0) - len(numbers))
        names = islice(free_names(check.board, numbers), whole)
        found += [_begun(check, name, [], saw) for name in names]
    return [*found, *begun]


def _taken(done: Done, kerf: float) -> dict[str, list[Taken]]:
    """What every board lost to the pieces that were cut from it, the spoilt ones too."""
    taken: dict[str, list[Taken]] = {}
    for piece in done.pieces:
        if piece.board and piece.at is not None and piece.length is not None:
            taken.setdefault(piece.board, []).append((piece.at, piece.at + piece.length + kerf))
    return taken


def _begun_of(checks: Sequence[BoardCheck], taken: Iterable[str]) -> list[tuple[BoardCheck, str]]:
    """New boards begun, each with the kind it is of."""
    return [
        (check, name)
        for name in taken
        for check in checks
        if not check.rack and name.rpartition(NUMBERED)[0] == check.board
    ]


def _of_other_lengths(checks: Sequence[BoardCheck], done: Done) -> list[BoardCheck]:
    """Boards that were bought in a length that is not in stock, one of each length."""
    stocked = {check.length for check in checks if not check.rack}
    lots = {lot.length: lot for lot in done.boards if lot.length not in stocked}
    return [
        BoardCheck(board=f"bought {length:g} mm", trim=lot.trim, rack=False, length=length, clear=((0.0, length),))
        for length, lot in sorted(lots.items())
    ]


def _begun(check: BoardCheck, name: str, taken: list[Taken], saw: Bench) -> BoardCheck:
    """A new board that is paid for: from now on it lies on the rack."""
    ends = [(0.0, saw.end_trim), (check.length - saw.end_trim, check.length)]
    clear = without(check.clear, [*ends, *taken])
    return replace(check, board=name, rack=True, price=None, quantity=None, clear=clear)


def as_planned(group: Group, marks: Marks, done: Done) -> _Rooms | None:
    """The plan that was, in the stretches of what is open: every part that is still wanted at its place on the board
    it was to come from; what was spoilt from what is left first, else from a new board. None where that does not go.
    """
    rooms = _Rooms(group)
    wanted = {part.name: part for parts in group.parts.values() for part in parts}
    spoilt = {piece.piece for piece in done.pieces if piece.state == "spoilt"}
    again = [part for part in wanted.values() if any(piece.label in spoilt for piece in part.pieces)]
    placed: dict[str, list[tuple[float, Part]]] = {}
    waiting: list[Part] = []
    for part in wanted.values():
        board, at = marks.get(part.pieces[0].label if part.pieces else part.name, ("", 0.0))
        if part not in again and board:
            placed.setdefault(board, []).append((at, part))
        elif part not in again:
            waiting.append(part)
    for board, on in placed.items():
        waiting += rooms.put(sorted(on, key=lambda one: (one[0], one[1].name)), board)
    for part in sorted([*again, *waiting], key=lambda part: (-part.length, part.name)):
        if not rooms.fit(part):
            return None
    return rooms


@dataclass
class _Room:
    """One stretch: its number in the problem, where it lies, the parts on it in order; of a new board of the plan that
    was its name."""

    number: int
    source: Source
    parts: list[Part]
    name: str = ""

    def is_at(self, part: Part, at: float) -> bool:
        """Whether a part that starts there lies on it."""
        return self.source.start - FIT <= at and at + part.length <= self.source.end + FIT


class _Rooms:
    """The stretches of a problem, filled one part at a time: all that lie there, and new boards as they are begun."""

    def __init__(self, group: Group) -> None:
        self.problem = group.problem
        self.size = {part.name: number for number, parts in group.parts.items() for part in parts}
        lying = [(n, source) for n, sources in enumerate(group.sources) for source in sources if source.board.rack]
        self.rooms = [_Room(n, source, []) for n, source in lying]
        self.new = {n: sources[0] for n, sources in enumerate(group.sources) if sources and not sources[0].board.rack}

    def put(self, placed: list[tuple[float, Part]], name: str) -> list[Part]:
        """The parts at their places on the board of that name, or on a new one of its kind; elsewhere on it where the
        place is gone; those that find no room."""
        rooms = [room for room in self.rooms if room.source.board.board == name]
        if not rooms:
            kind = name.rpartition(NUMBERED)[0]
            begun = [_Room(n, s, [], name) for n, s in self.new.items() if s.board.board == kind and self._free(n)]
            self.rooms += begun
            rooms = begun
        left = []
        for at, part in placed:
            fits = [room for room in rooms if self._over(room, part) >= 0]
            if fits:
                max(fits, key=lambda room: (room.is_at(part, at), room.source.length)).parts.append(part)
            else:
                left.append(part)
        return left

    def fit(self, part: Part) -> bool:
        """One part where it leaves the least over, on what is begun or lies there; else on the cheapest new board."""
        there = [(self._over(room, part), at) for at, room in enumerate(self.rooms) if self._over(room, part) >= 0]
        new = [
            (self.problem.stretches[n].price, n)
            for n, source in self.new.items()
            if self._free(n) and self._over(_Room(n, source, []), part) >= 0
        ]
        if there:
            self.rooms[min(there)[1]].parts.append(part)
        elif new:
            number = min(new)[1]
            self.rooms.append(_Room(number, self.new[number], [part]))
        return bool(there or new)

    def _over(self, room: _Room, part: Part) -> int:
        """What one part more leaves over, in steps of the grid; less than nothing where it does not fit."""
        kerf = self.problem.kerf
        taken = sum(steps_up(each.length) + kerf for each in (*room.parts, part))
        return self.problem.stretches[room.number].room + kerf - taken

    def _free(self, number: int) -> bool:
        limit = self.problem.stretches[number].limit
        return limit is None or sum(room.number == number for room in self.rooms) < limit

    def cost(self) -> int:
        """What it costs, in the problem's terms."""
        return self.problem.total(self.patterns())[0]

    def patterns(self) -> tuple[Pattern, ...]:
        """What is on each stretch, by size."""
        cuts = [
            (room.number, Counter(self.size[part.name] for part in room.parts)) for room in self.rooms if room.parts
        ]
        return tuple(sorted((number, tuple(sorted(sizes.items()))) for number, sizes in cuts))

    def laid(self) -> list[Laid]:
        """The same with its boards and parts named."""
        return [Laid(room.source, tuple(room.parts), room.name) for room in self.rooms if room.parts]
