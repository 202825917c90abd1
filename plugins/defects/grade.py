"""The class a place asks for, and what it says of one defect."""

from __future__ import annotations

from dataclasses import replace

from listel.core.contract.findings import Input, Source
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Defect, Job, Trim
from listel.plugins.defects.results import DefectVerdict


@dataclass(frozen=True, kw_only=True)
class Grade:
    """What a place asks of its timber: appearance class, whether the finish is clear, the width of the face."""

    name: str
    clear: bool
    width: float | None
    inputs: tuple[Input, ...]
    sources: tuple[Source, ...]
    assumed: bool


def grade_of(job: Job, trim: Trim | None) -> Grade:
    """The class the survey names for a trim, or one assumed from its finish.

    Where the finish was not surveyed either, the clear finish's class is assumed: it keeps no knot that another
    finish would not.

    Source: class by the survey; else our own setting (allowance).
    """
    table = load_table(__package__, "allowances")
    finish = trim.finish if trim else None
    clear = trim is None or finish is None or trim.clear
    width = trim.section.height if trim else None
    inputs = [Input("finish", finish or "clear", line=job.line(trim, "finish") if trim else 0, assumed=finish is None)]
    if trim and trim.grade:
        inputs.append(Input("class", trim.grade, line=job.line(trim, "grade")))
        sources = load_table(__package__, "grades").row(trim.grade).sources
        return Grade(name=trim.grade, clear=clear, width=width, inputs=tuple(inputs), sources=sources, assumed=False)
    row = table.row("clear-finish" if clear else "paint-finish")
    inputs.append(Input("class", row["class"], assumed=True, note=row["says"]))
    sources = (*load_table(__package__, "grades").row(row["class"]).sources, *row.sources)
    return Grade(name=row["class"], clear=clear, width=width, inputs=tuple(inputs), sources=sources, assumed=True)


def knot_limit(grade: str, width: float | None) -> float:
    """The largest knot that a class lets a visible face keep: the smaller of a size and a share of the face.

    ``grade``: J2 ... J50. ``width``: full width of the face [mm]; None: the size alone is judged.
    Returns the limit [mm]. Raises KeyError for a class that is not in the table.

    Source: EN 942, Timber in joinery - general requirements, 2007, knot limits by class (published from memory).

    >>> knot_limit("J30", 44)
    13.2
    """
    row = load_table(__package__, "grades").row(grade)
    share = row.get("share")
    if share is None or width is None:
        return float(row["size"])
    return float(min(row["size"], width * share / 100))


def knot_size(defect: Defect, width: float | None) -> float | None:
    """Size of a knot [mm]: as measured, or from its share of a face ``width`` [mm] wide; None: not surveyed."""
    if defect.size is not None or defect.face is None or width is None:
        return defect.size
    return defect.face / 100 * width


def judged(defect: Defect, grade: Grade) -> DefectVerdict:
    """The verdict on one defect by the class and finish of its place."""
    cut_out, treat, why = _knot(defect, grade) if defect.kind == "knot" else _other(defect, grade)
    return DefectVerdict(
        start=defect.start,
        end=defect.end,
        kind=defect.kind,
        size=defect.size,
        cut_out=cut_out,
        treat=treat,
        why=why,
    )


def _knot(defect: Defect, grade: Grade) -> tuple[bool, str, str]:
    size = knot_size(defect, grade.width)
    limit = knot_limit(grade.name, grade.width)
    if defect.sound is None:
        return True, "cut out", "not surveyed whether it is sound, so it is not relied on"
    if not defect.sound:
        return True, "cut out", "a loose knot falls out"
    if size is None:
        return True, "cut out", "its size was not surveyed"
    if size > limit:
        return True, "cut out", f"{size:.1f} mm, and {grade.name} keeps knots up to {limit:.1f} mm here"
    kept = f"sound, {size:.1f} mm, and {grade.name} keeps knots up to {limit:.1f} mm here"
    if grade.clear:
        return False, "leave", kept
    return False, "seal with knotting before priming", kept


def _other(defect: Defect, grade: Grade) -> tuple[bool, str, str]:
    row = load_table(__package__, "kinds").find(defect.kind)
    if row is None:
        return True, "cut out", "no rule says that it may stay"
    treat = row["clear" if grade.clear else "paint"]
    return treat == "cut out", treat, row["why"]


def spaced(verdicts: tuple[DefectVerdict, ...]) -> tuple[DefectVerdict, ...]:
    """The verdicts, with kept knots that stand too near the one before cut out after all.

    Source: EN 942, Timber in joinery - general requirements, 1996: knots over 10 mm about 150 mm apart
    (published, seen).
    """
    table = load_table(__package__, "allowances")
    apart, least = table.row("knot-spacing")["value"], table.row("knot-spacing-from")["value"]
    kept_end: float | None = None
    found = []
    for verdict in sorted(verdicts, key=lambda v: (v.start, v.end, v.kind)):
        if verdict.kind == "knot" and not verdict.cut_out and (verdict.size or 0) > least:
            if kept_end is not None and verdict.start - kept_end < apart:
                why = f"within {apart} mm of the knot before it"
                verdict = replace(verdict, cut_out=True, treat="cut out", why=why)
            else:
                kept_end = verdict.end
        found.append(verdict)
    return tuple(found)
