"""New trim beside old, and old beside old: section, profile, timber, and the step where they meet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from listel.core.contract.findings import Finding, Grounds, Input, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job, Offset, OldTrim, Trim
from listel.core.survey.units import show_fine, show_length
from listel.plugins.existing import figures
from listel.plugins.existing.likeness import limit, made_of
from listel.plugins.existing.pieces import place, told_of, trim_of
from listel.plugins.existing.results import OldPiece
from listel.plugins.proportions import profile_path
from listel.plugins.site import MIRRORED, Protection, Side, Site, tables

RULES = load_rules(__package__)

Pair = tuple[OldTrim, OldPiece]


def beside(job: Job, site: Site, pairs: Sequence[Pair]) -> Iterator[Finding]:
    """What stands sets the size, the profile and the stuff of what is new: each trim against the old pieces it is made
    for, or, where it has none, against those of its member in its rooms."""
    told = [told_of(job, site, old) for old, _ in pairs]
    for trim in job.trim:
        alike = [pair for pair, names in zip(pairs, told, strict=True) if trim.name in names]
        mine = [(old, piece) for old, piece in alike if trim_of(job, old) is trim]
        for old, piece in mine or alike:
            if piece.stays:
                yield from _sizes(job, old, piece, trim)
                yield from _profile(job, old, piece, trim)
            yield from _timber(job, site.protection, old, piece, trim)
        if not any(old.said.timber for old, _ in alike):
            yield from _board(job, site.protection, trim)
    yield from _among_themselves(job, [(old, piece) for old, piece in pairs if piece.stays])


def from_both_rooms(site: Site, pairs: Sequence[Pair]) -> Iterator[Finding]:
    """An old lining that stands in one opening and is listed from both of its rooms, told at the second."""
    first: dict[tuple[object, ...], OldPiece] = {}
    for old, piece in pairs:
        if old.opening is None or not tables.goes_through_openings(piece.member):
            continue
        here = Side(room=old.room, wall=old.wall, opening=old.opening)
        other = site.across.get(here.key)
        twin = first.get((other.key, MIRRORED[piece.side])) if other else None
        first[here.key, piece.side] = piece
        if twin is not None:
            yield RULES["listed-twice"].told(
                "caution",
                f"{piece.named.capitalize()}, is {twin.label} as the other room sees it: what is done to it would be "
                "counted twice.",
                place(piece),
                mend="list it from one room alone",
            )


def _sizes(job: Job, old: OldTrim, piece: OldPiece, trim: Trim) -> Iterator[Finding]:
    said, where = old.said, place(piece)
    made = made_of(job, trim, old.room.name, said.section.height)
    pairs = (("high", said.section.height, made.height), ("thick", said.section.thick, trim.section.thick))
    for word, was, new in pairs:
        if was is None or new is None or round(abs(was - new), 6) <= limit(trim):
            continue
        off = show_fine(abs(was - new), job.units)
        says = (
            f"The new {made.name} is {show_fine(new, job.units)} {word}; {piece.named}, is "
            f"{show_length(was, job.units)}: {off} {'more' if new > was else 'less'}. What stands sets the size."
        )
        inputs = (
            Input("old", was, "mm", job.line(said.section)),
            Input("new", new, "mm", job.line(trim.section)),
            figures.shown("size"),
        )
        grounds = Grounds(
            inputs, "old against new", f"|{new:g} - {was:g}|", f"{abs(was - new):g} mm", figures.figure("size").sources
        )
        mend = "Make the new to the old, or meet it at a block, a door or a corner."
        yield RULES["section-differs"].told("caution", says, where, grounds, mend, off=abs(was - new))
    if said.section.height is None:
        yield RULES["old-section-not-surveyed"].lacking(
            f"the section of {piece.named}", f"the section of the new {trim.name} beside it", where
        )


def _timber(job: Job, protection: Protection, old: OldTrim, piece: OldPiece, trim: Trim) -> Iterator[Finding]:
    was, new = old.said.timber, trim.timber
    if not (was and new) or was == new:
        return
    weight: Weight = "hold" if protection.asked else "advice"
    says = (
        f"The new {trim.name} is {new.replace('-', ' ')}; {piece.named}, is {was.replace('-', ' ')}. Unlike timber "
        "moves otherwise, and wants its reason."
    )
    both = (Input("old", was, "", job.line(old.said, "timber")), Input("new", new, "", job.line(trim, "timber")))
    mend = "Use the timber of the old, or say why not under departures."
    yield RULES["unlike-timber"].told(weight, says, place(piece), Grounds(both), mend)


def _board(job: Job, protection: Protection, trim: Trim) -> Iterator[Finding]:
    """New trim of board in a house that may be protected and is older than board is."""
    built, since = job.building.built, figures.value("board-since")
    if not protection.asked or tables.timber_kind(trim.timber) != "board" or (built is not None and built >= since):
        return
    says = (
        f"The new {trim.name} is {str(trim.timber).replace('-', ' ')}, which no house before {since:g} had, and no old "
        "piece of it tells of its timber. Unlike stuff wants its reason."
    )
    inputs = (
        Input("new", str(trim.timber), "", job.line(trim, "timber")),
        Input("built", built or "not surveyed", "", job.line(job.building, "built")),
        figures.shown("board-since"),
    )
    grounds = Grounds(inputs, "board in a house older than board", sources=figures.figure("board-since").sources)
    mend = "Use solid timber, or say why not under departures."
    where = Where(trim=trim.name, line=job.line(trim, "timber"))
    yield RULES["unlike-timber"].told("hold", says, where, grounds, mend)


def _profile(job: Job, old: OldTrim, piece: OldPiece, trim: Trim) -> Iterator[Finding]:
    """How far the new profile lies off the old one: at the heights of its rubbing, or between those of its elements."""
    points = _points(made_of(job, trim, old.room.name, piece.height).parts)
    read, what = list(old.said.rubbing), "rubbing"
    if not read and old.said.profile:
        was = _points([replace(trim, section=old.said.section, profile=old.said.profile, foot=old.said.foot)])
        heights = sorted({high for _, high in (*points, *was)})
        middles = [(low + high) / 2 for low, high in pairwise(heights) if high - low > 1e-6]
        at_most = min((points or [(0.0, 0.0)])[-1][1], (was or [(0.0, 0.0)])[-1][1])
        read = [Offset(height, _out(was, height), path=old.said.path) for height in middles if height < at_most]
        what = "profile"
    if not read or not points:
        return
    off, at = max(((abs(_out(points, each.height) - each.out), each) for each in read), key=lambda pair: pair[0])
    if round(off, 6) <= limit(trim):
        return
    says = (
        f"The profile of the new {trim.name} lies {show_fine(off, job.units)} off the {what} of "
        f"{piece.named}, {show_length(at.height, job.units)} above its underside. What stands sets the "
        "profile."
    )
    inputs = (
        Input(what, at.out, "mm", job.line(at)),
        Input("new profile there", _out(points, at.height), "mm"),
        figures.shown("size"),
    )
    grounds = Grounds(
        inputs,
        f"the greatest difference at the heights of the {what}",
        result=f"{off:.2f} mm",
        sources=figures.figure("size").sources,
    )
    yield RULES["profile-differs"].told(
        "caution", says, place(piece), grounds, "Run a sample and hold it to the old before the rest.", off=off
    )


def _points(parts: Sequence[Trim]) -> list[tuple[float, float]]:
    """The face of a trim, and of what sits on it, from the underside up; none where the profile of one is not known."""
    paths, points, foot = [profile_path(part) for part in parts], list[tuple[float, float]](), 0.0
    if not all(paths):
        return []
    for part, path in zip(parts, paths, strict=True):
        face = [path[0].start, *(point for segment in path for point in segment.points())]
        points += [(out, foot + high) for out, high in face]
        foot += part.section.height or 0.0
    return points


def _out(points: list[tuple[float, float]], height: float) -> float:
    """How far out a profile stands at a height: between its points; past its ends as there."""
    for (out, low), (further, high) in pairwise(points):
        if low <= height <= high:
            return further if high == low else out + (further - out) * (height - low) / (high - low)
    return points[0][0] if height < points[0][1] else points[-1][0]


def _among_themselves(job: Job, staying: Sequence[Pair]) -> Iterator[Finding]:
    """Old pieces of one member that differ: once for each member and size, the least and the most named."""
    for member in dict.fromkeys(piece.member for _, piece in staying):
        for word in ("height", "thick"):
            known = [
                (size, old, piece)
                for old, piece in staying
                if piece.member == member and (size := getattr(old.said.section, word)) is not None
            ]
            if not known:
                continue
            (low, least, first), (high, most, second) = (
                pick(known, key=lambda one: float(one[0])) for pick in (min, max)
            )
            off = high - low
            if round(off, 6) <= figures.value("size"):
                continue
            apart = ((low, first), (high, second))
            names = " and ".join(f"{show_fine(size, job.units)} of {piece.named}" for size, piece in apart)
            size = "height" if word == "height" else "thickness"
            says = (
                f"The old {tables.member(member)['says']} of the house is not of one {size}: {names}, "
                f"{show_fine(off, job.units)} apart. New work is made to the piece it joins."
            )
            inputs = (
                Input(first.label, low, "mm", job.line(least.said.section)),
                Input(second.label, high, "mm", job.line(most.said.section)),
                figures.shown("size"),
            )
            grounds = Grounds(inputs, "the most less the least", f"{high:g} - {low:g}", f"{off:g} mm")
            mend = (
                "Say for each new length which piece it copies; where it joins both, meet one at a block or a corner."
            )
            yield RULES["old-differ"].told("advice", says, place(second), grounds, mend, off=off)
