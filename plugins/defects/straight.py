"""Bow, spring, twist, cup and wane of a whole board against their allowances."""

from __future__ import annotations

from listel.core.contract.findings import PRACTICE, Grounds, Input
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Board, Job
from listel.core.survey.units import show_length


@dataclass(frozen=True)
class Fault:
    """One way in which a board is out of straight or not whole, over its allowance. ``out``: it may not be used."""

    kind: str
    says: str
    out: bool
    grounds: Grounds


def rise_over(rise: float, length: float, chord: float) -> float:
    """The rise [mm] of an evenly curved board over a ``chord`` [mm], from its ``rise`` over its ``length`` [mm].

    Valid for a rise that is small against the length. Source: geometry, rise = chord squared over eight radii.

    >>> rise_over(20, 4000, 2000)
    5.0
    """
    return rise * (chord / length) ** 2


def faults(job: Job, board: Board, width: float | None) -> list[Fault]:
    """Every departure of a board over its allowance, on a face ``width`` [mm] wide (None: judged as 100 mm)."""
    found = []
    for kind in ("bow", "spring"):
        rise = getattr(board, kind)
        if rise is not None:
            found.append(_over(job, board, kind, rise, rise_over(rise, board.length, 2000), "in 2 m"))
    for kind in ("twist", "cup"):
        across = getattr(board, kind)
        if across is not None:
            found.append(_over(job, board, kind, across, across * 100 / (width or 100.0), "for each 100 mm of width"))
    if board.wane:
        says = f"wane takes {show_length(board.wane, job.units)} of the width"
        wane = Input("wane", board.wane, "mm", job.line(board, "wane"))
        grounds = Grounds((wane,), "no wane on a face that shows", sources=(PRACTICE,))
        found.append(Fault("wane", says, True, grounds))
    return [fault for fault in found if fault is not None]


def _over(job: Job, board: Board, kind: str, measured: float, scaled: float, per: str) -> Fault | None:
    row = load_table(__package__, "allowances").row(kind)
    if scaled <= row["value"] + 1e-9:
        return None
    grounds = Grounds(
        (
            Input(kind, measured, "mm", job.line(board, kind)),
            Input("length", board.length, "mm", job.line(board, "length")),
            Input("allowance", row["value"], f"mm {per}", assumed=True, note=row["says"]),
        ),
        f"{kind} brought to {per} against its allowance",
        f"{scaled:.1f} against {row['value']}",
        f"{scaled - row['value']:.1f} mm over",
        row.sources,
    )
    says = f"its {kind} is {scaled:.1f} mm {per}; our allowance is {row['says']}"
    return Fault(kind, says, kind != "bow", grounds)
