"""Where new trim meets old: the step of its top edge and of its face at each joint."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import Row, load_table
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import show_fine, show_length
from listel.plugins.existing import Existing, Made, OldPiece, made_of
from listel.plugins.setting_out import Run, SettingOut

RULES = load_rules(__package__)
SAME_END = 5.0
"""mm within which a board and the mould on it come to one end: two tape readings seldom agree."""


def figure(name: str) -> Row:
    """A row of the allowances: how far new may stand off old at a joint."""
    return load_table(__package__, "allowances").row(name)


def joints(job: Job, existing: Existing, setting_out: SettingOut) -> Iterator[Finding]:
    """The step at each end of a run that meets old work: of the top edge and of the face, mm."""
    trims = {trim.name: trim for trim in job.trim}
    for run in setting_out.runs:
        for at, station, left in ((run.start_at, run.start, True), (run.end_at, run.end, False)):
            old = _met(job, existing, run, at, station, left)
            if old is not None:
                made = made_of(job, trims[run.trim], run.room, old.top)
                ends = [station, (old.end if left else old.start) or 0.0][: 1 if at == "old-corner" else 2]
                upper = next(
                    (over for part in made.parts[1:] if (over := _upper(setting_out, run, part, ends, left))), None
                )
                yield from _step(
                    job, setting_out, upper or run, made if upper else Made(made.parts[:1]), old, station, at
                )


def _met(job: Job, existing: Existing, run: Run, at: str, station: float, left: bool) -> OldPiece | None:
    """The old piece that an end of a run meets: the nearest on its wall, or at the end of the wall round the corner."""
    if at == "old-work":
        mine = existing.stays_at(run.room, run.wall, run.member)
        ends = [((piece.end if left else piece.start) or 0.0, piece) for piece in mine]
        return min(ends, key=lambda one: abs(one[0] - station), default=(0.0, None))[1]
    if at != "old-corner":
        return None
    walls = job.room(run.room).walls
    here = next(number for number, wall in enumerate(walls) if wall.name == run.wall)
    there = walls[(here + (-1 if left else 1)) % len(walls)]
    mine = existing.stays_at(run.room, there.name, run.member)
    return (
        max(mine, key=lambda p: p.end or 0.0, default=None) if left else min(mine, key=lambda p: p.start, default=None)
    )


def _upper(setting_out: SettingOut, run: Run, mould: Trim, ends: Sequence[float], left: bool) -> Run | None:
    """The run of a mould on the one below it that comes as far as that meets old work; None where none does."""
    for over in setting_out.runs_on(run.room, run.wall, mould.name):
        if any(abs((over.start if left else over.end) - end) <= SAME_END for end in ends):
            return over
    return None


def _step(
    job: Job, setting_out: SettingOut, run: Run, made: Made, old: OldPiece, station: float, at: str
) -> Iterator[Finding]:
    """``run``: that of the uppermost of the parts of ``made`` that meet the old."""
    trim = made.parts[0]
    where = Where(run.room, run.wall, trim.name, old.label, station, line=old.line)
    top = top_at(setting_out, run, station)
    if old.top is None and top is not None:
        yield RULES["old-top-not-surveyed"].lacking(
            f"how high the top edge of {old.named} stands", f"the step where the new {trim.name} meets it", where
        )
    steps = (
        ("its top edge", "higher", "lower", old.top, top, figure("line")),
        ("its face", "further out", "further in", old.thick, trim.section.thick, figure("step")),
    )
    told = [
        (what, up if new > was else down, was, new, row)
        for what, up, down, was, new, row in steps
        if was is not None and new is not None and round(abs(new - was), 3) > float(row["value"])
    ]
    if not told:
        return
    words = " and ".join(
        f"{what} stands {show_fine(abs(new - was), job.units)} {way}" for what, way, was, new, _ in told
    )
    says = f"At {show_length(station, job.units)} the new {made.name} meets {old.named}, {JOINT[at]}: {words}."
    inputs = [
        given
        for what, _, was, new, row in told
        for given in (
            Input(f"{what.removeprefix('its ')}, old", was, "mm", old.line),
            Input(f"{what.removeprefix('its ')}, new", round(new, 2), "mm"),
            Input(row.name, row["value"], row["unit"], assumed=True, note=row.note),
        )
    ]
    grounds = Grounds(
        tuple(dict.fromkeys(inputs)),
        "new less old, at the joint",
        "; ".join(f"{new:.6g} - {was:.6g}" for _, _, was, new, _ in told),
        "; ".join(f"{new - was:+.1f} mm" for _, _, was, new, _ in told),
        tuple(dict.fromkeys(source for *_, row in told for source in row.sources)),
    )
    mend = (
        "Make the new to the old and scribe its foot so that the edges run through; else meet at a block, a door or an "
        "internal corner. The old is not planed to the new."
    )
    if told[0][0] == steps[0][0] and job.choices.line != "parallel":
        mend += " Where the old follows its floor, choices, line: parallel lets the new follow it as well."
    worst = max(abs(new - was) for _, _, was, new, _ in told)
    yield RULES["step-at-joint"].told("caution", says, where, grounds, mend, step=worst)


JOINT = {"old-work": "butted", "old-corner": "round the corner"}
"""How a run meets old work, by what bounds it."""


def top_at(setting_out: SettingOut, run: Run, station: float) -> float | None:
    """The top edge of a run above the floor at a station, mm: between its marks, else its own; None where unknown."""
    marks = setting_out.edge_on("top", run.room, run.wall, run.trim)
    for (near, low), (far, high) in pairwise(marks):
        if near <= station <= far:
            return low if far == near else low + (high - low) * (station - near) / (far - near)
    return min(marks, key=lambda mark: abs(mark[0] - station))[1] if marks else run.top
