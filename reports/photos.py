"""Photographs as they are shown: turned upright, made small, and without a word of what the camera wrote into them."""

from __future__ import annotations

import hashlib
import re
import warnings
from collections.abc import Sequence
from io import BytesIO

from listel.core.host.outcome import Outcome
from listel.core.house.filters import date
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.core.survey.photographs import MOST_PIXELS, Photograph, Photographs
from listel.core.survey.units import show_length
from listel.reports.drawings.paper import SMALL, Box, Drawing, Sheet, shorten

LARGEST = 1200
"""Pixels of the longer side of a photograph as it is shown."""
A_PAGE = 4
INSTALL = "pip install 'listel[photos]'"
CELL, TALL, GAP = 80.0, 90.0, 6.0
"""mm: the room of a photograph on a page of four, and between two."""


class NotShown(Exception):
    """Why a photograph is not shown, in words."""


def kept(photograph: Photograph) -> tuple[bytes, int, int]:
    """The photograph as JPEG with its width and height in pixels: upright, its longer side at most 1200 px, and nothing
    kept but the picture. One that is all that already is kept as it is.

    Raises NotShown where Pillow is not installed, or the file is not what was looked at, broken or too large.
    """
    if photograph.path is None:
        raise NotShown(photograph.fault)
    try:
        data = photograph.path.read_bytes()
    except OSError:
        raise NotShown(f"{photograph.photo.file}: it cannot be read") from None
    if hashlib.sha256(data).hexdigest() != photograph.digest:
        raise NotShown(f"{photograph.photo.file}: it has changed since it was looked at")
    if (size := _bare(data)) and max(size) <= LARGEST:
        return data, *size
    try:
        from PIL import Image, ImageOps
    except ImportError:
        raise NotShown(f"photographs are shown once this is installed: {INSTALL}") from None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            Image.MAX_IMAGE_PIXELS = MOST_PIXELS
            image = Image.open(BytesIO(data), formats=("JPEG", "PNG"))
            image.draft("RGB", (LARGEST, LARGEST))
            ImageOps.exif_transpose(image, in_place=True)
            if "A" in image.getbands():
                image.paste("white", mask=ImageOps.invert(image.getchannel("A")))
            shown = image.convert("RGB")
            shown.info.clear()
        shown.thumbnail((LARGEST, LARGEST))
        out = BytesIO()
        shown.save(out, "JPEG", quality=80, optimize=True)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise NotShown(f"{photograph.photo.file}: its picture is broken or too large") from None
    return out.getvalue(), *shown.size


_TABLES = frozenset((0xC4, 0xDB, 0xDD))
"""Markers of a JPEG before what its picture is read by."""
_NO_PICTURE = re.compile(rb"\xff[^\0\xd0-\xd7]")
"""A marker that stands in no picture of one scan."""


def _bare(data: bytes) -> tuple[int, int] | None:
    """Width and height of a JPEG of one scan that holds nothing but its picture; None of any other file.

    ITU-T T.81 (1992), Annex B; JFIF 1.02 (1992) for the segment at its head, here without a small picture.
    """
    at, size = 2, (0, 0)
    while data[at : at + 1] == b"\xff":
        marker, length = int.from_bytes(data[at + 1 : at + 2]), int.from_bytes(data[at + 2 : at + 4])
        segment = data[at + 4 : at + 2 + length]
        at += 2 + length
        if marker == 0xDA:
            whole = data.endswith(b"\xff\xd9") and not _NO_PICTURE.search(data, at, len(data) - 2)
            return size if whole and min(size) else None
        if marker == 0xC0:
            size = int.from_bytes(segment[3:5]), int.from_bytes(segment[1:3])
        elif marker not in _TABLES and not (marker == 0xE0 and segment.startswith(b"JFIF\0") and length == 16):
            return None
    return None


def caption(photograph: Photograph, job: Job) -> str:
    """What a photograph shows, where, and who took it when."""
    photo = photograph.photo
    place = [photo.room, f"wall {photo.wall}" if photo.wall else ""]
    place += [f"at {show_length(photo.at, job.units)}" if photo.at is not None else ""]
    taken = " ".join(
        word for word in (date(photo.taken) if photo.taken else "", f"by {photo.by}" if photo.by else "") if word
    )
    more = ", ".join(word for word in place if word)
    words = [photo.shows.rstrip("."), more, f"taken {taken}" if taken else "", f"file {photo.file}"]
    return f"{photograph.number} {photo.name}: {'; '.join(word for word in words if word)}."


def by_room(photographs: Sequence[Photograph], job: Job) -> list[tuple[str, list[Photograph]]]:
    """Photographs by room, in the order of the rooms; those of no room last."""
    rooms = [*(room.name for room in job.rooms), ""]
    found = [(room, [each for each in photographs if each.photo.room == room]) for room in rooms]
    return [(room, mine) for room, mine in found if mine]


@dataclass(frozen=True, kw_only=True)
class RoomPhotographs:
    """The photographs of a room ("" of none): pages of four with their captions, and the captions of those not shown,
    each with why."""

    room: str
    sheets: tuple[tuple[Drawing, list[str]], ...]
    lacking: tuple[tuple[str, str], ...]


def shown_by_room(outcome: Outcome) -> tuple[RoomPhotographs, ...]:
    """Every photograph of an outcome, by room."""
    listed = outcome.sheet.get(Photographs)
    made = []
    for room, mine in by_room(listed.photos, outcome.job) if listed else ():
        sheets, lacking = pages(mine, outcome.job)
        made.append(RoomPhotographs(room=room, sheets=tuple(sheets), lacking=tuple(lacking)))
    return tuple(made)


def pages(photographs: Sequence[Photograph], job: Job) -> tuple[list[tuple[Drawing, list[str]]], list[tuple[str, str]]]:
    """Pages of four photographs, each with their captions; and the captions of those not shown, each with why."""
    shown: list[tuple[Photograph, tuple[bytes, int, int]]] = []
    lacking: list[tuple[str, str]] = []
    for each in photographs:
        try:
            shown.append((each, kept(each)))
        except NotShown as why:
            lacking.append((caption(each, job), str(why)))
    sheets = []
    for at in range(0, len(shown), A_PAGE):
        page = shown[at : at + A_PAGE]
        sheets.append((_page(page), [caption(each, job) for each, _ in page]))
    return sheets, lacking


def _page(page: Sequence[tuple[Photograph, tuple[bytes, int, int]]]) -> Drawing:
    """Up to four photographs on one drawing, each with its number beneath it."""
    sheet, top = Sheet(), 0.0
    for row in range(0, len(page), 2):
        beside = page[row : row + 2]
        for column, (each, made) in enumerate(beside):
            x, (width, tall) = column * (CELL + GAP), _fitted(made)
            sheet.picture(Box(x, top, x + width, top + tall), made[0])
            sheet.words(x, top + tall + 4, shorten(f"{each.number} {each.photo.name}", CELL, SMALL), bold=True)
        top += max(_fitted(made)[1] for _, made in beside) + GAP + 3.0
    many = "s" if len(page) > 1 else ""
    said = "; ".join(f"{each.number} {each.photo.shows.rstrip('.')}" for each, _ in page)
    numbers = ", ".join(str(each.number) for each, _ in page)
    return sheet.finish(f"Photograph{many} {numbers}", f"Photograph{many}: {said}.")


def _fitted(made: tuple[bytes, int, int]) -> tuple[float, float]:
    """mm that a photograph takes in its room."""
    _, width, height = made
    share = min(CELL / width, TALL / height)
    return width * share, height * share
