"""The linings of doors, archways and windows: two jambs and a head, the head let into the jambs. They are as
deep as the wall is thick, or, where a frame stands in it, as the reveal, which may be splayed. Beside shutters, whose
boxings fill both sides, only the head is lined."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import cos, hypot, radians

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Opening, Room, Trim, Wall
from listel.plugins.setting_out.at_opening import run_at_opening, under_the_foot
from listel.plugins.setting_out.obstacles import made_for
from listel.plugins.setting_out.old_work import stays_round
from listel.plugins.setting_out.results import PieceEnd, Run
from listel.plugins.setting_out.settings import allowance, allowed, lengths
from listel.plugins.site import MIRRORED, Side, Site, could_be_one, joining, opening_name, tables

RULES = load_rules(__package__)

LINED = ("door", "archway", "window")
MOST_NAMED = 12
"""Openings that one sentence names."""
SAME_WIDTH = 0.5
"""A board this little narrower than its wall [mm] is as wide as it."""


@dataclass(frozen=True, kw_only=True)
class _Lined:
    """One opening and the lining in it [mm]: clear ``height`` over the higher foot, ``thick`` the timber, ``drops`` how
    far the floor at the left and the right jamb lies under that foot, ``feet`` the same to the lower of both rooms'
    floors; ``deep`` from edge to edge of it, square to the wall; ``splay`` of its jambs [deg]."""

    opening: Opening
    name: str
    height: float
    thick: float
    drops: tuple[float, ...]
    feet: tuple[float, ...]
    deep: Input | None
    splay: float

    @property
    def slant(self) -> float:
        """What is square to the wall, measured along its jambs."""
        return 1 / cos(radians(self.splay))

    @property
    def wide(self) -> float | None:
        """How wide the boards of its jambs have to be [mm]; None where that is not known. A head has no splay."""
        return None if self.deep is None else float(self.deep.value) * self.slant


def lining(
    job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall, opening: Opening, stays: tuple[str, ...]
) -> Iterator[Run | Finding]:
    """The jambs and the head of one opening, but those of which the old ones stay, and what its board has to be. The
    opening's width and height are the clear ones, between the faces of the lining, at the face of the wall."""
    if opening.kind not in LINED or made_for(job, trim.member, room, wall, opening) is not trim:
        return
    name, thick = opening_name(job, opening), trim.section.thick
    where = Where(room.name, wall.name, trim.name, station=opening.at, line=job.line(opening))
    other = sheet[Site].other_side(room, wall, opening)
    if other is not None:
        here = Side(room=room, wall=wall, opening=opening)
        if _made_from(job, trim, other, here):
            says = f"The {other.named(job)} and the {here.named(job)} are the two sides of one opening"
            yield RULES["lining-once"].told(
                "record", f"{says}: its lining is set out once, from the {other.room.name}.", where
            )
            return
        behind = stays_round(sheet, other.room, other.wall, opening_name(job, other.opening), trim.member)
        stays = tuple({*stays, *(MIRRORED[side] for side in behind)})
    boxed = opening.kind == "window" and made_for(job, "shutter-box", room, wall, opening) is not None
    if boxed:
        stays = tuple({*stays, "left", "right"})
    if len(stays) == 3 or opening.reveal == 0:
        return
    if opening.height is None or thick is None:
        lacks = "height" if opening.height is None else "thickness of the lining"
        yield RULES["lining-size"].lacking(
            f"{lacks} at the {name}", "the lengths of its lining; none is set out there", where
        )
        return
    floors = sheet[Site].wall(room.name, wall.name).floors
    if not floors and not opening.sill:
        yield floor_not_read(name, where)
    drops = under_the_foot(floors, opening, opening.at, opening.end)
    lined = _Lined(
        opening=opening,
        name=name,
        height=opening.height,
        thick=thick,
        drops=drops,
        feet=_lower_of_both(sheet[Site], opening, drops, other),
        deep=_deep(job, wall, opening, other),
        splay=opening.splay or 0.0,
    )
    yield from _runs(job, trim, room, wall, lined, stays, boxed=boxed)
    yield from _board(job, trim, wall, lined, where)
    if boxed:
        yield RULES["lining-over-shutters"].told(
            "record",
            f"The boxings of the shutters fill both sides of the {name}, so the {trim.name} lines only its head there, "
            "between them. Cut it when they stand.",
            where,
        )
    elif opening.kind == "window" or opening.reveal is not None:
        yield _in_a_reveal(job, trim, lined, where)
    elif not stays:
        yield _bare_opening(job, trim, lined, where)


