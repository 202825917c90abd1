"""Linings, and architraves with their plinth and corner blocks: legs, heads and blocks round each opening of a wall."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Opening, Room, Trim, Wall
from listel.plugins.setting_out.at_opening import run_at_opening, under_the_foot
from listel.plugins.setting_out.linings import floor_not_read, lining
from listel.plugins.setting_out.obstacles import SAME_WIDTH, architrave_on, made_for, plinth_height
from listel.plugins.setting_out.old_work import stays_round
from listel.plugins.setting_out.results import Run
from listel.plugins.setting_out.settings import allowed, lengths
from listel.plugins.site import Levels, Site, opening_name, tables

RULES = load_rules(__package__)

SIDES = ("left", "right")


def round_openings(
    job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall, start: float, end: float | None
) -> Iterator[Run | Finding]:
    """The runs of a trim round each opening of a wall between two stations, but not what stays of the old."""
    floors = sheet[Site].wall(room.name, wall.name).floors
    for opening in wall.openings:
        inside = start <= opening.at and (end is None or opening.end <= end)
        if not inside or opening.kind == "fireplace":
            continue
        stays = stays_round(sheet, room, wall, opening_name(job, opening), trim.member)
        if tables.goes_through_openings(trim.member):
            yield from lining(job, sheet, trim, room, wall, opening, stays)
        elif trim.member == "architrave":
            yield from _architrave(job, trim, room, wall, opening, stays, floors)
        elif trim.member == "corner-block":
            yield from _corner_blocks(job, trim, room, wall, opening, floors)
        elif opening.plinth_block:
            yield from _plinth_blocks(job, trim, room, wall, opening, opening.plinth_block, floors)


def _architrave(
    job: Job, trim: Trim, room: Room, wall: Wall, opening: Opening, stays: tuple[str, ...], floors: Levels
) -> Iterator[Run | Finding]:
    """Two legs and a head, mitred, or square against corner blocks, but those of which the old ones stay; the head is
    level, its underside clears the opening by the margin, and each leg goes down to its own floor, or to a plinth block
    that does."""
    outer, ours = architrave_on(job, room, wall, opening)
    name = opening_name(job, opening)
    if ours is not trim or len(stays) == 3:
        return
    where = Where(room.name, wall.name, trim.name, station=opening.at, line=job.line(opening))
    width = trim.section.height if trim.section.height is not None else outer or None
    if width is None or opening.height is None:
        yield RULES["architrave-size"].lacking(
            f"{'height' if opening.height is None else 'width of the architrave'} at the {name}",
            "the lengths of its architrave; none is set out there",
            where,
        )
        return
    margin = max(0.0, outer - width)
    if opening.architrave is not None and all(abs(opening.architrave - one) > SAME_WIDTH for one in (outer, width)):
        yield _other_width(job, trim, opening, opening.architrave, outer, where)
    foot, block = _leg_foot(job, room, opening)
    if opening.plinth_block and block is None and not opening.sill:
        yield RULES["plinth-block-height"].lacking(
            f"height of the plinth blocks at the {name}",
            "how much shorter its architrave legs are; they are set out from the floor",
            where,
        )
    side = _block_side(job, room, wall, opening, width)
    over = 0.0 if side is None else (side - width) / 2
    head = (opening.sill or 0.0) + opening.height + margin
    top = head + width if side is None else head - over
    if top <= foot:
        yield RULES["plinth-block-too-high"].told(
            "hold",
            f"The plinth blocks at the {name} are as high as its architrave: nothing is left of the legs, and none "
            "are set out.",
            where,
            Grounds(sources=(GEOMETRY,)),
            "measure the plinth blocks and the opening again",
        )
        return
    grounds = _architrave_grounds(job, trim, opening, width, margin, side)
    meets = "head-mitre" if side is None else "corner-block"
    ends = ("plinth-block" if block else "floor" if not opening.sill else "sill", meets)
    left, right = opening.at - margin, opening.end + margin
    drops = under_the_foot(floors, opening, left, right)
    for which, drop, span in zip(SIDES, drops, ((left - width, left), (right, right + width)), strict=True):
        if which not in stays:
            yield run_at_opening(
                trim,
                room,
                wall,
                opening=name,
                span=span,
                heights=(foot + drop if foot else 0.0, top + drop),
                ends=ends,
                grounds=_with_fall(grounds, drop),
            )
    if not (floors or opening.sill or made_for(job, "lining", room, wall, opening)):
        yield floor_not_read(name, where)
    if not foot:
        yield from _feet_differ(job, trim, opening, drops, "legs", stays, where)
    if "head" not in stays:
        span = (left - width, right + width) if side is None else (left + over, right - over)
        (drop,) = under_the_foot(floors, opening, span[0])
        yield run_at_opening(
            trim,
            room,
            wall,
            opening=name,
            span=span,
            heights=(head + drop, head + drop + width),
            ends=(meets, meets),
            upright=False,
            grounds=grounds,
        )


def _with_fall(grounds: Grounds, drop: float) -> Grounds:
    """The grounds of a leg or a block, with how far the floor under it lies below the higher foot."""
    return replace(grounds, inputs=(*grounds.inputs, Input("floor under the higher foot", drop, "mm")))


def _feet_differ(
    job: Job, trim: Trim, opening: Opening, drops: tuple[float, ...], what: str, stays: tuple[str, ...], where: Where
) -> Iterator[Finding]:
    """Which of two legs or blocks is the longer, where the floor falls from one to the other."""
    differ = abs(drops[0] - drops[1])
    if differ < SAME_WIDTH or {"left", "right"} & {*stays}:
        return
    show, side = lengths(job), "left" if drops[0] > drops[1] else "right"
    inputs = [
        Input(f"floor at the {one}, under the higher foot", at, "mm") for one, at in zip(SIDES, drops, strict=True)
    ]
    yield RULES["feet-differ"].told(
        "record",
        f"The {side} one of the {what} of the {trim.name} at the {opening_name(job, opening)} is {show(differ)} the "
        f"longer, for the floor falls to it and what is above them is level: write on each where it stands.",
        where,
        Grounds(tuple(inputs), "each down to its own floor", sources=(GEOMETRY,)),
        differ=differ,
    )


def _block_side(job: Job, room: Room, wall: Wall, opening: Opening, width: float) -> float | None:
    """The side of the corner blocks that the job makes for an opening [mm]; None where it makes none. One of unknown
    size stands over the architrave as the table says."""
    block = made_for(job, "corner-block", room, wall, opening)
    if block is None:
        return None
    return block.section.height if block.section.height is not None else width + allowed("block-over")[0]


def _architrave_grounds(
    job: Job, trim: Trim, opening: Opening, width: float, margin: float, side: float | None
) -> Grounds:
    long = "to its long point" if side is None else "less what a corner block takes"
    there = abs((opening.architrave or 0.0) - width - margin) <= SAME_WIDTH
    line = job.line(trim, "margin") if trim.margin is not None else job.line(opening, "architrave") if there else 0
    return Grounds(
        (
            Input("clear width", opening.width, "mm", job.line(opening, "width")),
            Input("height", opening.height or 0.0, "mm", job.line(opening, "height")),
            Input("width of the architrave", width, "mm", job.line(trim.section, "height")),
            Input("margin", margin, "mm", line, assumed=trim.margin is None and not there),
            *(() if side is None else (Input("side of the corner block", side, "mm"),)),
        ),
        f"leg: height, margin and width of the architrave, {long}; head: clear width and both sides, {long}",
    )


def _corner_blocks(
    job: Job, trim: Trim, room: Room, wall: Wall, opening: Opening, floors: Levels
) -> Iterator[Run | Finding]:
    """The two blocks of an opening, each centred on the square where leg and head would cross."""
    outer, architrave = architrave_on(job, room, wall, opening)
    name = opening_name(job, opening)
    width = architrave.section.height if architrave is not None else None
    if width is None or opening.height is None:
        yield RULES["architrave-size"].lacking(
            f"{'height' if opening.height is None else 'an architrave of this job'} at the {name}",
            "where its corner blocks stand; none is set out there",
            Where(room.name, wall.name, trim.name, station=opening.at, line=job.line(opening)),
        )
        return
    side, margin = _block_side(job, room, wall, opening, width) or width, max(0.0, outer - width)
    low = (opening.sill or 0.0) + opening.height + margin - (side - width) / 2
    size = Input("side of the corner block", side, "mm", assumed=trim.section.height is None)
    for middle in (opening.at - margin - width / 2, opening.end + margin + width / 2):
        span = (middle - side / 2, middle + side / 2)
        (drop,) = under_the_foot(floors, opening, span[0])
        yield run_at_opening(
            trim,
            room,
            wall,
            opening=name,
            span=span,
            heights=(low + drop, low + drop + side),
            ends=("architrave", "stop"),
            grounds=Grounds((size,), sources=(GEOMETRY,)),
        )


def _other_width(job: Job, trim: Trim, opening: Opening, there: float, outer: float, where: Where) -> Finding:
    """What follows where the new architrave takes another width of wall than the one surveyed."""
    show, name = lengths(job), opening_name(job, opening)
    differs = f"{show(abs(outer - there))} {'more' if outer > there else 'less'}"
    follows = (
        "what stops against it is set out to the new one, and so is shorter than what is there"
        if outer > there
        else "what stops against it is set out to the new one; the wall that the old one covered will show"
    )
    grounds = Grounds(
        (
            Input("width of the architrave surveyed", there, "mm", job.line(opening, "architrave")),
            Input("width of wall the new one takes", outer, "mm", job.line(trim.section, "height")),
        ),
        "the width of the new one and its margin, less the width surveyed",
        f"{outer:g} - {there:g} = {outer - there:g}",
        sources=(GEOMETRY,),
    )
    return RULES["architrave-of-other-width"].told(
        "record" if outer > there else "advice",
        f"The {trim.name} at the {name} takes {show(outer)} of the wall at each side, {differs} than the one surveyed: "
        f"{follows}.",
        where,
        grounds,
        "" if outer > there else "make the wall good there, or choose a wider one",
    )


def _leg_foot(job: Job, room: Room, opening: Opening) -> tuple[float, float | None]:
    """Height at which an architrave leg starts [mm], and the height of the plinth block under it where there is one:
    as surveyed at the opening, else that of the block made for the room."""
    if opening.sill:
        return opening.sill, None
    height = plinth_height(job, room, opening) if opening.plinth_block else opening.plinth_block_height
    return height or 0.0, height or None


def _plinth_blocks(
    job: Job, trim: Trim, room: Room, wall: Wall, opening: Opening, width: float, floors: Levels
) -> Iterator[Run | Finding]:
    """The two plinth blocks of an opening: level above, each down to its own floor."""
    name = opening_name(job, opening)
    where = Where(room.name, wall.name, trim.name, station=opening.at, line=job.line(trim))
    height = opening.plinth_block_height or trim.section.height
    if not height:
        yield RULES["plinth-block-height"].lacking(
            f"height of the plinth blocks at the {name}",
            "their length",
            where,
        )
        return
    grounds = Grounds((Input("width of the block", width, "mm", job.line(opening, "plinth-block")),))
    drops = under_the_foot(floors, opening, opening.at, opening.end)
    yield from _feet_differ(job, trim, opening, drops, "blocks", (), where)
    for drop, span in zip(drops, ((opening.at - width, opening.at), (opening.end, opening.end + width)), strict=True):
        yield run_at_opening(
            trim,
            room,
            wall,
            opening=name,
            span=span,
            heights=(0.0, height + drop),
            ends=("floor", "stop"),
            grounds=_with_fall(grounds, drop),
        )
