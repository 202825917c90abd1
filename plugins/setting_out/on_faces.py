"""Trim on the face of other trim, as on panelling or in front of a skirting, or that comes to it round a corner: how
far it stands off its wall, and how much shorter it is at its corners than along the wall. All mm, angles in degrees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import cos, inf, radians, sin

from listel.core.contract.findings import GEOMETRY, PRACTICE, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Corner, Ground, Job, Room, Trim, Wall
from listel.plugins.existing import Existing
from listel.plugins.setting_out.free_ends import NOT_SAID
from listel.plugins.setting_out.obstacles import Free
from listel.plugins.setting_out.results import Run
from listel.plugins.setting_out.settings import allowance, allowed, lengths
from listel.plugins.setting_out.whole import WholeRuns
from listel.plugins.site import RoomSite, corner_pairs, opening_name, tables

RULES = load_rules(__package__)

SQUARE = {"internal": 90.0, "external": 270.0}
"""What a corner whose angle was not taken is set out as, through the room, by its kind."""
CLEAR = 1.0
"""Trim whose underside is no lower than this under the top of panelling stands on it, not on its face."""
CAP = "wainscot-cap"
APART = 2.0
"""A cap farther than this from the top of its panelling is apart from it."""
AT_CORNER = ("corner", "step-out", "step-in")
"""What bounds a run that comes to a corner: at a step there, ``step-out`` the one that stands out further."""
REACHES = 5.0
"""Panelling that begins or ends this near to the end of a run begins or ends with it."""


def short_of_corner(theta: float, own: float, other: float) -> float:
    """How far short of the corner of two walls, ``theta`` through the room, two faces cross that stand ``own`` and
    ``other`` off them, along the wall of the own; past it where negative; 0 where they step past each other. Source:
    where two lines cross, derived."""
    if step_at_corner(theta, own, other):
        return 0.0
    return (other + own * cos(radians(theta))) / sin(radians(theta))


def step_at_corner(theta: float, own: float, other: float) -> float:
    """How far two such faces step past each other at an all but straight corner; 0 at any other. Source: derived."""
    return abs(own - other) if abs(180.0 - theta) < allowance("flat-corner") else 0.0


@dataclass(frozen=True, kw_only=True)
class AtCorner:
    """A run's end at a ``corner``, where its own back stands ``own`` off its wall and trim of its height ``other`` off
    the ``next_wall``."""

    corner: Corner
    own: float
    other: float
    next_wall: str

    @property
    def faces(self) -> tuple[float, float, float]:
        """The corner through the room, and how far the own and the other face stand off their walls."""
        return self.corner.through_room or SQUARE[self.corner.kind], self.own, self.other


@dataclass(frozen=True, kw_only=True)
class Face:
    """A stretch of trim that other trim stands on the face of: ``by`` names it; its face stands ``out`` off the wall
    and it is ``thick`` (None: not surveyed); ``top`` above the floor (None: not known)."""

    by: str
    member: str
    room: str
    wall: str
    start: float
    end: float
    out: float
    thick: float | None
    top: float | None = None
    start_at: str = NOT_SAID
    end_at: str = NOT_SAID
    packing: float | None = None
    """Of packing in front of the plaster: the height of its middle [mm]."""

    @property
    def into(self) -> bool:
        """Whether what stands on it is fixed into it alone, as into a skirting, and not through it."""
        return self.packing is None and not tables.goes_in_frames(self.member)

    def holds(self, run: Run) -> bool:
        """Whether a run at its height stands on it, wherever along the wall that is."""
        if self.packing is not None:
            return run.underside is not None and run.top is not None and run.underside <= self.packing <= run.top
        return self.member == tables.stands_before(run.member) if self.into else _lower(run, self)


class Faces:
    """The faces of a job that trim stands on, and how each run stands to them."""

    def __init__(self, job: Job, sheet: Sheet, runs: Sequence[Run]) -> None:
        self._job = job
        trims = {trim.name: trim for trim in job.trim}
        found = [_face(run, trims[run.trim], 0.0) for run in runs if tables.goes_in_frames(run.member)]
        found += _packing(job)
        self._faces = Lines(found)
        boards = {board for trim in job.trim if (board := tables.stands_before(trim.member))}
        if boards:
            found += [
                _face(run, trims[run.trim], self.off(run)) for run in runs if run.member in boards and not run.upright
            ]
            self._faces = Lines((*found, *_old_boards(job, sheet, boards)))
        self._beyond = _corners(job) if self._faces else {}
        self._held: dict[tuple[str, str, str, bool], float] = {}
        for each in filter(_along, runs) if self._faces else ():
            ends = [at_left for at_left in (True, False) if _in_corner(each, at_left)]
            self._held |= {(each.room, each.wall, each.member, at_left): self.off(each) for at_left in ends}

    def __bool__(self) -> bool:
        return bool(self._faces)

    def behind(self, run: Run) -> list[Face]:
        """Those on which a run stands."""
        return [
            face
            for face in self._on(run, run.wall)
            if face.start < run.end - REACHES and face.end > run.start + REACHES
        ]

    def off(self, run: Run) -> float:
        """How far they hold all of it off its wall."""
        return max((face.out for face in self.behind(run)), default=0.0)

    def into(self, run: Run) -> Face | None:
        """The board that a run is fixed into, the thinnest of several; None of one that stands on none."""
        boards = [face for face in self.behind(run) if face.into]
        return min(boards, key=lambda face: face.thick or 0.0, default=None)

    def backed(self, run: Run, stations: Sequence[float]) -> list[float]:
        """Those of the stations where one on which it stands is behind it; all of them where it stands on the wall, or
        none would be left."""
        behind = self.behind(run)
        there = [at for at in stations if any(face.start < at < face.end for face in behind)]
        return there or list(stations)

    def met(self, run: Run, at_left: bool) -> AtCorner | None:
        """How a run comes to the corner at its left end, or its right; None where it comes to none."""
        corner, other = self._beyond.get((run.room, run.wall, at_left), (None, ""))
        if corner is None or not _in_corner(run, at_left):
            return None
        return AtCorner(
            corner=corner,
            own=self._at_corner(run, run.wall, at_left),
            other=self._at_corner(run, other, not at_left),
            next_wall=other,
        )

    def short(self, run: Run, at_left: bool) -> float:
        """How far short of that corner the faces cross."""
        met = self.met(run, at_left)
        return short_of_corner(*met.faces) if met else 0.0

    def step(self, run: Run, at_left: bool) -> float:
        """How far a run stands out past the one it goes on as round the corner at its left end, or its right, where no
        cut brings the two together; negative where that stands out further, 0 where they meet."""
        met = self.met(run, at_left)
        if met is None or (run.room, met.next_wall, run.member, not at_left) not in self._held:
            return 0.0
        return step_at_corner(*met.faces) * (1.0 if met.own > met.other else -1.0)

    def bound(self, run: Run, at_left: bool) -> str:
        """What bounds a run at its left end, or its right, by what holds it, or the next, off its wall."""
        step = self.step(run, at_left)
        return ("step-out" if step > 0 else "step-in") if step else run.start_at if at_left else run.end_at

    def _at_corner(self, run: Run, wall: str, at_left: bool) -> float:
        there = [face.out for face in self._on(run, wall) if (face.start_at if at_left else face.end_at) in AT_CORNER]
        return max([self._held.get((run.room, wall, run.member, at_left), 0.0), *there])

    def _on(self, run: Run, wall: str) -> Iterator[Face]:
        """The faces of a wall, of those that a run at its height stands on."""
        yield from (face for face in self._faces.of(room=run.room, wall=wall) if face.holds(run))


def _face(run: Run, trim: Trim, off: float) -> Face:
    """A run as what other trim stands on the face of, at its foot where that is not as thick as the whole."""
    thick = trim.section.thick
    if tables.is_skirting(run.member) and trim.foot is not None:
        thick = trim.foot
    return Face(
        by=run.trim,
        member=run.member,
        room=run.room,
        wall=run.wall,
        start=run.start,
        end=run.end,
        out=off + (thick or 0.0),
        thick=thick,
        top=run.top,
        start_at=run.start_at,
        end_at=run.end_at,
    )


def _old_boards(job: Job, sheet: Sheet, members: Iterable[str]) -> Iterator[Face]:
    """The old boards that stay, in front of which new trim stands."""
    old = sheet.get(Existing) or Existing()
    for member in members:
        for room in job.rooms:
            for wall in room.walls:
                for piece in old.stays_at(room.name, wall.name, member):
                    far = wall.length.value if wall.length else inf
                    end = far if piece.end is None else piece.end
                    if not piece.flight:
                        yield Face(
                            by=piece.label,
                            member=member,
                            room=room.name,
                            wall=wall.name,
                            start=piece.start,
                            end=end,
                            out=piece.out or 0.0,
                            thick=piece.thick if piece.thick is not None else piece.out,
                            start_at="corner" if piece.start <= REACHES else NOT_SAID,
                            end_at="corner" if end >= far - REACHES else NOT_SAID,
                        )


def _packing(job: Job) -> Iterator[Face]:
    """The grounds that stand in front of the plaster, and hold trim at their height off it."""
    for room in job.rooms:
        for wall in room.walls:
            far = wall.length.value if wall.length else inf
            for ground in packings(wall):
                start, end = ground.start or 0.0, far if ground.end is None else ground.end
                yield Face(
                    by="packing",
                    member="",
                    room=room.name,
                    wall=wall.name,
                    start=start,
                    end=end,
                    out=ground.proud,
                    thick=ground.thickness,
                    start_at="corner" if start <= REACHES else NOT_SAID,
                    end_at="corner" if end >= far - REACHES else NOT_SAID,
                    packing=ground.height,
                )


def packings(wall: Wall) -> list[Ground]:
    """The grounds of a wall that stand in front of its plaster."""
    return [ground for ground in (wall.substrate.grounds if wall.substrate else ()) if ground.proud]


def along_the_board(
    job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall, runs: Sequence[Run], free: Sequence[Free]
) -> list[Free]:
    """The free stretches of a trim that stands in front of a board, each as far as new boards among the ``runs``, and
    old ones, go on behind it; as they are where none is there. Source: derived."""
    board = tables.stands_before(trim.member)
    if not board:
        return list(free)
    here = [run for run in runs if (run.room, run.wall, run.member) == (room.name, wall.name, board)]
    boards = _joined(
        [
            *(Free(run.start, run.end, run.start_at, run.end_at) for run in here),
            *(
                Free(face.start, face.end, face.start_at, face.end_at)
                for face in _old_boards(job, sheet, (board,))
                if (face.room, face.wall) == (room.name, wall.name)
            ),
        ]
    )
    if not boards:
        return list(free)
    return [
        Free(
            max(each.start, behind.start),
            min(each.end, behind.end),
            behind.start_at if behind.start > each.start else each.start_at,
            behind.end_at if behind.end < each.end else each.end_at,
        )
        for each in free
        for behind in boards
        if min(each.end, behind.end) > max(each.start, behind.start)
    ]


def _joined(stretches: Sequence[Free]) -> list[Free]:
    """Stretches that touch, or lap, as one."""
    found: list[Free] = []
    for each in sorted(stretches, key=lambda stretch: stretch.start):
        if found and each.start <= found[-1].end + REACHES:
            last = found.pop()
            far = max((last, each), key=lambda stretch: stretch.end)
            each = Free(last.start, far.end, last.start_at, far.end_at)
        found.append(each)
    return found


def down_to_the_floor(site: RoomSite, top: float | None) -> float | None:
    """How far panelling reaches down from its top, so high above the floor that heights are counted from: to the
    highest floor of the room, on which its foot is level; None where its top is not known. Source: derived."""
    reference = site.room.reference
    if top is None or reference is None:
        return top
    return top - reference + min(site.floor_readings, default=reference)


def framed_stretch(site: RoomSite, run: Run) -> Run:
    """A stretch of panelling, down to its foot."""
    down = down_to_the_floor(site, run.top)
    return replace(run, underside=None if run.top is None or down is None else run.top - down)


def on_faces(job: Job, sheet: Sheet, runs: Sequence[Run]) -> list[Run]:
    """The runs, those along walls with how far off the wall other trim holds them, and how much shorter they are at
    their corners for it."""
    faces = Faces(job, sheet, runs)
    if not faces:
        return list(runs)

    def placed(run: Run) -> Run:
        if not _along(run):
            return run
        into = faces.into(run)
        return replace(
            run,
            start_at=faces.bound(run, True),
            end_at=faces.bound(run, False),
            off=faces.off(run),
            left_short=faces.short(run, True),
            right_short=faces.short(run, False),
            board=into.by if into else "",
            board_thick=into.thick if into else None,
        )

    return [placed(run) for run in runs]


def told_of_faces(job: Job, sheet: Sheet, laid: WholeRuns) -> Iterator[Finding]:
    """What is to be said of trim on the face of other trim, all heights above the floor that heights are counted
    from."""
    panelled, faces = Lines(laid.panelled), Faces(job, sheet, (*laid.runs, *laid.panelled))
    yield from past_the_end(job, laid.runs, faces)
    yield from steps_at_corners(job, laid.runs, faces)
    yield from nothing_behind(job, laid.runs)
    yield from caps_apart(job, laid.runs, panelled)
    yield from bare_under_windows(job, panelled)
    yield from over_the_sill(job)


def past_the_end(job: Job, runs: Iterable[Run], faces: Faces) -> Iterator[Finding]:
    """Each run that goes on along its wall past the trim on whose face it stands."""
    show = lengths(job)
    for run in runs:
        behind = faces.behind(run) if run.off else []
        for face in behind:
            on = [other for other in behind if other is not face]
            ends = [
                at
                for at in (face.start, face.end)
                if run.start + REACHES < at < run.end - REACHES
                and not any(other.start - REACHES <= at <= other.end + REACHES for other in on)
            ]
            for at in ends:
                yield RULES["past-what-it-stands-on"].told(
                    "caution",
                    f"On wall {run.wall} the {run.trim} goes on past the end of the {face.by} at {show(at)}, on "
                    f"whose face it stands {show(run.off)} off the wall: it is set out in one piece, so far off to its "
                    "end, where it is cut to what meets it, with nothing behind it there.",
                    Where(run.room, run.wall, run.trim, station=at),
                    Grounds((Input("off the wall", run.off, "mm"),), sources=(PRACTICE,)),
                    f"put a ground {show(run.off)} thick behind it from there on, let the {face.by} go on too, or "
                    "return it into itself there",
                )


def steps_at_corners(job: Job, runs: Sequence[Run], faces: Faces) -> Iterator[Finding]:
    """One caution for each all but straight corner at which a trim goes on from the face of other trim to a face that
    stands less far off its wall, told at the wall of the former."""
    for run, at_left in ((run, at_left) for run in runs if _along(run) for at_left in (True, False)):
        met = faces.met(run, at_left)
        if met and faces.step(run, at_left) > 0:
            yield _steps(job, run, at_left, met)


def _steps(job: Job, run: Run, at_left: bool, met: AtCorner) -> Finding:
    show, step, (_, flat, sources) = lengths(job), step_at_corner(*met.faces), allowed("flat-corner")
    corner = "/".join((met.next_wall, run.wall) if at_left else (run.wall, met.next_wall))
    beyond = f"{show(met.other)} off wall {met.next_wall}" if met.other else f"on wall {met.next_wall} itself"
    return RULES["steps-at-corner"].told(
        "caution",
        f"At corner {corner}, which is all but straight, the {run.trim} steps by {show(step)}: it stands "
        f"{show(met.own)} off wall {run.wall}, on the face of what is behind it, and {beyond}, so its pieces do not "
        f"meet in one face: that on wall {run.wall} is returned into itself there, that on wall {met.next_wall} butts "
        "on the edge of what stands out.",
        Where(run.room, run.wall, run.trim, station=run.start if at_left else run.end),
        Grounds(
            (
                Input("corner through the room", met.faces[0], "deg", job.line(met.corner, "angle")),
                Input(f"off wall {run.wall}", met.own, "mm"),
                Input(f"off wall {met.next_wall}", met.other, "mm"),
                flat,
            ),
            "at an all but straight corner the one less the other",
            f"{met.own:g} - {met.other:g}",
            f"{step:g} mm",
            (GEOMETRY, *sources),
        ),
        f"put a ground {show(step)} thick behind it on wall {met.next_wall}, and mitre the two by a trial in waste; "
        "else cut both ends last, by what is there",
        step=step,
    )


def nothing_behind(job: Job, runs: Iterable[Run]) -> Iterator[Finding]:
    """One caution for each trim and room that stands in front of a board, but on walls where none is listed."""
    bare: dict[tuple[str, str], dict[str, None]] = {}
    for run in runs:
        if tables.stands_before(run.member) and not run.board:
            bare.setdefault((run.room, run.trim), {})[run.wall] = None
    for (room, name), walls in bare.items():
        trim = job.trim_named(name)
        board = tables.member(tables.stands_before(trim.member))["says"]
        many = "walls" if len(walls) > 1 else "wall"
        yield RULES["nothing-behind"].lacking(
            f"the {board} in front of which the {name} stands on {many} {', '.join(walls)} of the {room}",
            "how long its pieces are at corners, where it stops, and what it is fixed into: it is cut to the bare wall "
            "and fixed to that",
            Where(room, trim=name, line=job.line(trim)),
            f"list the {board} of those walls, an old one under existing with its section",
        )


def caps_apart(job: Job, runs: Iterable[Run], panelled: Lines[Run]) -> Iterator[Finding]:
    """One caution for each cap and room that neither lies on its panelling nor is let over its edge."""
    show, told = lengths(job), set[tuple[str, str]]()
    for run in runs:
        for frame in panelled.of(room=run.room, wall=run.wall) if run.member == CAP else ():
            if run.top is None or run.underside is None or frame.top is None or (run.room, run.trim) in told:
                continue
            over, under = run.underside - frame.top, frame.top - run.top
            apart = max(over, under)
            if apart > APART and frame.start < run.end and frame.end > run.start:
                told.add((run.room, run.trim))
                yield RULES["cap-apart"].told(
                    "caution",
                    f"The {run.trim} in the {run.room} stands {show(apart)} {'over' if over > under else 'under'} the "
                    f"top of the {frame.trim}.",
                    Where(run.room, run.wall, run.trim, line=job.line(job.trim_named(run.trim), "top")),
                    Grounds(
                        (
                            Input("underside of the cap above the floor", run.underside, "mm"),
                            Input("top of the cap above the floor", run.top, "mm"),
                            Input("top of the panelling above the floor", frame.top, "mm"),
                        ),
                        "a cap lies on the panelling, or is let over its edge",
                        sources=(GEOMETRY,),
                    ),
                    "give the cap's top as that of the panelling and its own height, or leave its top out",
                    apart=apart,
                )


def bare_under_windows(job: Job, panelled: Lines[Run]) -> Iterator[Finding]:
    """One finding for each window over a sill lower than the panelling beside it: the wall under it stays bare."""
    show = lengths(job)
    for room in job.rooms:
        for wall in room.walls:
            beside = panelled.of(room=room.name, wall=wall.name)
            highest = max((frame.top for frame in beside if frame.top is not None), default=0.0)
            for opening in wall.openings:
                sill = opening.sill or 0.0
                there = any(frame.start < opening.end and frame.end > opening.at for frame in beside)
                if opening.kind == "window" and 0.0 < sill < highest and not there:
                    yield RULES["bare-under-window"].told(
                        "advice",
                        f"Under the {opening_name(job, opening)} on wall {wall.name} the wall stays bare, {show(sill)} "
                        f"high: the {beside[0].trim} beside it stops there.",
                        Where(room.name, wall.name, beside[0].trim, station=opening.at, line=job.line(opening)),
                        Grounds((Input("sill", sill, "mm"), Input("top of the panelling", highest, "mm"))),
                        "where a window back is wanted, list it as a wainscot of its own, from and to the sides of the "
                        "window, its top under the sill",
                    )


def over_the_sill(job: Job) -> Iterator[Finding]:
    """Each panelling that is to stand within the sides of a window and higher than its sill: none is set out there."""
    show = lengths(job)
    for trim in (trim for trim in job.trim if tables.goes_in_frames(trim.member)):
        for room, wall, start, end in job.places(trim):
            top, line = job.top_asked(trim, room.name)
            for opening in wall.openings:
                within = end is not None and opening.at <= start and end <= opening.end
                if opening.kind != "window" or not within or top is None or top <= (opening.sill or 0.0):
                    continue
                over = top - (opening.sill or 0.0)
                yield RULES["over-the-sill"].told(
                    "hold",
                    f"The {trim.name} would stand {show(over)} over the sill of the {opening_name(job, opening)} on "
                    f"wall {wall.name}: none is set out, made or counted there.",
                    Where(room.name, wall.name, trim.name, station=opening.at, line=line),
                    Grounds(
                        (
                            Input("its top", top, "mm", line),
                            Input("sill", opening.sill or 0.0, "mm", job.line(opening, "sill")),
                        ),
                        "its top less the sill",
                        sources=(GEOMETRY,),
                    ),
                    "measure the sill again from the floor, and give the panelling a top no higher",
                    over=over,
                )


def _along(run: Run) -> bool:
    """Whether a run goes along its wall."""
    return not run.upright and tables.goes_along_walls(run.member)


def _in_corner(run: Run, at_left: bool) -> bool:
    """Whether a run ends in the corner at the left, or the right, of its wall."""
    return (run.start_at if at_left else run.end_at) in AT_CORNER


def _corners(job: Job) -> Mapping[tuple[str, str, bool], tuple[Corner | None, str]]:
    """The corner at the left (True) and at the right end of each wall, with the wall beyond it."""
    found: dict[tuple[str, str, bool], tuple[Corner | None, str]] = {}
    for room in job.rooms:
        for first, second in corner_pairs(room):
            found[room.name, first.name, False] = (first.corner, second.name)
            found[room.name, second.name, True] = (first.corner, first.name)
    return found


def _lower(run: Run, face: Face) -> bool:
    """Whether a run comes lower than the top of panelling; of unknown height it does where it stands on the floor."""
    if run.underside is None or face.top is None:
        return bool(tables.member(run.member).get("stands"))
    return run.underside < face.top - CLEAR
