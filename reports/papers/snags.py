"""The snag list: a sheet a room, what to look for at each stage, how far out it may be, boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.plugins.defects import DefectChecks, Snag
from listel.plugins.existing import Existing
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import SettingOut
from listel.reports.drawings.paper import Drawing
from listel.reports.drawings.small_plan import small_plan
from listel.reports.papers import About, Leaf

NAMED = "snag list"
LARGE = False
BEFORE = ("survey", "read-moisture", "acclimatise", "select-timber")
"""Stages that are looked at before anything is in a room."""


@dataclass(frozen=True, kw_only=True)
class Stage:
    """One stage: its step in words, who looks, what to look for."""

    title: str
    who: str
    snags: tuple[Snag, ...]


@dataclass(frozen=True, kw_only=True)
class RoomSnags:
    """The list of one room: its walls, its stages."""

    plan: Drawing | None
    walls: tuple[str, ...]
    rows: int
    stages: tuple[Stage, ...]


def leaves(outcome: Outcome, about: About) -> Iterator[Leaf]:
    """A sheet for each room in which trim is set out."""
    setting_out = outcome.sheet.get(SettingOut)
    rows = 4 if outcome.job.units == "inches" else 7
    for number, room in enumerate(outcome.job.rooms, 1):
        walls = tuple(wall.name for wall in room.walls if setting_out and setting_out.runs_on(room.name, wall.name))
        stages = tuple(_stages(outcome, _looked_for(outcome, room.name)))
        view = RoomSnags(plan=small_plan(outcome, room.name), walls=walls, rows=rows, stages=stages)
        title = f"{room.name}: snags"
        yield Leaf(name=f"snags-{number}", title=title, template="snags/room.html.j2", view=view)


def _looked_for(outcome: Outcome, room: str) -> list[Snag]:
    """The snags that the members put up or put back in a room can have; those of corners where trim meets in one."""
    checks, setting_out = outcome.sheet.get(DefectChecks) or DefectChecks(), outcome.sheet.get(SettingOut)
    if setting_out is None:
        return [*checks.snags]
    old = (outcome.sheet.get(Existing) or Existing()).pieces_on(room)
    there = {run.member for run in setting_out.laid.of(room=room)}
    there |= {piece.member for piece in old if piece.intent in ("refix", "repair")}
    corners = setting_out.corners_of(room)
    return [snag for snag in checks.snags if there.intersection(snag.members) and (corners or not snag.corner)]


def _stages(outcome: Outcome, snags: list[Snag]) -> Iterator[Stage]:
    """The stages after which snags are looked for, in the order of the work."""
    sequence = outcome.sheet.get(Sequence)
    steps = {step.name: step for step in sequence.steps} if sequence else {}
    by_stage: dict[str, list[Snag]] = {}
    for snag in snags:
        if snag.stage not in BEFORE and (not steps or snag.stage in steps):
            by_stage.setdefault(snag.stage, []).append(snag)
    for name in steps or by_stage:
        if name in by_stage:
            yield Stage(
                title=steps[name].title if name in steps else name.replace("-", " ").capitalize(),
                who=steps[name].who.replace("-", " ") if name in steps else "joiner",
                snags=tuple(by_stage[name]),
            )
