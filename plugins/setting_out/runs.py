"""Runs: the unbroken stretches of each trim on each wall, and the architraves round the openings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field, replace

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.setting_out.frames import frame_runs
from listel.plugins.setting_out.free_ends import SAID, free_ends, with_free_ends
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
from listel.plugins.setting_out.on_faces import along_the_board, on_faces, packings
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

    def take(self, found: Iterable[Run | Finding]) -> None:
        """Add runs, and what is said of them."""
        for one in found:
            if isinstance(one, Run):
                self.runs.append(one)
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
                laid.take(under_windows(job, trim, room, wall, start, end))
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
    parts, missing = stretches(job, sheet, trim, room, wall, start, end)
    things, more = obstacles(job, sheet[Site], trim, room, wall)
    things += old_work(job, sheet, trim, room, wall)
    left, right = corners_to_old(job, sheet, trim, room, wall)
    outs = farthest_out(left), farthest_out(right)
    for finding in (*missing, *more):
        laid.say(finding)
    grounds = line_grounds(job, trim, room, wall, level_of(job, sheet, trim, room))
    for stretch in parts:
        if stretch.left_to:
            laid.blocked.append(
                Blocked(
                    room=room.name,
                    wall=wall.name,
                    trim=trim.name,
                    start=stretch.start,
                    end=stretch.end,
                    by=stretch.left_to,
                )
            )
            continue
        under = under_stair(sheet[Site].rooms[room.name], trim, wall, stretch)
        in_the_way = [thing for thing in (*things, *under) if blocks(thing, stretch, trim.member)]
        passed = [thing for thing in in_the_way if _packed_past(wall, stretch, thing)]
        for thing in passed:
            laid.say(_passes(job, trim, room, wall, thing))
        met = [cut_through(thing, stretch) for thing in in_the_way if thing not in passed]
        for thing in met:
            if thing.kind == "winders":
                laid.say(_winders(job, trim, room, wall, thing))
            if thing.way == "notch":
                _notch(job, trim, room, wall, thing, laid)
                if not stretch.pitch:
                    laid.notched.append(
                        Notched(
                            room=room.name,
                            wall=wall.name,
                            trim=trim.name,
                            start=thing.start,
                            end=thing.end,
                            low=thing.low,
                            high=thing.high,
                            by=thing.by,
                        )
                    )
            elif thing.way != "stop" and thing.end > stretch.start and thing.start < stretch.end:
                _runs_on(job, trim, room, wall, thing, laid)
        solid = uncovered([thing for thing in met if thing.way == "stop"])
        stopped = _as_the_board(trim, room, wall, stretch, laid)
        known = {each.by for each in stopped}
        for thing in solid:
            low, high = max(thing.start, stretch.start), min(thing.end, stretch.end)
            if high > low and thing.plate:
                laid.say(_at_a_plate(job, trim, room, wall, thing))
            elif high > low and thing.close:
                laid.say(_close_to(job, trim, room, wall, thing))
            if high > low and thing.by not in known:
                stopped.append(
                    Blocked(room=room.name, wall=wall.name, trim=trim.name, start=low, end=high, by=thing.by)
                )
        beside = [*solid, *old_beside(job, sheet, trim, room, wall)]
        laid.blocked += stopped
        for free in along_the_board(job, sheet, trim, room, wall, laid.runs, free_stretches(stretch, solid)):
            start_at = "old-corner" if left and free.start_at == "corner" else free.start_at
            end_at = "old-corner" if right and free.end_at == "corner" else free.end_at
            free = with_free_ends(job, trim, room, wall, start, replace(free, start_at=start_at, end_at=end_at), beside)
            _run(job, trim, room, wall, stretch, free, outs, grounds, laid)


def _as_the_board(trim: Trim, room: Room, wall: Wall, stretch: Stretch, laid: Laid) -> list[Blocked]:
    """What stops the board in front of which a trim stands, which stops it too."""
    board = tables.stands_before(trim.member)
    boards = {run.trim for run in laid.runs if run.member == board} if board else ()
    return [
        replace(each, trim=trim.name)
        for each in laid.blocked
        if (each.room, each.wall) == (room.name, wall.name)
        and each.trim in boards
        and each.start < stretch.end
        and each.end > stretch.start
    ]


def _run(
    job: Job,
    trim: Trim,
    room: Room,
    wall: Wall,
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
        show = lengths(job)
        laid.blocked.append(
            Blocked(
                room=room.name,
                wall=wall.name,
                trim=trim.name,
                start=free.start,
                end=free.end,
                by="too short to be a piece",
            )
        )
        laid.say(
            RULES["too-short"].told(
                "advice",
                f"On wall {wall.name} only {show(free.end - free.start)} is left for the {trim.name} between "
                f"{_between(free)}: "
                "too short to be a piece of its own. Fill it with a block, or widen what stands beside it.",
                Where(room.name, wall.name, trim.name, station=free.start),
                Grounds((Input("stretch left", free.end - free.start, "mm"), shown), sources=sources),
            )
        )
        return
    top = stretch.top_at(free.start)
    under = None if top is None or stretch.depth is None else top - stretch.depth
    laid.runs.append(
        Run(
            room=room.name,
            wall=wall.name,
            trim=trim.name,
            member=trim.member,
            start=free.start,
            end=free.end,
            underside=under,
            top=top,
            pitch=stretch.pitch,
            start_at=free.start_at,
            end_at=free.end_at,
            base=wall.raised or 0.0,
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


def _winders(job: Job, trim: Trim, room: Room, wall: Wall, thing: Obstacle) -> Finding:
    """What is missing where steps wind round a corner."""
    show = lengths(job)
    return RULES["winders-not-surveyed"].lacking(
        f"where the risers of the winders meet wall {wall.name} and the next one round the corner",
        f"how steep the {trim.name} is at each of them: none is set out from {show(thing.start)} to {show(thing.end)}",
        Where(room.name, wall.name, trim.name, station=thing.start, line=job.line(wall)),
        "mark each of those risers on the wall and give its station under risers of the winders, on both walls and "
        "with the steps of the flights; or give their number and the newel",
    )


def _notch(job: Job, trim: Trim, room: Room, wall: Wall, thing: Obstacle, laid: Laid) -> None:
    show = lengths(job)
    laid.say(
        RULES["notch"].told(
            "record",
            f"The {trim.name} on wall {wall.name} is notched round the {thing.by}, from {show(thing.start)} to "
            f"{show(thing.end)}.",
            Where(room.name, wall.name, trim.name, station=thing.start),
        )
    )


def _at_a_plate(job: Job, trim: Trim, room: Room, wall: Wall, plate: Obstacle) -> Finding:
    """A moulding that stops at an electrical plate, which may be moved before anything is cut."""
    show = lengths(job)
    return RULES["stops-at-plate"].told(
        "caution",
        f"The {plate.by} stands in the height of the {trim.name} on wall {wall.name}, which is cut there, from "
        f"{show(plate.start)} to {show(plate.end)}.",
        Where(room.name, wall.name, trim.name, station=plate.start),
        Grounds((Input("cut out of it", plate.end - plate.start, "mm"),), sources=RULES["stops-at-plate"].sources),
        "before anything is cut have its electrician move it clear, or set it in the face of the trim, as the owner "
        "and whoever protects the building agree; then give its new height",
    )


def _packed_past(wall: Wall, stretch: Stretch, thing: Obstacle) -> bool:
    """Whether packing behind a moulding holds it off the wall as far as a pipe stands out, all along that."""
    band = stretch.band(thing.start, thing.end)
    if thing.way not in ("notch", "along") or thing.out is None or band is None:
        return False
    low, high = max(thing.start, stretch.start), min(thing.end, stretch.end)
    return any(
        ground.proud >= thing.out
        and band[0] <= ground.height <= band[1]
        and (ground.start or 0.0) <= low
        and (ground.end is None or high <= ground.end)
        for ground in packings(wall)
    )


def _passes(job: Job, trim: Trim, room: Room, wall: Wall, thing: Obstacle) -> Finding:
    """A moulding that is packed out past a pipe."""
    show = lengths(job)
    return RULES["packed-past"].told(
        "record",
        f"The {trim.name} on wall {wall.name} is packed out past the {thing.by}, from {show(thing.start)} to "
        f"{show(thing.end)}, and is not cut for it; the packing leaves it free. Its own trade says first "
        "whether it may be shut in, of gas a registered gas engineer.",
        Where(room.name, wall.name, trim.name, station=thing.start),
        Grounds(
            (Input("how far it stands out", thing.out or 0.0, "mm"),),
            "packing at the height of the trim, at least as thick as that",
            sources=RULES["packed-past"].sources,
        ),
    )


def _close_to(job: Job, trim: Trim, room: Room, wall: Wall, thing: Obstacle) -> Finding:
    """A moulding that ends so close beside a fitting that it is cut square there."""
    show, (least, shown, sources) = lengths(job), allowed("return-room")
    return RULES["cut-square-beside"].told(
        "record",
        f"The {trim.name} on wall {wall.name} is cut square at each side of the {thing.by}, {show(thing.clear)} clear "
        f"of it, from {show(thing.start)} to {show(thing.end)}; scribe it to a pipe.",
        Where(room.name, wall.name, trim.name, station=thing.start),
        Grounds(
            (Input("kept clear at each side", thing.clear, "mm"), shown),
            f"a return is made where at least {show(least)} is beside it: in less it is neither seen, nor held to be "
            "glued",
            sources=(*RULES["cut-square-beside"].sources, *sources),
        ),
    )


def _runs_on(job: Job, trim: Trim, room: Room, wall: Wall, thing: Obstacle, laid: Laid) -> None:
    """A moulding that runs on where something may be, or behind what comes off."""
    show = lengths(job)
    where = Where(room.name, wall.name, trim.name, station=thing.start)
    stops = f"else it stops at {show(thing.start)} and goes on from {show(thing.end)}"
    if thing.way == "along":
        laid.say(_runs_along(job, trim, where, thing))
    elif thing.way == "may-be-apron":
        laid.say(
            RULES["apron-not-surveyed"].lacking(
                f"whether an apron hangs below the sill of the {thing.by} on wall {wall.name}",
                f"whether the {trim.name} runs on under it: it is set out in one, as if there were none; {stops}",
                where,
                "give its apron, 0 for none",
            )
        )
    elif thing.way == "may-come-off":
        laid.say(
            RULES["taken-off-not-said"].lacking(
                f"whether the {thing.by} on wall {wall.name} is taken off",
                f"whether the {trim.name} runs behind it: it is set out in one, as is usual; {stops}",
                where,
                "give its taken-off, true or false",
            )
        )
    else:
        laid.say(
            RULES["runs-behind"].told(
                "record",
                f"The {trim.name} on wall {wall.name} runs behind the {thing.by}, from {show(thing.start)} to "
                f"{show(thing.end)}: take that off first, and {_stays_behind(wall, thing)}.",
                where,
            )
        )
        lacks = _not_surveyed_behind(wall, thing)
        if lacks:
            laid.say(
                RULES["behind-not-surveyed"].lacking(
                    f"the {lacks} of the {thing.by} on wall {wall.name}",
                    f"where the {trim.name} is notched or bored behind it: no cut-out is reckoned for them",
                    where,
                    "list each as a fitting, radiator-bracket or radiator-tail, with its place, height and size",
                )
            )


def _runs_along(job: Job, trim: Trim, where: Where, thing: Obstacle) -> Finding:
    """A pipe along a moulding, which no notch takes."""
    show, (most, shown, sources) = lengths(job), allowed("notch-along")
    return RULES["runs-along"].told(
        "caution",
        f"The {thing.by} on wall {where.wall} runs along in the height of the {trim.name}, from {show(thing.start)} to "
        f"{show(thing.end)}: that is no notch, and would saw it in two. It is set out in one, as if it were gone.",
        where,
        Grounds(
            (Input("along the wall, clearances included", thing.end - thing.start, "mm"), shown),
            f"a notch or a hole is no longer than {show(most)}",
            sources=(*RULES["runs-along"].sources, *sources),
        ),
        "before anything is cut have it moved by its own trade, gas by a registered gas engineer and nobody else, and "
        "give its new place; or box it in and list the boxing as a fitting; or pack the trim out past it, as the owner "
        "and whoever protects the building agree, and give its projection, and each strip of packing under grounds, "
        "with its height, and behind: -30 where it is 30 mm thick. No fixing goes near it meanwhile",
        along=thing.end - thing.start,
    )


def _stays_behind(wall: Wall, thing: Obstacle) -> str:
    """What is done about what stays on the wall of a thing that is taken off."""
    if "radiator" in _kinds_at(wall, thing):
        return "notch or bore for its brackets and tails where they stand"
    return "cut round what stays of it on the wall"


def _kinds_at(wall: Wall, thing: Obstacle) -> set[str]:
    """The kinds of the fittings where a thing stands."""
    return {item.kind for item in wall.fittings if item.at < thing.end and item.at + (item.width or 0.0) > thing.start}


def _not_surveyed_behind(wall: Wall, thing: Obstacle) -> str:
    """Which of its brackets and tails were not surveyed of a radiator that is taken off; "" where all were."""
    there = _kinds_at(wall, thing)
    holds = {"radiator-bracket": "brackets", "radiator-tail": "tails"} if "radiator" in there else {}
    return " and ".join(word for kind, word in holds.items() if kind not in there)


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
