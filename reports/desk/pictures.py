"""The drawings of the desk's pages, each thing in them to be pressed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape

from listel.core.host.outcome import Outcome
from listel.core.survey.messages import KeyPath
from listel.plugins.closure import Closures
from listel.plugins.panelling import Panelling
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables
from listel.reports.drawings import draw
from listel.reports.drawings.paper import Box, Drawing
from listel.reports.drawings.shape import shape
from listel.reports.drawings.walls import site_of_outcome

_FINGER = 7.0
"""Least width and height of what is pressed in a drawing, mm of its paper."""


def of_room(outcome: Outcome, name: str, wall: str) -> dict[str, Drawing]:
    """The plan of a room that has walls; of a ``wall`` in it ("": of none) its elevation and profiles too."""
    room = next((room for room in outcome.job.rooms if room.name == name), None)
    if room is None or not room.walls:
        return {}
    closures, setting_out = outcome.sheet.get(Closures), outcome.sheet.get(SettingOut)
    closure = closures.of(name) if closures else None
    plan = shape(site_of_outcome(outcome).rooms[name], outcome.job.units, closure)
    if wall not in [each.name for each in room.walls]:
        return {"plan": plan}
    here = {run.trim for run in (setting_out.runs_on(name, wall) if setting_out else ())}
    return {"elevation": draw("elevation", outcome, room=name, wall=wall), "plan": plan, **profiles(outcome, here)}


def leading(drawing: Drawing, link: Callable[[KeyPath], tuple[str, str]]) -> str:
    """A drawing with a link over each thing, the smaller over the greater; ``link`` gives its address and what it is
    called."""
    over: dict[tuple[str, str], list[Box]] = {}
    for path, box in sorted(drawing.shows, key=lambda one: -(one[1].x1 - one[1].x0) * (one[1].y1 - one[1].y0)):
        over.setdefault(link(path), []).append(box)
    links = "".join(
        f'<a href="{address}" aria-label="{escape(words)}">{"".join(map(_pressed, boxes))}</a>'
        for (address, words), boxes in over.items()
    )
    return drawing.svg.replace('role="img"', 'role="group"', 1).replace("</svg>", f"{links}</svg>")


def profiles(outcome: Outcome, trims: Iterable[str]) -> dict[str, Drawing]:
    """The sections of these trims, those that were surveyed."""
    named = [trim for trim in outcome.job.trim if trim.name in trims]
    drawn = [draw("profile", outcome, trim=trim.name) for trim in named if not tables.goes_at_windows(trim.member)]
    shutters = (outcome.sheet.get(Panelling) or Panelling()).shutters
    drawn += [draw("boxing", outcome, label=each.label) for each in shutters if each.trim in trims]
    return {f"profile {number}": drawing for number, drawing in enumerate(drawn)}


def _pressed(box: Box) -> str:
    """A place to press over a thing, wide and high enough for a finger."""
    wide, high = (max(_FINGER - (end - start), 0.0) / 2 for start, end in ((box.x0, box.x1), (box.y0, box.y1)))
    x, y, width, height = box.x0 - wide, box.y0 - high, box.x1 - box.x0 + 2 * wide, box.y1 - box.y0 + 2 * high
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" fill="none" pointer-events="all"/>'
