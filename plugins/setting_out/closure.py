"""Whether a room's survey closes, and which readings to take again where it does not."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from listel.core.contract.findings import GEOMETRY, PRACTICE, Finding, Grounds, Input, Source, Where, not_surveyed
from listel.core.survey.job import Job, Room, Wall
from listel.core.survey.units import show_angle
from listel.plugins.setting_out.corners import corner_theta
from listel.plugins.setting_out.results import Closure, Suspect
from listel.plugins.setting_out.settings import allowance, lengths, tolerance
from listel.plugins.setting_out.suspects import Reading, doubts, misclosure
from listel.plugins.setting_out.traverse import conditions, expected_misclosure
from listel.plugins.site import Point, angle_error, compass_rule, courses_of, headings, is_ring, spread_angles, walk

COMPASS = Source("The compass rule of traverse adjustment", "N. Bowditch", standing="published-from-memory")
NAMED = 0.1


@dataclass(frozen=True, slots=True)
class Verdict:
    """How a traverse closes: misclosure and what chance explains [mm], angle error and what chance explains [deg]."""

    misses: float
    allowed: float
    turn: float
    turn_allowed: float

    @property
    def closed(self) -> bool:
        """Whether tape and bevel explain both."""
        return self.misses <= self.allowed and abs(self.turn) <= self.turn_allowed


def judge(sides: list[float], angles: list[float], tape: float, bevel: float) -> Verdict:
    """Whether a traverse closes within what tape [mm] and bevel [deg] explain in 99 rooms of 100.

    The error of the angle sum is judged first, then spread over the corners, and what is left in plan is judged
    against its own spread in its own direction. Source: least squares, derived; chi-squared points as the allowances
    say.
    """
    turn = angle_error(angles)
    variance = len(angles) * bevel**2
    found = conditions(sides, angles, tape, bevel)
    misses, plan = misclosure(sides, angles), max(0.0, found.weight - turn**2 / variance)
    limit = allowance("plan-limit")
    if plan > 1e-9:
        allowed = misses * sqrt(limit / plan)
    else:
        allowed = sqrt(limit / 2) * expected_misclosure(sides, spread_angles(angles), tape, bevel)
    return Verdict(misses, allowed, turn, sqrt(allowance("turn-limit") * variance))


def closures(job: Job) -> tuple[list[Closure], list[Finding]]:
    """The closure of every room, and the holds it gives."""
    found: list[Closure] = []
    says: list[Finding] = []
    for room in job.rooms:
        if not room.walls:
            continue
        lacks = _lacks(room)
        closure, more = _open(job, room, lacks) if lacks else _judged(job, room)
        found.append(closure)
        says += more + _disagreements(job, room)
    return found, says


def _lacks(room: Room) -> str:
    """What keeps a room from being judged, in words; empty where nothing does."""
    if room.extent == "part" or not is_ring(room):
        return "the room was surveyed in part"
    bare = [wall.name for wall in room.walls if wall.length is None]
    blind = [wall.name for wall in room.walls if corner_theta(wall.corner) is None]
    words = [f"length of wall {', '.join(bare)}"] if bare else []
    words += [f"angle of the corner at the right end of wall {', '.join(blind)}"] if blind else []
    return " and the ".join(words)


def _open(job: Job, room: Room, lacks: str) -> tuple[Closure, list[Finding]]:
    """A room that cannot be judged: no closure, and it says so."""
    where = Where(room.name, line=job.line(room))
    if lacks == "the room was surveyed in part":
        says = f"The {room.name} was surveyed in part, so nothing can be said about whether its survey closes."
        return Closure(room.name, None, says, raw_points=_start_of(room)), [
            Finding("setting-out/part-surveyed", "record", says, where)
        ]
    says = f"The {room.name} cannot be closed: the {lacks} was not surveyed."
    finding = not_surveyed(
        "setting-out/closure-not-surveyed",
        f"the {lacks} in the {room.name}",
        "whether the survey of the room closes",
        where,
    )
    return Closure(room.name, None, says, raw_points=_start_of(room)), [finding]


def _start_of(room: Room) -> tuple[Point, ...]:
    """The corner points as far as lengths and angles reach, from the first wall."""
    sides: list[float] = []
    angles: list[float] = []
    for wall in room.walls:
        if wall.length is None:
            break
        sides.append(wall.length.value)
        theta = corner_theta(wall.corner)
        angles.append(180.0 if theta is None else theta)
        if theta is None:
            break
    return tuple(walk(sides, angles)) if sides else ()


def readings_of(room: Room) -> list[Reading]:
    """The readings of a fully surveyed room: sides, then angles through the room."""
    found = []
    for wall in room.walls:
        tape = wall.length
        others = () if tape is None or tape.second is None else (tape.first, tape.second)
        found.append(Reading(tape.value if tape else 0.0, False, others=others))
    for wall in room.walls:
        external = wall.corner is not None and wall.corner.kind == "external"
        found.append(Reading(corner_theta(wall.corner) or 0.0, True, external))
    return found


def _judged(job: Job, room: Room) -> tuple[Closure, list[Finding]]:
    """A room whose every wall and corner was surveyed."""
    readings = readings_of(room)
    count = len(room.walls)
    sides, angles = [each.value for each in readings[:count]], [each.value for each in readings[count:]]
    (tape, tape_shown), (bevel, bevel_shown) = tolerance(job, "tape"), tolerance(job, "bevel")
    verdict = judge(sides, angles, tape, bevel)
    suspects = [] if verdict.closed else _suspects(room, readings, tape, bevel, job.units == "inches")
    raw = walk(sides, angles)[:-1]
    adjusted: list[Point] = [(0.0, 0.0)]
    for east, north in compass_rule(courses_of(walk(sides, spread_angles(angles))))[:-1]:
        adjusted.append((adjusted[-1][0] + east, adjusted[-1][1] + north))
    perimeter = sum(sides)
    precision = perimeter / verdict.misses if verdict.misses > 0.05 else None
    says = _verdict_words(job, room, verdict, precision) + _suspect_words(job, room, suspects, headings(angles))
    grounds = Grounds(
        (
            *(
                Input(f"wall {wall.name}", side, "mm", job.line(wall, "length"))
                for wall, side in zip(room.walls, sides, strict=True)
            ),
            *(
                Input(
                    f"corner at the right end of wall {wall.name}, through the room",
                    angle,
                    "deg",
                    job.line(wall.corner or wall, "angle"),
                )
                for wall, angle in zip(room.walls, angles, strict=True)
            ),
            tape_shown,
            bevel_shown,
        ),
        "walk the walls in order, turning at each corner; the angle sum should be (walls - 2) x 180, and the walk "
        "should end where "
        "it began; the plan is then closed by the compass rule, while pieces are cut to the measured walls",
        f"angles {verdict.turn:+.2f} deg, walk ends {verdict.misses:.1f} mm off over {perimeter:.0f} mm",
        f"misclosure {verdict.misses:.1f} mm; tape and bevel explain {verdict.allowed:.1f} mm and "
        f"{verdict.turn_allowed:.2f} deg in 99 rooms of 100",
        (GEOMETRY, COMPASS, PRACTICE),
        f"expected misclosure {expected_misclosure(sides, spread_angles(angles), tape, bevel):.0f} mm, one sigma",
    )
    closure = Closure(
        room.name,
        verdict.closed,
        says,
        verdict.misses,
        verdict.allowed,
        verdict.turn,
        precision,
        tuple(adjusted) if verdict.closed else (),
        tuple(raw),
        tuple(suspects),
        grounds,
    )
    where = Where(room.name, suspects[0].wall if suspects else "", line=job.line(room))
    if verdict.closed:
        closes = Finding("setting-out/closes", "record", says, where, grounds)
        return closure, [closes, *_doubtful(job, room, readings, verdict, closure, tape)]
    return closure, [
        Finding(
            "setting-out/does-not-close",
            "hold",
            says,
            where,
            grounds,
            mend="measure the named readings again before anything is cut",
        )
    ]


def _doubtful(
    job: Job, room: Room, readings: list[Reading], verdict: Verdict, closure: Closure, tape: float
) -> list[Finding]:
    """A caution where a room closes only within a bevel nobody gave: a slip of the tape may hide in it."""
    limit = min(allowance("close-enough"), allowance("close-per-corner") * len(room.walls))
    if job.tolerances.bevel is not None or verdict.misses <= limit:
        return []
    show = lengths(job)
    angles = [each.value for each in readings[len(room.walls) :]]
    suspects = _suspects(room, readings, tape, allowance("careful-bevel"), job.units == "inches")
    named = _suspect_words(job, room, suspects, headings(angles)) or " No one reading alone would account for it."
    says = (
        f"The survey of the {room.name} misses by {show(verdict.misses)}. That is within what the uncertainty assumed "
        f"for the bevel allows, but a slip of the tape could hide in it.{named}"
    )
    return [
        Finding(
            "setting-out/closes-on-assumption",
            "caution",
            says,
            Where(room.name, suspects[0].wall if suspects else "", line=job.line(room)),
            closure.grounds,
            mend="give the uncertainty of tape and bevel under tolerances, or take a second reading of the lengths",
        )
    ]


def _suspects(room: Room, readings: list[Reading], tape: float, bevel: float, imperial: bool) -> list[Suspect]:
    """The readings that could be wrong, in the words and figures of the survey."""
    count = len(room.walls)
    found = []
    for doubt in doubts(readings, tape, bevel, imperial):
        wall = room.walls[doubt.number % count]
        following = room.walls[(doubt.number + 1) % count]
        if doubt.number < count:
            found.append(
                Suspect(
                    f"wall {wall.name} length",
                    wall.name,
                    readings[doubt.number].value,
                    doubt.value,
                    doubt.leaves,
                    doubt.slip,
                    doubt.likelihood,
                )
            )
            continue
        external = readings[doubt.number].external
        reads, would = (360.0 - each if external else each for each in (readings[doubt.number].value, doubt.value))
        found.append(
            Suspect(
                f"corner {wall.name}/{following.name} angle",
                wall.name,
                reads,
                would,
                doubt.leaves,
                doubt.slip,
                doubt.likelihood,
            )
        )
    return found


def doubted_corners(found: list[Closure]) -> set[tuple[str, str]]:
    """Corners (room, wall before) whose angle is among the likeliest readings to be wrong."""
    return {
        (closure.room, each.wall)
        for closure in found
        for each in closure.suspects
        if each.what.startswith("corner") and each.likelihood >= NAMED * closure.suspects[0].likelihood
    }


def _verdict_words(job: Job, room: Room, verdict: Verdict, precision: float | None) -> str:
    show = lengths(job)
    share = f" (1 in {precision:.0f})" if precision else ""
    if verdict.closed:
        closes = f"The survey of the {room.name} closes to {show(verdict.misses)}{share}"
        return f"{closes}; tape and bevel explain up to {show(verdict.allowed)}."
    opened = f"The survey of the {room.name} does not close"
    if abs(verdict.turn) > verdict.turn_allowed:
        much = f"{show_angle(abs(verdict.turn))} too {'much' if verdict.turn > 0 else 'little'}"
        explained = show_angle(verdict.turn_allowed)
        return f"{opened}: its corner angles add up to {much}, where the bevel explains {explained}."
    return f"{opened}: it misses by {show(verdict.misses)}, where tape and bevel explain {show(verdict.allowed)}."


def _suspect_words(job: Job, room: Room, suspects: list[Suspect], directions: list[float]) -> str:
    """The likeliest readings, each with the value that would close the room; parallel walls are named together."""
    if not suspects:
        return ""
    named = [each for each in suspects if each.likelihood >= NAMED * suspects[0].likelihood]
    words = [_one_suspect(job, each) for each in named[:4]]
    says = (
        " "
        + "; or ".join(words)
        + ": measure "
        + ("it" if len(named) == 1 else "each of them")
        + " again before anything is cut."
    )
    walls = [each.wall for each in suspects if each.what.startswith("wall")]
    together = _parallel(room.walls, directions, walls)
    if together:
        says += f" Walls {' and '.join(together)} are parallel, and closure alone cannot tell which of them is wrong."
    return says


def _one_suspect(job: Job, suspect: Suspect) -> str:
    show = lengths(job)
    angle = suspect.what.startswith("corner")
    reads, would = (show_angle(each) if angle else show(each) for each in (suspect.reads, suspect.would_close))
    slip = f", {suspect.slip}" if suspect.slip else ""
    thing = suspect.what.removesuffix(" length").removesuffix(" angle")
    return f"{thing[0].upper()}{thing[1:]} reads {reads}; {would} would close the room to {show(suspect.leaves)}{slip}"


def _parallel(walls: tuple[Wall, ...], directions: list[float], suspected: list[str]) -> list[str]:
    """The suspected walls that are parallel to the likeliest of them, if any other is."""
    heading = {wall.name: direction for wall, direction in zip(walls, directions, strict=True)}
    if not suspected:
        return []
    first = heading[suspected[0]]
    near = allowance("parallel")
    together = [name for name in suspected if abs((heading[name] - first + 90) % 180 - 90) <= near]
    return together if len(together) > 1 else []


def _disagreements(job: Job, room: Room) -> list[Finding]:
    """A hold for each wall whose two readings differ by more than the tape explains."""
    found = []
    show = lengths(job)
    sigma, shown = tolerance(job, "tape")
    limit = allowance("two-readings") * sigma * sqrt(2)
    for wall in room.walls:
        tape = wall.length
        if tape is None or tape.second is None or abs(tape.first - tape.second) <= limit:
            continue
        grounds = Grounds(
            (
                Input("first reading", tape.first, "mm", job.line(wall, "length")),
                Input("second reading", tape.second, "mm", job.line(wall, "length")),
                shown,
            ),
            "the readings differ by more than three times what the tape leaves between two of them",
            f"{abs(tape.first - tape.second):.1f} > 3 x {sigma:g} x 1.41 = {limit:.1f}",
            sources=(GEOMETRY,),
        )
        found.append(
            Finding(
                "setting-out/readings-disagree",
                "hold",
                f"Wall {wall.name} was read twice, as {show(tape.first)} and {show(tape.second)}: measure it again "
                "before anything is cut. "
                "Until then its pieces stand at the mean.",
                Where(room.name, wall.name, line=job.line(wall, "length")),
                grounds,
                "measure the wall a third time",
            )
        )
    return found
