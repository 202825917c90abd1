"""The raked section beside the level one it meets at a corner, with its table of ordinates."""

from __future__ import annotations

from listel.core.host.outcome import Outcome
from listel.core.survey.units import Units, show_angle, show_length
from listel.plugins.proportions import profile_path
from listel.plugins.setting_out import RakedProfile, SettingOut
from listel.reports.drawings.layout import nothing, scale_for, scale_line
from listel.reports.drawings.paper import HEAVY, LINE_SPACE, SMALL, THICK, THIN, Drawing, Sheet

MOST_ORDINATES = 24


def raked(outcome: Outcome, *, trim: str, at: str = "") -> Drawing:
    """The level section at the left, the raked one at the right, at one scale."""
    title = f"{trim}, raked section"
    setting_out = outcome.sheet.get(SettingOut)
    found = next((r for r in setting_out.raked if r.trim == trim and at in ("", r.at)), None) if setting_out else None
    if found is None or not found.ordinates:
        return nothing(title, "No raking member of this trim meets a level one.")
    units = outcome.job.units
    high = max(max(level, up) for _, level, up in found.ordinates)
    wide = max(x for x, _, _ in found.ordinates)
    scale = max(scale_for(high, 100.0, units), scale_for(wide, 45.0, units))
    paper = Sheet()
    gap = max(wide / scale + 16.0, 40.0)
    the_trim = next((each for each in outcome.job.trim if each.name == trim), None)
    path = profile_path(the_trim) if the_trim else ()
    level = [point for segment in path for point in (segment.start, *segment.points(3.0))]
    raked_face = [(x, up) for x, _, up in found.ordinates]
    sections = (
        (0.0, level or [(x, y) for x, y, _ in found.ordinates], "level"),
        (gap, raked_face, f"raked at {show_angle(found.pitch)}"),
    )
    for shift, face, words in sections:
        points = [(shift + x / scale, -y / scale) for x, y in face]
        paper.polyline([(shift, points[0][1]), *points, (shift, points[-1][1])], THICK)
        paper.line((shift, 4.0), (shift, -high / scale - 4.0), HEAVY)
        paper.words(shift + 1.5, 8.0, words, SMALL)
    _table(paper, found, gap + wide / scale + 14.0, -high / scale, units)
    words = scale_line(paper, scale, units)
    title = f"{title} at {found.at}"
    pitch, angle = show_angle(found.pitch), show_angle(found.angle)
    alt = f"{title}: pitch {pitch}, plan angle {angle}; {len(found.ordinates)} ordinates."
    return paper.finish(title, alt, words)


def _table(paper: Sheet, found: RakedProfile, x: float, top: float, units: Units) -> None:
    """Ordinates in three columns: out from the wall, up the level section, up the raked one."""
    last = len(found.ordinates) - 1
    shown = {round(last * n / (MOST_ORDINATES - 1)) for n in range(MOST_ORDINATES)}
    rows = [row for number, row in enumerate(found.ordinates) if number in shown]
    step = SMALL * LINE_SPACE
    for number, head in enumerate(("out", "level", "raked")):
        paper.words(x + 16.0 + number * 20.0, top, head, SMALL, "end")
    paper.line((x, top + 1.2), (x + 57.0, top + 1.2), THIN)
    for number, row in enumerate(rows, 1):
        for place, value in enumerate(row):
            words = f"{value:.1f}" if units == "mm" else show_length(value, "inches")
            paper.words(x + 16.0 + place * 20.0, top + number * step + 0.6, words, SMALL, "end")
