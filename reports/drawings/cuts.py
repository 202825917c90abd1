"""Each kind of end that is cut, with both angles: from the moulding's length, and on the saw.

Ends are seen from above; those cut in the plane of the wall are seen from the room.
"""

from __future__ import annotations

from dataclasses import field
from math import atan2, cos, pi, radians, sin, tan

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Trim
from listel.core.survey.units import show_angle
from listel.plugins.proportions import profile_path
from listel.plugins.setting_out import PieceEnd, SettingOut
from listel.reports.drawings.layout import note, nothing
from listel.reports.drawings.paper import (
    CENTRE,
    HAIR,
    HEAVY,
    HIDDEN,
    LINE_SPACE,
    SMALL,
    THICK,
    THIN,
    WIDTH,
    Drawing,
    Point,
    Sheet,
    shorten,
    wrap,
)

_DEEP = 12.0
_LONG = 26.0
_COLUMNS = 3
_WIDE = WIDTH / _COLUMNS
_LINES = 3
"""Lines that the marks of the pieces of one setting take at most."""
_SETTINGS = 8
"""Settings told under one diagram at most."""
_FROM_THE_ROOM = ("knee", "head-mitre", "frame-mitre", "plumb", "splayed")
"""Ends cut in the plane of the wall."""
_NAMES = {"return": "return mitre", "square": "square end", "butt": "butt end"}

Setting = tuple[float | None, float | None, float]
"""Cut angle, saw reading, blade tilt."""


@dataclass
class _Kind:
    """A kind of end: one that stands for it, and the marks of the pieces cut to each setting."""

    end: PieceEnd
    settings: dict[Setting, list[str]] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """What it is called."""
        return _NAMES.get(self.end.kind, self.end.kind.replace("-", " "))


def cuts(outcome: Outcome, *, room: str = "", trim: str = "") -> Drawing:
    """A diagram of each kind of end of the pieces of that room and trim (of all, where none is named)."""
    title = f"{trim}, ends to cut" if trim else "Ends to cut"
    setting_out = outcome.sheet.get(SettingOut)
    kinds: dict[str, _Kind] = {}
    for piece in setting_out.pieces if setting_out else ():
        if room in ("", piece.room) and trim in ("", piece.trim):
            for end in (piece.left, piece.right):
                kind = kinds.setdefault(end.kind, _Kind(end))
                kind.settings.setdefault((end.cut_angle, end.saw_reading, end.bevel), []).append(piece.label)
    if not kinds:
        return nothing(title, "No pieces were set out, so there are no ends to cut.")
    the_trim = next((each for each in outcome.job.trim if each.name == trim), None)
    ranked = sorted(kinds.values(), key=lambda kind: kind.end.kind)
    paper = Sheet()
    top = 0.0
    for first in range(0, len(ranked), _COLUMNS):
        row = ranked[first : first + _COLUMNS]
        top = max(_kind(paper, kind, the_trim, number * _WIDE, top) for number, kind in enumerate(row)) + 3.0
    note(
        paper,
        "a is the cut from the length of the moulding; b is what a saw shows that reads 0 for a square cut.",
        WIDTH,
    )
    return paper.finish(title, f"{title}. {'; '.join(_told(kind) for kind in ranked)}.", "not to scale")


def _told(kind: _Kind) -> str:
    angles = ", ".join(
        f"{_angle(cut)} from the moulding, {_angle(saw)} on the saw" for cut, saw, _ in list(kind.settings)[:_SETTINGS]
    )
    return f"{kind.name}: {angles}"


def _angle(degrees: float | None) -> str:
    return "not known" if degrees is None else show_angle(degrees)