def which_are_one(job: Job, site: Site) -> Iterator[Finding]:
    """What is asked where openings that are lined could be one hole, listed from two rooms."""
    members = {trim.member for trim in job.trim if tables.goes_through_openings(trim.member)}
    sides = [
        side
        for side in (joining(job) if members else ())
        if side.opening.kind in LINED
        and side.key not in site.across
        and any(made_for(job, member, side.room, side.wall, side.opening) for member in members)
    ]
    rooms = {side.room.name for side in sides}
    asked = [side for side in sides if len(rooms) > 1 and any(could_be_one(side, other) for other in sides)]
    if asked:
        named = [f"the {side.named(job)}" for side in asked]
        more = f"; and {len(named) - MOST_NAMED} more" if len(named) > MOST_NAMED else ""
        yield RULES["which-are-one"].lacking(
            f"where these lead, of which two may be one opening listed from both its rooms: "
            f"{'; '.join(named[:MOST_NAMED])}{more}",
            "whether one lining is made for two of them or one for each; until then each is given its own",
            Where(asked[0].room.name, asked[0].wall.name, line=job.line(asked[0].opening)),
            "write under each leads-to: and the room behind it, or elsewhere; of two between the same rooms give each "
            "one name on both sides",
        )


def _made_from(job: Job, trim: Trim, side: Side, other: Side) -> bool:
    """Whether the lining of a hole is set out from this side of it: it is lined there, and that room comes first."""
    first = next(room.name for room in job.rooms if room.name in (side.room.name, other.room.name))
    return side.room.name == first and bool(made_for(job, trim.member, side.room, side.wall, side.opening))


def _lower_of_both(site: Site, opening: Opening, drops: tuple[float, ...], other: Side | None) -> tuple[float, ...]:
    """How far under the higher foot each jamb goes down: to its own floor, or to that of the room behind, over which
    the same clear height was read, where that is the lower."""
    if other is None or None in (opening.height, other.opening.height):
        return drops
    there, lower = other.opening, (other.opening.height or 0.0) - (opening.height or 0.0)
    floors = site.wall(other.room.name, other.wall.name).floors
    behind = under_the_foot(floors, there, there.end, there.at)
    return tuple(max(here, lower + at) for here, at in zip(drops, behind, strict=True))


def floor_not_read(name: str, where: Where) -> Finding:
    """What lacks where no floor was read at an opening."""
    return RULES["floor-at-opening"].lacking(
        f"floor at both sides of the {name}",
        "how much longer one jamb or leg is than the other; both are set out alike",
        where,
        "tape from the floor to the level line at each",
    )


def _deep(job: Job, wall: Wall, opening: Opening, other: Side | None) -> Input | None:
    """How deep a lining is, square to the wall: the reveal, where a frame stands in it; else the wall's thickness, as
    told from this room or from the one behind it. None where neither tells."""
    if opening.kind == "window" or opening.reveal is not None:
        deep, says = opening.reveal, f"reveal of the {opening_name(job, opening)}"
        return None if deep is None else Input(says, deep, "mm", job.line(opening, "reveal"))
    for one in (wall, *((other.wall,) if other else ())):
        if one.thickness is not None:
            return Input(f"thickness of wall {one.name}", one.thickness, "mm", job.line(one, "thickness"))
    return None


