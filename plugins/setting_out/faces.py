"""Faces of trim, and of packing, that other trim stands on: how far each stands off its wall, and how trim on them
comes to a corner. All mm, angles in degrees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import cos, inf, radians, sin

from listel.core.contract.lines import Lines
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Corner, Ground, Job, Trim, Wall
from listel.plugins.existing import Existing
from listel.plugins.setting_out.free_ends import NOT_SAID
from listel.plugins.setting_out.results import Run
from listel.plugins.setting_out.settings import allowance
from listel.plugins.site import corner_pairs, tables

SQUARE = {"internal": 90.0, "external": 270.0}
"""What a corner whose angle was not taken is set out as, through the room, by its kind."""
CLEAR = 1.0
"""Trim whose underside is no lower than this under the top of panelling stands on it, not on its face."""
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
            self._faces = Lines((*found, *old_boards(job, sheet, boards)))
        self._beyond = _corners(job) if self._faces else {}
        self._held: dict[tuple[str, str, str, bool], float] = {}
        for each in filter(along_its_wall, runs) if self._faces else ():
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


def old_boards(job: Job, sheet: Sheet, members: Iterable[str]) -> Iterator[Face]:
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


def along_its_wall(run: Run) -> bool:
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
