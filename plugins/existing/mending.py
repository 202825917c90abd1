"""What mends an old piece: splices and pieces let in at its damage, and their glue."""

from __future__ import annotations

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.tables import Row, load_table
from listel.core.survey.job import Damage, Job, OldTrim
from listel.core.survey.units import show_length
from listel.plugins.existing import figures
from listel.plugins.existing.pieces import span, trim_of, wet
from listel.plugins.existing.results import Mend, OldPiece
from listel.plugins.existing.splices import Splice, area_factor, scarf_length, splices
from listel.plugins.site import protection_of, tables

SEE = "scarf over solid backing, its feather edge stopped at 1 to 2 mm"
PINS = 2
"""Pins or slender screws through each scarf. Common practice, no source."""


def mends(job: Job, old: OldTrim, piece: OldPiece) -> list[Mend]:
    """Every repair of a piece that is to be repaired, from its start."""
    if piece.intent != "repair":
        return []
    cut, slope = cut_out(old, piece)
    made = [_splice(job, old, piece, each, slope) for each in cut]
    small = [
        each
        for each in old.said.damage
        if way_of(each, piece, wet(old)) != "splice" and not any(_within(each, splice) for splice in cut)
    ]
    made += [_small(job, old, piece, mine) for mine in _together(old, piece, small)]
    return [
        _numbered(each, number) for number, each in enumerate(sorted(made, key=lambda m: float(str(m["start"]))), 1)
    ]


def _numbered(each: dict[str, object], number: int) -> Mend:
    return Mend(label=f"{each['piece']}/{number}", **each)  # type: ignore[arg-type]


def way_of(damage: Damage, piece: OldPiece, wet: bool) -> str:
    """splice, piece let in, filling or glueing: the least that mends it. What was not measured goes all through."""
    if figures.damage(damage.kind)["wants"] == "glue":
        return "glueing"
    shallow = damage.depth is not None and piece.thick is not None and damage.depth < piece.thick
    low = damage.height is not None and piece.height is not None and damage.height < piece.height
    if not (shallow and low):
        return "splice"
    across = min(damage.end - damage.start, damage.height or 0.0)
    fills = (damage.depth or 0.0) <= figures.value("fill-depth") and across <= figures.value("fill-across")
    decayed = figures.damage(damage.kind).get("decay")
    return "filling" if fills and piece.painted and not decayed and not wet else "piece let in"


def slope_of(piece: OldPiece) -> str:
    """The row of the allowances that gives the slope of its scarfs: loaded, free or backed."""
    if tables.member(piece.member).get("hangs"):
        return "slope-loaded"
    return "slope-free" if piece.side in ("left", "right") else "slope-backed"


def margin(damage: Damage) -> float:
    """Sound timber cut out past a damage at each end, mm."""
    return float(figures.damage(damage.kind)["beyond"])


def cut_out(old: OldTrim, piece: OldPiece) -> tuple[list[Splice], float]:
    """The splices of a piece and the slope of their scarfs, run to one of thickness.

    The slope is the one asked for, or the steepest that serves where that leaves more of the piece's ends. What else of
    its timber is damaged where a splice goes is cut out with it.
    """
    (start, end), thick = span(old), piece.thick
    bad = [each for each in old.said.damage if way_of(each, piece, wet(old)) == "splice"]
    row = figures.figure(slope_of(piece))
    if not bad or thick is None or end is None:
        return [], 0.0
    made = [
        (_cut(old, bad, start, end, scarf_length(thick, slope)), slope)
        for slope in (float(row["value"]), float(row["steepest"]))
    ]
    return min(made, key=lambda one: sum(splice.at_start + splice.at_end for splice in one[0]))


def _cut(old: OldTrim, bad: list[Damage], start: float, end: float, scarf: float) -> list[Splice]:
    out = [(each.start - margin(each), each.end + margin(each)) for each in bad]
    cut = splices(out, start, end, scarf, figures.value("least-left"))
    more = [
        each
        for each in old.said.damage
        if each not in bad
        and figures.damage(each.kind)["wants"] == "timber"
        and any(each.start - margin(each) < cut_at.end and each.end + margin(each) > cut_at.start for cut_at in cut)
    ]
    return _cut(old, [*bad, *more], start, end, scarf) if more else cut