def _runs(
    job: Job, trim: Trim, room: Room, wall: Wall, lined: _Lined, stays: tuple[str, ...], *, boxed: bool
) -> Iterator[Run]:
    """Jambs from the floor, or the window board, to the top of the head, each with a rebate in its top that takes the
    head's end."""
    opening, thick, sill = lined.opening, lined.thick, lined.opening.sill or 0.0
    deep, shown = rebate(thick)
    common = (
        Input("clear height over the higher foot", lined.height, "mm", job.line(opening, "height")),
        Input("thickness of the lining", thick, "mm", job.line(trim.section)),
    )
    across = thick * lined.slant
    starts = opening.at - across, opening.end
    for side, start, drop, foot in zip(("left", "right"), starts, lined.drops, lined.feet, strict=True):
        if side in stays:
            continue
        worked = f"{lined.height:g} + {foot:g} + {thick:g} = {lined.height + foot + thick:g}"
        fall = Input("floor under the higher foot, the lower of both rooms'", foot, "mm")
        grounds = Grounds(
            (*common, fall), "clear height, the fall of the floor and the head's thickness", worked, sources=(GEOMETRY,)
        )
        yield run_at_opening(
            trim,
            room,
            wall,
            opening=lined.name,
            span=(start, start + across),
            heights=(sill + drop - foot, sill + lined.height + drop + thick),
            ends=("sill" if sill else "floor", "lining-head"),
            wide=lined.wide,
            grounds=grounds,
        )
    if "head" not in stays:
        low, deep = sill + lined.height + lined.drops[0], 0.0 if boxed else deep * lined.slant
        clear = Input("clear width", opening.width, "mm", job.line(opening, "width"))
        worked = f"{opening.width:g} + 2 x {deep:g} = {opening.width + 2 * deep:g}"
        grounds = Grounds(
            (clear,) if boxed else (clear, common[1], shown),
            "clear width" if boxed else "clear width and the rebates in both jambs",
            "" if boxed else worked,
            sources=(GEOMETRY,),
        )
        span = (opening.at - deep, opening.end + deep)
        yield run_at_opening(
            trim,
            room,
            wall,
            opening=lined.name,
            span=span,
            heights=(low, low + thick),
            ends=("boxing", "boxing") if boxed else ("jamb", "jamb"),
            upright=False,
            wide=None if lined.deep is None else float(lined.deep.value),
            grounds=grounds,
        )


def rebate(thick: float) -> tuple[float, Input]:
    """How deep the rebate is in the top of a jamb of that thickness [mm], and the share that was taken. Common
    practice, no source."""
    share, shown, _ = allowed("lining-rebate")
    return thick * share, shown


def lining_ends(job: Job, trim: Trim, run: Run) -> tuple[PieceEnd, PieceEnd]:
    """Both ends of a jamb, foot first, or of a head, whose ends follow the splay of the jambs."""
    show, thick = lengths(job), trim.section.thick or 0.0
    deep, _ = rebate(thick)
    if not run.upright:
        note = f"{show(deep)} into the rebate of the jamb; nail it through the jamb"
        if run.start_at == "boxing":
            note = "against the boxing of the shutters; measure when it stands"
        end = PieceEnd(kind="square", note=note)
        openings = job.room(run.room).wall(run.wall).openings
        splay = next((each.splay or 0.0 for each in openings if run.start <= each.at <= run.end), 0.0)
        if splay:
            end = replace(end, kind="splayed", cut_angle=90.0 - splay, saw_reading=splay, long_edge="top")
        return end, end
    foot = PieceEnd(kind="square", note="stands on the window board")
    if run.start_at == "floor":
        left_on = allowance("lining-foot")
        foot = PieceEnd(kind="scribed", past=left_on, note=f"{show(left_on)} left on to scribe it to the floor")
    return foot, PieceEnd(kind="rebated", note=f"rebate {show(deep)} deep, {show(thick)} high, for the head")


def _board(job: Job, trim: Trim, wall: Wall, lined: _Lined, where: Where) -> Iterator[Finding]:
    """What the depth of the opening asks of the board that the lining is ripped from."""
    show, board, wide = lengths(job), trim.section.height, lined.wide
    if wide is None or lined.deep is None:
        window = lined.opening.kind == "window"
        what, over = (
            (f"depth of the reveal of the {lined.name}", "from the frame, or the bottom of its groove, to the plaster")
            if window
            else (f"thickness of wall {wall.name} at the {lined.name}", "over the plaster of both sides")
        )
        yield RULES["lining-width"].lacking(
            what,
            "the lining's width; its pieces are given by their lengths alone",
            where if window else replace(where, line=job.line(wall)),
            f"measure {over}, at the head and at the foot of both jambs; give the most"
            + ("; of a window that is not lined give 0" if window else ""),
        )
        return
    inputs = (lined.deep, *((Input("splay", lined.splay, "deg"),) if lined.splay else ()))
    if board is not None and board < wide - SAME_WIDTH:
        yield RULES["lining-too-narrow"].told(
            "caution",
            f"The board of the {trim.name} is {show(board)} wide and has to be {show(wide)} at the {lined.name}: its "
            f"edge lies {show(wide - board)} behind the plaster, and the architrave has nothing to lie on there.",
            where,
            Grounds((*inputs, Input("width of the board", board, "mm", job.line(trim.section, "height")))),
            "use a wider board, or glue a strip to its edge before it is primed",
            short=wide - board,
        )
    most, shown, sources = allowed("lining-framed")
    if wide > most:
        yield RULES["lining-framed"].told(
            "advice",
            f"The lining at the {lined.name} is {show(wide)} wide: one over {show(most)} is framed and panelled, its "
            "panels in line with the door's, for a board so wide shrinks and cups. The lengths here are those of the "
            "frame's outside.",
            where,
            Grounds((*inputs, shown), sources=sources),
            "have it framed on the bench to these lengths, with backings for it at most 914 mm apart",
            width=wide,
        )


