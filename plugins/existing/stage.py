"""The stage: every old piece, its repairs, and what is to be said of them."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job
from listel.core.survey.photographs import Photographs
from listel.plugins.existing.beside import beside, from_both_rooms
from listel.plugins.existing.judging import judged
from listel.plugins.existing.mending import mends
from listel.plugins.existing.pieces import piece_of
from listel.plugins.existing.results import Existing
from listel.plugins.existing.stripping import stripping
from listel.plugins.existing.views import told_of_photographs, without_view
from listel.plugins.site import Site


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Findings on what stands, then :class:`Existing`."""
    protection = sheet[Site].protection
    pairs, repairs = [], []
    for old in job.old_trim():
        piece = piece_of(job, old)
        mine = mends(job, old, piece)
        yield from judged(job, sheet[Site], old, piece, mine)
        pairs.append((old, piece))
        repairs += mine
    pieces = [piece for _, piece in pairs]
    yield from beside(job, sheet[Site], pairs)
    yield from from_both_rooms(sheet[Site], pairs)
    yield from stripping(job, protection)
    yield from told_of_photographs(job, sheet.get(Photographs))
    existing = Existing(pieces=tuple(pieces), mends=tuple(repairs))
    yield from without_view(job, existing)
    yield existing