def _within(damage: Damage, splice: Splice) -> bool:
    """Whether a splice takes all of a damage out; one that goes on to the piece's end takes what is taped past it."""
    return splice.start <= damage.start and (damage.end <= splice.end or (splice.at_end and damage.start < splice.end))


def _splice(job: Job, old: OldTrim, piece: OldPiece, splice: Splice, slope: float) -> dict[str, object]:
    row, mine = figures.figure(slope_of(piece)), [each for each in old.said.damage if _within(each, splice)]
    thick = piece.thick or 0.0
    scarf = scarf_length(thick, slope)
    overall = splice.end - splice.start
    names = ("foot", "head") if piece.side in ("left", "right") else ("left end", "right end")
    ends = [f"the old {name}" if at else SEE for name, at in zip(names, (splice.at_start, splice.at_end), strict=True)]
    scarfs = 2 - splice.at_start - splice.at_end
    return {
        **_common(job, old, piece, mine),
        "kind": "splice",
        "start": splice.start,
        "end": splice.end,
        "cut_from": splice.cut_from,
        "cut_to": splice.cut_to,
        "overall": overall,
        "left": ends[0],
        "right": ends[1],
        "slope": slope,
        "scarf": scarf,
        "how": f"{timber_words(job, old)} {_direction(old, piece)}".strip(),
        "pins": "two pins or slender screws through each scarf into the backing, none in the feather edge",
        "pin_count": PINS * scarfs,
        "lost": overall - scarfs * scarf / 2,
        "glued": scarfs * (piece.height or 0.0) * thick * area_factor(slope),
        "grounds": Grounds(
            (
                *(
                    Input(figures.damage(each.kind)["says"], f"{each.start:g} to {each.end:g}", "mm", job.line(each))
                    for each in mine
                ),
                Input(
                    "cut out past it", max(margin(each) for each in mine), "mm", assumed=True, note="our own allowance"
                ),
                Input(
                    "thickness", thick, "mm", job.line(old.said.section, "projection"), old.said.section.thick is None
                ),
                Input("slope of the scarf, run to one", slope, assumed=True, note=row.note),
                figures.shown("least-left"),
            ),
            "the damage and the sound timber past it, or on to an old end that is too near, and a scarf of slope times "
            "thickness at each end that is joined",
            f"{overall - scarfs * scarf:g} + {scarfs} x {slope:g} x {thick:g} = {overall:g}",
            f"{overall:.0f} mm long point to long point; glued area {area_factor(slope):.2f} times the section",
            (*row.sources, GEOMETRY, *(source for each in mine for source in figures.damage(each.kind).sources)),
        ),
    }


def _past(old: OldTrim, piece: OldPiece, damage: Damage) -> float:
    """Sound timber cut out past a small damage at each end, mm: none where it is filled or glued."""
    return margin(damage) if way_of(damage, piece, wet(old)) == "piece let in" else 0.0


def _together(old: OldTrim, piece: OldPiece, small: list[Damage]) -> list[list[Damage]]:
    """Small damages so near each other that one piece is let in for them; each split and open joint by itself."""
    glued = [[each] for each in small if figures.damage(each.kind)["wants"] == "glue"]
    found: list[list[Damage]] = []
    reach = 0.0
    rest = [each for each in small if [each] not in glued]
    for each in sorted(rest, key=lambda each: each.start - _past(old, piece, each)):
        if found and each.start - _past(old, piece, each) < reach:
            found[-1].append(each)
        else:
            found.append([each])
            reach = 0.0
        reach = max(reach, each.end + _past(old, piece, each))
    return [*glued, *found]


