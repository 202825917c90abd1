"""The linings of doors and archways: two jambs and a head as deep as the wall is thick, the head let into the jambs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import hypot

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Opening, Room, Trim, Wall
from listel.plugins.setting_out.at_opening import run_at_opening
from listel.plugins.setting_out.obstacles import opening_name
from listel.plugins.setting_out.results import PieceEnd, Run
from listel.plugins.setting_out.settings import allowance, allowed, lengths
from listel.plugins.site import Site

RULES = load_rules(__package__)

LINED = ("door", "archway")
SAME_WIDTH = 0.5
"""A board this little narrower than its wall [mm] is as wide as it."""


@dataclass(frozen=True, kw_only=True)
class _Lined:
    """One opening and the lining in it [mm]: clear ``height`` over the higher foot, ``thick`` the timber, ``drops`` how
    far the floor at the left and the right jamb lies under that foot."""

    opening: Opening
    name: str
    height: float
    thick: float
    drops: tuple[float, float]


def lining(
    job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall, opening: Opening, stays: tuple[str, ...]
) -> Iterator[Run | Finding]:
    """The jambs and the head of one opening, but those of which the old ones stay, and what its board has to be. The
    opening's width and height are the clear ones, between the faces of the lining."""
    if opening.kind not in LINED or len(stays) == 3:
        return
    name, thick = opening_name(job, opening), trim.section.thick
    where = Where(room.name, wall.name, trim.name, station=opening.at, line=job.line(opening))
    if opening.height is None or thick is None:
        lacks = "height" if opening.height is None else "thickness of the lining"
        yield RULES["lining-size"].lacking(
            f"{lacks} at the {name}", "the lengths of its lining; none is set out there", where
        )
        return
    floors = sheet[Site].wall(room.name, wall.name).floors
    feet = [floors.at(at) for at in (opening.at, opening.end)]
    left, right = (foot or 0.0 for foot in feet)
    if None in feet:
        yield RULES["lining-floor"].lacking(
            f"floor at both jambs of the {name}",
            "how much longer one jamb is than the other; both are set out alike",
            where,
            "tape from the floor to the level line at each",
        )
    highest = min(left, right)
    lined = _Lined(
        opening=opening, name=name, height=opening.height, thick=thick, drops=(left - highest, right - highest)
    )
    yield from _runs(job, trim, room, wall, lined, stays)
    yield from _board(job, trim, wall, lined, where)
    if not stays:
        yield _bare_opening(job, trim, wall, lined, where)


def _runs(job: Job, trim: Trim, room: Room, wall: Wall, lined: _Lined, stays: tuple[str, ...]) -> Iterator[Run]:
    """Jambs from the floor to the top of the head, each with a rebate in its top that takes the head's end."""
    opening, thick = lined.opening, lined.thick
    deep, shown = rebate(thick)
    common = (
        Input("clear height over the higher foot", lined.height, "mm", job.line(opening, "height")),
        Input("thickness of the lining", thick, "mm", job.line(trim.section)),
    )
    for side, start, drop in (("left", opening.at - thick, lined.drops[0]), ("right", opening.end, lined.drops[1])):
        if side in stays:
            continue
        top = lined.height + drop + thick
        worked = f"{lined.height:g} + {drop:g} + {thick:g} = {top:g}"
        fall = Input("floor under the higher foot", drop, "mm")
        grounds = Grounds(
            (*common, fall), "clear height, the fall of the floor and the head's thickness", worked, sources=(GEOMETRY,)
        )
        yield run_at_opening(
            trim,
            room,
            wall,
            opening=lined.name,
            span=(start, start + thick),
            heights=(0.0, top),
            ends=("floor", "lining-head"),
            grounds=grounds,
        )
    if "head" not in stays:
        low = lined.height + lined.drops[0]
        clear = Input("clear width", opening.width, "mm", job.line(opening, "width"))
        worked = f"{opening.width:g} + 2 x {deep:g} = {opening.width + 2 * deep:g}"
        grounds = Grounds(
            (clear, common[1], shown), "clear width and the rebates in both jambs", worked, sources=(GEOMETRY,)
        )
        span = (opening.at - deep, opening.end + deep)
        yield run_at_opening(
            trim,
            room,
            wall,
            opening=lined.name,
            span=span,
            heights=(low, low + thick),
            ends=("jamb", "jamb"),
            upright=False,
            grounds=grounds,
        )


