"""Photographs of walls, kept in photos/ beside the survey: JPEG, small, and without what a camera writes into it."""

from __future__ import annotations

import base64
import binascii
import re
from pathlib import Path
from typing import Any

from listel.core.files import write_whole
from listel.core.survey.faults import InputFault
from listel.core.survey.messages import KeyPath
from listel.core.survey.splice import found
from listel.reports.desk.paths import said

FOLDER = "photos"
MOST_PHOTO = 4 << 20
"""The largest photograph that is taken, bytes."""
_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,99}\.jpg")
_KEPT_PARTS = frozenset([0xE0, 0xEE])
"""Of a JPEG's application segments, those that say how to read its colours."""


def kept_photo(folder: Path, data: Any, wall: KeyPath, told: str) -> str:
    """Write a photograph of a wall, told in base 64, into the folder for them beside the survey; its name.

    Raises InputFault where it is no JPEG, too large, or the folder leads elsewhere.
    """
    try:
        content = base64.b64decode(told, validate=True)
    except (ValueError, binascii.Error):
        raise InputFault("this is no photograph") from None
    if len(content) > MOST_PHOTO:
        raise InputFault(f"a photograph of {len(content):,} bytes is too large; at most {MOST_PHOTO:,} are kept")
    plain = without_marks(content)
    place = _folder(folder)
    place.mkdir(exist_ok=True)
    begun = _begun(data, wall)
    number = 1 + max((int(name.rpartition("-")[2][:-4]) for name in photos_of(folder, data, wall)), default=0)
    name = f"{begun}-{number}.jpg"
    write_whole(place / name, plain)
    return name


def photos_of(folder: Path, data: Any, wall: KeyPath) -> list[str]:
    """The photographs of a wall, by name, in the order they were taken."""
    pattern = re.compile(rf"{re.escape(_begun(data, wall))}-([0-9]{{1,6}})\.jpg")
    try:
        stand = [(match, one) for one in _folder(folder).iterdir() if (match := pattern.fullmatch(one.name))]
    except (OSError, InputFault):
        return []
    return [one.name for match, one in sorted(stand, key=lambda pair: int(pair[0][1]))]


def photo_file(folder: Path, name: str) -> bytes | None:
    """A photograph by its name; None where there is none of that name in the folder itself."""
    if not _NAME.fullmatch(name):
        return None
    try:
        path = _folder(folder) / name
        return path.read_bytes() if path.is_file() and not path.is_symlink() else None
    except (OSError, InputFault):
        return None


def without_marks(content: bytes) -> bytes:
    """A JPEG without its metadata: place, time, camera, comments. Raises InputFault where it is no JPEG.

    ITU-T T.81 (1992), Annex B: segments from SOI to SOS, each with its length in two bytes.
    """
    fault = InputFault("this is no JPEG photograph")
    if not content.startswith(b"\xff\xd8"):
        raise fault
    kept, at = [b"\xff\xd8"], 2
    while at + 4 <= len(content) and content[at] == 0xFF:
        marker, size = content[at + 1], int.from_bytes(content[at + 2 : at + 4], "big")
        segment = content[at : at + 2 + size]
        if size < 2 or len(segment) < size + 2:
            raise fault
        if marker == 0xDA:
            return b"".join((*kept, content[at:]))
        if not (0xE0 <= marker <= 0xEF or marker == 0xFE) or marker in _KEPT_PARTS:
            kept.append(segment)
        at += 2 + size
    raise fault


def _folder(beside: Path) -> Path:
    """The folder for photographs. Raises InputFault where it leads out of the survey's folder."""
    place = beside / FOLDER
    if place.is_symlink() or (place.exists() and not place.is_dir()):
        raise InputFault(f"{place}: this is no folder of this place; photographs are kept in a plain folder")
    return place


def _begun(data: Any, wall: KeyPath) -> str:
    """How the names of a wall's photographs begin: its room and itself."""
    names = (said(found(data, (*path, "name"))) for path in (wall[:2], wall))
    words = ["-".join(re.findall(r"[a-z0-9]+", name.lower()))[:40] or "x" for name in names]
    return "-".join(words)