def _small(job: Job, old: OldTrim, piece: OldPiece, mine: list[Damage]) -> dict[str, object]:
    way = way_of(mine[0], piece, wet(old)) if len(mine) == 1 else "piece let in"
    low, high = span(old)
    start = max(low, min(each.start - _past(old, piece, each) for each in mine))
    end = max(each.end + _past(old, piece, each) for each in mine)
    end = end if high is None else min(end, high)
    height, depth = (max((getattr(each, key) or 0.0 for each in mine), default=0.0) for key in ("height", "depth"))
    how = {
        "piece let in": (
            "Cut back to a plain shape in sound wood, its ends sloped, none square across the face. "
            f"{timber_words(job, old)}"
        ),
        "filling": "A filler that comes out again and is softer than the wood.",
        "glueing": "Closed with glue and cramped, not filled.",
    }[way]
    return {
        **_common(job, old, piece, mine),
        "kind": way,
        "start": start,
        "end": end,
        "cut_from": start,
        "cut_to": end,
        "overall": end - start,
        "height": height or None,
        "depth": depth or None,
        **({"glue": "", "glue_kind": ""} if way == "filling" else {}),
        "glued": _glued(way, end - start, height, depth, piece),
        "how": how,
        "grounds": Grounds(
            (
                *(
                    Input(figures.damage(each.kind)["says"], f"{each.start:g} to {each.end:g}", "mm", job.line(each))
                    for each in mine
                ),
                figures.shown("fill-depth"),
                figures.shown("fill-across"),
            ),
            "small and shallow: filled; larger: pieced; all through: spliced",
            f"{start:g} to {end:g}",
            sources=tuple(dict.fromkeys(source for each in mine for source in figures.damage(each.kind).sources)),
        ),
    }


def _glued(way: str, length: float, height: float, depth: float, piece: OldPiece) -> float:
    """The area that is glued, mm2: of a piece let in its back, ends and one edge; of a split its faces, met once."""
    if way == "piece let in":
        return length * height + depth * (2 * height + length)
    return length * (piece.thick or 0.0) if way == "glueing" else 0.0


def _common(job: Job, old: OldTrim, piece: OldPiece, mine: list[Damage]) -> dict[str, object]:
    show = [
        f"{figures.damage(d.kind)['says']} at {show_length(d.start, job.units)} to {show_length(d.end, job.units)}"
        for d in mine
    ]
    kind = glue(job, old)
    return {
        "piece": piece.label,
        "room": piece.room,
        "wall": piece.wall,
        "trim": piece.trim,
        "damage": ", ".join(show),
        "glue_kind": kind["says"],
        "glue": f"{kind['says']}{', ' if kind.name == 'hide' else '; '}{kind['undone']}",
    }


def timber_words(job: Job, old: OldTrim) -> str:
    """What the new timber is to be, in words. Common practice, no source."""
    name = tables.timber_words(old.said.timber) or "timber like the old"
    moisture = old.said.moisture
    trim = trim_of(job, old)
    grade = f"of class {trim.grade} or better" if trim and trim.grade else "of the class of the old or better"
    near = figures.value("match-moisture")
    read = (
        f"{moisture:g} % give or take {near:g}"
        if moisture is not None
        else f"what the old wood reads, give or take {near:g}"
    )
    return (
        f"Seasoned {name}, {grade}, no knot in a joint and no sapwood, its rings within 15 degrees of the old's slope "
        f"and no more than half as wide or as close again, at {read}."
    )


def glue(job: Job, old: OldTrim) -> Row:
    """The glue, by the moisture of the wood and by whether it must come apart again."""
    moisture = old.said.moisture
    outer = bool(old.wall.external) and tables.member(old.said.member).get("stands")
    dry = moisture is not None and moisture <= figures.value("glue-dry") and not outer
    lets_go = dry and protection_of(job.building).inside is not False and old.said.finish not in ("wax", "oil")
    return load_table(__package__, "glues").row("hide" if lets_go else "d3" if outer else "d2")


def _direction(old: OldTrim, piece: OldPiece) -> str:
    """What keeps water out of its joints, in words. Common practice, no source, but for the wet face."""
    clear = "Air or a membrane stands between it and the wall. " if piece.spreads else ""
    if not tables.member(piece.member).get("stands"):
        return clear
    wet = " On an outer wall the lower edge of each slope lies at the wet face." if old.wall.external else ""
    return f"{clear}Its end grain stands 2 to 5 mm off the floor and a damp wall, sealed.{wet}"
