"""The stage ``closure``: the closure of every room, and what there is to tell of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise
from math import sqrt
from typing import Any

from listel.core.contract.findings import GEOMETRY, PRACTICE, Finding, Grounds, Input, Source, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Room, Wall
from listel.core.survey.units import show_angle, show_length
from listel.plugins.closure.conditions import expected_misclosure
from listel.plugins.closure.judging import Verdict, in_part, judge, lacks, other_walk, readings_of
from listel.plugins.closure.results import Closure, Closures, Suspect
from listel.plugins.closure.settings import allowance, bevel_shown, tolerance
from listel.plugins.closure.suspects import Reading, doubts, opposite_bevels
from listel.plugins.site import Site, headings, spread_angles

RULES = load_rules(__package__)
COMPASS = Source("The compass rule of traverse adjustment", "N. Bowditch", standing="published-from-memory")
NAMED = 0.1
"""A reading is named where it is this likely beside the likeliest."""


def examine(job: Job, sheet: Sheet) -> Iterator[Finding | Closures]:
    """Whether each room closes, and its odd readings."""
    site, found = sheet[Site], []
    for room in job.rooms:
        if not room.walls:
            continue
        if in_part(room) or lacks(room):
            closure, says = _open(job, room)
        else:
            plan = site.rooms[room.name].plan
            closure, says = _judged(job, room, plan.points if plan else ())
        apart = [finding for wall in room.walls for finding in _two_readings(job, room, wall)]
        found.append(replace(closure, apart=tuple(finding.says for finding in apart)))
        yield from (*says, *apart)
    yield Closures(tuple(found))


def _open(job: Job, room: Room) -> tuple[Closure, list[Finding]]:
    """A room that cannot be judged: no closure, and it says so."""
    where = Where(room.name, line=job.line(room))
    if in_part(room):
        why = "was surveyed in part" if room.extent == "part" else "has too few walls in the survey to come round"
        says = f"The {room.name} {why}, so nothing can be said about whether its survey closes."
        return Closure(room=room.name, says=says), [RULES["part-surveyed"].told("record", says, where)]
    says = f"The {room.name} cannot be closed: the {lacks(room)} was not surveyed."
    lacking = RULES["not-surveyed"].lacking(
        f"the {lacks(room)} in the {room.name}", "whether the survey of the room closes", where
    )
    return Closure(room=room.name, says=says), [lacking]


def _judged(job: Job, room: Room, points: tuple[tuple[float, float], ...]) -> tuple[Closure, list[Finding]]:
    """A room whose every wall and corner was surveyed; ``points`` of its plan, the misfit shared out."""
    readings = readings_of(room)
    count = len(room.walls)
    sides, angles = [each.value for each in readings[:count]], [each.value for each in readings[count:]]
    tape, bevel = tolerance(job, "tape")[0], bevel_shown(job, angles)[0]
    verdict = judge(sides, angles, tape, bevel)
    other = None if verdict.closed else other_walk(sides, angles, tape, bevel)
    doubted = [] if verdict.closed or other else _suspects(room, readings, tape, bevel, job.units == "inches")
    precision = sum(sides) / verdict.misses if verdict.misses > 0.05 else None
    says = _verdict_words(job, room, verdict, precision)
    if other:
        says += f" {other[0].format(to=show_length(other[1], job.units))}."
    else:
        says += _suspect_words(job, room, doubted, headings(angles))
        says += "" if verdict.closed else _bevel_words(room, opposite_bevels(sides, angles, tape, bevel))
    grounds = _grounds(job, room, sides, angles, verdict)
    closure = Closure(
        room=room.name,
        closed=verdict.closed,
        says=says,
        misclosure=verdict.misses,
        allowed=verdict.allowed,
        angle_error=verdict.turn,
        precision=precision,
        points=points if verdict.closed else (),
        suspects=tuple(doubted),
        grounds=grounds,
    )
    where = Where(room.name, doubted[0].wall if doubted else "", line=job.line(room))
    figures: dict[str, Any] = {"misses": verdict.misses, "explained": verdict.allowed, "turn": verdict.turn}
    if verdict.closed:
        closes = RULES["closes"].told("record", says, where, grounds, **figures)
        return closure, [closes, *_doubtful(job, room, readings, verdict, grounds, tape)]
    if other:
        mend = "list the walls and corners again as one stands in the room and faces them, then look at their shape"
        return closure, [RULES["listed-another-way"].told("hold", says, where, grounds, mend, **figures)]
    mend = "measure the named readings again before anything is cut"
    if job.tolerances.bevel is None:
        mend += ", or give the uncertainty of the bevel under tolerances if it is no better than that"
    return closure, [RULES["does-not-close"].told("hold", says, where, grounds, mend, **figures)]


def _grounds(job: Job, room: Room, sides: Sequence[float], angles: Sequence[float], verdict: Verdict) -> Grounds:
    """Every reading of the walk, and how it was judged."""
    (tape, tape_shown), (bevel, shown) = tolerance(job, "tape"), bevel_shown(job, angles)
    walls = [
        Input(f"wall {wall.name}", side, "mm", job.line(wall, "length"))
        for wall, side in zip(room.walls, sides, strict=True)
    ]
    corners = [
        Input(
            f"corner at the right end of wall {wall.name}, through the room",
            angle,
            "deg",
            job.line(wall.corner or wall, "angle"),
        )
        for wall, angle in zip(room.walls, angles, strict=True)
    ]
    expected = expected_misclosure(sides, spread_angles(angles), tape, bevel)
    return Grounds(
        (*walls, *corners, tape_shown, shown),
        "walk the walls in order, turning right at each corner; the angle sum should be (walls - 2) x 180, and the "
        "walk should end where it began; the plan is then closed by the compass rule, while pieces are cut to the "
        "measured walls",
        f"angles {verdict.turn:+.2f} deg, walk ends {verdict.misses:.1f} mm off over {sum(sides):.0f} mm",
        f"misclosure {verdict.misses:.1f} mm; tape and bevel explain {verdict.allowed:.1f} mm and "
        f"{verdict.turn_allowed:.2f} deg in 99 rooms of 100",
        (GEOMETRY, COMPASS, PRACTICE),
        uncertainty=f"expected misclosure {expected:.0f} mm, one sigma",
    )


def _doubtful(
    job: Job, room: Room, readings: list[Reading], verdict: Verdict, grounds: Grounds, tape: float
) -> list[Finding]:
    """A caution where a room closes only within a bevel nobody gave: a slip of the tape may hide in it."""
    limit = min(allowance("close-enough"), allowance("close-per-corner") * len(room.walls))
    if job.tolerances.bevel is not None or verdict.misses <= limit:
        return []
    angles = [each.value for each in readings[len(room.walls) :]]
    doubted = _suspects(room, readings, tape, allowance("careful-bevel"), job.units == "inches")
    named = _suspect_words(job, room, doubted, headings(angles)) or " No one reading alone would account for it."
    says = (
        f"The survey of the {room.name} misses by {show_length(verdict.misses, job.units)}. That is within what the "
        f"uncertainty assumed for the bevel allows, but a slip of the tape could hide in it.{named}"
    )
    where = Where(room.name, doubted[0].wall if doubted else "", line=job.line(room))
    mend = "give the uncertainty of tape and bevel under tolerances, or take a second reading of the lengths"
    return [RULES["closes-on-assumption"].told("caution", says, where, grounds, mend, misses=verdict.misses)]


def _suspects(room: Room, readings: list[Reading], tape: float, bevel: float, imperial: bool) -> list[Suspect]:
    """The readings that could be wrong, in the words and figures of the survey."""
    count, found = len(room.walls), []
    for doubt in doubts(readings, tape, bevel, imperial):
        wall, following = room.walls[doubt.number % count], room.walls[(doubt.number + 1) % count]
        reading = readings[doubt.number]
        reads, would = (360.0 - each if reading.external else each for each in (reading.value, doubt.value))
        found.append(
            Suspect(
                what=f"corner {wall.name}/{following.name} angle" if reading.is_angle else f"wall {wall.name} length",
                wall=wall.name,
                reads=reads,
                would_close=would,
                leaves=doubt.leaves,
                slip=doubt.slip,
                likelihood=doubt.likelihood,
            )
        )
    return found


def doubted_corners(found: Closures) -> set[tuple[str, str]]:
    """Corners (room, wall before) whose angle is among the likeliest readings to be wrong."""
    return {
        (closure.room, each.wall)
        for closure in found.lines
        for each in closure.suspects
        if each.what.startswith("corner") and each.likelihood >= NAMED * closure.suspects[0].likelihood
    }


def _verdict_words(job: Job, room: Room, verdict: Verdict, precision: float | None) -> str:
    misses, explained = (show_length(mm, job.units) for mm in (verdict.misses, verdict.allowed))
    if verdict.closed:
        share = f" (1 in {precision:.0f})" if precision else ""
        return f"The survey of the {room.name} closes to {misses}{share}; tape and bevel can err by {explained}."
    opened = f"The survey of the {room.name} does not close"
    if abs(verdict.turn) > verdict.turn_allowed:
        much = f"{show_angle(abs(verdict.turn))} too {'much' if verdict.turn > 0 else 'little'}"
        bevel = show_angle(verdict.turn_allowed)
        return f"{opened}: its corner angles add up to {much}, where the bevel explains {bevel}."
    return f"{opened}: it misses by {misses}, where tape and bevel explain {explained}."


def _suspect_words(job: Job, room: Room, suspects: list[Suspect], directions: list[float]) -> str:
    """The likeliest readings, each with the value that would close the room; parallel walls are named together."""
    if not suspects:
        return ""
    named = [each for each in suspects if each.likelihood >= NAMED * suspects[0].likelihood]
    first, *others = [_one_suspect(job, room, each) for each in named[:4]]
    says = " " + "; or ".join([f"{first[0].upper()}{first[1:]}", *others])
    says += f". Measure {'each of them' if others else 'it'} again before anything is cut."
    walls = [each.wall for each in suspects if each.what.startswith("wall")]
    together = _parallel(room.walls, directions, walls)
    if together:
        says += f" Walls {' and '.join(together)} are parallel, and closure alone cannot tell which of them is wrong."
    return says


def _bevel_words(room: Room, ways: list[tuple[float, int, int, float]]) -> str:
    """The likeliest pairs of bevels that could both be wrong, where no one reading is; "" for none."""
    corners = [f"{first.name}/{second.name}" for first, second in pairwise((*room.walls, room.walls[0]))]
    named = [
        f"corners {corners[first]} and {corners[second]}, {show_angle(by)} each"
        for share, first, second, by in ways
        if share >= NAMED
    ][:4]
    if not named:
        return ""
    return f" Or two bevels are wrong by as much, which their sum does not show: {'; or '.join(named)}."


def _one_suspect(job: Job, room: Room, suspect: Suspect) -> str:
    """What one reading is and what would close the room; of a wall that was read twice both, for nobody read their
    mean."""
    is_angle = suspect.what.startswith("corner")
    show = show_angle if is_angle else partial(show_length, units=job.units)
    tape, reads = room.wall(suspect.wall).length, f"reads {show(suspect.reads)}"
    if tape and tape.second is not None and not is_angle:
        both = f"{show(tape.first)} and {show(tape.second)}"
        reads = f"was read as {both} and is taken at their mean, {show(suspect.reads)}"
    slip = f", {suspect.slip}" if suspect.slip else ""
    thing = suspect.what.removesuffix(" length").removesuffix(" angle")
    leaves = show_length(suspect.leaves, job.units)
    return f"{thing} {reads}, and {show(suspect.would_close)} would close the room to {leaves}{slip}"


def _parallel(walls: tuple[Wall, ...], directions: list[float], suspected: list[str]) -> list[str]:
    """The suspected walls that are parallel to the likeliest of them, if any other is."""
    heading = {wall.name: direction for wall, direction in zip(walls, directions, strict=True)}
    if not suspected:
        return []
    first = heading[suspected[0]]
    near = allowance("parallel")
    together = [name for name in suspected if abs((heading[name] - first + 90) % 180 - 90) <= near]
    return together if len(together) > 1 else []


def _two_readings(job: Job, room: Room, wall: Wall) -> Iterator[Finding]:
    """A hold for a wall whose two readings differ by more than the tape explains."""
    tape, line = wall.length, job.line(wall, "length")
    sigma, shown = tolerance(job, "tape")
    limit = allowance("two-readings") * sigma * sqrt(2)
    if tape is None or tape.second is None or abs(tape.first - tape.second) <= limit:
        return
    apart = abs(tape.first - tape.second)
    first, second = (show_length(reading, job.units) for reading in (tape.first, tape.second))
    yield RULES["readings-disagree"].told(
        "hold",
        f"Wall {wall.name} was read twice, as {first} and {second}: measure it again before anything is cut. "
        "Until then its pieces stand at the mean.",
        Where(room.name, wall.name, line=line),
        Grounds(
            (Input("first reading", tape.first, "mm", line), Input("second reading", tape.second, "mm", line), shown),
            "the readings differ by more than three times what the tape leaves between two of them",
            f"{apart:.1f} > 3 x {sigma:g} x 1.41 = {limit:.1f}",
            sources=(GEOMETRY,),
        ),
        "measure the wall a third time",
        apart=apart,
        explained=limit,
    )
