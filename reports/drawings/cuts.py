"""Each kind of end that is cut, seen from above, with both angles: from the moulding's length, and on the saw."""

from __future__ import annotations

from math import atan2, cos, pi, radians, sin, tan

from listel.core.engine import Outcome
from listel.core.units import show_angle
from listel.plugins.setting_out import PieceEnd, SettingOut
from listel.reports.drawings.layout import note, nothing
from listel.reports.drawings.paper import (
    CENTRE,
    HEAVY,
    LINE_SPACE,
    SMALL,
    THICK,
    THIN,
    WIDTH,
    Drawing,
    Point,
    Sheet,
    shorten,
)

MOST = 12
"""Kinds of end drawn at most."""
_DEEP = 14.0
_LONG = 30.0
_COLUMNS = 3
_CELL = (WIDTH / _COLUMNS, 41.0)


def cuts(outcome: Outcome, *, room: str = "", trim: str = "") -> Drawing:
    """A diagram of each kind of end of the pieces of that room and trim (of all, where none is named)."""
    title = "Ends to cut, seen from above"
    setting_out = outcome.sheet.get(SettingOut)
    marks: dict[tuple[str, float | None, float], tuple[PieceEnd, list[str]]] = {}
    for piece in setting_out.pieces if setting_out else ():
        if room in ("", piece.room) and trim in ("", piece.trim):
            for end in (piece.left, piece.right):
                key = (end.kind, end.cut_angle, end.bevel)
                marks.setdefault(key, (end, []))[1].append(piece.label)
    if not marks:
        return nothing(title, "No pieces were set out, so there are no ends to cut.")
    ranked = sorted(marks.values(), key=lambda found: (-len(found[1]), found[0].kind, found[0].cut_angle or 0.0))
    paper = Sheet()
    for number, (end, labels) in enumerate(ranked[:MOST]):
        x, y = (number % _COLUMNS) * _CELL[0], (number // _COLUMNS) * _CELL[1]
        _end(paper, end, list(dict.fromkeys(labels)), x, y)
    note(
        paper,
        "a is the cut from the length of the moulding; b is what a saw shows that reads 0 for a square cut.",
        WIDTH,
    )
    told = "; ".join(
        f"{end.kind.replace('-', ' ')}: {_angle(end.cut_angle)} from the moulding, {_angle(end.saw_reading)} on the saw"
        for end, _ in ranked[:MOST]
    )
    left_out = f" {len(ranked) - MOST} rarer kinds are in the list of pieces." if len(ranked) > MOST else ""
    return paper.finish(title, f"{title}. {told}.{left_out}", "not to scale")


def _angle(degrees: float | None) -> str:
    return "not known" if degrees is None else show_angle(degrees)


def _end(paper: Sheet, end: PieceEnd, labels: list[str], x: float, y: float) -> None:
    """One end: the wall above, the moulding below it, cut at its right."""
    angle = min(max(end.cut_angle if end.cut_angle is not None else 90.0, 15.0), 165.0)
    lean = _DEEP / tan(radians(angle)) if abs(angle - 90.0) > 0.01 else 0.0
    shorter = -1.0 if end.gives < 0 else 1.0
    back, face = x + _LONG, x + _LONG + shorter * abs(lean)
    top, low = y + 5.0, y + 5.0 + _DEEP
    paper.line((x, top), (x + _LONG + 14.0, top), HEAVY)
    if end.kind == "cope":
        face = back
        points = [(x, low), (face, low), (face - 3.0, low - 4.0), (face - 1.0, low - 8.0), (back - 4.0, top)]
        paper.polyline([(x, top), *reversed(points)], THICK)
    else:
        paper.polyline([(x, top), (back, top), (face, low), (x, low)], THICK)
    if end.kind != "cope" and abs(lean) > 0.2:
        _angles(paper, (back, top) if face < back else (face, low), (face, low) if face < back else (back, top))
    words = [
        end.kind.replace("-", " "),
        f"a  {_angle(end.cut_angle)} from its length",
        f"b  {_angle(end.saw_reading)} on the saw",
    ]
    if end.bevel:
        words.append(f"blade tilted {show_angle(end.bevel)}")
    words.append(f"pieces {', '.join(labels)}")
    for number, line in enumerate(words):
        paper.words(
            x, low + 5.0 + number * SMALL * LINE_SPACE, shorten(line, _CELL[0] - 4.0, SMALL), SMALL, bold=number == 0
        )
    paper.words(x, top - 1.6, "wall", SMALL)


def _angles(paper: Sheet, point: Point, other: Point) -> None:
    """Arcs at the long point: "a" from the moulding's length to the cut, "b" from the cut to square across."""
    down = 1.0 if other[1] > point[1] else -1.0
    cut = atan2(down * (other[1] - point[1]), point[0] - other[0])
    for letter, start, end, radius in (("a", 0.0, cut, 7.0), ("b", cut, pi / 2, 10.0)):
        turns = [start + (end - start) * step / 12 for step in range(13)]
        paper.polyline([(point[0] - radius * cos(t), point[1] + down * radius * sin(t)) for t in turns], THIN)
        middle = (start + end) / 2
        x, y = point[0] - (radius + 2.2) * cos(middle), point[1] + down * (radius + 2.2) * sin(middle)
        paper.words(x, y + 0.36 * SMALL, letter, SMALL, "middle")
    paper.line(point, (point[0], point[1] + down * 12.0), CENTRE)
