"""Levels: where each member's edges stand at each station, from the floor and from the datum line, so that one level
line serves the whole room; and what has to be scribed off a skirting. All mm; ``to_datum`` grows as the floor falls."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from operator import attrgetter

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.heights import RailHeights
from listel.plugins.setting_out.ceilings import follows_the_ceiling, hung_under
from listel.plugins.setting_out.frames import frame_marks
from listel.plugins.setting_out.member_lines import level_of, under_it
from listel.plugins.setting_out.on_faces import down_to_the_floor
from listel.plugins.setting_out.results import FLOOR_THERE, Mark, Run
from listel.plugins.setting_out.settings import allowed, lengths
from listel.plugins.setting_out.stair_marks import knee_floor, short_of_the_steps, stair_marks
from listel.plugins.site import RoomSite, Site, tables

RULES = load_rules(__package__)

NEAR = 2.0
"""A reading taken this close to a station [mm] counts as taken there."""
SCRIBED = 0.5
"""Under so much [mm] a height is as good as the other: no tape tells them apart."""


def standing_top(
    top: float | None, board: float | None, to_datum: Sequence[float], follows: float = 0.0
) -> tuple[float | None, float]:
    """Where a skirting's top is set, above which floor, as that floor's reading to the datum [mm].

    ``top``: wanted above the highest floor; ``follows``: share of the floor's fall its line takes. A board that would
    not reach the lowest floor from there is set down until its bottom edge touches it. Source: derived.
    """
    highest, lowest = min(to_datum), max(to_datum)
    if top is not None and board is not None and top + (1 - follows) * (lowest - highest) > board:
        return board, lowest
    return top, highest


def mark_out(job: Job, sheet: Sheet, runs: Lines[Run]) -> tuple[list[Mark], list[Finding]]:
    """The marking-out table of the job, and what its levels say about each skirting."""
    marks: list[Mark] = []
    says: list[Finding] = []
    for room in job.rooms:
        site = sheet[Site].rooms[room.name]
        here = Lines(
            run for run in runs.of(room=room.name) if not run.upright and not tables.goes_round_openings(run.member)
        )
        if here and not site.floor_readings:
            says.append(
                RULES["floor-not-surveyed"].lacking(
                    f"floor levels of the {room.name}",
                    "the height of every mark above the floor; marks stand on the assumption of a level floor",
                    Where(room.name, line=job.line(room)),
                    "strike a level line and tape from it to the floor at each corner and opening",
                )
            )
        elif here and room.datum is None:
            says.append(
                RULES["datum-not-surveyed"].lacking(
                    f"height of the datum line in the {room.name}",
                    "which floor heights are counted from; they are counted from the highest",
                    Where(room.name, line=job.line(room)),
                )
            )
        says += _past_the_readings(job, site, here)
        for trim in job.trim:
            lines = here.of(trim=trim.name)
            if not lines:
                continue
            if tables.framed(trim.member):
                marks += [mark for run in lines for mark in frame_marks(site, run)]
                continue
            line = _Line.of(job, sheet, site, trim)
            for run in lines:
                on_stairs = stair_marks(site, run)
                marks += line.marks(run, room.wall(run.wall)) if on_stairs is None else on_stairs
            says += short_of_the_steps(job, site, trim, lines)
            says += follows_the_ceiling(job, site, trim, lines)
            if tables.is_skirting(trim.member):
                says += _over_its_board(job, room, trim) or [
                    *_ripped(job, site, trim, lines),
                    *_skirting(job, site, trim),
                ]
    return marks, says


def _past_the_readings(job: Job, site: RoomSite, runs: Iterable[Run]) -> list[Finding]:
    """The walls of a room along which the floor was not read as far as trim goes, while others were."""
    walls = dict.fromkeys(
        run.wall
        for run in (runs if site.floor_readings else ())
        if site.flight_on(run.wall) is None and not all(map(site.walls[run.wall].floors.spans, (run.start, run.end)))
    )
    if not walls:
        return []
    named = "wall" if len(walls) == 1 else "walls"
    return [
        RULES["floor-not-surveyed"].lacking(
            f"floor levels all along {named} {', '.join(walls)} of the {site.name}",
            "the height of marks above the floor there; they stand as if it ran straight from the reading before to "
            "the one after, round the room, and level past the last where the walls do not come round",
            Where(site.name, line=job.line(site.room)),
            "tape from the level line to the floor at each corner and opening there",
        )
    ]


@dataclass(frozen=True, kw_only=True)
class _Line:
    """One member's line in one room: ``top`` edge above the floor whose distance from the datum is the ``reference``;
    ``given``: the line at stations where another stage has already reckoned it; ``follows``: share of the floor's
    shape it follows; ``hung``: how far under the ceiling it hangs, whose shape it then follows, None where it does not
    [mm]."""

    site: RoomSite
    trim: Trim
    top: float | None
    depth: float | None
    reference: float | None
    follows: float
    given: dict[tuple[str, float], tuple[float, float | None]]
    hung: float | None

    @staticmethod
    def of(job: Job, sheet: Sheet, site: RoomSite, trim: Trim) -> _Line:
        """The line of a trim in a room: its height, its reference level, and whether it follows the floor."""
        room = site.room
        level = level_of(job, sheet, trim, room)
        readings, top = site.floor_readings, level.top
        under = None if job.top_asked(trim, room.name)[0] else under_it(job, sheet, trim, room)
        board = (under and under.trim) or trim
        follows = (
            {"parallel": 1.0, "split": 0.5}.get(job.choices.line or "level", 0.0)
            if tables.is_skirting(board.member)
            else float(bool(tables.stands_before(trim.member)) and not job.top_asked(trim, room.name)[0])
        )
        reference = room.reference
        if tables.is_skirting(board.member) and readings:
            stands = level if board is trim else level_of(job, sheet, board, room)
            top, reference = standing_top(stands.top, stands.depth, readings, follows)
            if board is not trim and top is not None:
                top += level.depth or 0.0
        rails = sheet.get(RailHeights)
        given = {
            (each.wall, each.station): (each.above_floor, each.from_datum)
            for line in (rails.lines_in(room.name) if rails else ())
            if line.trim == trim.name
            for each in line.stations
        }
        return _Line(
            site=site,
            trim=trim,
            top=top,
            depth=down_to_the_floor(site, top) if tables.goes_in_frames(trim.member) else level.depth,
            reference=reference,
            follows=follows,
            given=given,
            hung=hung_under(job, room, trim),
        )

    def floor(self, wall: str, station: float) -> tuple[float, bool] | None:
        """The floor's distance from the datum at a station, and whether it was read there; None where nothing tells, as
        past the readings along a flight."""
        floors = self.site.walls[wall].floors
        here = floors.at(station) if floors.spans(station) or self.site.flight_on(wall) is None else None
        return None if here is None else (here, floors.read_at(station))

    def marks(self, run: Run, wall: Wall) -> list[Mark]:
        """Marks of both edges along a run: at every station read, at both ends, and where another stage reckoned the
        line."""
        site = self.site.walls[wall.name]
        readings = (*site.floors.readings, *(() if self.hung is None else site.ceilings.readings))
        inside = (at for at, _ in readings if run.start + NEAR < at < run.end - NEAR)
        stations = {run.start, run.end, *inside}
        found = []
        for station in sorted(stations):
            over, placed = FLOOR_THERE, self._top_at(wall.name, station)
            if placed is None and self.top is not None and (over := knee_floor(self.site, run, station)):
                placed = self.top, None, False
            if placed is None:
                continue
            above, from_datum, read = placed
            scribe = self._scribe(wall.name, station, above)
            edges = [("top", 0.0)]
            if self.depth is not None and not tables.is_skirting(self.trim.member):
                edges.append(("underside", self.depth))
            found += [
                Mark(
                    room=self.site.name,
                    wall=wall.name,
                    station=station,
                    trim=self.trim.name,
                    edge=edge,
                    above_floor=above - down,
                    from_datum=None if from_datum is None else from_datum - down,
                    scribe=scribe,
                    read=read,
                    over=over,
                    grounds=self._grounds(wall, station, placed, down, over),
                )
                for edge, down in edges
            ]
        return found

    def _top_at(self, wall: str, station: float) -> tuple[float, float | None, bool] | None:
        """Top edge above the floor there and from the datum, and whether the floor was read there."""
        if (wall, station) in self.given:
            return *self.given[(wall, station)], True
        if self.top is None:
            return None
        if not self.site.floor_readings:
            return self.top, None if self.reference is None else self.top - self.reference, False
        floor = self.floor(wall, station)
        if floor is None or self.reference is None:
            return None
        to_datum, read = floor
        from_datum = self._under_the_ceiling(wall, station)
        if from_datum is None:
            from_datum = self._given_level(wall, station)
        if from_datum is None:
            from_datum = self.top - self.reference - self.follows * (to_datum - self.reference)
        return to_datum + from_datum, from_datum, read

    def _under_the_ceiling(self, wall: str, station: float) -> float | None:
        """The top edge of what hangs from the ceiling, above the datum; None for all else, or where it was not read."""
        ceiling = None if self.hung is None else self.site.walls[wall].ceiling(station)
        return None if ceiling is None else ceiling - (self.hung or 0.0)

    def _grounds(
        self, wall: Wall, station: float, placed: tuple[float, float | None, bool], down: float, over: str
    ) -> Grounds:
        """Why a mark stands where it does: from the floor and the line, or the line's own height alone."""
        above, from_datum, read = placed
        depth = (Input("height of the section", down, "mm"),) if down else ()
        less = f" - {down:.1f} mm" if down else ""
        result = f"{above - down:.1f} mm above {over}"
        floor = self.floor(wall.name, station)
        if floor is None or from_datum is None:
            return Grounds(
                (Input("top edge", above, "mm"), *depth),
                "the height of the member's top edge, less its section for the underside",
                f"{above:.1f}{less} = {above - down:.1f}" if down else "",
                result,
                (GEOMETRY,),
            )
        note = "" if read else "between the readings to either side"
        return Grounds(
            (
                Input("floor below the datum line", floor[0], "mm", note=note),
                Input("top edge above the datum line", from_datum, "mm"),
                *depth,
            ),
            "the floor's distance below the datum line and the top edge's height from it together, less the section "
            "for the underside",
            f"{floor[0]:.1f} mm + {from_datum:.1f} mm{less} = {above - down:.1f} mm",
            result,
            (GEOMETRY,),
        )

    def _given_level(self, wall: str, station: float) -> float | None:
        """The line's height from the datum at a station between those where another stage reckoned it: straight from
        one to the next, level beyond them; None where it reckoned none."""
        known = [(at, level) for (name, at), (_, level) in self.given.items() if level is not None and name == wall]
        if not known:
            return next((level for _, level in self.given.values() if level is not None), None)
        known.sort()
        for (near, low), (far, high) in pairwise(known):
            if near <= station <= far:
                return low + (high - low) * (station - near) / (far - near)
        return known[0][1] if station < known[0][0] else known[-1][1]

    def _scribe(self, wall: str, station: float, above: float) -> float | None:
        """What is scribed off a skirting's board there, where its top stands ``above`` the floor."""
        if not tables.is_skirting(self.trim.member) or self.floor(wall, station) is None:
            return None
        return None if self.depth is None else max(0.0, self.depth - above)


