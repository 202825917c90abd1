"""The lettering of a wall: the marks of its pieces, its knees, and the heights at its ends."""

from __future__ import annotations

import itertools

from listel.core.survey.units import show_angle
from listel.plugins.setting_out import SettingOut
from listel.reports.drawings.layout import column, label_led, label_near
from listel.reports.drawings.paper import SMALL, letters_width, shorten
from listel.reports.drawings.wall_view import WallView
from listel.reports.drawings.walls import Band, height_at

NARROW = 20.0
"""A wall narrower than this on paper has its heights at one side only, where they agree at both, mm."""
_MOST_WITHOUT_ROOM = 12
"""Marks on one wall that found no place even with a leader; after so many the paper round it is full, and the search
for each more is long: the cutting list and the sheets for the wall have them all."""
_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)


def marks(view: WallView) -> None:
    """Each piece's mark in its member, over or under it; where there is no room, beside the wall with the heights if
    it reaches the wall's end, else with a leader."""
    without = 0
    for band in view.members:
        for start, end, label in band.pieces:
            if not _on(view, band, start, end, label):
                edges = (0.0, view.length)
                near = next((edge for edge in edges if abs(start - edge) <= 1 or abs(end - edge) <= 1), None)
                if near is not None:
                    view.beside[band.named, near] = label
                    continue
                middle = (start + end) / 2
                x, y = view.at(middle, (height_at(band.top, middle) + height_at(band.underside, middle)) / 2)
                if without < _MOST_WITHOUT_ROOM and not label_led(view.paper, label, (x, y)):
                    without += 1
    _knees(view)


def _on(view: WallView, band: Band, start: float, end: float, label: str) -> bool:
    """Put a piece's mark in, over or under the piece, within its ends; False where there is no room."""
    half = letters_width(label, SMALL) / 2
    room = (end - start) / view.scale
    if room < 2 * half + 0.6:
        return False
    places = []
    for share in _SHARES:
        station = start + (half + 0.3) * view.scale + ((end - start) - (2 * half + 0.6) * view.scale) * share
        x = view.at(station, 0)[0]
        high, low = (view.level(height_at(edge, station)) for edge in (band.top, band.underside))
        inside = (high + low) / 2 + 0.3 * SMALL
        places.append([(x, inside)] if low - high > 4.0 else [])
        slope = abs(height_at(band.top, end) - height_at(band.top, start)) / (end - start) * half
        places[-1] += [(x, high - 1.2 - slope - more) for more in (0.0, 1.0)]
        places[-1] += [(x, low + 3.0 + slope + more) for more in (0.0, 1.0)]
    by_kind = [place for way in itertools.zip_longest(*places) for place in way if place]
    return label_near(view.paper, label, by_kind, gap=0.1)


def _knees(view: WallView) -> None:
    """The saw's setting at each knee of a rail that changes its pitch."""
    setting_out = view.outcome.sheet.get(SettingOut)
    for piece in setting_out.pieces_on(view.room.name, view.wall.name) if setting_out else ():
        if piece.right.kind != "knee":
            continue
        band = next((b for b in view.members if b.trim == piece.trim and b.start <= piece.end <= b.end + 1), None)
        if band and piece.right.saw_reading is not None:
            words = f"knee, saw reads {show_angle(piece.right.saw_reading)}"
            label_led(view.paper, words, view.at(piece.end, height_at(band.top, piece.end)))


def heights(view: WallView, names: float) -> None:
    """Heights above the floor at both ends of the wall, with the members' names at the right."""
    left, right = view.at(0.0, 0.0)[0], view.at(view.length, 0.0)[0]
    foot = max(view.level(height) for _, height in view.floor) + 1.0
    lefts, rights = _levels(view, 0.0), _levels(view, view.length)
    agree = [(words, trim) for _, _, words, trim in lefts] == [(words, trim) for _, _, words, trim in rights]
    marks = [view.beside.get((trim, 0.0), "") for *_, trim in lefts]
    if right - left >= NARROW or not agree or any(marks):
        told = [(x, y, f"{words}  {mark}".strip()) for (x, y, words, _), mark in zip(lefts, marks, strict=True)]
        column(view.paper, left - 5.0, told, "end", lowest=foot)
    told = []
    for x, y, words, trim in rights:
        name = view.beside.get((trim, view.length), "") or (shorten(trim, names, SMALL) if names else "")
        told.append((x, y, f"{words}  {name}".strip()))
    column(view.paper, right + 5.0, told, lowest=foot)


def _levels(view: WallView, end: float) -> list[tuple[float, float, str, str]]:
    """At one end of the wall: the top of the nearest stretch of each trim, and of the ceiling, in words, and whose; of
    new trim and old in one height only that which comes so far, of an old piece at the ends that it reaches, else at
    the nearer."""
    nearest: dict[str, Band] = {}
    there = [band for band in view.members if _off(band, end) <= 1]
    told = [
        band for band in view.members if band.old is None or _off(band, end) <= max(1, _off(band, view.length - end))
    ]
    for band in sorted(told, key=lambda band: _off(band, end)):
        others = (each for each in there if band not in there and (each.old is None) != (band.old is None))
        if not any(_level_with(band, each) for each in others):
            nearest.setdefault(band.named, band)
    found = []
    for trim, band in nearest.items():
        station = min((band.start, band.end), key=lambda s: abs(s - end))
        top = height_at(band.top, station)
        found.append((*view.at(station, top), view.show(top - height_at(view.floor, station)), trim))
    if view.ceiling:
        top = height_at(view.ceiling, end)
        found.append((*view.at(end, top), view.show(top - height_at(view.floor, end)), "ceiling"))
    return found


def _off(band: Band, end: float) -> float:
    """How far a member ends from an end of the wall."""
    return min(abs(band.start - end), abs(band.end - end))


def _level_with(band: Band, other: Band) -> bool:
    """Whether two members stand in one height of the wall."""
    low, high = max(band.underside[0][1], other.underside[0][1]), min(band.top[0][1], other.top[0][1])
    return high - low > 1
