"""The steps that old trim asks for: recorded before, mended on the bench, tried, and put back."""

from __future__ import annotations

from listel.core.contract.stage import Sheet, Step, step_of
from listel.core.contract.tables import Row, load_table
from listel.core.survey.job import Job
from listel.plugins.existing.results import Existing
from listel.plugins.site import protection_of


def called_for(when: str, job: Job, sheet: Sheet) -> tuple[str, int]:
    """What calls for a step, in words ("" for nothing), and how many pieces or repairs it is about."""
    existing = sheet.get(Existing) or Existing()
    off = [piece.label for piece in existing.pieces if piece.comes_off]
    back = [piece.label for piece in existing.pieces if piece.comes_off and piece.stays]
    mended = [mend.label for mend in existing.mends]
    touched = list(dict.fromkeys([*off, *(mend.piece for mend in existing.mends)]))
    painted = [piece.label for piece in existing.disturbed()] if protection_of(job.building).asked else []
    stripped = bool(job.work.strip_paint)
    if when == "trial" and stripped and not mended:
        return "Old paint is stripped: how is tried first.", 0
    if when == "painted" and stripped and protection_of(job.building).asked:
        return "Old paint of a protected house is stripped; its layers are recorded first.", len(painted) or 1
    finds = [piece.label for piece in existing.pieces if piece.hides and piece.opened]
    decayed = [piece.label for piece in existing.pieces if piece.rots_on or piece.spreads]
    told = {
        "finds": (finds, "What lies behind old trim is laid open"),
        "decayed": (decayed, "Old trim has decayed, and the rot may go on"),
        "touched": (touched, "Old trim comes off or is cut into"),
        "painted": (painted, "Old paint of a protected house is cut into or comes off with its trim"),
        "trial": (mended, "Old trim is mended"),
        "mended": (mended, "Old trim is mended"),
        "refixed": (back, "Old trim goes back into its own place"),
    }
    names, words = told[when]
    return (f"{words}: {', '.join(names)}." if names else ""), len(names)


def steps() -> list[Step]:
    """The steps of the table."""
    return [_step(row) for row in load_table(__package__, "steps")]


def _step(row: Row) -> Step:
    def hours(job: Job, sheet: Sheet) -> float:
        _, count = called_for(row["when"], job, sheet)
        return float(row["base"] + row["per_piece"] * count)

    return step_of(row, lambda job, sheet: called_for(row["when"], job, sheet)[0], hours)