_station = attrgetter("station")


def on_the_floor(runs: Iterable[Run], marks: Lines[Mark]) -> list[Run]:
    """The runs, with the edges of each level one as its marks have them above the floor at the start of the run."""
    over = Lines(sorted((mark for mark in marks if mark.over == FLOOR_THERE), key=_station))

    def at_start(run: Run) -> Run:
        if run.upright or run.pitch or run.top is None:
            return run
        here = over.of(room=run.room, wall=run.wall, trim=run.trim)
        own = here[bisect_left(here, run.start, key=_station) : bisect_right(here, run.end, key=_station)]
        first = {mark.edge: mark.above_floor for mark in sorted(own, key=_station, reverse=True)}
        on_floor = tables.is_skirting(run.member) and run.reach is not None
        underside = run.top - (run.reach or 0.0) if on_floor else first.get("underside", run.underside)
        return replace(run, top=first.get("top", run.top), underside=underside)

    return [at_start(run) for run in runs]


def _over_its_board(job: Job, room: Room, trim: Trim) -> list[Finding]:
    """A skirting that is asked to stand higher than its board is; it is set out as high as that."""
    show, height = lengths(job), trim.section.height
    asked, line = job.top_asked(trim, room.name)
    if asked is None or height is None or asked <= height + SCRIBED:
        return []
    given = Input("height of the board", height, "mm", job.line(trim.section, "height"))
    return [
        RULES["skirting-too-low"].told(
            "hold",
            f"The {trim.name} in the {room.name} is asked to stand {show(asked)} high, and its board is "
            f"{show(height)}; it is set out {show(height)} high.",
            Where(room.name, trim=trim.name, line=line),
            Grounds(
                (Input("top asked for", asked, "mm", line), given),
                "a skirting stands on the floor, and reaches no higher than its board",
                f"{asked:.1f} > {height:.1f}",
                f"{asked - height:.1f} mm too high",
                (GEOMETRY,),
            ),
            f"write top: {height:g} mm or less, or none, or the height of a higher board; a mould on it is a trim of "
            "its own",
        )
    ]


