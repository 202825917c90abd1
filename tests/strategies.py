"""Hypothesis strategies: whole jobs, as the survey could tell of them."""

from __future__ import annotations

import string
from dataclasses import replace
from itertools import accumulate
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st

from listel.core.survey.job import (
    Air,
    Board,
    Bow,
    Building,
    Choices,
    Climate,
    Corner,
    Cutting,
    Defect,
    Departure,
    Evidence,
    Fitting,
    Flight,
    FlightWall,
    Framing,
    Ground,
    HeightReading,
    Job,
    LevelReading,
    Newel,
    Opening,
    Place,
    PlanStep,
    ProfileElement,
    Reading,
    Record,
    Room,
    Seasons,
    Section,
    Studs,
    Substrate,
    Tolerances,
    ToolUse,
    Trim,
    Wall,
    Winders,
    Work,
)
from listel.core.survey.references import NOTHING
from listel.core.survey.words import built_in_schema

FEW = settings(max_examples=settings.default.max_examples // 3)
"""For laws of whole jobs: a third of the examples of the profile at work."""

SCHEMA = built_in_schema()
DEFS = SCHEMA["$defs"]

_LETTERS = string.ascii_letters + string.digits + " -'&é½:#"
words = st.text(_LETTERS, min_size=1, max_size=12).map(str.strip).filter(bool)
somebody = words.filter(lambda name: name.strip(" .-?").lower() not in NOTHING)
reasons = words.filter(lambda text: len(text) >= 3)


def one_of(where: str, key: str) -> st.SearchStrategy[Any]:
    """One of the words the survey's form lists for a key ("wall substrate", "kind")."""
    node = DEFS[where] if where in DEFS else SCHEMA["properties"][where]
    listed = node["properties"][key]
    return st.sampled_from(DEFS[listed["$ref"].rpartition("/")[2]]["enum"] if "$ref" in listed else listed["enum"])


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """That, or None: the survey need not say it."""
    return st.none() | strategy


def lengths(least: float, most: float) -> st.SearchStrategy[float]:
    """Lengths in mm to a tenth, between two bounds."""
    return st.integers(round(least * 10), round(most * 10)).map(lambda tenths: tenths / 10)


def few(strategy: st.SearchStrategy[Any], most: int = 2) -> st.SearchStrategy[tuple[Any, ...]]:
    """A tuple of none to a few."""
    return st.lists(strategy, max_size=most).map(tuple)


percents = st.integers(0, 1000).map(lambda tenths: tenths / 10)
airs = st.builds(Air, st.integers(-20, 40).map(float), percents.filter(lambda humidity: humidity >= 5))

buildings = st.builds(
    Building,
    built=st.integers(1000, 2100),
    built_about=st.booleans(),
    region=maybe(one_of("building", "region")),
    protection=maybe(st.sampled_from(["none", "conservation-area", "unknown"])),
    occupied=maybe(one_of("building", "occupied")),
    children=maybe(st.booleans()),
    curtilage=maybe(st.booleans()),
    list_entry=maybe(words),
    significance=maybe(words),
    consulted=maybe(words),
    harm=maybe(one_of("building", "harm")),
    benefit=maybe(words),
    refurbished=few(st.integers(1000, 2100)),
    use=maybe(one_of("building", "use")),
    exempt=maybe(st.booleans()),
).map(lambda made: replace(made, refurbished=tuple(max(made.built, year) for year in made.refurbished)))
seasons = st.builds(Seasons, one_of("climate", "heating"), maybe(airs), maybe(airs))
climates = st.builds(Climate, maybe(one_of("climate", "heating")), maybe(airs), maybe(airs), maybe(airs))


def stations(end: float) -> st.SearchStrategy[float]:
    """Stations along a wall or board of that length."""
    return lengths(0, end)


@st.composite
def spans(draw: st.DrawFn, end: float) -> tuple[float, float]:
    """A from and a to along a wall or board of that length."""
    first, second = draw(stations(end)), draw(stations(end))
    return min(first, second), max(first, second)


@st.composite
def walls(draw: st.DrawFn, name: str) -> Wall:
    """One wall with anything a survey may say of it."""
    reading = draw(st.none() | st.builds(Reading, lengths(300, 9000), st.none() | lengths(300, 9000)))
    end = 3000.0 if reading is None else min(reading.first, reading.second or reading.first)
    corner = st.builds(
        Corner, st.sampled_from(["internal", "external"]), st.none() | st.integers(200, 1799).map(lambda t: t / 10)
    )
    levels = few(st.builds(LevelReading, stations(end), lengths(0, 2500)))
    cut = draw(openings(end))
    on_it = few(fittings(end).filter(lambda one: not any(in_the_clear(one, opening) for opening in cut)))
    return Wall(
        name=name,
        length=reading,
        corner=draw(maybe(corner)),
        substrate=draw(maybe(substrates(end))),
        bow=draw(maybe(st.builds(Bow, lengths(500, 3000), lengths(0, 100), maybe(st.booleans())))),
        lean=draw(maybe(st.integers(-100, 100).map(lambda t: t / 10))),
        external=draw(maybe(st.booleans())),
        flue=draw(maybe(one_of("wall", "flue"))),
        thickness=draw(maybe(lengths(50, 900))),
        moisture=draw(maybe(percents)),
        floor=draw(levels),
        ceiling=draw(levels),
        openings=cut,
        fittings=draw(on_it),
        behind=draw(on_it),
    )


def substrates(end: float) -> st.SearchStrategy[Substrate]:
    """What a wall of that length is made of."""
    studs = st.builds(
        Studs, maybe(lengths(100, 900)), maybe(stations(end)), maybe(lengths(30, 150)), few(stations(end))
    )
    grounds = spans(end).flatmap(
        lambda span: st.builds(
            Ground,
            lengths(0, 2500),
            maybe(lengths(10, 200)),
            maybe(lengths(5, 60)),
            st.just(span[0]),
            st.just(span[1]),
            behind=maybe(lengths(0, 60)),
        )
    )
    return st.builds(
        Substrate,
        kind=one_of("substrate", "kind"),
        plaster=maybe(lengths(0, 60)),
        void=maybe(lengths(0, 200)),
        condition=maybe(one_of("substrate", "condition")),
        finish=few(st.sampled_from(DEFS["old-finish"]["enum"])),
        studs=maybe(studs),
        grounds=few(grounds),
        plugs=few(stations(end)),
    )


@st.composite
def openings(draw: st.DrawFn, end: float) -> tuple[Opening, ...]:
    """None, one or two openings that do not overlap."""
    found = []
    for start, stop in ((0.0, end / 2 - 20), (end / 2 + 20, end)):
        if draw(st.booleans()) and stop - start > 40:
            at = draw(lengths(start, stop - 20.1))
            opening = st.builds(
                Opening,
                kind=one_of("opening", "kind"),
                at=st.just(at),
                width=lengths(20, stop - at),
                height=maybe(lengths(100, 2400)),
                sill=maybe(lengths(0, 1200)),
                architrave=maybe(lengths(0, 200)),
                plinth_block=maybe(lengths(0, 200)),
                plinth_block_height=maybe(lengths(0, 400)),
                lock_rail=maybe(lengths(0, 1200)),
                leads_to=st.sampled_from(["", "elsewhere"]),
                fire_door=maybe(st.booleans()),
                reveal=maybe(lengths(0, 300)),
                splay=maybe(st.just(0.0)),
                name=st.just("") | words,
            )
            found.append(draw(opening))
    return tuple(found)


def in_the_clear(one: Fitting, opening: Opening) -> bool:
    """Whether a fitting stands on no wall, as far as its left edge tells."""
    return opening.at <= one.at < opening.end


def fittings(end: float) -> st.SearchStrategy[Fitting]:
    """Fittings that stand on a wall of that length."""
    return spans(end).flatmap(
        lambda span: st.builds(
            Fitting,
            kind=one_of("fitting", "kind"),
            at=st.just(span[0]),
            height=maybe(lengths(0, 2500)),
            width=maybe(lengths(0, span[1] - span[0])),
            depth=maybe(lengths(0, 900)),
            projection=maybe(lengths(0, 300)),
            name=st.just("") | words,
        )
    )


@st.composite
def rooms(draw: st.DrawFn, name: str) -> Room:
    """One room with up to three walls."""
    names = draw(st.lists(st.sampled_from(["A", "B", "C", "bay 1", "D"]), max_size=3, unique=True))
    built = tuple(draw(walls(wall)) for wall in names)
    heads = [(each.sill or 0.0) + (each.height or 0.0) for wall in built for each in wall.openings]
    high = lengths(max((1800.0, *heads)), 4000)
    heights: tuple[HeightReading, ...] = draw(st.just(()) | st.builds(HeightReading, high).map(lambda one: (one,)))
    if built and draw(st.booleans()):
        heights = (HeightReading(draw(high), built[0].name, draw(lengths(0, 300))), *heights)
    wall_names = st.sampled_from(names) if names else st.just("")
    evidence = st.builds(
        Evidence,
        kind=one_of("evidence", "kind"),
        member=one_of("evidence", "member"),
        height=lengths(0, 3000),
        wall=st.just("") | wall_names,
        edge=maybe(one_of("evidence", "edge")),
        note=st.just("") | words,
    ).flatmap(lambda mark: maybe(lengths(0, 300)).map(lambda at: replace(mark, at=at)) if mark.wall else st.just(mark))
    ends = {wall.name: min(5000.0, wall.length.value) if wall.length else 5000.0 for wall in built}

    def winders(end: float) -> st.SearchStrategy[Winders]:
        return st.builds(
            Winders,
            lengths(0, end / 3),
            lengths(end / 2, end),
            risers=maybe(few(lengths(0, end))),
            number=maybe(st.integers(1, 6)),
            newel=maybe(st.builds(Newel, lengths(0, end), lengths(300, 1200))),
        )

    along = wall_names.flatmap(
        lambda wall: st.builds(
            FlightWall,
            st.just(wall),
            maybe(lengths(0, ends[wall])),
            st.sampled_from(["right", "left"]),
            maybe(winders(ends[wall])),
        )
    )
    flight = st.builds(
        Flight,
        name=st.just("flight"),
        rise=maybe(lengths(100, 220)),
        going=maybe(lengths(200, 300)),
        steps=maybe(st.integers(1, 20)),
        pitch=maybe(st.integers(10, 75).map(float)),
        handrail=maybe(lengths(700, 1100)),
        walls=few(along) if names else st.just(()),
    )
    return Room(
        name=name,
        period=draw(
            maybe(
                st.integers(1400, 2100).map(str)
                | st.sampled_from(DEFS["room"]["properties"]["period"]["anyOf"][1]["enum"])
            )
        ),
        use=draw(maybe(one_of("room", "use"))),
        rank=draw(maybe(one_of("room", "rank"))),
        storey=draw(maybe(words)),
        extent=draw(maybe(one_of("room", "extent"))),
        height=heights,
        datum=draw(maybe(lengths(500, 1500))),
        cornice=draw(maybe(lengths(0, 400))),
        climate=draw(maybe(seasons)),
        evidence=draw(few(evidence)),
        walls=built,
        stairs=draw(few(flight, 1)),
    )


@st.composite
def places(draw: st.DrawFn, room: Room, chosen: tuple[str, ...]) -> Place:
    """A place in a room: walls by name or all of them, or a stretch of one wall."""
    if len(chosen) == 1 and draw(st.booleans()):
        length = room.wall(chosen[0]).length
        start, end = draw(spans(min(length.first, length.second or length.first) if length else 3000.0))
        return Place(room.name, chosen, start, end)
    return Place(room.name, chosen)


@st.composite
def trims(draw: st.DrawFn, name: str, in_rooms: tuple[Room, ...]) -> Trim:
    """One trim that runs in rooms of the job."""
    room = draw(st.sampled_from(in_rooms))
    chosen = (
        draw(st.lists(st.sampled_from([wall.name for wall in room.walls]), unique=True).map(tuple))
        if room.walls
        else ()
    )
    element = st.builds(
        ProfileElement, st.sampled_from(["fillet", "ovolo", "cavetto"]), lengths(0, 100), lengths(-40, 40)
    )
    profile, foot = draw(few(element, 4)), draw(maybe(lengths(0, 50)))
    if foot is not None and min(accumulate((each.projection for each in profile), initial=foot)) < 0:
        foot = None  # a profile does not fall back behind its wall
    match = [(wall.name, wall.name) for wall in room.walls]
    return Trim(
        name=name,
        member=draw(one_of("trim", "member")),
        where=(draw(places(room, chosen)),),
        section=draw(
            st.builds(
                Section, maybe(lengths(10, 300)), maybe(lengths(5, 100)), maybe(lengths(5, 60)), maybe(st.just(38.0))
            )
        ),
        profile=profile,
        foot=foot,
        timber=draw(maybe(one_of("trim", "timber"))),
        density=draw(maybe(st.integers(200, 900).map(float))),
        rings=draw(maybe(one_of("trim", "rings"))),
        finish=draw(maybe(one_of("trim", "finish"))),
        grade=draw(maybe(one_of("trim", "grade"))),
        moisture=draw(maybe(percents)),
        top=draw(maybe(lengths(0, 3000))),
        load=draw(maybe(st.integers(0, 500).map(float))),
        margin=draw(maybe(lengths(0, 20))),
        longest=draw(maybe(lengths(300, 6000))),
        internal=draw(maybe(one_of("trim", "internal"))),
        match=draw(st.just(()) | st.just(tuple(match))),
        framing=draw(maybe(framings)),
        leaves=draw(few(lengths(15, 40))),
    )


framings = st.builds(
    Framing,
    top_rail=lengths(30, 200),
    bottom_rail=lengths(30, 200),
    muntin=lengths(30, 120),
    panels=lengths(80, 600),
    panel=maybe(lengths(5, 20)),
    groove=maybe(lengths(5, 20)),
    tenon=maybe(lengths(10, 150)),
)


@st.composite
def boards(draw: st.DrawFn, trim: str, name: str) -> Board:
    """One board of the stock or the rack, with its defects."""
    length = draw(lengths(300, 6000))
    defect = spans(length).flatmap(
        lambda span: st.builds(
            Defect,
            start=st.just(span[0]),
            end=st.just(span[1]),
            kind=one_of("defect", "kind"),
            size=maybe(lengths(0, 100)),
            face=maybe(percents),
            sound=maybe(st.booleans()),
        )
    )
    out = maybe(lengths(0, 50))
    return Board(
        trim=trim,
        length=length,
        name=name,
        price=draw(maybe(st.integers(0, 9999).map(lambda pence: pence / 100))),
        quantity=draw(maybe(st.integers(0, 50))),
        defects=draw(few(defect)),
        moisture=draw(maybe(percents)),
        bow=draw(out),
        spring=draw(out),
        twist=draw(out),
        cup=draw(out),
        wane=draw(out),
    )


choices = st.builds(
    Choices,
    fixing=few(st.sampled_from(DEFS["fixing-kind"]["enum"]), most=3),
    fixing_diameter=maybe(lengths(1, 12)),
    fixing_length=maybe(lengths(10, 150)),
    spacing=maybe(lengths(50, 900)),
    **{
        key: maybe(one_of("choices", key))
        for key in ("adhesive", "filler", "sealant", "paint", "author", "order", "line", "code")
    },
)
cuttings = st.builds(
    Cutting,
    kerf=maybe(lengths(0, 8)),
    end_trim=maybe(lengths(0, 50)),
    keep=maybe(lengths(0, 1000)),
    defect_margin=maybe(lengths(0, 50)),
    spare=maybe(percents),
    rack_price=maybe(percents),
    currency=maybe(st.sampled_from(["GBP", "USD"])),
)
tools = st.builds(
    ToolUse, words, maybe(st.integers(0, 24).map(float)), maybe(st.integers(60, 110).map(float)), maybe(st.just(2.5))
)
works = st.builds(
    Work,
    start=maybe(st.just("2026-04-20")),
    crew=maybe(st.integers(1, 6)),
    hours_per_day=maybe(st.integers(1, 12).map(float)),
    tools=few(tools),
    laser_class=maybe(one_of("work", "laser-class")),
    hot_work=maybe(st.booleans()),
    access=maybe(one_of("work", "access")),
    strip_paint=maybe(st.booleans()),
    durations=st.dictionaries(st.sampled_from(["cut", "fix", "dry-fit"]), st.integers(0, 40).map(float)).map(
        lambda held: tuple(held.items())
    ),
)
plan_steps = st.builds(
    PlanStep,
    words,
    few(st.sampled_from(["cut", "fix", "seal-knots"])),
    maybe(st.integers(0, 9).map(float)),
    maybe(st.just(4.0)),
)


SEARCHED = ("asbestos-check", "lead-check", "detect-services", "gas-check", "structure-check")
"""Steps of which a record says whether something was there."""


@st.composite
def records(draw: st.DrawFn, room: st.SearchStrategy[str]) -> Record:
    """A record that a survey may hold: of a step that protects, of a consent, or of one that nobody knows."""
    step = draw(st.sampled_from([*SEARCHED, "consent"]) | words)
    search, decided = ["clear", "found", "dealt-with"], ["applied-for", "granted", "refused"]
    outcomes = search if step in SEARCHED else decided if step == "consent" else ["done"]
    outcome = draw(st.sampled_from(outcomes))
    paper = outcome in ("dealt-with", "granted") or draw(st.booleans())
    return Record(
        step=step,
        outcome=outcome,
        by=draw(somebody),
        competence=draw(st.sampled_from(["", "joiner", "electrician", "asbestos-surveyor", "authority"])),
        on=draw(st.sampled_from(["2026-03-08", "2026-03-12", "2027-01-04"])) if paper else "",
        reference=draw(somebody) if paper else "",
        says=draw(st.just("") | words),
        room=draw(room),
    )


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Whole jobs: one or two rooms, trims that run in them, boards, choices, work, notes."""
    names = draw(st.lists(words, min_size=1, max_size=2, unique=True))
    built = tuple(draw(rooms(name)) for name in names)
    trim_names = draw(st.lists(words, max_size=2, unique=True))
    trim = tuple(draw(trims(name, built)) for name in trim_names)
    room = st.sampled_from(["", *names])
    return Job(
        title=draw(words),
        reference=draw(st.just("") | words),
        revision=draw(st.just("") | words),
        client=draw(st.just("") | words),
        site=draw(st.just("") | words),
        surveyor=draw(st.just("") | words),
        surveyed=draw(st.just("") | st.just("2026-03-09")),
        invented=draw(st.booleans()),
        note=draw(st.just("") | words),
        units=draw(st.sampled_from(["mm", "inches"])),
        building=draw(st.just(Building()) | buildings),
        climate=draw(st.just(Climate()) | climates),
        rooms=built,
        trim=trim,
        stock=tuple(draw(boards(name, "")) for name in trim_names if draw(st.booleans())),
        rack=tuple(draw(boards(name, f"R{at}")) for at, name in enumerate(trim_names) if draw(st.booleans())),
        choices=draw(st.just(Choices()) | choices),
        cutting=draw(st.just(Cutting()) | cuttings),
        tolerances=draw(st.builds(Tolerances, maybe(lengths(0, 10)), maybe(st.just(0.2)), maybe(lengths(0, 10)))),
        work=draw(st.just(Work()) | works),
        records=draw(few(records(room))),
        plan=draw(few(plan_steps, 3)),
        departures=draw(few(st.builds(Departure, words, reasons, somebody, room))),
    )
