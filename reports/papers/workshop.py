"""The workshop pack: before you drill, a sheet a room, every piece, every board, the sections, the shopping."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from listel.core.contract.findings import Finding
from listel.core.host.engine import Outcome
from listel.core.survey.job import Room, Trim
from listel.core.survey.units import Units, show_angle, show_length
from listel.plugins.bonding import Bonding, Consumable, Material
from listel.plugins.cutting import CutBoard, CuttingList, TrimCutting
from listel.plugins.estimate import Estimate
from listel.plugins.fixings import Fixing, FixingSchedule
from listel.plugins.safety import SafetyNotes
from listel.plugins.setting_out import Piece, PieceEnd, Run, SettingOut, profile_path
from listel.plugins.site import tables
from listel.reports.drawings import draw
from listel.reports.drawings.bar import bar
from listel.reports.drawings.boards import board
from listel.reports.drawings.layout import figure
from listel.reports.drawings.paper import Drawing
from listel.reports.drawings.small_plan import small_plan
from listel.reports.drawings.strip import strip
from listel.reports.numbering import numbers
from listel.reports.papers import About, Leaf
from listel.reports.papers.rooms import Corner, Hold, TrimLevel, corners, drawn_levels, holds, levels, words_of

NAMED = "workshop pack"
LARGE = False
BOARD = 148.0
"""Paper that the longest board takes, mm."""
CORNERS = 8
"""Corners in one table at most."""
MERCHANTS = {"fixings": "Fixings and tools", "decorators": "Glue, filler, paint", "safety": "Safety and waste"}
ENDS = {
    "cope": "inside, cope",
    "internal-mitre": "inside mitre",
    "external-mitre": "outside mitre",
    "return": "outside mitre",
    "head-mitre": "mitre at the head",
    "plumb": "plumb cut",
    "square": "square",
    "butt": "square",
}
"""Each kind of end in words; a scarf's and a knee's are told by how they lie."""
AGAINST = {
    "corner": "into the corner",
    "architrave": "to the architrave",
    "plinth-block": "to the plinth block",
    "fitting": "at the fitting",
    "opening": "at the opening",
    "string": "to the wall string",
    "hearth": "to the chimneypiece",
    "free": "free end, not surveyed",
    "return": "free end",
    "butt": "to what stands there",
    "newel": "to the newel",
    "run-on": "to trim beyond",
}


def leaves(outcome: Outcome, about: About) -> Iterator[Leaf]:
    """The sheets in the order of work."""
    yield Leaf(name="before", title="Before you drill", template="workshop/before.html.j2", view=before(outcome))
    setting_out = outcome.sheet.get(SettingOut)
    if setting_out is None:
        return
    for number, room in enumerate(outcome.job.rooms, 1):
        view = room_sheet(outcome, setting_out, room)
        if view is not None:
            yield Leaf(name=f"room-{number}", title=room.name, template="workshop/room.html.j2", view=view)
    rows = list(pieces(outcome, setting_out))
    if rows:
        yield Leaf(name="pieces", title="Pieces, in the order of fixing", template="workshop/pieces.html.j2", view=rows)
    boards = list(cut_boards(outcome))
    if boards:
        yield Leaf(name="boards", title="Boards", template="workshop/boards.html.j2", view=boards)
    if any(profile_path(trim) for trim in outcome.job.trim):
        made = draw("full_size", outcome)
        sheets = (made, *made.further)
        yield Leaf(name="sections", title="Sections, full size", template="workshop/sections.html.j2", view=sheets)
    yield Leaf(name="shopping", title="Shopping list", template="workshop/shopping.html.j2", view=shopping(outcome))


# ---------------------------------------------------------------- before you drill


@dataclass(frozen=True, kw_only=True)
class Answer:
    """Whether some walls of a room may be drilled: what the search found, and what holds them."""

    room: str
    walls: tuple[str, ...]
    searched: str
    held_by: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Before:
    """The first sheet: what holds the work, and which wall may be drilled."""

    holds: tuple[Hold, ...]
    answers: tuple[Answer, ...]
    region: str
    zones: bool


def before(outcome: Outcome) -> Before:
    """What is settled before the first hole."""
    notes = outcome.sheet.get(SafetyNotes)
    groups: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
    for wall in notes.walls if notes else ():
        held = dict.fromkeys(
            words_of(hold).lower()
            for hold in outcome.holds
            if hold.protects and hold.where.room in ("", wall.room) and hold.where.wall in ("", wall.wall)
        )
        groups.setdefault((wall.room, wall.detected, tuple(held)), []).append(wall.wall)
    answers = tuple(
        Answer(room=room, walls=tuple(walls), searched=searched, held_by=held)
        for (room, searched, held), walls in groups.items()
    )
    region = outcome.job.building.region or ""
    return Before(holds=tuple(holds(outcome)), answers=answers, region=region, zones=bool(notes and notes.zones))


# ---------------------------------------------------------------- a room


@dataclass(frozen=True, kw_only=True)
class Drill:
    """The fixings of one trim on one wall: what to take and where, from the left, each starred where it lies in a
    keep-out band; ``alike``: the trim told before it that has them at the same stations."""

    take: str
    stations: tuple[tuple[str, bool], ...]
    alike: str = ""


@dataclass(frozen=True, kw_only=True)
class WallRow:
    """One wall: what it is, the fixings of each trim in the order of the columns, the bands to keep out of, what
    stops the work there."""

    wall: str
    into: str
    drills: tuple[tuple[Drill, ...], ...]
    keep_out: tuple[tuple[float, float], ...]
    stops: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class TopRow:
    """Tops above the floor at one station, for trims that no single level serves."""

    wall: str
    station: float
    tops: tuple[float | None, ...]


@dataclass(frozen=True, kw_only=True)
class RoomSheet:
    """Everything to mark, drill and fix by in one room."""

    plan: Drawing | None
    drawing: Drawing
    levels: tuple[TrimLevel, ...]
    trims: tuple[str, ...]
    walls: tuple[WallRow, ...]
    corners: tuple[tuple[Corner, ...], ...]
    tops: tuple[TopRow, ...]
    loose: tuple[str, ...]
    first: str
    last: str


def room_sheet(outcome: Outcome, setting_out: SettingOut, room: Room) -> RoomSheet | None:
    """The sheet of a room; None where nothing is set out in it."""
    here = [piece for piece in setting_out.pieces if piece.room == room.name]
    if not here:
        return None
    units, named = outcome.job.units, numbers(outcome.job, setting_out)
    found = levels(setting_out, room.name)
    schedule = outcome.sheet.get(FixingSchedule)
    lines = [line for line in schedule.lines if line.room == room.name and line.points] if schedule else []
    along = [trim.name for trim in outcome.job.trim if tables.goes_along_walls(trim.member)]
    trims = tuple(trim for trim in along if any(line.trim == trim for line in lines))
    cut = corners(setting_out, room.name)
    loose = tuple(level.trim for level in found if not level.told)
    tall = 112.0 if len(room.walls) > 4 else 104.0
    ordered = [named[piece.label] for piece in sorted(here, key=lambda piece: piece.order)]
    return RoomSheet(
        plan=small_plan(outcome, room.name),
        drawing=strip(outcome, room=room.name, levels=drawn_levels(found, units), tall=tall),
        levels=tuple(level for level in found if level.told),
        trims=trims,
        walls=tuple(_wall_rows(outcome, room, lines, trims)),
        corners=tuple(tuple(cut[n : n + CORNERS]) for n in range(0, len(cut), CORNERS)),
        tops=tuple(_tops(setting_out, room.name, loose)),
        loose=loose,
        first=ordered[0],
        last=ordered[-1],
    )


def _wall_rows(outcome: Outcome, room: Room, lines: list[Fixing], trims: tuple[str, ...]) -> Iterator[WallRow]:
    notes = outcome.sheet.get(SafetyNotes)
    for wall in room.walls:
        mine = [line for line in lines if line.wall == wall.name]
        here = (room.name, wall.name)
        stops = [_stop(outcome, hold) for hold in outcome.holds if (hold.where.room, hold.where.wall) == here]
        if not mine and not stops:
            continue
        starred = {
            (crossing.trim, round(crossing.start))
            for crossing in (notes.crossings if notes else ())
            if crossing.fixing and (crossing.room, crossing.wall) == (room.name, wall.name)
        }
        makeup = tables.makeup(wall)
        plugs = wall.substrate.plugs if wall.substrate else ()
        units = outcome.job.units
        said = [f"Old plugs, first: {', '.join(figure(plug, units) for plug in plugs)}."] if plugs else []
        said += [_round_opening(line, units) for line in mine if line.trim not in trims]
        yield WallRow(
            wall=wall.name,
            into=makeup.name.replace("-", " ") if makeup else "not surveyed",
            drills=tuple(_alike(trims, [_drills(mine, trim, starred, units) for trim in trims])),
            keep_out=tuple(_keep_out(notes, room.name, wall.name)),
            stops=tuple(dict.fromkeys(stops)),
            notes=tuple(said),
        )


def _stop(outcome: Outcome, hold: Finding) -> str:
    """Why the work stops at a wall; what protects people is told in full on the first sheet."""
    return f"{words_of(hold)}, see the first sheet." if hold.protects else hold.says


def _size(line: Fixing, units: Units) -> str:
    """A fixing as it is taken from its box: "No. 8 x 90"."""
    size = show_length(line.length, units).removesuffix(" mm") if line.length is not None else "length not known"
    name = line.gauge or (figure(line.diameter, units) if line.diameter is not None else "")
    return " x ".join(part for part in (name, size) if part) or line.kind.replace("-", " ")


def _round_opening(line: Fixing, units: Units) -> str:
    """The fixings of a piece round an opening: a leg's by their number, a head's by their stations."""
    if line.upright:
        rise = f", {figure(line.spacing, units)} apart" if line.spacing else ""
        return (
            f"{line.trim.capitalize()}, leg at {figure(line.start, units)}: {line.count} of {_size(line, units)}{rise}."
        )
    stations = " ".join(figure(station, units) for station in sorted({round(point.station) for point in line.points}))
    return f"{line.trim.capitalize()}, head: {_size(line, units)} at {stations}."


def _drills(lines: list[Fixing], trim: str, starred: set[tuple[str, int]], units: Units) -> tuple[Drill, ...]:
    """The fixings of one trim on one wall, those of one size together."""
    found: dict[str, set[int]] = {}
    for line in lines:
        if line.trim == trim:
            found.setdefault(_size(line, units), set()).update(round(point.station) for point in line.points)
    return tuple(
        Drill(take=take, stations=tuple((figure(at, units), (trim, at) in starred) for at in sorted(stations)))
        for take, stations in found.items()
    )


def _alike(trims: tuple[str, ...], drills: list[tuple[Drill, ...]]) -> Iterator[tuple[Drill, ...]]:
    """The same, with the trim named before that has its fixings at the same stations."""
    for number, mine in enumerate(drills):
        if len(mine) != 1:
            yield mine
            continue
        before = zip(trims[:number], drills[:number], strict=True)
        same = next((t for t, other in before if len(other) == 1 and other[0].stations == mine[0].stations), "")
        yield (replace(mine[0], alike=same),)


def _keep_out(notes: SafetyNotes | None, room: str, wall: str) -> Iterator[tuple[float, float]]:
    """The upright bands of a wall in which a cable or pipe may run, those that overlap as one."""
    zones = [z for z in notes.zones if (z.room, z.wall) == (room, wall)] if notes else []
    bands = sorted((zone.x0, zone.x1) for zone in zones if zone.kind in ("vertical", "pipe"))
    held: list[list[float]] = []
    for low, high in bands:
        if held and low <= held[-1][1]:
            held[-1][1] = max(held[-1][1], high)
        else:
            held.append([max(low, 0.0), high])
    yield from ((low, high) for low, high in held)


def _tops(setting_out: SettingOut, room: str, loose: tuple[str, ...]) -> Iterator[TopRow]:
    """The tops of those trims where the floor was read and at the ends of each wall."""
    marks = [m for m in setting_out.marks if m.room == room and m.edge == "top" and m.trim in loose]
    for wall, station in dict.fromkeys((m.wall, round(m.station)) for m in marks):
        here = {m.trim: m.above_floor for m in marks if m.wall == wall and round(m.station) == station}
        yield TopRow(wall=wall, station=float(station), tops=tuple(here.get(trim) for trim in loose))


# ---------------------------------------------------------------- pieces


@dataclass(frozen=True, kw_only=True)
class EndWords:
    """One end of a piece in words: how it is cut, what the saw reads, what to mind. ``room``: the end it stands at."""

    kind: str
    saw: str
    more: str


@dataclass(frozen=True, kw_only=True)
class PieceRow:
    """One piece to cut: its number, where it goes, its ends as they lie on the drawing, its length and its board."""

    number: str
    room: str
    trim: str
    where: str
    lies: str
    left: EndWords
    right: EndWords
    drawing: Drawing
    length: str
    other: str
    board: str


def pieces(outcome: Outcome, setting_out: SettingOut) -> Iterator[PieceRow]:
    """Every piece and return, by number."""
    job, named = outcome.job, numbers(outcome.job, setting_out)
    boards = _boards_of(outcome)
    trims = {trim.name: trim for trim in job.trim}
    undercuts = {
        (c.room, c.trim, side): c.undercut
        for c in setting_out.corners
        for side in ((c.first, "right"), (c.second, "left"))
        if c.coped == side[0]
    }
    rooms = [room.name for room in job.rooms]
    returns: dict[str, list[Piece]] = {}
    for piece in setting_out.returns:
        returns.setdefault(piece.part_of, []).append(piece)
    for piece in sorted(setting_out.pieces, key=lambda piece: (rooms.index(piece.room), piece.order)):
        for each in (piece, *returns.get(piece.label, ())):
            yield _row(outcome, setting_out, each, named, trims.get(each.trim), boards, undercuts)


def _row(
    outcome: Outcome,
    setting_out: SettingOut,
    piece: Piece,
    named: Mapping[str, str],
    trim: Trim | None,
    boards: Mapping[str, str],
    undercuts: Mapping[tuple[str, str, tuple[str, str]], float | None],
) -> PieceRow:
    units = outcome.job.units
    turned = piece.upright and _right_leg(outcome, piece)
    run = _run(setting_out, piece)
    left, right = (
        _end(piece, end, at, undercuts.get((piece.room, piece.trim, (piece.wall, side))), named, setting_out)
        for end, side, at in (
            (piece.left, "left", run.start_at if run and abs(run.start - piece.start) < 1 else ""),
            (piece.right, "right", run.end_at if run and abs(run.end - piece.end) < 1 else ""),
        )
    )
    at = f"{figure(piece.start, units)} to {figure(piece.end, units)}"
    where = f"wall {piece.wall}, at {figure(piece.start, units)}" if piece.part_of else f"wall {piece.wall}, {at}"
    round_opening = not tables.goes_along_walls(trim.member) if trim else False
    if piece.upright:
        where = f"wall {piece.wall}, {'right' if turned else 'left'} leg"
    elif round_opening:
        where = f"wall {piece.wall}, head"
    uneven = abs(piece.back - piece.face) >= 0.5 and not piece.part_of
    other = f"back {figure(piece.back, units)}, face {figure(piece.face, units)}" if uneven else ""
    return PieceRow(
        number=named[piece.label],
        room=piece.room,
        trim=piece.trim,
        where=where,
        lies="outer edge" if round_opening else "top",
        left=right if turned else left,
        right=left if turned else right,
        drawing=bar(piece, trim, up="outer edge" if round_opening else "top", turned=turned),
        length=figure(piece.overall, units),
        other=other,
        board=boards.get(piece.label, "no board: see the boards"),
    )


def _right_leg(outcome: Outcome, piece: Piece) -> bool:
    """Whether an upright piece stands right of its opening."""
    openings = outcome.job.room(piece.room).wall(piece.wall).openings
    near = min(openings, key=lambda o: min(abs(piece.end - o.at), abs(piece.start - o.end)), default=None)
    return near is not None and abs(piece.start - near.end) < abs(piece.end - near.at)


def _run(setting_out: SettingOut, piece: Piece) -> Run | None:
    """The run that a piece is cut for."""
    here = (piece.room, piece.wall, piece.trim, piece.upright)
    runs = [run for run in setting_out.runs if (run.room, run.wall, run.trim, run.upright) == here]
    return next((run for run in runs if run.start - 1 <= piece.start and piece.end <= run.end + 1), None)


def _end(
    piece: Piece, end: PieceEnd, at: str, undercut: float | None, named: Mapping[str, str], setting_out: SettingOut
) -> EndWords:
    kind = ENDS.get(end.kind, end.kind.replace("-", " "))
    more = ""
    if end.kind == "scarf":
        kind = "lap, lies over" if end.gives > 0 else "lap, lies under"
    elif end.kind == "knee":
        more = f"{end.long_edge} long"
    elif end.kind == "cope" and undercut is not None:
        more = f"undercut {undercut:.0f}\u00b0"
    elif end.kind == "return":
        more = ", ".join(f"return {named[p.label]}" for p in setting_out.returns if p.part_of == piece.label)
    elif end.kind in ("square", "butt"):
        more = end.note if piece.part_of else "foot, on the floor" if piece.upright else AGAINST.get(at, "")
    saw = show_angle(end.saw_reading) if end.saw_reading else "" if end.saw_reading == 0 else "measure"
    if end.bevel:
        more = ", ".join(part for part in (f"tilt {show_angle(end.bevel)}", more) if part)
    return EndWords(kind=kind, saw=saw, more=more)


def _boards_of(outcome: Outcome) -> dict[str, str]:
    cutting = outcome.sheet.get(CuttingList)
    lines = cutting.lines if cutting else ()
    return {
        cut.piece: _board_name(line, each, outcome.job.units)
        for line in lines
        for each in line.boards
        for cut in each.cuts
    }


def _board_name(line: TrimCutting, given: CutBoard, units: Units) -> str:
    """A board as it is chalked: the rack's name, or the length bought with its number among those of that length."""
    if not given.bought:
        return given.board
    alike = [each for each in line.boards if each.bought and each.length == given.length]
    return f"new {figure(given.length, units)} no. {alike.index(given) + 1}"


