"""The conservation officer's paper: what changes item by item, on what evidence, how it is held, how it comes off."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Weight
from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.plugins.conservation import OfficerTable, Undoing
from listel.plugins.fixings import FixingSchedule
from listel.plugins.heights import Mark, RailHeights, WallOrders, covered_marks
from listel.plugins.proportions import Proportions, profile_path
from listel.plugins.safety import Consent, SafetyNotes
from listel.plugins.sequence import JobStep, Sequence
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Side, Site, opening_name, tables
from listel.reports.drawings import draw
from listel.reports.drawings.paper import Drawing
from listel.reports.drawings.small_plan import small_plan
from listel.reports.drawings.strip import strip
from listel.reports.fitted import fitted
from listel.reports.papers import About, Leaf
from listel.reports.papers.holds import Hold, holds
from listel.reports.papers.rooms import drawn_levels, levels, views
from listel.reports.papers.trims import trim_rows
from listel.reports.photos import shown_by_room
from listel.reports.sections import plugin_of

NAMED = "for the conservation officer"
LARGE = False
FEW = 4
"""Things of a job so small, in one room, that what happens to them and what is asked go on, on the sheet before."""
PICTURES, LEAST, WIDE = 50.0, 24.0, 126.0
"""So many millimetres of the first sheet are left for pictures of the rooms, one above the other; the least for one;
the width of those of one room, side by side."""
RISKS = ("existing", "conservation", "site", "fixings", "timber")
"""The plugins whose cautions bear on the fabric."""
ADVISED = ("existing", "heights", "proportions", "bonding")
"""The plugins whose advice is for an officer to weigh."""


def leaves(outcome: Outcome, about: About) -> Iterator[Leaf]:
    """What changes and why, then the drawings, then how it is done and undone, then what is asked; one sheet that says
    so where nobody has a say inside."""
    site = outcome.sheet.get(Site)
    if site and site.protection.free:
        yield Leaf(name="free", title="Nothing here to decide", template="officer/free.html.j2", view=site.protection)
        return
    yield Leaf(
        name="rests", title="What changes, and what it rests on", template="officer/rests.html.j2", view=rests(outcome)
    )
    things = items(outcome)
    small = len(outcome.job.rooms) == 1 and len(things.table.items) <= FEW
    yield Leaf(
        name="items",
        title="What happens to each thing",
        template="officer/items.html.j2",
        view=things,
        follows=small,
    )
    photographs = shown_by_room(outcome)
    if photographs:
        yield Leaf(
            name="photographs",
            title="Photographs",
            template="officer/photographs.html.j2",
            view=photographs,
            follows=True,
        )
    setting_out = outcome.sheet.get(SettingOut)
    for number, room in enumerate(outcome.job.rooms, 1):
        if setting_out and setting_out.runs_on(room.name):
            view = room_drawings(outcome, setting_out, room.name)
            title = f"{room.name}: proposed, with every fixing"
            yield Leaf(name=f"room-{number}", title=title, template="officer/room.html.j2", view=view)
    if any(profile_path(trim) for trim in outcome.job.trim):
        made = draw("full_size", outcome)
        sheets = (made, *made.further)
        yield Leaf(name="sections", title="Sections, full size", template="workshop/sections.html.j2", view=sheets)
    yield Leaf(
        name="how", title="How it is held, and how it comes off", template="officer/how.html.j2", view=how(outcome)
    )
    yield Leaf(
        name="order",
        title="Order of work, and controls",
        template="officer/order.html.j2",
        view=order(outcome),
        follows=True,
    )
    yield Leaf(
        name="asked",
        title="What is not known, and what is asked",
        template="officer/asked.html.j2",
        view=asked(outcome),
        follows=True,
    )


# ---------------------------------------------------------------- what it rests on


@dataclass(frozen=True, kw_only=True)
class Choice:
    """Where a trim goes in a room, above which floor, by what, and how many other rules gave way. ``size``: ``top`` is
    how tall or wide it is; ``windows``: at how many it is made."""

    room: str
    trim: str
    top: float | None
    size: str = ""
    windows: int = 0
    above: str = ""
    by: str
    line: str = ""
    gave_way: int = 0
    within: tuple[float, float] | None = None


@dataclass(frozen=True, kw_only=True)
class Seen:
    """A room in plan and as it will be; before that as it is, where old trim was surveyed."""

    name: str
    plan: Drawing | None
    pictures: tuple[Drawing, ...]


@dataclass(frozen=True, kw_only=True)
class Rests:
    """The first sheet."""

    holds: tuple[Hold, ...]
    protection: str
    seen: tuple[Seen, ...]
    traces: tuple[tuple[str, Mark], ...]
    """Each trace of old trim, with its room."""
    choices: tuple[Choice, ...]


def rests(outcome: Outcome) -> Rests:
    """What is proposed and its evidence."""
    orders, site = outcome.sheet.get(WallOrders), outcome.sheet.get(Site)
    share = max(LEAST, PICTURES / (len(outcome.job.rooms) or 1))
    seen = [
        Seen(
            name=room.name,
            plan=small_plan(outcome, room.name, min(36.0, share)),
            pictures=tuple(
                draw("picture", outcome, room=room.name, wide=WIDE / len(shown), tall=min(42.0, share), **view)
                for view in shown
            ),
        )
        for room in outcome.job.rooms
        for shown in [views(outcome, room)]
    ]
    traces = [(line.room, mark) for line in (orders.rooms if orders else ()) for mark in line.marks if mark.here]
    return Rests(
        holds=holds(outcome, "officer"),
        protection=site.protection.says if site else "",
        seen=tuple(seen),
        traces=tuple(traces),
        choices=tuple(_choices(outcome)),
    )


def _choices(outcome: Outcome) -> Iterator[Choice]:
    """Where every trim goes: rails by the rules of heights, then what proportion settles, then all others."""
    heights, sizes = outcome.sheet.get(RailHeights) or RailHeights(), outcome.sheet.get(Proportions) or Proportions()
    told: set[tuple[str, str]] = set()
    for line in heights.lines:
        chosen = next((each for each in line.candidates if each.chosen), None)
        others = [each.height for each in line.candidates if not each.chosen]
        told.add((line.room, line.trim or line.member))
        yield Choice(
            room=line.room,
            trim=line.trim or line.member,
            top=line.top,
            above=line.counted,
            by=chosen.rule if chosen else "nothing decides it yet",
            line=line.line,
            gave_way=len(others),
            within=(min(others), max(others)) if others else None,
        )
    for size in sizes.lines:
        if size.chosen_rule and size.trim and size.top is not None:
            told.add((size.room, size.trim))
            yield Choice(room=size.room, trim=size.trim, top=size.top, by=size.chosen_rule, line="level")
    for row in trim_rows(outcome):
        if (row.room, row.trim) not in told:
            yield Choice(
                room=row.room, trim=row.trim, top=row.height, size=row.size, windows=row.windows, by=row.known_by
            )


# ---------------------------------------------------------------- item by item


@dataclass(frozen=True, kw_only=True)
class Thing:
    """One thing of the building beside its trim: what happens to it, why, and how that is undone."""

    thing: str
    where: str
    happens: str
    why: str
    undone: str


@dataclass(frozen=True, kw_only=True)
class Items:
    """The table of old and new trim, the other things that are touched or left, and the sums."""

    table: OfficerTable
    others: tuple[Thing, ...]
    holes: int


def items(outcome: Outcome) -> Items:
    """What stands already comes first, then what is new; the rest of the fabric below."""
    schedule = outcome.sheet.get(FixingSchedule)
    return Items(
        table=outcome.sheet.get(OfficerTable) or OfficerTable(),
        others=tuple(_there(outcome)),
        holes=schedule.new_holes if schedule else 0,
    )


def _there(outcome: Outcome) -> Iterator[Thing]:
    job = outcome.job
    yield from _openings(outcome)
    for room in job.rooms:
        plugged = [wall.name for wall in room.walls if wall.substrate and wall.substrate.plugs]
        ground = [wall.name for wall in room.walls if wall.substrate and wall.substrate.grounds]
        for thing, walls in (("Old timber plugs", plugged), ("Old grounds", ground)):
            if walls:
                yield Thing(
                    thing=thing,
                    where=f"{room.name} {', '.join(walls)}",
                    happens="used again",
                    why="Old fixing places come before new holes.",
                    undone="screws out",
                )
        for mark in covered_marks(room):
            yield Thing(
                thing=f"{mark.kind.replace('-', ' ').capitalize()} of the {mark.member.replace('-', ' ')}",
                where=f"{room.name} {mark.wall}".strip(),
                happens="covered",
                why="It is evidence: drawn and photographed with a scale before it is covered.",
                undone="seen again when the trim is off",
            )
    yield from _walls(outcome)


def _walls(outcome: Outcome) -> Iterator[Thing]:
    """The walls that new holes are made in, by their make-up: what is done to them."""
    schedule, table = outcome.sheet.get(FixingSchedule), outcome.sheet.get(OfficerTable)
    drilled = [line for line in schedule.lines if line.new_holes] if schedule else []
    if not drilled:
        return
    glued = any(line.stuck for line in table.undoing) if table else False
    walls = dict.fromkeys((line.room, line.wall) for line in drilled)
    covered: dict[str, list[str]] = {}
    for room, wall in walls:
        for finish in tables.kept_finishes(outcome.job.room(room).wall(wall)):
            covered.setdefault(finish["says"], []).append(f"{room} {wall}")
    for says, places in covered.items():
        yield Thing(
            thing=f"{says[0].upper()}{says[1:]}",
            where=", ".join(places),
            happens="holes" + (", and glue" if glued else ""),
            why="New trim crosses it, and is fixed through it into what bears behind.",
            undone="not at all: a hole in it cannot be stopped to match",
        )
    kinds: dict[bool, dict[str, None]] = {}
    for line in drilled:
        panelled = any(point.on == "panelling" for point in line.points)
        kinds.setdefault(panelled, {})[line.substrate.replace("-", " ") or "not surveyed"] = None
    for panelled, names in kinds.items():
        yield Thing(
            thing="Panelling" if panelled else "Plaster and walls",
            where=", ".join(names),
            happens="holes, and glue" if glued else "holes only",
            why="Fixed into its stiles, rails and grounds, no new hole where an old one will serve."
            if panelled
            else "Fixed through into what bears behind; loose plaster is made good first.",
            undone="the holes are stopped to match, and stay" + (", as does what glue takes with it" if glued else ""),
        )


def _openings(outcome: Outcome) -> Iterator[Thing]:
    """The openings that are left as they are, by kind; those that new trim goes to, by it."""
    bare: dict[str, None] = {}
    dressed: dict[tuple[str, ...], list[Side]] = {}
    for each in fitted(outcome.job, outcome.sheet):
        if each.trims:
            dressed.setdefault(each.trims, []).append(each.side)
        else:
            bare[each.side.opening.kind.replace("-", " ")] = None
    for trims, sides in dressed.items():
        yield Thing(
            thing=", ".join(opening_name(outcome.job, side.opening) for side in sides).capitalize(),
            where="; ".join(dict.fromkeys(f"{side.room.name} {side.wall.name}" for side in sides)),
            happens="kept, with new trim",
            why=f"Fixed to {'it' if len(sides) == 1 else 'them'}: {', '.join(trims)}, as told of each above.",
            undone="as told of each trim above",
        )
    if bare:
        yield Thing(
            thing=", ".join(bare).capitalize(),
            where="elsewhere" if dressed else "as surveyed",
            happens="kept",
            why="Nothing is fixed to them; rails and skirtings stop at their architraves.",
            undone="nothing to undo",
        )


# ---------------------------------------------------------------- drawings


@dataclass(frozen=True, kw_only=True)
class RoomDrawings:
    """The walls of a room as proposed, and what was said of each in the survey."""

    drawing: Drawing
    evidence: tuple[str, ...]


def room_drawings(outcome: Outcome, setting_out: SettingOut, room: str) -> RoomDrawings:
    """One room."""
    found = levels(setting_out, room)
    drawing = strip(outcome, room=room, levels=drawn_levels(found, outcome.job.units), tall=200.0, photographs=True)
    evidence = tuple(
        f"Wall {each.wall}: {each.kind.replace('-', ' ')} of the {each.member.replace('-', ' ')}"
        + (f", {each.note}" if each.note else "")
        for each in outcome.job.room(room).evidence
        if each.wall
    )
    return RoomDrawings(drawing=drawing, evidence=evidence)


# ---------------------------------------------------------------- how


@dataclass(frozen=True, kw_only=True)
class How:
    """What holds each trim and how it comes off; what must not be done to a wall."""

    undoing: tuple[Undoing, ...]
    never: tuple[tuple[str, tuple[str, ...]], ...]


def how(outcome: Outcome) -> How:
    """Run by run."""
    schedule, table = outcome.sheet.get(FixingSchedule), outcome.sheet.get(OfficerTable)
    never: dict[str, dict[str, None]] = {}
    for line in schedule.lines if schedule else ():
        never.setdefault(line.substrate or "not surveyed", {}).update(dict.fromkeys(line.avoid))
    told = tuple((kind.replace("-", " "), tuple(avoid)) for kind, avoid in never.items() if avoid)
    return How(undoing=table.undoing if table else (), never=told)


@dataclass(frozen=True, kw_only=True)
class Order:
    """The steps that remain, in order, and the risks to the fabric."""

    steps: tuple[JobStep, ...]
    done: tuple[JobStep, ...]
    risks: tuple[Finding, ...]


def order(outcome: Outcome) -> Order:
    """The order of work with who controls it."""
    sequence = outcome.sheet.get(Sequence)
    steps = sequence.steps if sequence else ()
    once = {finding.rule: finding for finding in reversed(outcome.findings) if _of(finding, "caution", RISKS)}
    return Order(
        steps=tuple(step for step in steps if not step.done),
        done=tuple(step for step in steps if step.done),
        risks=tuple(reversed(once.values())),
    )


def _of(finding: Finding, weight: Weight, plugins: tuple[str, ...]) -> bool:
    """Whether a finding is open, of that weight, and one of those plugins tells it."""
    return finding.weight == weight and not finding.settled and plugin_of(finding) in plugins


# ---------------------------------------------------------------- asked


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What is likely repair and what alteration, what holds the work, what was advised, what was agreed;
    ``new``: whether there is new trim, of which a length may be tried."""

    consents: tuple[Consent, ...]
    advice: tuple[Finding, ...]
    settled: tuple[Finding, ...]
    granted: tuple[tuple[str, str, str], ...]
    officer: str
    new: bool


def asked(outcome: Outcome) -> Asked:
    """The last sheet."""
    notes = outcome.sheet.get(SafetyNotes)
    advice = {finding.rule: finding for finding in reversed(outcome.findings) if _of(finding, "advice", ADVISED)}
    records = [r for r in outcome.job.records if r.step == "consent"]
    return Asked(
        consents=notes.consents if notes else (),
        advice=tuple(reversed(advice.values())),
        settled=tuple(finding for finding in outcome.findings if finding.settled),
        granted=tuple((r.outcome, r.reference or "", r.says or "") for r in records),
        new=bool((outcome.sheet.get(SettingOut) or SettingOut()).laid),
        officer="reviewer" if outcome.job.building.region == "united-states" else "conservation officer",
    )
