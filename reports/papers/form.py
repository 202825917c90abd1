"""The form for the site: what the survey knows is printed, what it does not know is left open for a thick pencil."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Fitting, Job, Opening, Record, Room, Trim, Wall, Winders
from listel.core.survey.own import On, OwnFact, Schema, own_facts
from listel.core.survey.units import Units, show_angle, show_length
from listel.plugins.site import corner_pairs, tables
from listel.reports.drawings.paper import Drawing
from listel.reports.drawings.sketch import grid, way_round
from listel.reports.drawings.small_plan import small_plan
from listel.reports.papers import About, Leaf

NAMED = "form for the site"
LARGE = False
PLAN = 42.0
"""How wide and tall the plan of a room stands, mm."""
WALLS, OPENINGS, FITTINGS, OLD, FLIGHTS = 6, 4, 5, 4, 2
"""Rows of a table at the least, those that the survey fills among them."""
SPARE = 2
"""Rows left open at the least where the survey fills some."""


@dataclass(frozen=True, kw_only=True)
class Table:
    """A table to fill in: its caption, the heads of its columns, its rows ("" to be written)."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, kw_only=True)
class Form:
    """One sheet: what to mind, tables, squares to sketch on."""

    way: Drawing | None
    hints: str
    tables: tuple[Table, ...]
    sketch: Drawing | None


def leaves(outcome: Outcome, about: About) -> Iterator[Leaf]:
    """The house, then each room: its walls, what is in them, behind them and on them."""
    job, firm = outcome.job, _Firm(about.schema, outcome.job.units)
    yield Leaf(name="house", title="The house", template="form/sheet.html.j2", view=house(job, firm))
    for number, room in enumerate(job.rooms, 1):
        yield Leaf(
            name=f"room-{number}",
            title=room.name,
            template="form/sheet.html.j2",
            view=of_room(room, job.units, firm, small_plan(outcome, room.name, PLAN)),
        )


def written(job: Job, ending: str, schema: Schema) -> str | bytes:
    """The form of a survey that nobody has reckoned yet, in the form that ends so (".html", ".pdf", ".docx").

    Raises InputFault where it needs more than is installed.
    """
    from listel.core.host.engine import examine
    from listel.core.host.registry import Registry
    from listel.reports import forms
    from listel.reports.statement import compose, to_html

    made = compose(examine(job, Registry(())), readers="form", schema=schema)
    form = next((name for name, end in forms.FORMS.items() if end == ending), None)
    if form is None:
        return to_html(made)
    forms.ready([form])
    files, _ = forms.files(made, job, [form], lambda end: Path(f"form{end}"))
    return files[0][1]


class _Words:
    """What is known, as it is printed."""

    def __init__(self, units: Units) -> None:
        self.units = units

    def length(self, mm: float | None) -> str:
        return "" if mm is None else show_length(mm, self.units).removesuffix(" mm")

    def span(self, start: float | None, end: float | None) -> str:
        return "" if end is None else f"{self.length(start or 0.0)} to {self.length(end)}"

    def lengths(self, *several: float | None) -> str:
        return ", ".join(self.length(mm) for mm in several if mm is not None)


@dataclass(frozen=True)
class _Firm:
    """The facts that firms ask for, with what is known of them."""

    schema: Schema | None
    units: Units

    def asked(self, on: On) -> Sequence[OwnFact]:
        return tuple(own_facts(self.schema, on)) if self.schema else ()

    def facts(self, on: On, holder: Job | Room) -> Iterator[tuple[str, str]]:
        """Facts of one thing, each with what is known."""
        for fact in self.asked(on):
            yield fact.says.capitalize(), fact.told(holder.own, self.units)

    def table(self, on: On, caption: str, name: str, holders: Sequence[Wall | Trim]) -> Iterator[Table]:
        """A table of the facts of several things; none where nobody asks for any."""
        asked = self.asked(on)
        if asked:
            rows = tuple((each.name, *(fact.told(each.own, self.units) for fact in asked)) for each in holders)
            heads = (name, *(fact.says.capitalize() for fact in asked))
            yield Table(caption=caption, heads=heads, rows=_filled(rows, len(heads), WALLS))


def _number(value: float | None, unit: str = "") -> str:
    return "" if value is None else f"{value:g}{unit}"


def _yes_no(value: bool | None) -> str:
    return "" if value is None else "yes" if value else "no"


def _plain(word: str | None) -> str:
    return (word or "").replace("-", " ")