def rebate(thick: float) -> tuple[float, Input]:
    """How deep the rebate is in the top of a jamb of that thickness [mm], and the share that was taken. Common
    practice, no source."""
    share, shown, _ = allowed("lining-rebate")
    return thick * share, shown


def lining_ends(job: Job, trim: Trim, run: Run) -> tuple[PieceEnd, PieceEnd]:
    """Both ends of a jamb, foot first, or of a head."""
    show, thick = lengths(job), trim.section.thick or 0.0
    deep, _ = rebate(thick)
    if not run.upright:
        end = PieceEnd(kind="square", note=f"{show(deep)} into the rebate of the jamb; nail it through the jamb")
        return end, end
    left_on = allowance("lining-foot")
    foot = PieceEnd(kind="scribed", past=left_on, note=f"{show(left_on)} left on to scribe it to the floor")
    return foot, PieceEnd(kind="rebated", note=f"rebate {show(deep)} deep, {show(thick)} high, for the head")


def _board(job: Job, trim: Trim, wall: Wall, lined: _Lined, where: Where) -> Iterator[Finding]:
    """What the wall's thickness asks of the board that the lining is ripped from."""
    show, wide, board = lengths(job), wall.thickness, trim.section.height
    if wide is None:
        yield RULES["lining-width"].lacking(
            f"thickness of wall {wall.name} at the {lined.name}",
            "the lining's width; its pieces are given by their lengths alone",
            replace(where, line=job.line(wall)),
            "measure over the plaster of both sides, at the head and at the foot of both jambs; give the most",
        )
        return
    inputs = (Input(f"thickness of wall {wall.name}", wide, "mm", job.line(wall, "thickness")),)
    if board is not None and board < wide - SAME_WIDTH:
        yield RULES["lining-too-narrow"].told(
            "caution",
            f"The board of the {trim.name} is {show(board)} wide and wall {wall.name} is {show(wide)} thick at the "
            f"{lined.name}: its edge lies {show(wide - board)} behind the plaster, and the architrave has nothing to "
            "lie on there.",
            where,
            Grounds((*inputs, Input("width of the board", board, "mm", job.line(trim.section, "height")))),
            "use a wider board, or glue a strip to its edge before it is primed",
            short=wide - board,
        )
    most, shown, sources = allowed("lining-framed")
    if wide > most:
        yield RULES["lining-framed"].told(
            "advice",
            f"Wall {wall.name} is {show(wide)} thick at the {lined.name}: a lining over {show(most)} wide is framed "
            "and panelled, its panels in line with the door's, for a board so wide shrinks and cups. The lengths here "
            "are those of the frame's outside.",
            where,
            Grounds((*inputs, shown), sources=sources),
            "have it framed on the bench to these lengths, with backings for it at most 914 mm apart",
            width=wide,
        )


def _bare_opening(job: Job, trim: Trim, wall: Wall, lined: _Lined, where: Where) -> Finding:
    """How large the bare opening has to be, and how the lining is brought plumb and square in it."""
    show, clear = lengths(job), lined.opening.width
    room, shown, sources = allowed("lining-room")
    wide, high = clear + 2 * (lined.thick + room), lined.height + max(lined.drops) + lined.thick + room
    across = hypot(clear, lined.height)
    wide_enough = wall.thickness is not None and (trim.section.height or wall.thickness) >= wall.thickness
    ripped = f" Rip its boards to {show(wall.thickness)}." if wide_enough and wall.thickness is not None else ""
    longer = ""
    if abs(lined.drops[0] - lined.drops[1]) >= SAME_WIDTH:
        side = "left" if lined.drops[0] > lined.drops[1] else "right"
        longer = (
            f" The {side} jamb is {show(abs(lined.drops[0] - lined.drops[1]))} the longer, for the floor falls to it."
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
                Input("fall of the floor from foot to foot", max(lined.drops), "mm"),
                shown,
            ),
            "width: clear, both jambs, room at both sides; height: clear, fall, head, room over it",
            f"{clear:g} + 2 x ({lined.thick:g} + {room:g}) = {wide:g}; {lined.height:g} + {max(lined.drops):g} + "
            f"{lined.thick:g} + {room:g} = {high:g}",
            f"{wide:.0f} mm by {high:.0f} mm",
            (GEOMETRY, *sources),
        ),
        wide=wide,
        high=high,
        across=across,
    )
