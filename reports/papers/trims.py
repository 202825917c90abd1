"""Where each new trim goes, room by room, and how that is known, as the client's and the officer's papers tell it."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.plugins.conservation import Item, OfficerTable
from listel.plugins.heights import RailHeights, WallOrders
from listel.plugins.proportions import Proportions
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables


@dataclass(frozen=True, kw_only=True)
class TrimRow:
    """One trim in one room: how high its top stands above the floor, or how tall or wide it is, or over the steps
    (``size``: which), or at how many ``windows`` it is made; and how that is known."""

    trim: str
    plain: str
    room: str
    height: float | None
    size: str
    windows: int
    known_by: str


def trim_rows(outcome: Outcome) -> Iterator[TrimRow]:
    """Each trim in each room where it is set out."""
    sheet = outcome.sheet
    setting_out, heights = sheet.get(SettingOut) or SettingOut(), sheet.get(RailHeights) or RailHeights()
    orders, sizes, table = sheet.get(WallOrders), sheet.get(Proportions) or Proportions(), sheet.get(OfficerTable)
    items = {(item.room, item.label): item for item in (table.items if table else ()) if item.new}
    for trim in outcome.job.trim:
        member = tables.member(trim.member)
        for room in outcome.job.rooms:
            mine = setting_out.laid.of(room=room.name, trim=trim.name)
            if not mine:
                continue
            marks = [m for m in setting_out.marks_on(room.name, trim=trim.name) if m.edge == "top"]
            line = next((x for x in heights.lines_in(room.name) if x.trim == trim.name), None)
            placed_at = next((x for x in sizes.lines_in(room.name) if x.trim == trim.name), None)
            chosen = next((each.rule for each in line.candidates if each.chosen), "") if line else ""
            of_room = orders.of(room.name) if orders else None
            found = [mark.says for mark in (of_room.marks if of_room else ()) if mark.member == trim.member]
            found = [mark for mark in found if placed_at is None or mark != placed_at.gives_way]
            stands = bool(member.get("stands")) and not tables.goes_in_frames(trim.member)
            top = (line and line.top) or (placed_at and placed_at.top)
            climbs, wanted = tables.climbs(trim.member), outcome.job.top_asked(trim, room.name)[0]
            ruled = placed_at.chosen_rule if placed_at is not None and not stands and wanted is None else ""
            sized = stands or tables.goes_round_openings(trim.member)
            height = wanted if climbs and wanted else trim.section.height if sized else top or wanted
            if height is None and marks:
                height = marks[0].above_floor
            if tables.goes_under_windows(trim.member):
                height = mine[0].top
            yield TrimRow(
                trim=trim.name,
                plain=member.get("plain", ""),
                room=room.name,
                height=height,
                windows=len(mine) if tables.goes_at_windows(trim.member) else 0,
                size=_size(trim.member) if sized else "",
                known_by=known(items.get((room.name, trim.name)), chosen or next(iter(found), "") or ruled),
            )


def _size(member: str) -> str:
    """What the height of a member's section, or of a board up a flight what shows of it, is in words."""
    if tables.climbs(member):
        return "over the steps"
    return "wide" if tables.is_wide(member) else "tall"


def known(item: Item | None, by: str) -> str:
    """How its height is known: ``by`` a mark or a rule, else by what was asked for, and what that follows."""
    if item and item.departs:
        return "as it was asked for; the old is not followed"
    if item and item.carried and not by:
        return "as it was asked for, after another room; nothing of the old tells in this one"
    return by or ("like the old that is left of it in the room" if item and item.proved else "as it was asked for")
