"""The client's paper, in plain words: what will be done, how it will look, when, and what must be settled."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from listel.core.contract.stage import Sheet
from listel.core.contract.tables import Row, load_table
from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room
from listel.plugins.conservation import OfficerTable
from listel.plugins.estimate import Estimate
from listel.plugins.existing import Existing, OldPiece
from listel.plugins.fixings import FixingSchedule
from listel.plugins.heights import covered_marks
from listel.plugins.safety import Consent, SafetyNotes
from listel.plugins.sequence import JobStep, Sequence
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Side, opening_name
from listel.reports.drawings.paper import Drawing
from listel.reports.drawings.strip import plain_scale, strip
from listel.reports.fitted import fitted
from listel.reports.opening import listed
from listel.reports.papers import About, Leaf
from listel.reports.papers.holds import Held, Hold, by_wall, holds
from listel.reports.papers.rooms import pictures
from listel.reports.papers.trims import TrimRow, trim_rows

NAMED = "for the client"
LARGE = True
DAY = 24.0
WIDE, PICTURES = 190.0, 84.0
"""Width of the first sheet, and so many millimetres of it left for pictures of the rooms, one above the other."""
SHEET, ROOM_WORDS, ROW = 228.0, 19.0, 6.5
"""Paper of the sheet of walls on the shorter of our papers, of a room's headings on it, of a row of its table, mm."""


def leaves(outcome: Outcome, about: About) -> Iterator[Leaf]:
    """Four sheets at most for a job of a few rooms."""
    yield Leaf(name="what", title="What will be done", template="client/what.html.j2", view=what(outcome))
    if outcome.job.rooms:
        yield Leaf(name="walls", title="Wall by wall", template="client/walls.html.j2", view=tuple(walls(outcome)))
    yield Leaf(name="when", title="When, and what it means for you", template="client/when.html.j2", view=when(outcome))
    price = outcome.sheet.get(Estimate)
    if price is not None and price.total is not None:
        yield Leaf(name="price", title="What it costs", template="client/price.html.j2", view=price, follows=True)
    yield Leaf(name="settle", title="To settle, to sign", template="client/settle.html.j2", view=settle(outcome, about))


# ---------------------------------------------------------------- what


@dataclass(frozen=True, kw_only=True)
class What:
    """The first sheet: the work in a table, the rooms as they will be, what is kept and what is lost."""

    rows: tuple[TrimRow, ...]
    pictures: tuple[tuple[Drawing, ...], ...]
    holds: int
    first: str
    days: int
    crew: int | None
    hours: float
    openings: tuple[str, ...]
    plugs: int
    holes: int
    harmed: tuple[str, ...]
    """The new trim that does not come off without harm."""
    traces: tuple[str, ...]
    old: tuple[tuple[str, int], ...]
    """What happens to old trim, and to how many pieces of it."""


def what(outcome: Outcome) -> What:
    """The work in short."""
    job, sequence = outcome.job, outcome.sheet.get(Sequence)
    schedule, table = outcome.sheet.get(FixingSchedule), outcome.sheet.get(OfficerTable)
    steps = sequence.steps if sequence else ()
    plugs = sum(len(w.substrate.plugs) for room in job.rooms for w in room.walls if w.substrate)
    return What(
        rows=tuple(trim_rows(outcome)),
        pictures=tuple(pictures(outcome, WIDE, 66.0, most=6, within=PICTURES)),
        holds=len(holds(outcome, "client")),
        first=sequence.first if sequence else "",
        days=sequence.on_site if sequence else 0,
        crew=job.work.crew,
        hours=sum(step.hours for step in steps if not step.done),
        openings=openings_stay(job, outcome.sheet),
        plugs=plugs,
        holes=schedule.new_holes if schedule else 0,
        harmed=table.harmed if table else (),
        traces=tuple(
            f"{room.name}, wall {mark.wall}" for room in job.rooms for mark in covered_marks(room) if mark.wall
        ),
        old=tuple(Counter(piece.happens for piece in (outcome.sheet.get(Existing) or Existing()).pieces).items()),
    )


