"""The one name of each piece on paper: a running number through the job, in the order of fixing."""

from __future__ import annotations

from collections.abc import Mapping

from listel.core.survey.job import Job
from listel.plugins.setting_out import SettingOut


def numbers(job: Job, setting_out: SettingOut | None) -> Mapping[str, str]:
    """The number of each piece by its label: room by room, in order of fixing; a return has its piece's and a letter,
    a splice the old piece's.

    A spare, which is no piece of the setting out, has none.
    """
    if setting_out is None:
        return {}
    rooms = {room.name: place for place, room in enumerate(job.rooms)}
    pieces = sorted(setting_out.pieces, key=lambda piece: (rooms[piece.room], piece.order))
    found = {piece.label: str(place) for place, piece in enumerate(pieces, 1)}
    letters: dict[str, int] = {}
    for piece in setting_out.returns:
        letters[piece.part_of] = letters.get(piece.part_of, 0) + 1
        found[piece.label] = f"{found.get(piece.part_of, '')}{chr(96 + letters[piece.part_of])}"
    found |= {piece.label: piece.label for piece in setting_out.splices}
    return found
