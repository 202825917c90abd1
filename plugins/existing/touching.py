"""Old trim that is put back, and what is let into it, as stretches of wall: for its fixings and its coats."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import inf

from listel.core.survey.job import Job, OldTrim, Section, Trim
from listel.plugins.existing import figures
from listel.plugins.existing.pieces import span, trim_of
from listel.plugins.existing.results import Existing, OldHole, OldPiece, Part, Touched
from listel.plugins.site import flight_of, tables


def touched(job: Job, existing: Existing) -> Iterator[Touched]:
    """Each old piece that is worked at and stays in the house, and each splice let into one."""
    for old, piece in zip(job.old_trim(), existing.pieces, strict=True):
        mine = existing.mends_of(piece.label)
        if not piece.stays or not (piece.comes_off or mine):
            continue
        start, end = span(old)
        about = Touched(
            label=piece.label,
            room=old.room,
            wall=old.wall,
            trim=like(job, old, piece),
            length=piece.length or 0.0,
            painted=piece.painted,
            fixed=piece.comes_off,
            parts=() if end is None else tuple(parts(old, start, end)),
            holes=tuple(old_holes(old)),
        )
        yield about
        for mend in mine:
            if mend.kind == "splice":
                yield replace(
                    about,
                    label=mend.label,
                    length=mend.overall,
                    splice=True,
                    fixed=not piece.comes_off,
                    parts=tuple(parts(old, mend.start, mend.end)),
                    holes=tuple(hole for hole in old_holes(old, mend.start, mend.end) if not hole.off),
                )


def old_holes(old: OldTrim, start: float = -inf, end: float = inf) -> Iterator[OldHole]:
    """Where an old piece was fixed from ``start`` to ``end`` of its own stations: along its wall, or up it from the
    floor."""
    opening = old.opening
    first = 0.0
    if opening is not None:
        first = (opening.sill or 0.0) if old.said.side != "head" else opening.at - width_of(old)
    for hole in sorted(old.said.holes, key=lambda each: each.at):
        if start <= hole.at <= end:
            yield OldHole(at=first + hole.at, off=figures.value("hole-off") if hole.bites is False else 0.0)


def lies_behind(old: OldTrim, station: float, height: float | None) -> bool:
    """Whether an old piece lies at a point of its wall, mm along it and above its floor; not where the height of
    either was not surveyed."""
    start, end = span(old)
    return any(
        part.start < station < part.end and part.underside < height < part.top
        for part in parts(old, start, inf if end is None else end)
        if not (part.underside is None or part.top is None or height is None)
    )


def width_of(old: OldTrim) -> float:
    """How broad an old architrave is, mm: as its opening has it, else its own section."""
    return (old.opening.architrave if old.opening else None) or old.said.section.height or 0.0


def like(job: Job, old: OldTrim, piece: OldPiece) -> Trim:
    """The trim that mends an old piece, with the section, timber and finish of the old; of its own where none does."""
    said, trim = old.said, trim_of(job, old)
    base = trim or Trim(name=tables.member(piece.member)["says"], member=piece.member)
    return replace(
        base,
        path=said.path,
        section=Section(height=piece.height, projection=piece.thick, path=said.section.path),
        profile=(),
        foot=None,
        timber=said.timber or base.timber,
        finish=said.finish or base.finish,
        moisture=said.moisture if said.moisture is not None else base.moisture,
    )


def parts(old: OldTrim, start: float, end: float) -> Iterator[Part]:
    """The stretches of wall that an old piece lies on from ``start`` to ``end`` of its own stations."""
    said, opening = old.said, old.opening
    if opening is None:
        up = flight_of(old.flight).pitch or 0.0 if old.flight else 0.0
        height = said.section.height
        top = said.top if said.top is not None else height if tables.member(said.member).get("stands") else None
        under = None if up or top is None or height is None else top - height
        under = 0.0 if under is None and top is not None and tables.member(said.member).get("stands") else under
        yield Part(start=start, end=end, underside=under, top=None if up else top, pitch=up)
        return
    width, sill = width_of(old), opening.sill or 0.0
    over = None if opening.height is None else sill + opening.height
    legs = {"left": (opening.at - width, opening.at), "right": (opening.end, opening.end + width)}
    for side in (said.side,) if said.side else ("left", "head", "right"):
        if side != "head":
            low, high = legs[str(side)]
            top = sill + end if said.side else None if over is None else over + width
            yield Part(start=low, end=high, underside=sill + start, top=top, upright=True)
            continue
        first = opening.at - width
        stop = first + end if said.side else opening.end + width
        top = None if over is None else over + width
        yield Part(start=first + (start if said.side else 0.0), end=stop, underside=over, top=top)
