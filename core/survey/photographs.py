"""The photographs a survey lists: each file looked at where it lies; none that is no picture inside its folder.

Only what can be told without decoding a picture is told here; nothing of it reaches the job.
"""

from __future__ import annotations

import hashlib
import struct
from pathlib import Path, PurePosixPath

from listel.core.quick import dataclass
from listel.core.survey.job import Job, Photo

MOST_BYTES = 25_000_000
MOST_PIXELS = 64_000_000
KINDS = {b"\xff\xd8\xff": "JPEG", b"\x89PNG\r\n\x1a\n": "PNG"}
_SIZED = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
"""Markers of a JPEG after which its size stands."""


@dataclass(frozen=True)
class Photograph:
    """One photograph, by its ``number`` in the survey: where its file lies and its digest; or its ``fault``, in words,
    and neither."""

    number: int
    photo: Photo
    path: Path | None = None
    digest: str = ""
    fault: str = ""


@dataclass(frozen=True)
class Photographs:
    """The photographs of a job, in the survey's order."""

    photos: tuple[Photograph, ...] = ()

    @property
    def digest(self) -> str:
        """SHA-256 of the digests of all files."""
        return hashlib.sha256(" ".join(each.digest or "none" for each in self.photos).encode()).hexdigest()


def photographs(job: Job, folder: Path) -> Photographs:
    """The photographs that a job lists, in the folder of its survey. A file that cannot be shown has a fault; none is
    raised."""
    return Photographs(tuple(_looked_at(number, photo, folder) for number, photo in enumerate(job.photos, 1)))


def _looked_at(number: int, photo: Photo, folder: Path) -> Photograph:
    try:
        path = _inside(photo.file, folder)
        data = path.read_bytes()
        _judge(data)
    except (OSError, ValueError) as error:
        says = "it cannot be read" if isinstance(error, OSError) else str(error)
        return Photograph(number, photo, fault=f"{photo.file}: {says}")
    return Photograph(number, photo, path, hashlib.sha256(data).hexdigest())


def _inside(file: str, folder: Path) -> Path:
    """The file's place. Raises ValueError where it is outside the folder, behind a link, missing or too large."""
    relative = PurePosixPath(file.replace("\\", "/"))
    if relative.is_absolute() or ".." in relative.parts or ":" in file:
        raise ValueError("a photograph lies inside the folder of its survey; give its file from there")
    path = folder.resolve() / relative
    if path.resolve() != path:
        raise ValueError("it is a link, or lies behind one; put the file itself there")
    if not path.is_file():
        raise ValueError("there is no such file")
    if path.stat().st_size > MOST_BYTES:
        raise ValueError(f"it is larger than {MOST_BYTES // 1_000_000} MB; make it smaller")
    return path


def _judge(data: bytes) -> None:
    """Raises ValueError for what is no JPEG or PNG, or has too many pixels."""
    kind = next((kind for start, kind in KINDS.items() if data.startswith(start)), None)
    if kind is None:
        raise ValueError("it is neither JPEG nor PNG")
    size = _png_size(data) if kind == "PNG" else _jpeg_size(data)
    if size is None:
        raise ValueError(f"its {kind} is broken")
    if size[0] * size[1] > MOST_PIXELS:
        most = MOST_PIXELS // 1_000_000
        raise ValueError(f"it has {size[0]} x {size[1]} pixels, more than {most} million; make it smaller")


def _png_size(data: bytes) -> tuple[int, int] | None:
    return struct.unpack(">II", data[16:24]) if len(data) >= 24 else None


def _jpeg_size(data: bytes) -> tuple[int, int] | None:
    """Width and height, from the first frame header."""
    at = 2
    while at + 9 < len(data) and data[at] == 0xFF:
        marker, length = data[at + 1], int.from_bytes(data[at + 2 : at + 4])
        if marker in _SIZED:
            height, width = struct.unpack(">HH", data[at + 5 : at + 9])
            return width, height
        at += 2 + length
    return None
