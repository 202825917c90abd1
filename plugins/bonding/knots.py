"""Knots that stay in the boards: sealed under paint, left alone where the timber is seen."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Grounds, Input
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import show_length
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.results import Fill
from listel.plugins.defects import DefectChecks, DefectVerdict


def knots_of(trim: Trim, checks: DefectChecks) -> list[tuple[str, DefectVerdict]]:
    """Every knot of a trim's boards that stays in the work, with its board: those judged firm and small enough."""
    return [
        (check.board, verdict)
        for check in checks.boards
        if check.trim == trim.name and check.usable
        for verdict in check.verdicts
        if verdict.kind == "knot" and not verdict.cut_out
    ]


def knot_fills(job: Job, trim: Trim, checks: DefectChecks) -> Iterator[Fill]:
    """What is done with each knot that stays in the trim's boards, and why that."""
    past = show_length(value("knot-seal-round"), job.units)
    for board, knot in knots_of(trim, checks):
        seen = trim.clear
        why = (
            "firm, and the timber is left to be seen: nothing is done"
            if seen
            else "firm: it is sealed, not filled. Resin would stain the paint through"
        )
        coats = f"two coats of shellac knotting on the bare wood, {past} past the knot all round, before the primer"
        size = Input("size of the knot", knot_size(knot), "mm")
        grounds = Grounds((size,), "firm, so that it stays", "", why, allowance("knot-seal-round").sources)
        order = "" if seen else coats
        yield Fill(
            room="",
            trim=trim.name,
            joint=f"knot, {board}",
            width=knot_size(knot),
            filler="none",
            order=order,
            why=why,
            grounds=grounds,
        )


def knot_size(knot: DefectVerdict) -> float:
    """The size of a knot [mm]; its length along the board where only its share of the face was noted."""
    return knot.size if knot.size is not None else knot.end - knot.start
