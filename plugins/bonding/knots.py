"""Knots of the boards by their size: seal, fill, plug with timber, or cut out."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Grounds, Input, Where, not_surveyed
from listel.core.survey.job import Board, Defect, Job, Trim
from listel.core.survey.units import show_length
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.fills import Joint, clear_finish, hole_joint, line_of
from listel.plugins.bonding.results import Fill
from listel.plugins.bonding.strain import fillers, refusal
from listel.plugins.defects import DefectChecks
from listel.plugins.timber import TrimMovement


def knots_of(job: Job, trim: Trim, checks: DefectChecks | None) -> list[tuple[Board, Defect]]:
    """Every knot of a trim's boards that stays in the work: all that were surveyed, where nobody judged the boards."""
    found: list[tuple[Board, Defect]] = []
    for rack, boards in ((True, job.rack), (False, job.stock)):
        mine = [board for board in boards if board.trim == trim.name]
        verdicts = [check for check in checks.boards if (check.trim, check.rack) == (trim.name, rack)] if checks else []
        for place, board in enumerate(mine):
            check = verdicts[place] if place < len(verdicts) else None
            if check is not None and not check.usable:
                continue
            out = {(one.start, one.end) for one in check.verdicts if one.cut_out} if check is not None else set()
            found += [
                (board, each) for each in board.defects if each.kind == "knot" and (each.start, each.end) not in out
            ]
    return found


def knot_size(job: Job, knot: Defect) -> Input:
    """The size of a knot [mm]; its length along the board where nobody measured across it."""
    if knot.size is not None:
        return Input("size of the knot", knot.size, "mm", job.line(knot, "size"))
    return Input("size of the knot", knot.end - knot.start, "mm", job.line(knot), True, "its length along the board")


def knot_fills(
    job: Job, trim: Trim, line: TrimMovement, checks: DefectChecks | None = None
) -> Iterator[Fill | Finding]:
    """One fill for each knot that stays in the trim's boards, and a caution for those whose soundness nobody noted."""
    unknown = []
    for board, knot in knots_of(job, trim, checks):
        name = board.name or f"stock {show_length(board.length, job.units)}"
        if knot.sound is None:
            unknown.append(f"{name} at {show_length(knot.start, job.units)}")
        yield knot_fill(job, trim, line, knot, name)
    if unknown:
        yield not_surveyed(
            "bonding/knots-not-tried",
            f"whether the knots of {trim.name} are firm ({', '.join(unknown)})",
            "whether a knot is sealed only, or taken out and the hole made good",
            Where(trim=trim.name),
            "Press and tap each one; a dark ring of bark round it is a loose knot.",
        )


def knot_fill(job: Job, trim: Trim, line: TrimMovement, knot: Defect, board: str) -> Fill:
    """What is done with one knot, and why that."""
    size = knot_size(job, knot)
    across = float(size.value)
    joint = hole_joint(job, f"knot, {board}", across, trim, line, size)
    sound = Input("firm", "not surveyed" if knot.sound is None else "yes" if knot.sound else "no", "", job.line(knot))
    if knot.sound:
        return _sealed(job, trim, board, size, sound)
    share = knot.face / 100 if knot.face is not None else across / trim.section.height if trim.section.height else None
    if share is not None and share > value("knot-cut-out"):
        why = f"cut out: a loose knot across {share * 100:.0f} % of the face leaves too little sound wood to plug"
        return _bare(trim, board, size, sound, why)
    if joint is None:
        return _bare(trim, board, size, sound, "take it out and fit timber: what the board moves is not known")
    return _hole(job, trim, knot, joint, across)


def _hole(job: Job, trim: Trim, knot: Defect, joint: Joint, across: float) -> Fill:
    pellet, two_part = fillers().row("timber-pellet"), fillers().row("two-part")
    limits = allowance("knot-pellet")
    start = "if it is firm, seal it with knotting only; if loose: " if knot.sound is None else ""
    reason = refusal(two_part, joint.width, joint.movement)
    if not reason and across >= limits["low"]:
        least = show_length(limits["low"], job.units)
        reason = f"a hole of {least} and over is made good with timber, which moves with the board"
    refused = [("two-part", reason)] if reason else []
    chosen = job.choices.filler
    if chosen and chosen not in ("none", "two-part", "timber-pellet"):
        serves = "knot" in fillers().row(chosen)["serves"]
        judged = refusal(fillers().row(chosen), joint.width, joint.movement)
        refused.append((chosen, judged or ("it is no filler for a knot hole" if not serves else reason)))
    if not reason and chosen in (None, "none", "two-part") and not clear_finish(trim):
        why = f"{start}two-part wood filler: the hole moves {joint.told(joint.movement)} with the board, which it bears"
        return line_of(joint, trim, two_part, why, tuple(refused))
    patch = (
        "bore it out and glue in a pellet"
        if across <= limits["high"]
        else "cut a rebated patch with tapered sides and glue it in"
    )
    seen = "" if reason else ". The timber is left to be seen"
    why = f"{start}{patch}, same timber and grain: it moves as the board does{seen}"
    return line_of(joint, trim, pellet, why, tuple(refused))


def _sealed(job: Job, trim: Trim, board: str, size: Input, sound: Input) -> Fill:
    if clear_finish(trim):
        return _bare(trim, board, size, sound, "firm, and the timber is left to be seen: nothing is done")
    why = "firm: it is sealed, not filled. Resin would stain the paint through"
    past = show_length(value("knot-seal-round"), job.units)
    order = f"two coats of shellac knotting on the bare wood, {past} past the knot all round, before the primer"
    return _bare(trim, board, size, sound, why, order)


def _bare(trim: Trim, board: str, size: Input, sound: Input, why: str, order: str = "") -> Fill:
    return Fill(
        "",
        trim.name,
        f"knot, {board}",
        width=float(size.value),
        filler="none",
        order=order,
        why=why,
        grounds=Grounds((size, sound), "by size and by whether it is firm", "", why, allowance("knot-pellet").sources),
    )