def _filled(known: Sequence[tuple[str, ...]], columns: int, least: int) -> tuple[tuple[str, ...], ...]:
    """The rows known and, after them, rows left open."""
    open_rows = max(least - len(known), SPARE)
    return (*known, *[("",) * columns] * open_rows)


# ---------------------------------------------------------------- the house


def house(job: Job, firm: _Firm) -> Form:
    """The first sheet: the house, what is asked before any wall is touched, the trim, the profiles."""
    building, words = job.building, _Words(job.units)
    built = f"{'about ' if building.built_about else ''}{building.built}" if building.built else ""
    facts = (
        ("Surveyed by, and date", f"{job.surveyor} {job.surveyed}".strip()),
        (
            "Built (year, or about); later works",
            "; ".join(filter(None, (built, ", ".join(map(str, building.refurbished))))),
        ),
        ("Protection", _plain(building.protection)),
        (
            "Who is there during the work; children under six",
            "; ".join(filter(None, (_plain(building.occupied), _yes_no(building.children)))),
        ),
        ("How it is heated; air today, temperature and humidity", _plain(job.climate.heating)),
        ("Bevel tried on a square: it reads; tape checked against", ""),
        *firm.facts("job", job),
    )
    asked = (
        ("Asbestos survey seen (result, reference, date, by)", "asbestos-check"),
        ("Old paint tested for lead (where, result)", "lead-check"),
        ("Cables and pipes looked for (with what, by)", "detect-services"),
    )
    trim = [
        (
            each.name,
            ", ".join(dict.fromkeys(place.room for place in each.where)),
            words.length(each.section.height),
            words.length(each.section.projection),
            ", ".join(filter(None, (tables.timber_words(each.timber), each.finish))),
            _number(each.moisture),
        )
        for each in job.trim
    ]
    on_the_sheet = (
        Table(caption="The house", heads=("What", "Known, or to be asked"), rows=facts),
        Table(
            caption="Before any wall is drilled, scraped or opened",
            heads=("What", "Known, or to be asked"),
            rows=tuple(
                (says, "; ".join(_recorded(each) for each in job.records if each.step == step)) for says, step in asked
            ),
        ),
        Table(
            caption="The trim that is there, or wanted",
            heads=("Member", "Room", "Height on the wall", "Projection", "Timber, finish", "Moisture %"),
            rows=_filled(trim, 6, 4),
        ),
        *_architraves(job, words),
        *firm.table("trim", "Of each trim", "Member", job.trim),
    )
    lengths = "feet and inches, to 1/16" if job.units == "inches" else "mm"
    return Form(
        way=None,
        hints=f"Lengths in {lengths}. What stands here is known; check it.",
        tables=on_the_sheet,
        sketch=grid(180.0, 60.0, "Profiles, full size or with sizes"),
    )


def _recorded(record: Record) -> str:
    place = f"{record.room} {record.wall}".strip()
    came = f"{place}: {_plain(record.outcome)}" if place else _plain(record.outcome)
    return ", ".join(filter(None, (came, record.says, record.reference, record.on, record.by)))


# ---------------------------------------------------------------- a room


def of_room(room: Room, units: Units, firm: _Firm, plan: Drawing | None) -> Form:
    """All that can be taken in a room, under its plan, or under that of any room where its own is not known."""
    words = _Words(units)
    hints = (
        "Stand in the room and face a wall. Stations run from its left end; the corner is read at its right end; the "
        "next wall is the one to its right. Corners: i internal, e external (it sticks out into the room)."
    )
    return Form(
        way=plan or way_round(),
        hints=hints,
        tables=(
            *walls(room, words, firm),
            *behind(room, words),
            *firm.table("wall", "Of each wall", "Wall", room.walls),
        ),
        sketch=grid(185.0, 70.0, f"Sketch of {room.name}"),
    )