# ---------------------------------------------------------------- boards


@dataclass(frozen=True, kw_only=True)
class BoardRow:
    """One board and its drawing."""

    name: str
    drawing: Drawing


@dataclass(frozen=True, kw_only=True)
class TrimBoards:
    """The boards of one trim, all at one scale; ``short``: pieces that are not to be held by hand at the saw."""

    trim: str
    rows: tuple[BoardRow, ...]
    unmade: tuple[str, ...]


def cut_boards(outcome: Outcome) -> Iterator[TrimBoards]:
    """Every board of every trim."""
    cutting, named = outcome.sheet.get(CuttingList), numbers(outcome.job, outcome.sheet.get(SettingOut))
    lines = [line for line in cutting.lines if line.boards or line.unmade] if cutting else []
    longest = max((each.length for line in lines for each in line.boards), default=1.0)
    units = outcome.job.units
    for line in lines:
        rows = tuple(
            BoardRow(
                name=_board_name(line, each, units) + ("" if each.bought else f", rack, {figure(each.length, units)}"),
                drawing=board(each, named, longest / BOARD, units),
            )
            for each in line.boards
        )
        yield TrimBoards(trim=line.trim, rows=rows, unmade=tuple(named.get(label, label) for label in line.unmade))


# ---------------------------------------------------------------- shopping


