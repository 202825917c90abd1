"""Old trim: what stays untouched, what comes off and goes back by which holes, what is cut out and let in."""

from __future__ import annotations

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.plugins.conservation import OfficerTable, done_to
from listel.plugins.existing import Existing, Mend, OldHole, OldPiece, touched
from listel.plugins.fixings import Fixing, FixingSchedule
from listel.reports.drawings.layout import figure
from listel.reports.papers.workshop.boards import boards_of


@dataclass(frozen=True, kw_only=True)
class OldRow:
    """One old piece that is worked at, and where its fixings go: stations on a wall, heights above the floor on a side
    of an opening."""

    piece: OldPiece
    holes: str


@dataclass(frozen=True, kw_only=True)
class MendRow:
    """One repair, the board its new timber comes out of, and where that is fixed to the wall."""

    mend: Mend
    board: str
    holes: str


@dataclass(frozen=True, kw_only=True)
class OldSheet:
    """The sheet: ``left``: the old pieces that nobody works at, each with what is fixed into it; ``taking_off``:
    how the others come off."""

    rows: tuple[OldRow, ...]
    mends: tuple[MendRow, ...]
    left: tuple[tuple[OldPiece, str], ...]
    taking_off: str


def old_sheet(outcome: Outcome) -> OldSheet | None:
    """The sheet of old trim; None where there is none."""
    existing = outcome.sheet.get(Existing) or Existing()
    if not existing.pieces:
        return None
    schedule, boards = outcome.sheet.get(FixingSchedule) or FixingSchedule(), boards_of(outcome)
    table = outcome.sheet.get(OfficerTable) or OfficerTable()
    lines = {line.old: line for line in schedule.lines if line.old}
    fixed_by = {each.label: each.holes for each in touched(outcome.job, existing)}
    mended = {mend.piece for mend in existing.mends}
    worked = [piece for piece in existing.pieces if piece.comes_off or piece.label in mended]
    return OldSheet(
        rows=tuple(
            OldRow(
                piece=piece,
                holes=_holes(outcome, lines.get(piece.label))
                or ("" if piece.comes_off else _as_they_are(outcome, fixed_by.get(piece.label, ()))),
            )
            for piece in worked
        ),
        mends=tuple(
            MendRow(
                mend=mend,
                board=boards.get(mend.label, "an offcut" if mend.kind == "piece let in" else "no board yet")
                if mend.kind in ("splice", "piece let in")
                else "",
                holes=_holes(outcome, lines.get(mend.label)),
            )
            for mend in existing.mends
        ),
        taking_off=existing.taking_off,
        left=tuple(
            (piece, done_to(piece.label, table.drilled))
            for piece in existing.pieces
            if not (piece.comes_off or piece.label in mended)
        ),
    )


def _as_they_are(outcome: Outcome, holes: tuple[OldHole, ...]) -> str:
    """What holds a piece that is mended in place."""
    told = [f"{figure(hole.at, outcome.job.units)}{' loose' if hole.off else ''}" for hole in holes]
    return f"as they are: {', '.join(told)}" if told else ""


def _holes(outcome: Outcome, line: Fixing | None) -> str:
    if line is None or not line.points:
        return ""
    units = outcome.job.units
    told: dict[str, None] = {}
    points = [((point.height if line.upright else point.station) or 0.0, point) for point in line.points]
    for at, point in sorted(points, key=lambda each: each[0]):
        told[f"{figure(at, units)}{'' if point.on == 'old hole' or not line.old_holes else ' new'}"] = None
    rows = f" in {line.rows} rows" if line.rows > 1 else ""
    return f"{line.count}{' up it' if line.upright else ''}{rows}: {', '.join(told)}"