def _bare_opening(job: Job, trim: Trim, lined: _Lined, where: Where) -> Finding:
    """How large the bare opening has to be, and how the lining is brought plumb and square in it."""
    show, clear = lengths(job), lined.opening.width
    room, shown, sources = allowed("lining-room")
    wide, high = clear + 2 * (lined.thick + room), lined.height + max(lined.feet) + lined.thick + room
    across = hypot(clear, lined.height)
    ripped = _ripped(job, trim, lined)
    longer = ""
    if abs(lined.feet[0] - lined.feet[1]) >= SAME_WIDTH:
        side = "left" if lined.feet[0] > lined.feet[1] else "right"
        longer = (
            f" The {side} jamb is {show(abs(lined.feet[0] - lined.feet[1]))} the longer, for the floor falls to it."
        )
    return RULES["lining-opening"].told(
        "record",
        f"The {trim.name} at the {lined.name} needs a bare opening of {show(wide)} by {show(high)} over the lower "
        f"foot: the clear {show(clear)} by {show(lined.height)}, the lining, and {show(room)} to pack it plumb."
        f"{ripped}{longer} Nail head to jambs and a batten across their feet on the bench; stand it with the head "
        "level; pack each jamb plumb both ways, its edges in line with the plaster of both rooms; both diagonals of "
        f"the clear opening, from the head to the level of the higher foot, are {show(across)}.",
        where,
        Grounds(
            (
                Input("clear width", clear, "mm", job.line(lined.opening, "width")),
                Input("clear height over the higher foot", lined.height, "mm", job.line(lined.opening, "height")),
                Input("thickness of the lining", lined.thick, "mm", job.line(trim.section)),
                Input("fall of the floor from foot to foot", max(lined.feet), "mm"),
                shown,
            ),
            "width: clear, both jambs, room at both sides; height: clear, fall, head, room over it",
            f"{clear:g} + 2 x ({lined.thick:g} + {room:g}) = {wide:g}; {lined.height:g} + {max(lined.feet):g} + "
            f"{lined.thick:g} + {room:g} = {high:g}",
            f"{wide:.0f} mm by {high:.0f} mm",
            (GEOMETRY, *sources),
        ),
        wide=wide,
        high=high,
        across=across,
    )


def _ripped(job: Job, trim: Trim, lined: _Lined) -> str:
    """What its boards are ripped to, in a sentence; "" where that is not known, or they are too narrow."""
    wide, show = lined.wide, lengths(job)
    if wide is None or lined.deep is None or (trim.section.height or wide) < wide:
        return ""
    if not lined.splay:
        return f" Rip its boards to {show(wide)}."
    return (
        f" Rip its jambs to {show(wide)}, their edges bevelled {lined.splay:g}\u00b0, and its head to "
        f"{show(float(lined.deep.value))}."
    )


def _in_a_reveal(job: Job, trim: Trim, lined: _Lined, where: Where) -> Finding:
    """How the lining of a window, or of an outer door, is put together and stood against its frame."""
    show, opening = lengths(job), lined.opening
    across = hypot(opening.width, lined.height)
    splay = Input("splay of its jambs", lined.splay, "deg", assumed=opening.splay is None)
    square = " Its jambs are taken as square to the wall." if opening.splay is None else ""
    return RULES["lining-in-reveal"].told(
        "record",
        f"The {trim.name} at the {lined.name} is clear {show(opening.width)} by {show(lined.height)} at the face of "
        f"the wall.{square}{_ripped(job, trim, lined)} Nail head to jambs on the bench; stand it "
        f"{'on the window board' if opening.sill else 'on the floor'}, its back edge to the frame or in the frame's "
        "groove; pack each jamb plumb and the head level, its edges in line with the plaster; both diagonals of the "
        f"clear opening are {show(across)}.",
        where,
        Grounds(
            (
                Input("clear width", opening.width, "mm", job.line(opening, "width")),
                Input("clear height", lined.height, "mm", job.line(opening, "height")),
                *((lined.deep,) if lined.deep else ()),
                splay,
            ),
            "a jamb's board: the reveal over the cosine of its splay; the head's: the reveal",
            sources=RULES["lining-in-reveal"].sources,
        ),
        across=across,
    )
