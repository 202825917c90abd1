"""Where photographs were taken: the number of each in a small square, on plan and elevation."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from listel.core.survey.job import Job, Photo
from listel.reports.drawings.paper import SMALL, THIN, Box, Point, Sheet, letters_width

SAID = "a photograph, by its number"
_AWAY = (0.0, 2.5, -2.5, 5.0, -5.0, 8.0, -8.0, 12.0, -12.0)


def taken_of(job: Job, room: str, wall: str = "") -> Iterator[tuple[int, Photo]]:
    """The photographs of a room that tell the wall and its station, of one wall where it is named; with their
    numbers."""
    for number, photo in enumerate(job.photos, 1):
        if photo.room == room and photo.wall and photo.at is not None and wall in ("", photo.wall):
            yield number, photo


def near(place: Point) -> list[Point]:
    """Places for a mark at and round a point, the nearest first."""
    found = [(place[0] + right, place[1] + down) for right in _AWAY for down in _AWAY]
    return sorted(found, key=lambda at: (at[0] - place[0]) ** 2 + (at[1] - place[1]) ** 2)


def mark(paper: Sheet, number: int, places: Iterable[Point]) -> None:
    """The number in a square at the first place that is free; left out where none is."""
    words = str(number)
    half = max(1.7, letters_width(words, SMALL, bold=True) / 2 + 0.5)
    for x, y in places:
        square = Box(x - half, y - 1.7, x + half, y + 1.7)
        if paper.free(square):
            paper.rectangle(square, THIN, "white")
            paper.words(x, y + 0.36 * SMALL, words, SMALL, "middle", bold=True, ring=square)
            paper.shows(("photos", number - 1), square)
            return


def sample(sheet: Sheet, box: Box) -> None:
    """The square in the key."""
    x, y = (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2
    sheet.rectangle(Box(x - 1.6, y - 1.4, x + 1.6, y + 1.4), THIN)
