"""Where a plan fixes the trim in another way than the fixing schedule."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from listel.core.survey.job import PlanStep
from listel.plugins.fixings import Fixing, FixingSchedule
from listel.plugins.sequence.recognise import Reading
from listel.plugins.sequence.results import Differs
from listel.plugins.sequence.wording import words_of

FIX = "fix"

MEMBERS = {
    "skirting": "skirting", "skirtings": "skirting", "skirt": "skirting", "baseboard": "skirting",
    "baseboards": "skirting", "base": "skirting", "dado": "dado-rail", "picture": "picture-rail",
    "plate": "plate-rail", "architrave": "architrave", "architraves": "architrave", "casing": "architrave",
    "casings": "architrave", "cornice": "cornice",
}  # fmt: skip
"""Which member a word of a plan names."""


def differing(readings: Sequence[tuple[PlanStep, Reading]], schedule: FixingSchedule | None) -> Iterator[Differs]:
    """The lines that nail where the schedule screws, or screw where it nails; by member where the line names one."""
    scheduled = [line for line in schedule.lines if line.kind] if schedule else []
    for line, reading in readings:
        if FIX not in reading.steps or not reading.driven:
            continue
        named = {MEMBERS[word] for word in words_of(line.text.lower()) if word in MEMBERS}
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