def _kind(paper: Sheet, kind: _Kind, trim: Trim | None, x: float, y: float) -> float:
    """One kind of end with its settings; gives the level under it."""
    _end(paper, kind.end, trim, x, y + 6.0)
    level = y + 6.0 + _DEEP + 6.0
    paper.words(x, level, shorten(kind.name, _WIDE - 4.0, SMALL), SMALL, bold=True)
    settings = sorted(kind.settings.items(), key=lambda item: (-len(item[1]), item[0][0] or 0.0))
    for (cut, saw, tilt), labels in settings[:_SETTINGS]:
        marks = list(dict.fromkeys(labels))
        told = f"{len(labels)} ends" if cut == 90.0 and len(labels) > 2 else ", ".join(marks)
        tilted = f", blade tilted {show_angle(tilt)}" if tilt else ""
        lines = wrap(f"a {_angle(cut)}, b {_angle(saw)}{tilted}: {told}", _WIDE - 4.0, SMALL)
        if len(lines) > _LINES:
            lines = [*lines[: _LINES - 1], shorten(f"{lines[_LINES - 1]} …", _WIDE - 4.0, SMALL)]
        for line in lines:
            level += SMALL * LINE_SPACE
            paper.words(x, level, line, SMALL)
    if len(settings) > _SETTINGS:
        level += SMALL * LINE_SPACE
        paper.words(x, level, f"and {len(settings) - _SETTINGS} more in the list of pieces", SMALL)
    return level


def _end(paper: Sheet, end: PieceEnd, trim: Trim | None, x: float, top: float) -> None:
    """One end: the wall above, the moulding below it with its arrises, cut at its right."""
    angle = min(max(end.cut_angle if end.cut_angle is not None else 90.0, 25.0), 155.0)
    lean = abs(_DEEP / tan(radians(angle))) if abs(angle - 90.0) > 0.01 else 0.0
    cope = end.kind == "cope"
    back, low = x + _LONG, top + _DEEP
    face = back + (-lean if end.gives < 0 or cope else lean)
    if end.kind in _FROM_THE_ROOM:
        paper.words(x, top - 1.6, "seen from the room", SMALL)
    else:
        paper.line((x, top), (back + 14.0, top), HEAVY)
        paper.words(x, top - 1.6, "wall", SMALL)
    for share in _arrises(trim):
        at = back + (face - back) * share
        paper.line((x, top + _DEEP * share), (at, top + _DEEP * share), HAIR)
    paper.polyline([(x, top), (back, top), (face, low), (x, low)], THICK)
    if cope:
        paper.line((face, low), (back - min(lean, 4.0) - 2.5, top), HIDDEN)
        _front(paper, trim, back + 20.0, low)
    if lean > 0.2:
        points = ((back, top), (face, low))
        _angles(paper, *(points if face < back else points[::-1]))


def _arrises(trim: Trim | None) -> list[float]:
    """How far out from the wall each edge of the moulding stands, as shares of its projection."""
    path = profile_path(trim) if trim else ()
    reach = max((x for segment in path for x, _ in (segment.start, *segment.points())), default=0.0)
    return sorted({round(segment.end[0] / reach, 3) for segment in path[:-1]} - {1.0}) if reach else []


def _front(paper: Sheet, trim: Trim | None, x: float, low: float) -> None:
    """The line that a cope is sawn to, as it is seen from the room."""
    path = profile_path(trim) if trim else ()
    if not path:
        return
    points = [path[0].start, *(point for segment in path for point in segment.points())]
    scale = max(path[-1].end[1] / (_DEEP + 2.0), max(px for px, _ in points) / 10.0)
    line = [(x + px / scale, low - py / scale) for px, py in points]
    paper.polyline(line, THICK)
    for _, y in (line[0], line[-1]):
        paper.line((x - 4.0, y), (line[0][0] if y == line[0][1] else line[-1][0], y), HAIR)


def _angles(paper: Sheet, point: Point, other: Point) -> None:
    """Arcs at the long point: "a" from the moulding's length to the cut, "b" from the cut to square across."""
    down = 1.0 if other[1] > point[1] else -1.0
    cut = atan2(down * (other[1] - point[1]), point[0] - other[0])
    for letter, start, end, radius in (("a", 0.0, cut, 6.0), ("b", cut, pi / 2, 8.5)):
        turns = [start + (end - start) * step / 12 for step in range(13)]
        paper.polyline([(point[0] - radius * cos(t), point[1] + down * radius * sin(t)) for t in turns], THIN)
        middle = (start + end) / 2
        x, y = point[0] - (radius + 2.2) * cos(middle), point[1] + down * (radius + 2.2) * sin(middle)
        paper.words(x, y + 0.36 * SMALL, letter, SMALL, "middle")
    paper.line(point, (point[0], point[1] + down * 11.0), CENTRE)
