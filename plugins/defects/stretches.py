"""What is left of a board when its defects are cut out."""

from __future__ import annotations

from collections.abc import Iterable

from listel.core.contract.tables import load_table
from listel.plugins.defects.results import DefectVerdict

RUNS_ON = ("split", "shake", "check")


def margin_of(verdict: DefectVerdict, given: float | None) -> float:
    """Sound wood left each side of a defect [mm]: the survey's margin, or an allowance by size and kind."""
    if given is not None:
        return given
    table = load_table(__package__, "allowances")
    least = table.row("split-margin" if verdict.kind in RUNS_ON else "margin")["value"]
    return max(float(least), (verdict.size or 0.0) / 2)


def clear_stretches(
    length: float, verdicts: Iterable[DefectVerdict], margin: float | None
) -> tuple[tuple[float, float], ...]:
    """The stretches (from, to) [mm] of a board with what must be cut out, and its margin, left out.

    ``margin`` [mm] each side; None: an allowance by kind and size. Source: geometry; margin an allowance.

    >>> clear_stretches(1740, [DefectVerdict(start=610, end=655, kind="knot", size=32)], 10)
    ((0.0, 600), (665, 1740))
    """
    found: list[tuple[float, float]] = []
    at = 0.0
    cut = sorted(_taken(v, margin_of(v, margin)) for v in verdicts if v.cut_out)
    for start, end in cut:
        if start > at:
            found.append((at, min(start, length)))
        at = max(at, end)
        if at >= length:
            break
    if at < length:
        found.append((at, length))
    return tuple(found)


def _taken(verdict: DefectVerdict, margin: float) -> tuple[float, float]:
    return min(verdict.start, verdict.end) - margin, max(verdict.start, verdict.end) + margin