def _falls(job: Job, site: RoomSite) -> tuple[float, float, float]:
    """How far the floor falls round a room, what of that a skirting's line leaves to be scribed off, and what it
    follows [mm]."""
    fall = max(site.floor_readings, default=0.0) - min(site.floor_readings, default=0.0)
    follows = {"parallel": 1.0, "split": 0.5}.get(job.choices.line or "level", 0.0)
    return fall, fall * (1 - follows), fall * follows


def _ripped(job: Job, site: RoomSite, trim: Trim, runs: Iterable[Run]) -> Iterator[Finding]:
    """A skirting that is asked to stand lower than its board lets it: what comes off its bottom edge all along is
    ripped, and only what the floor takes is scribed."""
    show, height, (_, taper, _) = lengths(job), trim.section.height, _falls(job, site)
    asked, line = job.top_asked(trim, site.name)
    off = (height or 0.0) - (asked or 0.0) - taper
    if height is None or asked is None or off < SCRIBED or all(run.pitch for run in runs):
        return
    yield RULES["ripped"].told(
        "record",
        f"The {trim.name} in the {site.name} stands {show(asked)} high, and its board is {show(height)}: its level "
        f"pieces are ripped to {show(height - off)} first, {show(off)} off the bottom edge all along"
        + (f"; up to {show(taper)} of what is left is scribed to the floor." if taper >= SCRIBED else "."),
        Where(site.name, trim=trim.name, line=line),
        Grounds(
            (
                Input("top asked for", asked, "mm", line),
                Input("fall of the floor that is scribed off it", taper, "mm"),
                Input("height of the board", height, "mm", job.line(trim.section, "height")),
            ),
            "the board less its height over the highest floor and what the floor takes",
            f"{height:.1f} - {asked:.1f} - {taper:.1f} = {off:.1f}",
            f"{off:.1f} mm ripped off",
            (GEOMETRY,),
        ),
        off=off,
    )


