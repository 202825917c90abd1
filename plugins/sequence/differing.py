"""Where a plan fixes, glues or stops the trim in another way than the statement."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from listel.core.survey.job import PlanStep
from listel.plugins.bonding import Bonding
from listel.plugins.fixings import Fixing, FixingSchedule
from listel.plugins.sequence.members import members_named
from listel.plugins.sequence.reading import Reading
from listel.plugins.sequence.results import Differs

FIX = "fix"

PUTTY = frozenset({"linseed-putty", "glue-putty", "lime-putty"})


def differing(
    readings: Sequence[tuple[PlanStep, Reading]], schedule: FixingSchedule | None, bonding: Bonding | None
) -> Iterator[Differs]:
    """The clauses that work otherwise than the statement, each with how."""
    yield from _fixing(readings, schedule)
    for line, reading in readings:
        if bonding and bonding.bonds and "adhesive" in reading.steps:
            yield from _gluing(line, bonding)
        if bonding and "putty" in reading.methods:
            yield from _stopping(line, bonding)


def _gluing(line: PlanStep, bonding: Bonding) -> Iterator[Differs]:
    """Glue where the statement has none, with why the first family was refused."""
    if any(bond.adhesive not in ("", "none") for bond in bonding.bonds):
        return
    why = next((f": {bond.refused[0][1]}" for bond in bonding.bonds if bond.refused), "")
    yield Differs(line.line, line.text, f"the plan glues where the statement fixes without glue{why}")


def _stopping(line: PlanStep, bonding: Bonding) -> Iterator[Differs]:
    """Putty where the statement stops holes with something else."""
    chosen = sorted({fill.filler for fill in bonding.fills if fill.joint == "nail-holes" and fill.filler})
    if chosen and not PUTTY.intersection(chosen):
        stuff = ", ".join(name.replace("-", " ") for name in chosen)
        yield Differs(line.line, line.text, f"the plan stops with putty where the statement has {stuff}")


def _fixing(readings: Sequence[tuple[PlanStep, Reading]], schedule: FixingSchedule | None) -> Iterator[Differs]:
    """The clauses that nail where the schedule screws, or screw where it nails; by member where the line names one."""
    scheduled = [line for line in schedule.lines if line.kind] if schedule else []
    for line, reading in readings:
        if FIX not in reading.steps or not reading.driven:
            continue
        named = members_named(line.text)
        meant = [fixing for fixing in scheduled if not named or fixing.member in named]
        driven = {"nails" if _nailed(fixing) else "screws" for fixing in meant}
        if not meant or reading.driven & driven:
            continue
        does, has = ("nails", "screws") if "nails" in reading.driven else ("screws", "nails")
        yield Differs(line.line, line.text, f"the plan {does} where the schedule {has}{_why(meant, does)}")


def _nailed(fixing: Fixing) -> bool:
    return "nail" in fixing.kind or fixing.kind == "pin"


def _why(meant: Sequence[Fixing], does: str) -> str:
    """What the schedule says of blows on those walls."""
    if does == "screws":
        return ""
    walls = {(fixing.room, fixing.wall): warning for fixing in meant for warning in fixing.avoid if "blow" in warning}
    named = ", ".join(dict.fromkeys(f"{room} {wall}" for room, wall in walls))
    return f"; blows are to be avoided on {named}" if named else ""
