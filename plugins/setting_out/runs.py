"""Runs: the unbroken stretches of each trim on each wall, and the architraves round the openings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import field, replace

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.setting_out.frames import frame_runs
from listel.plugins.setting_out.free_ends import SAID, free_ends, with_free_ends
from listel.plugins.setting_out.in_the_way import (
    Here,
    at_a_plate,
    close_to,
    notched,
    packed_past,
    passes,
    runs_on,
    winders_not_surveyed,
)
from listel.plugins.setting_out.linings import which_are_one
from listel.plugins.setting_out.member_lines import Stretch, level_of, line_grounds, stretches
from listel.plugins.setting_out.obstacles import (
    Free,
    Obstacle,
    blocks,
    cut_through,
    free_stretches,
    obstacles,
    uncovered,
    under_stair,
)
from listel.plugins.setting_out.old_work import OLD, corners_to_old, farthest_out, old_beside, old_work
from listel.plugins.setting_out.on_faces import along_the_board, on_faces
from listel.plugins.setting_out.results import Blocked, Notched, Run
from listel.plugins.setting_out.round_openings import round_openings
from listel.plugins.setting_out.settings import allowed, lengths
from listel.plugins.setting_out.under_windows import at_windows, under_windows
from listel.plugins.site import Site, tables

RULES = load_rules(__package__)


@dataclass
class Laid:
    """What has been laid out so far: runs, stretches that are blocked, and what there is to say about them."""

    runs: list[Run] = field(default_factory=list)
    blocked: list[Blocked] = field(default_factory=list)
    notched: list[Notched] = field(default_factory=list)
    findings: dict[Finding, None] = field(default_factory=dict)

    def say(self, finding: Finding) -> None:
        """Add a finding, once."""
        self.findings.setdefault(finding)

    def take(self, found: Iterable[Run | Blocked | Finding]) -> None:
        """Add runs, what stops them, and what is said of them."""
        for one in found:
            if isinstance(one, Run):
                self.runs.append(one)
            elif isinstance(one, Blocked):
                self.blocked.append(one)
            else:
                self.say(one)


def lay_out(job: Job, sheet: Sheet) -> Laid:
    """Every run of every trim of the job, in the order of the survey."""
    laid = Laid()
    for trim in sorted(job.trim, key=lambda each: bool(tables.stands_before(each.member))):
        for room, wall, start, end in job.places(trim):
            if tables.goes_round_openings(trim.member):
                laid.take(round_openings(job, sheet, trim, room, wall, start, end))
            elif tables.goes_round_panels(trim.member):
                laid.take(frame_runs(job, sheet, trim, room, wall))
            elif tables.goes_under_windows(trim.member):
                laid.take(under_windows(job, sheet[Site], trim, room, wall, start, end))
            elif tables.goes_at_windows(trim.member):
                laid.take(at_windows(job, trim, room, wall, start, end))
            elif not tables.on_walls(trim.member):
                continue
            elif end is None:
                laid.say(
                    RULES["wall-length"].lacking(
                        f"length of wall {wall.name}",
                        "every run and piece on that wall; none is set out there",
                        Where(room.name, wall.name, line=job.line(wall)),
                    )
                )
            elif end - start > 0:
                _along_wall(job, sheet, trim, room, wall, start, end, laid)
    order = {trim.name: number for number, trim in enumerate(job.trim)}
    laid.runs.sort(key=lambda run: order[run.trim])
    laid.take(which_are_one(job, sheet[Site]))
    laid.runs = on_faces(job, sheet, laid.runs)
    _unknown_heights(job, sheet, laid)
    laid.findings |= dict.fromkeys(free_ends(job, laid.runs))
    _left_out(job, laid)
    return laid


def _along_wall(
    job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall, start: float, end: float, laid: Laid
) -> None:
    """The runs of one trim along one wall."""
    here = Here(job=job, trim=trim, room=room, wall=wall)
    parts, missing = stretches(job, sheet, trim, room, wall, start, end)
    things, more = obstacles(job, sheet[Site], trim, room, wall)
    things += old_work(job, sheet, trim, room, wall)
    left, right = corners_to_old(job, sheet, trim, room, wall)
    outs = farthest_out(left), farthest_out(right)
    laid.take((*missing, *more))
    grounds = line_grounds(job, trim, room, wall, level_of(job, sheet, trim, room))
    for stretch in parts:
        if stretch.left_to:
            laid.blocked.append(here.blocked(stretch.start, stretch.end, stretch.left_to))
            continue
        under = under_stair(sheet[Site].rooms[room.name], trim, wall, stretch)
        met = _met(here, [*things, *under], stretch, laid)
        solid = uncovered([thing for thing in met if thing.way == "stop"])
        laid.blocked += _stopped(here, solid, stretch, laid)
        beside = [*solid, *old_beside(job, sheet, trim, room, wall)]
        for free in along_the_board(job, sheet, trim, room, wall, laid.runs, free_stretches(stretch, solid)):
            start_at = "old-corner" if left and free.start_at == "corner" else free.start_at
            end_at = "old-corner" if right and free.end_at == "corner" else free.end_at
            free = with_free_ends(job, trim, room, wall, start, replace(free, start_at=start_at, end_at=end_at), beside)
            _run(here, stretch, free, outs, grounds, laid)


def _met(here: Here, things: Sequence[Obstacle], stretch: Stretch, laid: Laid) -> list[Obstacle]:
    """What a stretch of a trim meets, less what it is packed out past; what is said of it, and the notches."""
    found = []
    for each in things:
        if not blocks(each, stretch, here.trim.member):
            continue
        if packed_past(here.wall, stretch, each):
            laid.say(passes(here, each))
            continue
        thing = cut_through(each, stretch)
        found.append(thing)
        if thing.kind == "winders":
            laid.say(winders_not_surveyed(here, thing))
        if thing.way == "notch":
            laid.say(at_a_plate(here, thing) if thing.plate else notched(here, thing))
            if not stretch.pitch:
                laid.notched.append(here.notched(thing))
        elif thing.way != "stop" and thing.end > stretch.start and thing.start < stretch.end:
            laid.take(runs_on(here, thing))
    return found


def _stopped(here: Here, solid: Sequence[Obstacle], stretch: Stretch, laid: Laid) -> list[Blocked]:
    """Where a stretch of a trim stops, and what is said of it: what stops the board it stands in front of stops it
    too."""
    found = _as_the_board(here, stretch, laid)
    known = {each.by for each in found}
    for thing in solid:
        low, high = max(thing.start, stretch.start), min(thing.end, stretch.end)
        if high <= low:
            continue
        if thing.plate:
            laid.say(at_a_plate(here, thing))
        elif thing.close:
            laid.say(close_to(here, thing))
        if thing.by not in known:
            found.append(here.blocked(low, high, thing.by))
    return found


def _as_the_board(here: Here, stretch: Stretch, laid: Laid) -> list[Blocked]:
    """What stops the board in front of which a trim stands, which stops it too."""
    board = tables.stands_before(here.trim.member)
    boards = {run.trim for run in laid.runs if run.member == board} if board else ()
    return [
        replace(each, trim=here.trim.name)
        for each in laid.blocked
        if (each.room, each.wall) == (here.room.name, here.wall.name)
        and each.trim in boards
        and each.start < stretch.end
        and each.end > stretch.start
    ]


def _run(
    here: Here,
    stretch: Stretch,
    free: Free,
    outs: tuple[float | None, float | None],
    grounds: Grounds,
    laid: Laid,
) -> None:
    """One free stretch as a run, or as a stretch too short to be a piece; ``outs``: how far old work round the left and
    the right corner stands out."""
    least, shown, sources = allowed("least-piece")
    if free.end - free.start < least:
        show = lengths(here.job)
        laid.blocked.append(here.blocked(free.start, free.end, "too short to be a piece"))
        laid.say(
            RULES["too-short"].told(
                "advice",
                f"On wall {here.wall.name} only {show(free.end - free.start)} is left for the {here.name} between "
                f"{_between(free)}: too short to be a piece of its own. Fill it with a block, or widen what stands "
                "beside it.",
                here.where(free.start),
                Grounds((Input("stretch left", free.end - free.start, "mm"), shown), sources=sources),
            )
        )
        return
    top = stretch.top_at(free.start)
    under = None if top is None or stretch.depth is None else top - stretch.depth
    laid.runs.append(
        Run(
            room=here.room.name,
            wall=here.wall.name,
            trim=here.trim.name,
            member=here.trim.member,
            start=free.start,
            end=free.end,
            underside=under,
            top=top,
            pitch=stretch.pitch,
            start_at=free.start_at,
            end_at=free.end_at,
            base=here.wall.raised or 0.0,
            reach=stretch.local,
            left_old=outs[0] if free.start_at == "old-corner" else None,
            right_old=outs[1] if free.end_at == "old-corner" else None,
            grounds=grounds,
        )
    )


def _between(free: Free) -> str:
    words = {
        "corner": "a corner",
        "architrave": "an architrave",
        "plinth-block": "a plinth block",
        "fitting": "a fitting",
        "close-fitting": "a fitting",
        "opening": "an opening",
        "hearth": "a chimneypiece",
        "string": "a wall string",
        "skirting": "the skirting",
        "stair": "a stair",
        "winders": "winders",
        **SAID,
        "knee": "a knee",
        **OLD,
    }
    return f"{words[free.start_at]} and {words[free.end_at]}"


def _left_out(job: Job, laid: Laid) -> None:
    """One finding for each trim and room that names every stretch of wall the trim does not take, and why."""
    show = lengths(job)
    rooms: dict[tuple[str, str], list[Blocked]] = {}
    for each in laid.blocked:
        rooms.setdefault((each.trim, each.room), []).append(each)
    for (trim, room), blocked in rooms.items():
        places = "; ".join(
            f"wall {each.wall}, {show(each.start)} to {show(each.end)} ({each.by})" for each in dict.fromkeys(blocked)
        )
        says = f"The {trim} in the {room} leaves out: {places}."
        inputs = tuple(Input(f"left out on wall {each.wall}", each.end - each.start, "mm") for each in blocked)
        grounds = Grounds(inputs, "what stands in the height of the trim, with its clearance", sources=(GEOMETRY,))
        laid.say(RULES["left-out"].told("record", says, Where(room, trim=trim), grounds))


def _unknown_heights(job: Job, sheet: Sheet, laid: Laid) -> None:
    """One finding for each trim and room whose height is not settled."""
    seen: set[tuple[str, str]] = set()
    for run in laid.runs:
        key = (run.room, run.trim)
        if tables.framed(run.member) or run.top is not None or key in seen:
            continue
        seen.add(key)
        trim = job.trim_named(run.trim)
        if board := tables.sits_on(trim.member):
            lacks = (
                f"its own height or {board}'s" if trim.section.height is None else f"one height of the {board} there"
            )
            laid.say(
                RULES["board-under-not-known"].lacking(
                    f"what the {run.trim} in the {run.room} sits on: {lacks}",
                    "how high it stands, and which windows and fittings it meets",
                    Where(run.room, trim=run.trim, line=job.line(trim)),
                    mend=f"give the height of every {board} under it; where they differ, make it a trim of its own for "
                    "each, or give its top",
                )
            )
            continue
        laid.say(
            RULES["height-unknown"].lacking(
                f"height of the {run.trim} in the {run.room}",
                "which windows and fittings it meets; its runs leave out only what is sure to stop it",
                Where(run.room, trim=run.trim, line=job.line(trim)),
                mend="settle the height, then set out again",
            )
        )