def openings_stay(job: Job, sheet: Sheet) -> tuple[str, ...]:
    """That the doors, windows and fireplaces stay, and which of them new trim goes on, a sentence each; none where none
    was surveyed. One that leads from room to room counts once."""
    found = list(fitted(job, sheet))
    bare = Counter(each.side.opening.kind for each in found if not each.trims)
    dressed = {each.side.opening.kind for each in found if each.trims}
    named = [
        f"{'other ' if kind in dressed else ''}{kind if count == 1 else {'hatch': 'hatches'}.get(kind, f'{kind}s')}"
        for kind, count in bare.items()
    ]
    rooms: dict[str, list[str]] = {}
    for each in found:
        if each.trims:
            rooms.setdefault(each.side.room.name, []).append(_plainly(job, each.side))
    goes = [f"the {listed(names)} of the {room}" for room, names in rooms.items()]
    said = (
        f"New trim goes on {listed(goes)}." if goes else "",
        f"The {listed(named)} {'stays as it is' if bare.total() == 1 else 'stay as they are'}." if named else "",
    )
    return tuple(filter(None, said))


def _plainly(job: Job, side: Side) -> str:
    """What an owner knows an opening by: its name, the room it leads to, else its wall; its station only where there
    are more of its kind."""
    opening = side.opening
    if opening.name:
        return opening.name
    if opening.leads_to in {room.name for room in job.rooms}:
        return f"{opening.kind} to the {opening.leads_to}"
    alone = [each.kind for each in side.wall.openings].count(opening.kind) == 1
    return f"{opening.kind if alone else opening_name(job, opening)} on wall {side.wall.name}"


# ---------------------------------------------------------------- walls


@dataclass(frozen=True, kw_only=True)
class WallRow:
    """What is done on one wall: its new trims, what happens to its old ones, the numbers of what is settled first."""

    wall: str
    new: tuple[str, ...]
    old: tuple[str, ...]
    first: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class RoomWalls:
    """The changed walls of a room with their picture."""

    room: str
    drawing: Drawing
    walls: tuple[tuple[tuple[str, ...], WallRow], ...]


def walls(outcome: Outcome) -> Iterator[RoomWalls]:
    """Each room with its walls; those on which the same is done stand together. The drawings share what paper the
    tables leave."""
    held = by_wall(holds(outcome, "client"))
    told: dict[str, tuple[tuple[tuple[str, ...], WallRow], ...]] = {}
    for room in outcome.job.rooms:
        rows: dict[tuple[object, ...], list[WallRow]] = {}
        for row in _wall_rows(outcome, room, held):
            rows.setdefault((row.new, row.old, row.first), []).append(row)
        told[room.name] = tuple((tuple(row.wall for row in alike), alike[0]) for alike in rows.values())
    lines = {name: sum(max(1, len(row.old)) for _, row in rows) for name, rows in told.items()}
    scale = plain_scale(outcome, SHEET - sum(ROOM_WORDS + ROW * count for count in lines.values()))
    for name, walls in told.items():
        drawing = strip(outcome, room=name, plain=scale)
        yield RoomWalls(room=name, drawing=drawing, walls=walls)


def _wall_rows(outcome: Outcome, room: Room, held: Held) -> Iterator[WallRow]:
    setting_out, existing = outcome.sheet.get(SettingOut), outcome.sheet.get(Existing) or Existing()
    for wall in room.walls:
        here = (room.name, wall.name)
        runs_here = setting_out.laid.of(room=room.name, wall=wall.name) if setting_out else []
        yield WallRow(
            wall=wall.name,
            new=tuple(dict.fromkeys(run.trim for run in runs_here)),
            old=tuple(_old(existing, piece) for piece in existing.pieces if (piece.room, piece.wall) == here),
            first=tuple(dict.fromkeys(hold.number for hold, _ in held.get(here, ()))),
        )


SIDES = {"left": " left of the ", "right": " right of the ", "head": " over the "}
"""Where an old piece is that goes round an opening."""


