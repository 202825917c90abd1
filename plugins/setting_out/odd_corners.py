"""Corners that the plain rules do not cover: walls out of plumb, lines out of level, cuts past the saw."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, degrees

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Source, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.core.survey.units import show_angle, show_fine
from listel.plugins.setting_out.angles import plumb_on_leaning_walls
from listel.plugins.setting_out.compound import rake_mismatch, sprung_cut
from listel.plugins.setting_out.results import CornerCut, Mark, Piece, Run
from listel.plugins.setting_out.settings import allowed, saw_turns
from listel.plugins.site import corner_pairs

RULES = load_rules(__package__)

SEEN = 0.05
"""A miss [mm] under which two pieces are taken to meet."""


def leaning_corners(job: Job, corners: list[CornerCut]) -> list[Finding]:
    """Corners of walls so far out of plumb that a cut made plumb would open over the height of the moulding."""
    found = []
    most, shown, sources = allowed("joint-gap")
    trims = {trim.name: trim for trim in job.trim}
    for line in corners:
        first, second = job.room(line.room).wall(line.first), job.room(line.room).wall(line.second)
        lean = max(abs(first.lean or 0.0), abs(second.lean or 0.0))
        theta, height = first.turn, trims[line.trim].section.height
        if not lean or theta is None or height is None or trims[line.trim].section.spring:
            continue
        plan = 90 - line.bevel if line.bevel else line.cut_angle
        turn = min(theta, 360 - theta) if plan is None else 2 * plan
        opens = plumb_on_leaning_walls(height, lean, turn)
        if opens <= most:
            continue
        mitre, bevel = sprung_cut(lean, turn)
        wall = first if abs(first.lean or 0.0) == lean else second
        grounds = Grounds(
            (
                Input("lean of the wall", lean, "deg", job.line(wall, "lean")),
                Input("height of the section", height, "mm", job.line(trims[line.trim].section, "height")),
                Input("corner through the room", theta, "deg", job.line(first.corner or first, "angle")),
                shown,
            ),
            "cut plumb, the joint opens by height x sin(lean) / tan(corner / 2); cut to the lean it is a sprung "
            "moulding whose spring is the lean",
            result=f"{opens:.1f} mm; mitre {mitre:.2f} deg, bevel {bevel:.2f} deg",
            sources=(GEOMETRY, *sources),
        )
        says = (
            f"At corner {line.first}/{line.second} the walls lean {show_angle(lean)}: cut plumb, the joint of the "
            f"{line.trim} would open {show_fine(opens, job.units)} over its height. Lying flat, turn the table "
            f"{show_angle(mitre)} and tilt the blade {show_angle(bevel)}, and try it on two short pieces first."
        )
        where = Where(line.room, line.first, line.trim)
        found.append(RULES["leaning-corner"].told("advice", says, where, grounds))
    return found


@dataclass(frozen=True, kw_only=True)
class Miss:
    """Where one trim turns a corner out of level: ``theta`` through the room [deg], ``step`` between its two lines at
    the wall [mm], and how each rises ``away`` from the corner [mm per mm]."""

    trim: Trim
    first: Wall
    second: Wall
    theta: float
    step: float
    away: tuple[float, float]

    @property
    def face(self) -> float:
        """How far the two pieces miss each other at the face [mm]: the step, and what equal sections do that climb
        through the corner. Source: derived."""
        turn = degrees(atan(abs(self.away[0] - self.away[1]) / 2))
        return self.step + rake_mismatch(self.trim.section.projection or 0.0, turn, self.theta)


def out_of_level_corners(job: Job, runs: Lines[Run], marks: Lines[Mark]) -> list[Finding]:
    """For each room where a line follows the floor, the corner at which its two pieces miss each other most."""
    found = []
    for room in job.rooms:
        missed = [
            Miss(
                trim=trim,
                first=first,
                second=second,
                theta=theta,
                step=abs(before[0] - after[0]),
                away=(before[1], after[1]),
            )
            for trim in job.trim
            for first, second in corner_pairs(room)
            if (theta := first.turn) is not None
            and (before := _line_near(runs, marks, room, first, trim, at_start=False)) is not None
            and (after := _line_near(runs, marks, room, second, trim, at_start=True)) is not None
        ]
        worst = max(missed, key=lambda each: each.face, default=None)
        if worst is not None and worst.face >= SEEN:
            found.append(_out_of_level(job, room, worst))
    return found


def _line_near(
    runs: Lines[Run], marks: Lines[Mark], room: Room, wall: Wall, trim: Trim, at_start: bool
) -> tuple[float, float] | None:
    """A trim's line where it comes to a corner of a wall: height from the datum [mm], and rise away from the corner
    [mm per mm]; None where it does not come there level, or fewer than two of its marks are known."""
    here = {"room": room.name, "wall": wall.name, "trim": trim.name}
    for run in runs.of(**here):
        if run.pitch or (run.start_at if at_start else run.end_at) != "corner":
            continue
        at = {
            mark.station: mark.from_datum
            for mark in marks.of(**here)
            if mark.edge == "top" and mark.from_datum is not None and run.start <= mark.station <= run.end
        }
        known = sorted(at.items())
        if len(known) > 1:
            (near, height), (far, other) = known[:2] if at_start else known[:-3:-1]
            return height, (other - height) / abs(far - near)
    return None


def _out_of_level(job: Job, room: Room, miss: Miss) -> Finding:
    """The finding on the corner of a room that a line out of level misses most."""
    trim, first, second = miss.trim, miss.first, miss.second
    most, shown, sources = allowed("joint-gap")
    projection = trim.section.projection or 0.0
    grounds = Grounds(
        (
            Input(f"rise away from the corner on wall {first.name}", miss.away[0] * 1000, "mm/m"),
            Input(f"rise away from the corner on wall {second.name}", miss.away[1] * 1000, "mm/m"),
            Input("projection", projection, "mm", job.line(trim.section, "projection")),
            Input("corner through the room", miss.theta, "deg", job.line(first.corner or first, "angle")),
            Input("step between the two lines at the wall", miss.step, "mm"),
            shown,
        ),
        "projection x cot(corner / 2) x the difference of the two rises, and the step at the wall",
        result=f"{miss.face:.2f} mm",
        sources=(GEOMETRY, *sources),
    )
    says = (
        f"The {trim.name} in the {room.name} does not run level, so its pieces do not quite meet where they turn a "
        f"corner: at corner {first.name}/{second.name}, the worst, by {show_fine(miss.face, job.units)} at the face."
    )
    where, rule = Where(room.name, first.name, trim.name), RULES["out-of-level-corner"]
    if miss.face <= most:
        return rule.told("record", says, where, grounds)
    mend = "bring both pieces level over their last stretch into the corner, or ease the higher one by hand"
    return rule.told("advice", says, where, grounds, mend)


def past_the_saw(job: Job, pieces: Sequence[Piece]) -> list[Finding]:
    """One caution for each trim and room with cuts that ask for more than the saw turns or tilts to."""
    turns, turn_shown, sources = saw_turns(job)
    tilts, tilt_shown, _ = allowed("tilt-limit")
    past: dict[tuple[str, str], list[tuple[float, float, Piece]]] = {}
    for piece in pieces:
        for end in (piece.left, piece.right):
            turn, tilt = abs(end.saw_reading or 0.0), abs(end.bevel)
            if turn > turns or tilt > tilts:
                past.setdefault((piece.room, piece.trim), []).append((turn, tilt, piece))
    return [_past(each, (turns, turn_shown), (tilts, tilt_shown), sources) for each in past.values()]


def _past(
    cuts: list[tuple[float, float, Piece]],
    turns: tuple[float, Input],
    tilts: tuple[float, Input],
    sources: tuple[Source, ...],
) -> Finding:
    """What the saw cannot be set to, and what to do instead: turned too far, the piece against a fence square to the
    saw's own; tilted too far, the piece held up as it hangs."""
    first, turn, tilt = cuts[0][2], max(cut[0] for cut in cuts), max(cut[1] for cut in cuts)
    labels = list(dict.fromkeys(piece.label for _, _, piece in cuts))
    several = len(labels) > 1
    asks, mends = [], []
    if turn > turns[0]:
        asks.append(f"to turn to {show_angle(turn)}, and it turns to {show_angle(turns[0])}")
        mends.append(
            "clamp the piece along a fence square to the saw's own and set the saw to 90 less the reading, "
            f"{show_angle(90 - turn)}, on waste first"
        )
    if tilt > tilts[0]:
        asks.append(f"to tilt to {show_angle(tilt)}, and it tilts to {show_angle(tilts[0])}")
        mends.append(
            "cut it held up against the fence at its spring angle, the saw not tilted, and set to half of the corner "
            "from the piece's length; past its turn, along the square fence"
        )
    return RULES["saw-past-its-limit"].told(
        "caution",
        f"Piece{'s' * several} {', '.join(labels)} of the {first.trim} ask{'' if several else 's'} the saw "
        f"{'; and '.join(asks)}.",
        Where(first.room, first.wall, first.trim, first.label),
        Grounds(
            (Input("reading asked for", turn, "deg"), turns[1], Input("tilt asked for", tilt, "deg"), tilts[1]),
            "90 less the cut",
            sources=sources,
        ),
        "; ".join(mends),
    )
