"""How much of each kind of work there is, counted from the results of the stages before."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from decimal import Decimal
from itertools import chain
from math import fsum
from typing import TypeVar

from listel.core.contract.findings import Input
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import METRE, Units
from listel.plugins.estimate.measures import measured, unit_in
from listel.plugins.existing import Existing, OldPiece
from listel.plugins.fixings import FixingSchedule
from listel.plugins.panelling import Panelling
from listel.plugins.sequence import JobStep, Sequence
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import Site, tables

STATES = {"refix": "refix", "repair": "repair"}
"""What is done to old trim that comes off and goes back, by its intent; trim that is set out is new."""

ON_SITE = ("joiner", "decorator")
"""Who does the work that is counted; whoever else does a step is a preliminary."""

T = TypeVar("T")


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """So much of one kind of work in one place: ``row`` of the table of works; ``of``: what was counted, in words; of a
    step of the order of work who does it, and the hours ``reckoned`` for it there, of all who share it."""

    row: Row
    amount: Decimal
    of: str
    room: str = ""
    trim: str = ""
    member: str = ""
    substrate: str = ""
    state: str = ""
    step: str = ""
    title: str = ""
    trade: str = ""
    reckoned: float = 0.0
    inputs: tuple[Input, ...] = ()


def quantities(job: Job, sheet: Sheet, units: Units) -> list[Quantity]:
    """Every quantity of labour in those units, kind by kind in the table's order, room by room in the survey's."""
    found = _Counted(job, sheet, units)
    lines: list[Quantity] = []
    for row in load_table(__package__, "works"):
        lines += list(found.by_step(row, lines)) if row["counts"] == "step" else [q for q in found.of(row) if q.amount]
    return lines


def to_do(sheet: Sheet) -> tuple[JobStep, ...]:
    """The steps of the order of work that are not recorded as done."""
    sequence = sheet.get(Sequence)
    return tuple(step for step in sequence.steps if not step.done) if sequence else ()


class _Counted:
    def __init__(self, job: Job, sheet: Sheet, units: Units) -> None:
        self.job, self.sheet = job, sheet
        self.long, self.wide = unit_in("m", units), unit_in("m2", units)
        self.trims: Mapping[str, Trim] = {trim.name: trim for trim in job.trim}
        setting_out = sheet.get(SettingOut) or SettingOut()
        self.runs, self.laid, self.shuttered = setting_out.runs, setting_out.laid, setting_out.shuttered
        self.frames = (sheet.get(Panelling) or Panelling()).frames
        self.pieces = (*setting_out.pieces, *setting_out.returns)
        schedule = sheet.get(FixingSchedule) or FixingSchedule()
        self.fixings = schedule.lines
        self.substrates = {(line.room, line.wall): line.substrate for line in self.fixings}
        self.existing = sheet.get(Existing) or Existing()
        self.steps = {step.name: step for step in to_do(sheet)}
        self.ways: Mapping[str, Callable[[Row], Iterator[Quantity]]] = {
            "run": self.by_run,
            "block": self.by_block,
            "frame": self.by_frame,
            "faced": self.by_frame,
            "window": self.by_window,
            "end": self.by_end,
            "fixing": self.by_fixing,
            "mend": self.by_mend,
            "floor": self.by_floor,
            "bare": self.by_bare,
            "knotty": self.by_knotty,
            "stopped": self.by_stopped,
            "painted": self.by_painted,
            "clear": self.by_clear,
            "off": self.by_off,
            "room": self.by_room,
            "job": self.by_job,
        }

    def of(self, row: Row) -> Iterator[Quantity]:
        """The quantities of one kind of work, its rooms in the survey's order."""
        at = {room.name: number for number, room in enumerate(self.job.rooms)}
        steps = row.get("steps", [])
        by_step = row["counts"] not in ("run", "block", "frame", "end", "fixing", "mend")
        if by_step and steps and not any(name in self.steps for name in steps):
            return iter(())
        return iter(sorted(self.ways[row["counts"]](row), key=lambda each: at.get(each.room, -1)))

    def by_run(self, row: Row) -> Iterator[Quantity]:
        """New trim by its runs; old trim that comes off and goes back by its length."""
        measured_runs = [run for run in self.runs if not tables.member(run.member).get("counted")]
        new = [(_place(run, "new", self.substrates), run.length) for run in measured_runs]
        old = [
            (_place(piece, STATES[piece.intent], self.substrates), piece.length or 0.0)
            for piece in self.existing.pieces
            if piece.comes_off and piece.intent in STATES
        ]
        for place, lengths in _grouped([*new, *old], lambda each: each[0]):
            room, trim, member, substrate, state = place
            yield Quantity(
                row=row,
                amount=measured((length for _, length in lengths), self.long),
                of=f"the lengths of {len(lengths)} {'runs' if state == 'new' else 'old pieces'}",
                room=room,
                trim=trim,
                member=member,
                substrate=substrate,
                state=state,
            )

    def by_block(self, row: Row) -> Iterator[Quantity]:
        """What is counted by the piece, as the blocks of an architrave."""
        blocks = [run for run in self.runs if tables.member(run.member).get("counted")]
        for (room, trim), found in _grouped(blocks, lambda run: (run.room, run.trim)):
            yield self._of_trim(row, Decimal(len(found)), "the blocks", room, trim)

    def by_frame(self, row: Row) -> Iterator[Quantity]:
        """Panelling by what its frames cover."""
        for (room, trim), frames in _grouped(self.frames, lambda each: (each.room, each.trim)):
            area = measured((each.height * (each.end - each.start) for each in frames), self.wide)
            yield self._of_trim(row, area, "the faces of the frames", room, trim)

    def by_window(self, row: Row) -> Iterator[Quantity]:
        """Shutters by the windows that have them."""
        for (room, trim), windows in _grouped(self.shuttered, lambda each: (each.room, each.trim)):
            yield self._of_trim(row, Decimal(len(windows)), "the windows that have them", room, trim)

    def by_end(self, row: Row) -> Iterator[Quantity]:
        ends = Counter(
            (piece.room, piece.trim)
            for piece in self.pieces
            for end in ((piece.left,) if piece.part_of else (piece.left, piece.right))
            if end.kind in row["kinds"]
        )
        for (room, trim), count in ends.items():
            yield self._of_trim(row, Decimal(count), "ends of pieces", room, trim)

    def by_fixing(self, row: Row) -> Iterator[Quantity]:
        for (room, trim, substrate, member, state), lines in _grouped(
            (line for line in self.fixings if line.count),
            lambda line: (line.room, line.trim, line.substrate, line.member, "refix" if line.old else "new"),
        ):
            yield Quantity(
                row=row,
                amount=Decimal(sum(line.count for line in lines)),
                of="the fixing schedule",
                room=room,
                trim=trim,
                member=member,
                substrate=substrate,
                state=state,
            )

    def by_mend(self, row: Row) -> Iterator[Quantity]:
        members = {piece.label: piece.member for piece in self.existing.pieces}
        mends = [mend for mend in self.existing.mends if mend.kind in row["kinds"]]
        for (room, trim, member), found in _grouped(mends, lambda mend: (mend.room, mend.trim, members[mend.piece])):
            amount = Decimal(len(found))
            yield Quantity(row=row, amount=amount, of="repairs", room=room, trim=trim, member=member, state="repair")

    def by_floor(self, row: Row) -> Iterator[Quantity]:
        site = self.sheet.get(Site)
        strip = load_table(__package__, "allowances").row("strip")
        for room in self._rooms():
            plan = site.rooms[room].plan if site and room in site.rooms else None
            if plan is not None:
                shoelace = zip(plan.points, (*plan.points[1:], plan.points[0]), strict=True)
                doubled = abs(fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in shoelace))
                yield Quantity(row=row, amount=measured([doubled / 2], self.wide), of="the room in plan", room=room)
                continue
            spans: dict[str, list[float]] = {}
            for run in self.runs:
                if run.room == room and not run.upright:
                    spans.setdefault(run.wall, []).extend((run.start, run.end))
            along = measured(((max(span) - min(span)) * strip["value"] * METRE for span in spans.values()), self.wide)
            assumed = Input("width of floor sheeted along a wall", strip["value"], "m", assumed=True, note=strip.note)
            of = "the walls worked on, a strip along each"
            yield Quantity(row=row, amount=along, of=of, room=room, inputs=(assumed,))

    def by_bare(self, row: Row) -> Iterator[Quantity]:
        """New timber that is painted: runs, and what is spliced into old trim that has paint."""
        yield from self._by_length(row, self._bare(), "the lengths of new timber")

    def by_knotty(self, row: Row) -> Iterator[Quantity]:
        """The same but what has no knots to bleed."""
        clean = {trim.name for trim in self.job.trim if trim.timber and not tables.timber(trim.timber).get("knots")}
        yield from self._by_length(
            row, [line for line in self._bare() if line[1] not in clean], "the lengths of new timber"
        )

    def _bare(self) -> list[tuple[str, str, str, float]]:
        old = {piece.label: piece for piece in self.existing.pieces}
        splices = [(mend, old[mend.piece]) for mend in self.existing.mends if mend.kind == "splice"]
        found = self._new_paint()
        return found + [(mend.room, mend.trim, piece.member, mend.overall) for mend, piece in splices if piece.painted]

    def _new_paint(self) -> list[tuple[str, str, str, float]]:
        return [line for line in self._new() if not self.trims[line[1]].clear]

    def _new(self) -> list[tuple[str, str, str, float]]:
        return [(run.room, run.trim, run.member, run.length) for run in self.runs]

    def by_stopped(self, row: Row) -> Iterator[Quantity]:
        """What is painted; all new trim where nothing of it is."""
        return (
            self.by_painted(row) if self._new_paint() else self._by_length(row, self._new(), "the lengths of new trim")
        )

    def by_clear(self, row: Row) -> Iterator[Quantity]:
        """New trim that is finished clear."""
        clear = [line for line in self._new() if self.trims[line[1]].clear]
        yield from self._by_length(row, clear, "the lengths of what is finished clear")

    def by_painted(self, row: Row) -> Iterator[Quantity]:
        """New trim but what is finished clear, and old trim that is worked at and stays."""
        found = self._new_paint()
        found += [(each.room, each.trim, each.member, each.length or 0.0) for each in self.existing.repainted()]
        yield from self._by_length(row, found, "the lengths of what is painted")

    def by_off(self, row: Row) -> Iterator[Quantity]:
        off = [each for each in self.existing.pieces if each.comes_off]
        found = [(each.room, each.trim, each.member, each.length or 0.0) for each in off]
        yield from self._by_length(row, found, "the lengths of old pieces")

    def by_room(self, row: Row) -> Iterator[Quantity]:
        for room in self._rooms():
            yield Quantity(row=row, amount=Decimal(1), of="each room with trim", room=room)

    def by_job(self, row: Row) -> Iterator[Quantity]:
        yield Quantity(row=row, amount=Decimal(1), of="the job")

    def by_step(self, row: Row, lines: Iterable[Quantity]) -> Iterator[Quantity]:
        """The steps of those on site that no line stands for."""
        stood_for = set(chain.from_iterable(each.row.get("steps", []) for each in lines))
        for step in self.steps.values():
            if step.name not in stood_for and step.who in ON_SITE:
                yield Quantity(
                    row=row,
                    amount=Decimal(1),
                    of="the order of work",
                    step=step.name,
                    title=step.title,
                    trade=step.who,
                    reckoned=step.worked,
                )

    def _of_trim(self, row: Row, amount: Decimal, of: str, room: str, trim: str) -> Quantity:
        member = self.trims[trim].member if trim in self.trims else ""
        return Quantity(row=row, amount=amount, of=of, room=room, trim=trim, member=member, state="new")

    def _by_length(self, row: Row, found: Iterable[tuple[str, str, str, float]], of: str) -> Iterator[Quantity]:
        """The quantity of each trim in each room, from (room, trim, member, length)."""
        for (room, trim, member), lines in _grouped(found, lambda line: line[:3]):
            amount = measured((line[3] for line in lines), self.long)
            yield Quantity(row=row, amount=amount, of=of, room=room, trim=trim, member=member, state="new")

    def _rooms(self) -> list[str]:
        with_trim = {run.room for run in self.laid}
        return [room.name for room in self.job.rooms if room.name in with_trim]


def _place(line: Run | OldPiece, state: str, substrates: Mapping[tuple[str, str], str]) -> tuple[str, ...]:
    return line.room, line.trim, line.member, substrates.get((line.room, line.wall), ""), state


def _grouped(lines: Iterable[T], alike: Callable[[T], tuple[str, ...]]) -> list[tuple[tuple[str, ...], list[T]]]:
    found: dict[tuple[str, ...], list[T]] = {}
    for line in lines:
        found.setdefault(alike(line), []).append(line)
    return list(found.items())