def _old(existing: Existing, piece: OldPiece) -> str:
    """An old piece with its number, and what happens to it."""
    where = f"{SIDES.get(piece.side, ' round the ')}{piece.opening}" if piece.opening else ""
    mends = len(existing.mends_of(piece.label))
    let_in = f", {'one new piece' if mends == 1 else f'{mends} new pieces'} let in" if mends else ""
    return f"{piece.label}, {piece.member.replace('-', ' ')}{where}: {piece.happens}{let_in}"


# ---------------------------------------------------------------- when


@dataclass(frozen=True, kw_only=True)
class Phase:
    """One part of the work: hours of work, days of waiting after, and what it means for the household."""

    says: str
    hours: float
    wait: float
    means: str
    done: bool


@dataclass(frozen=True, kw_only=True)
class When:
    """The parts of the work in order, and who and what is in the building meanwhile. ``start``: the first day of all;
    ``first``: that of work in the rooms, which waits ``weeks`` for consent, and then takes so many ``days``;
    ``others``: those who are there are not the client."""

    phases: tuple[Phase, ...]
    start: str | None
    first: str
    weeks: float
    days: int
    barred: bool
    occupied: bool
    others: bool
    children: bool
    lead: bool
    loud: bool
    solvent: bool


def when(outcome: Outcome) -> When:
    """The course of the work as those who live there meet it."""
    job, sequence = outcome.job, outcome.sheet.get(Sequence)
    steps = {step.name: step for step in sequence.steps} if sequence else {}
    rows = load_table(__package__, "phases").rows
    named = [
        (_of_part(row, steps), row["means"], [steps[name] for name in row["steps"] if name in steps]) for row in rows
    ]
    other = [step for name, step in steps.items() if not any(name in row["steps"] for row in rows)]
    phases = [_phase(*each) for each in (*named, ("Other work", "", other)) if each[2]]
    notes = outcome.sheet.get(SafetyNotes)
    return When(
        phases=tuple(phases),
        start=job.work.start,
        first=sequence.first if sequence else "",
        weeks=steps["consent"].wait / DAY / 7 if "consent" in steps else 0.0,
        days=sequence.on_site if sequence else 0,
        barred=any(step.barred for step in steps.values()),
        others=job.building.client_kind not in (None, "domestic"),
        occupied=job.building.occupied not in (None, "empty"),
        children=bool(job.building.children),
        lead="lead-check" in steps,
        loud=bool(notes and notes.exposures),
        solvent=job.choices.paint in ("alkyd", "oil"),
    )


def _of_part(row: Row, steps: Mapping[str, JobStep]) -> str:
    """A part of the work in plain words: what of it the job has."""
    words = ", ".join(words for name, words in row.get("parts", {}).items() if name in steps)
    return words[:1].upper() + words[1:] or str(row["says"])


def _phase(says: str, means: str, steps: list[JobStep]) -> Phase:
    """Steps as one part of the work: their hours, and what is waited for that nothing else covers."""
    left = [step for step in steps if not step.done]
    wait = sum(step.wait for step in left if step.critical) or max((step.wait for step in left), default=0.0)
    return Phase(says=says, hours=sum(step.hours for step in left), wait=wait / DAY, means=means, done=not left)


# ---------------------------------------------------------------- to settle


@dataclass(frozen=True, kw_only=True)
class Settle:
    """What must be settled, what the authority decides, what the law asks of the client, and who signs."""

    holds: tuple[Hold, ...]
    consents: tuple[Consent, ...]
    granted: tuple[str, ...]
    duties: tuple[str, ...]
    handrail: bool
    revision: str


def settle(outcome: Outcome, about: About) -> Settle:
    """The last sheet."""
    notes = outcome.sheet.get(SafetyNotes)
    granted = tuple(
        r.reference for r in outcome.job.records if r.step == "consent" and r.outcome == "granted" and r.reference
    )
    return Settle(
        holds=holds(outcome, "client"),
        consents=notes.consents if notes else (),
        granted=granted,
        duties=notes.client if notes else (),
        handrail=any(finding.rule == "heights/dado-is-no-handrail" for finding in outcome.findings),
        revision=about.revision,
    )
