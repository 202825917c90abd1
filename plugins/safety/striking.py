"""Tools that drill with blows, where no wall of the job is drilled so."""

from __future__ import annotations

from dataclasses import replace

from listel.core.contract.findings import Finding, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Room, ToolUse, Wall
from listel.plugins.safety.hazards import fixing_lines, named, tool_row
from listel.plugins.site import Site, no_blows

RULES = load_rules(__package__)


def for_nothing(job: Job, sheet: Sheet) -> Finding | None:
    """That tools strike and each wall whose masonry is drilled forbids it, or none is drilled; None where one takes
    blows, and where nothing is scheduled."""
    tools = [tool.tool for tool in job.work.tools if strikes(tool) and tool.hours]
    lines = [line for line in fixing_lines(sheet) if line.points]
    forbid: dict[str, list[tuple[Room, Wall]]] = {}
    for line in lines:
        if any(point.on == "masonry" for point in line.points):
            face = sheet[Site].wall(line.room, line.wall)
            pairs = forbid.setdefault(no_blows(face), [])
            pairs += [(job.room(line.room), face.wall)] if face.wall not in [wall for _, wall in pairs] else []
    if not tools or not lines or "" in forbid:
        return None
    why = "; ".join(f"{named(walls)}, for {reason}" for reason, walls in forbid.items())
    return RULES["blows-for-nothing"].told(
        "caution",
        f"No wall of this job is drilled with blows ({why or 'no fixing goes into masonry'}), yet these are planned: "
        f"{', '.join(tools)}.",
        Where(line=job.line(job.work, "tools")),
        mend="Drill with the hammer off; then write a plain drill with its hours under work, tools.",
    )


def strikes(tool: ToolUse) -> bool:
    """Whether it drills with blows."""
    row = tool_row(tool)
    return row is not None and bool(row.get("strikes"))


def unstruck(job: Job) -> Job:
    """The same job with the hammer off: each tool that strikes is a plain drill, with the levels of the table
    ``tools``."""
    tools = tuple(ToolUse(tool="drill", hours=tool.hours) if strikes(tool) else tool for tool in job.work.tools)
    return replace(job, work=replace(job.work, tools=tools))
