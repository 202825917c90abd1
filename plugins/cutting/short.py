"""Pieces too short to be held by hand at the saw."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import show_length
from listel.plugins.setting_out import Piece

RULES = load_rules(__package__)


def short_pieces(job: Job, trim: Trim, pieces: Iterable[Piece]) -> Iterator[Finding]:
    """A caution that names the pieces of a trim to cut off the end of a longer length. Source: common practice."""
    row = load_table(__package__, "bench").row("held")
    least = float(row["value"])
    short = [piece for piece in pieces if piece.overall < least]
    if not short:
        return
    names = ", ".join(piece.label for piece in short)
    says = (
        f"Shorter than {show_length(least, job.units)}, and so not to be held by hand at the saw: {names} of the "
        f"{trim.name}. Cut each off the end of a longer length, clamped or held well clear of the blade, and let the "
        "blade stop before the piece is taken away."
    )
    inputs = tuple(Input(f"piece {piece.label}", piece.overall, "mm") for piece in short)
    limit = Input(row["says"], least, "mm", assumed=True, note="common practice")
    grounds = Grounds((*inputs, limit), sources=row.sources)
    mend = "follow the maker's instructions for the saw; a fine hand saw and a mitre box will do for a return"
    where = Where(trim=trim.name, line=job.line(trim))
    yield RULES["short-pieces"].told("caution", says, where, grounds, mend, least=least)