def _skirting(job: Job, site: RoomSite, trim: Trim) -> list[Finding]:
    """Whether a skirting's board is deep enough to lose the floor's fall, and what it will show if it is not."""
    show, room, (fall, taper, out_of_level) = lengths(job), site.room, _falls(job, site)
    height, where = trim.section.height, Where(room.name, trim=trim.name, line=job.line(trim.section, "height"))
    if height is None or fall < SCRIBED:
        return []
    share, shown, sources = allowed("scribe-share")
    line = job.choices.line or "level"
    asked, _ = job.top_asked(trim, room.name)
    visible = asked if asked is not None else height - taper
    needed = visible + taper
    most = min(height, needed)
    grounds = Grounds(
        (
            Input("fall of the floor round the room", fall, "mm"),
            Input("height of the board", height, "mm", where.line),
            Input(
                "line",
                line,
                assumed=job.choices.line is None,
                line=job.line(job.choices, "line"),
                note="level unless the survey says otherwise",
            ),
            shown,
        ),
        "the board must be as high as what shows over the highest floor, and the fall that is scribed away",
        f"{visible:.0f} + {taper:.0f} = {needed:.0f}",
        f"{needed:.0f} mm needed, {height:.0f} mm in hand",
        (GEOMETRY, *sources),
    )
    words = {"level": "Set level", "parallel": "Set parallel to the floor", "split": "Set to half of the fall"}[line]
    says = (
        f"{words}, the {trim.name} in the {room.name} shows {show(most)} at the lowest floor and "
        f"{show(most - taper)} at the highest; "
        f"up to {show(taper)} is scribed off it"
        + (f", and it stands {show(out_of_level)} out of level" if out_of_level else "")
        + "."
    )
    if most <= taper:
        return [
            RULES["scribed-away"].told(
                "hold",
                f"{words}, nothing of the {trim.name} in the {room.name} would be left at the highest floor: "
                f"{show(taper)} would be scribed off a board {show(height)} high.",
                where,
                grounds,
                "read the floor again; if it is so, step the board or let it follow the floor",
            )
        ]
    if asked is not None and needed > height + SCRIBED:
        return [
            RULES["skirting-too-low"].told(
                "caution",
                f"The {trim.name} in the {room.name} would need a board {show(needed)} high to show {show(visible)} "
                f"everywhere; it is {show(height)}. Set down to the lowest floor it shows {show(height - taper)} "
                "at the highest.",
                where,
                grounds,
                "use a higher board, or let it follow the floor",
            )
        ]
    if taper > share * most:
        return [
            RULES["scribe-too-deep"].told(
                "caution",
                says + f" That is more than {share:.0%} of its height, and will show.",
                where,
                grounds,
                "use a higher board, split the fall, or let it follow the floor",
            )
        ]
    return [RULES["scribe"].told("record", says, where, grounds)]