def walls(room: Room, words: _Words, firm: _Firm) -> tuple[Table, ...]:
    """The room, its walls, openings and fittings."""
    heights = "; ".join(
        f"{words.length(r.height)}{f' (wall {r.wall}, at {words.length(r.at)})' if r.wall else ''}" for r in room.height
    )
    facts = [
        ("Period; use; floor it is on", "; ".join(filter(None, (_plain(room.period), room.use, room.storey)))),
        ("Floor to ceiling, three places", heights),
        ("Level line above the floor, where struck", words.length(room.datum)),
        ("How it is heated, if not as the house is", _plain(room.climate.heating if room.climate else None)),
        *_free_ends(room),
        *(("Old mark: member, height, edge, wall", _trace(room, n, words)) for n in range(max(len(room.evidence), 1))),
        *firm.facts("room", room),
    ]
    openings = [(wall, opening) for wall in room.walls for opening in wall.openings]
    fittings = [(wall, fitting) for wall in room.walls for fitting in wall.fittings]
    known_walls = [_wall(wall, words) for wall in room.walls]
    whole = room.extent == "whole" and room.walls
    return (
        Table(caption="The room", heads=("What", "Known, or to be taken"), rows=tuple(facts)),
        Table(
            caption="Walls",
            heads=(
                "Wall",
                "Tape, first",
                "Tape, second",
                "Corner i / e",
                "Angle",
                "Made of; state, any damp",
                "Bow in",
                "Moist. %",
                "Floor to level line, at",
            ),
            rows=tuple(known_walls) if whole else _filled(known_walls, 9, WALLS),
        ),
        Table(
            caption="Openings",
            heads=("Wall", "Kind", "Left edge at", "Width", "Height", "Sill", "Architrave", "Leads to", "Photo"),
            rows=_filled([_opening(wall, opening, words) for wall, opening in openings], 9, OPENINGS),
        ),
        Table(
            caption="What is round each opening, and its sides where they are lined",
            heads=(
                "Wall",
                "Opening",
                "Reveal, deep: frame to plaster",
                "Splay of its sides",
                "Apron, under the sill",
                "Lock rail, over the floor",
                "Plinth block, wide",
                "Plinth block, high",
            ),
            rows=_filled([_round(wall, opening, words) for wall, opening in openings], 8, OPENINGS),
        ),
        Table(
            caption="Sockets, switches, radiators, pipes",
            heads=("Wall", "Kind", "Left edge at", "Underside", "Width", "Up the wall", "Stands out", "Taken off?"),
            rows=_filled([_fitting(wall, fitting, words) for wall, fitting in fittings], 8, FITTINGS),
        ),
    )


def _free_ends(room: Room) -> Iterator[tuple[str, str]]:
    """Each end of a wall that no other wall surveyed meets, with what it comes to."""
    pairs = corner_pairs(room)
    for wall in room.walls:
        for left, met in ((True, [second for _, second in pairs]), (False, [first for first, _ in pairs])):
            if not any(each is wall for each in met):
                what = f"{'Left' if left else 'Right'} end of wall {wall.name}: return, butt, newel or run on"
                yield what, _plain(wall.ends.at(left) if wall.ends else None)


def _architraves(job: Job, words: _Words) -> Iterator[Table]:
    """What is asked of the architraves that are put up; none where none is."""
    rows = tuple((each.name, words.length(each.margin)) for each in job.trim if each.member == "architrave")
    if rows:
        heads = ("Architrave", "Margin of the lining that it leaves showing inside it")
        yield Table(caption="Of each architrave", heads=heads, rows=rows)


def _trace(room: Room, number: int, words: _Words) -> str:
    if number >= len(room.evidence):
        return ""
    mark = room.evidence[number]
    edge = f" ({mark.edge})" if mark.edge else ""
    return f"{_plain(mark.member)} {words.length(mark.height)}{edge}{f' on {mark.wall}' if mark.wall else ''}"


def _wall(wall: Wall, words: _Words) -> tuple[str, ...]:
    length, corner, made = wall.length, wall.corner, wall.substrate
    return (
        wall.name,
        words.length(length.first if length else None),
        words.length(length.second if length else None),
        corner.kind[0] if corner else "",
        show_angle(corner.angle) if corner and corner.angle is not None else "",
        ", ".join(filter(None, (_plain(made.kind), _plain(made.condition)))) if made else "",
        f"{words.length(wall.bow.rise)} in {words.length(wall.bow.chord)}" if wall.bow else "",
        _number(wall.moisture),
        ", ".join(f"{words.length(one.to_datum)} at {words.length(one.at)}" for one in wall.floor),
    )


def _opening(wall: Wall, opening: Opening, words: _Words) -> tuple[str, ...]:
    sizes = (opening.at, opening.width, opening.height, opening.sill, opening.architrave)
    return wall.name, _plain(opening.kind), *(words.length(size) for size in sizes), opening.leads_to, ""


def _round(wall: Wall, opening: Opening, words: _Words) -> tuple[str, ...]:
    """What linings, shutters and the ends of skirting are set out by."""
    splay = "" if opening.splay is None else show_angle(opening.splay)
    sizes = (opening.apron, opening.lock_rail, opening.plinth_block, opening.plinth_block_height)
    named = opening.name or _plain(opening.kind)
    return wall.name, named, words.length(opening.reveal), splay, *(words.length(size) for size in sizes)


