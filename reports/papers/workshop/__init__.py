"""The workshop pack: before you drill, hazards, old trim, a sheet a room, pieces, boards, sections, the shopping."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.host.outcome import Outcome
from listel.plugins.proportions import profile_path
from listel.plugins.setting_out import SettingOut
from listel.reports.drawings import draw
from listel.reports.papers import About, Leaf
from listel.reports.papers.holds import by_wall, holds
from listel.reports.papers.workshop.before import before
from listel.reports.papers.workshop.boards import cut_boards
from listel.reports.papers.workshop.hazards import hazards
from listel.reports.papers.workshop.old import old_sheet
from listel.reports.papers.workshop.pieces import pieces
from listel.reports.papers.workshop.room import room_sheet
from listel.reports.papers.workshop.shopping import shopping

NAMED = "workshop pack"
LARGE = False
FEW = 8
"""Pieces of a job so small that its hazards go on, on its first sheet, and its boards on that of its pieces."""


def leaves(outcome: Outcome, about: About) -> Iterator[Leaf]:
    """The sheets in the order of work."""
    setting_out = outcome.sheet.get(SettingOut)
    yield Leaf(name="before", title="Before you drill", template="workshop/before.html.j2", view=before(outcome))
    if told := hazards(outcome):
        title = "Hazards here, and what we do"
        small = setting_out is not None and len(setting_out.pieces) <= FEW
        yield Leaf(name="hazards", title=title, template="workshop/hazards.html.j2", view=told, follows=small)
    old = old_sheet(outcome)
    if old is not None:
        yield Leaf(name="old", title="Old trim", template="workshop/old.html.j2", view=old)
    if setting_out is None:
        return
    held = by_wall(holds(outcome))
    for number, room in enumerate(outcome.job.rooms, 1):
        view = room_sheet(outcome, setting_out, room, held)
        if view is not None:
            yield Leaf(name=f"room-{number}", title=room.name, template="workshop/room.html.j2", view=view)
    rows = list(pieces(outcome, setting_out))
    if rows:
        yield Leaf(name="pieces", title="Pieces, in the order of fixing", template="workshop/pieces.html.j2", view=rows)
    boards = list(cut_boards(outcome))
    if boards:
        yield Leaf(
            name="boards", title="Boards", template="workshop/boards.html.j2", view=boards, follows=len(rows) <= FEW
        )
    if any(profile_path(trim) for trim in outcome.job.trim):
        made = draw("full_size", outcome)
        sheets = (made, *made.further)
        yield Leaf(name="sections", title="Sections, full size", template="workshop/sections.html.j2", view=sheets)
    yield Leaf(name="shopping", title="Shopping list", template="workshop/shopping.html.j2", view=shopping(outcome))