@dataclass(frozen=True, kw_only=True)
class Timber:
    """Boards of one length of one trim to buy."""

    take: str
    what: str
    price: float | None


@dataclass(frozen=True, kw_only=True)
class Counter:
    """What one merchant sells: (as it is sold, what); ``wear``: what each person wears."""

    name: str
    materials: tuple[tuple[str, Material], ...]
    consumables: tuple[Consumable, ...]
    wear: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Shopping:
    """Everything to buy, counter by counter."""

    timber: tuple[Timber, ...]
    total: float | None
    counters: tuple[Counter, ...]


def shopping(outcome: Outcome) -> Shopping:
    """What is bought, in units as sold."""
    job = outcome.job
    cutting, bonding = outcome.sheet.get(CuttingList), outcome.sheet.get(Bonding)
    notes, estimate = outcome.sheet.get(SafetyNotes), outcome.sheet.get(Estimate)
    packs = {line.what: line.take for line in (estimate.shopping if estimate else ()) if not line.trim}
    trims = {trim.name: trim for trim in job.trim}
    timber = tuple(
        Timber(
            take=f"{purchase.count} of {show_length(purchase.length, job.units)}",
            what=_timber(trims[line.trim], job.units),
            price=None if purchase.price is None else purchase.price * purchase.count,
        )
        for line in (cutting.lines if cutting else ())
        for purchase in line.bought
    )
    prices = [each.price for each in timber]
    total = sum(price for price in prices if price is not None) if prices and None not in prices else None
    wear = tuple(dict.fromkeys(item for hazard in (notes.hazards if notes else ()) for item in hazard.wear))
    counters = tuple(
        Counter(
            name=name,
            materials=tuple(
                (packs[m.what], m) for m in (bonding.materials if bonding else ()) if m.merchant == merchant
            ),
            consumables=tuple(c for c in (bonding.consumables if bonding else ()) if c.merchant == merchant),
            wear=wear if merchant == "safety" else (),
        )
        for merchant, name in MERCHANTS.items()
    )
    filled = tuple(each for each in counters if each.materials or each.consumables or each.wear)
    return Shopping(timber=timber, total=total, counters=filled)


def _timber(trim: Trim, units: Units) -> str:
    """A trim as it is ordered."""
    section = trim.section
    sizes = [figure(size, units) for size in (section.height, section.thick) if size is not None]
    words = [
        f"{trim.name} {' x '.join(sizes)}",
        (trim.timber or "").replace("-", " "),
        trim.rings or "",
        trim.grade or "",
    ]
    words.append(f"{trim.moisture:g} %" if trim.moisture is not None else "")
    return ", ".join(word for word in words if word)