def _fitting(wall: Wall, fitting: Fitting, words: _Words) -> tuple[str, ...]:
    sizes = (fitting.at, fitting.height, fitting.width, fitting.depth, fitting.projection)
    return wall.name, _plain(fitting.kind), *(words.length(size) for size in sizes), _yes_no(fitting.taken_off)


def behind(room: Room, words: _Words) -> tuple[Table, ...]:
    """What lies behind each wall, the trim that is there, stairs."""
    rows = []
    for wall in room.walls:
        made = wall.substrate
        timbers = made.studs if made else None
        rows.append(
            (
                wall.name,
                words.length(made.plaster if made else None),
                "all of it" if made and made.condition == "hollow" else "",
                words.lengths(timbers.first, timbers.centres) if timbers else "",
                _other_side(wall),
                "; ".join(f"{_plain(each.kind)} at {words.length(each.at)}" for each in wall.behind),
                words.length(wall.thickness),
                wall.flue or "",
                "",
            )
        )
    flights = [
        (
            along.wall,
            words.length(along.foot),
            f"to the {along.up}",
            words.length(flight.rise),
            words.length(flight.going),
            _number(flight.steps),
            words.length(flight.handrail),
            _winders(along.winders, words),
        )
        for flight in room.stairs
        for along in flight.walls
    ]
    return (
        Table(
            caption="Behind the face of each wall",
            heads=(
                "Wall",
                "Plaster, deep",
                "Rings hollow at",
                "Studs: first, centres",
                "Other side: outdoors, neighbour, indoors",
                "Other face: sockets, pipes",
                "Wall, thick",
                "Flue in it?",
                "Photographs",
            ),
            rows=tuple(rows) if room.extent == "whole" and rows else _filled(rows, 9, WALLS),
        ),
        Table(
            caption="Trim that is there. Intent: keep, refix, repair, set aside, replace",
            heads=(
                "Where",
                "Member",
                "From, to",
                "Height, thick",
                "State",
                "Intent",
                "Original?",
                "Damage: from, to, kind; probed",
                "Top; fixed at, which loose",
                "Behind it",
                "Photo",
            ),
            rows=_filled(list(_old(room, words)), 11, OLD),
        ),
        Table(
            caption="Stairs along a wall",
            heads=(
                "Wall",
                "First riser at",
                "Up, to the left or right",
                "Rise",
                "Going",
                "Steps",
                "Handrail over nosing",
                "Winders: from, to; risers at",
            ),
            rows=_filled(flights, 8, FLIGHTS) if flights or room.use == "stair" else (("",) * 8,),
        ),
    )


def _other_side(wall: Wall) -> str:
    """What is on the other side of a wall, as far as it was said."""
    sides = [word for word, there in (("outdoors", wall.external), ("neighbour", wall.party)) if there]
    return ", ".join(sides) or ("indoors" if wall.external is False and wall.party is False else "")


def _winders(winders: Winders | None, words: _Words) -> str:
    """The stretch of the winders along a wall, and where their risers meet it."""
    if winders is None:
        return ""
    span = words.span(winders.start, winders.end)
    return span if winders.risers is None else f"{span}; {words.lengths(*winders.risers) or 'none'}"


def _old(room: Room, words: _Words) -> Iterator[tuple[str, ...]]:
    """The trim that is there: on walls, round openings, along stairs."""
    for place, old in (
        *((wall.name, old) for wall in room.walls for old in wall.existing),
        *(
            (f"{wall.name}, {opening.name or _plain(opening.kind)} {old.side or ''}".rstrip(), old)
            for wall in room.walls
            for opening in wall.openings
            for old in opening.existing
        ),
        *((f"{old.wall}, {flight.name}", old) for flight in room.stairs for old in flight.existing),
    ):
        damage = "; ".join(
            f"{words.length(bad.start)} to {words.length(bad.end)} {_plain(bad.kind)}"
            + (", probed" if bad.probed else "")
            for bad in old.damage
        )
        holes = ", ".join(f"{words.length(hole.at)}{' loose' if hole.bites is False else ''}" for hole in old.holes)
        yield (
            place,
            _plain(old.member),
            words.span(old.start, old.end),
            words.lengths(old.section.height, old.section.thick),
            _plain(old.state),
            _plain(old.intent),
            old.original or "",
            damage,
            "; ".join(part for part in (words.length(old.top), holes) if part),
            ", ".join(_plain(each) for each in old.hides),
            ", ".join(old.photos),
        )
