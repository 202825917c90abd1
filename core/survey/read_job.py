"""From a survey's checked data to the frozen job: one small reading function for each class.

It runs only on data in which the schema and the references found no fault.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from listel.core.survey.checked import Checked
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
    Ground,
    HeightReading,
    Job,
    LevelReading,
    Opening,
    Place,
    PlanStep,
    ProfileElement,
    Reading,
    Record,
    Room,
    Section,
    Studs,
    Substrate,
    Tolerances,
    ToolUse,
    Trim,
    Wall,
    Work,
)
from listel.core.survey.references import split_station
from listel.core.survey.units import Units, parse_length


def read_job(data: Mapping[str, Any], units: Units, *, source: str, digest: str, lines: Mapping[str, int]) -> Job:
    """The job in a survey's checked data. ``lines``: path to survey line."""
    top = Checked(data, "", units, lines)
    job = top.inside("job")
    return Job(
        title=job.get("title"),
        reference=job.get("reference", ""),
        revision=job.get("revision", ""),
        client=job.get("client", ""),
        site=job.get("site", ""),
        surveyor=job.get("surveyor", ""),
        surveyed=job.get("surveyed", ""),
        invented=top.get("invented", False),
        note=top.get("note", ""),
        units=units,
        building=_building(top.inside("building")),
        climate=_climate(top.inside("climate")),
        rooms=top.many("rooms", _room),
        trim=top.many("trim", _trim),
        stock=top.many("stock", _board),
        rack=top.many("rack", _board),
        choices=_choices(top.inside("choices")),
        cutting=_cutting(top.inside("cutting")),
        tolerances=_tolerances(top.inside("tolerances")),
        work=_work(top.inside("work")),
        records=top.many("records", _record),
        plan=_plan(top),
        departures=top.many("departures", _departure),
        source=source,
        digest=digest,
        lines=lines,
    )


# ---------------------------------------------------------------- building and climate


def _building(at: Checked) -> Building:
    built = at.get("built")
    return Building(
        built=None if built is None else int(str(built).removeprefix("about ").removesuffix(".0")),
        built_about=isinstance(built, str),
        region=at.get("region"),
        protection=at.get("protection"),
        consent=at.get("consent"),
        occupied=at.get("occupied"),
        children=at.get("children"),
        significance=at.get("significance"),
        refurbished=tuple(int(year) for year in at.get("refurbished", ())),
        use=at.get("use"),
        path=at.path,
    )


def _air(at: Checked) -> Air:
    return Air(at.temperature("temperature"), at.percent("humidity"), at.path)


def _climate(at: Checked) -> Climate:
    return Climate(at.get("heating"), at.one("winter", _air), at.one("summer", _air), at.one("day", _air), at.path)


# ---------------------------------------------------------------- rooms and walls


def _room(at: Checked) -> Room:
    period = at.get("period")
    return Room(
        name=at.get("name"),
        period=None if period is None else str(period).removesuffix(".0"),
        use=at.get("use"),
        rank=at.get("rank"),
        storey=at.get("storey"),
        extent=at.get("extent"),
        height=_heights(at),
        datum=at.length("datum"),
        cornice=at.length("cornice"),
        evidence=at.many("evidence", _evidence),
        walls=at.many("walls", _wall),
        stairs=at.many("stairs", _flight),
        path=at.path,
    )


def _heights(at: Checked) -> tuple[HeightReading, ...]:
    if "height" not in at.data:
        return ()
    if not isinstance(at.data["height"], list):
        return (HeightReading(at.mm("height"), path=f"{at.path}/height"),)
    walls = [wall["name"] for wall in at.get("walls", ())]

    def reading(one: Checked) -> HeightReading:
        wall, station = split_station(one.get("at", ""), walls)
        return HeightReading(one.mm("height"), wall, parse_length(station, one.units) if station else None, one.path)

    return at.many("height", reading)


def _evidence(at: Checked) -> Evidence:
    return Evidence(
        kind=at.get("kind"),
        member=at.get("member"),
        height=at.mm("height"),
        wall=at.get("wall", ""),
        edge=at.get("edge"),
        note=at.get("note", ""),
        at=at.length("at"),
        path=at.path,
    )


def _flight(at: Checked) -> Flight:
    return Flight(
        name=at.get("name"),
        rise=at.length("rise"),
        going=at.length("going"),
        steps=at.count("steps"),
        pitch=at.angle("pitch"),
        handrail=at.length("handrail"),
        walls=at.many("walls", _flight_wall),
        path=at.path,
    )


def _flight_wall(at: Checked) -> FlightWall:
    return FlightWall(at.get("wall"), at.length("foot"), at.get("up", "towards-end"), at.path)


def _wall(at: Checked) -> Wall:
    return Wall(
        name=at.get("name"),
        length=_taped(at),
        corner=at.one("corner", lambda one: Corner(one.get("kind"), one.angle("angle"), one.path)),
        substrate=at.one("substrate", _substrate),
        bow=at.one("bow", lambda one: Bow(one.mm("chord"), one.mm("rise"), one.get("hollow"), one.path)),
        lean=at.angle("lean"),
        external=at.get("external"),
        thickness=at.length("thickness"),
        moisture=at.percent("moisture"),
        floor=at.many("floor", _level),
        ceiling=at.many("ceiling", _level),
        openings=at.many("openings", _opening),
        fittings=at.many("fittings", _fitting),
        behind=at.many("behind", _fitting),
        path=at.path,
    )


def _taped(at: Checked) -> Reading | None:
    held = at.get("length")
    if held is None:
        return None
    if isinstance(held, Mapping):
        readings = at.inside("length")
        return Reading(readings.mm("first"), readings.mm("second"))
    return Reading(at.mm("length"))


def _level(at: Checked) -> LevelReading:
    return LevelReading(at.mm("at"), at.mm("to-datum"), at.path)


def _substrate(at: Checked) -> Substrate:
    return Substrate(
        kind=at.get("kind"),
        plaster=at.length("plaster"),
        void=at.length("void"),
        condition=at.get("condition"),
        finish=at.get("finish"),
        studs=at.one("studs", _studs),
        grounds=at.many("grounds", _ground),
        plugs=at.lengths("plugs"),
        path=at.path,
    )


def _studs(at: Checked) -> Studs:
    return Studs(at.length("centres"), at.length("first"), at.length("width"), at.lengths("positions"), at.path)


def _ground(at: Checked) -> Ground:
    return Ground(
        at.mm("height"), at.length("width"), at.length("thickness"), at.length("from"), at.length("to"), at.path
    )


def _opening(at: Checked) -> Opening:
    return Opening(
        kind=at.get("kind"),
        at=at.mm("at"),
        width=at.mm("width"),
        height=at.length("height"),
        sill=at.length("sill"),
        architrave=at.length("architrave"),
        plinth_block=at.length("plinth-block"),
        plinth_block_height=at.length("plinth-block-height"),
        lock_rail=at.length("lock-rail"),
        name=at.get("name", ""),
        path=at.path,
    )


def _fitting(at: Checked) -> Fitting:
    return Fitting(
        kind=at.get("kind"),
        at=at.mm("at"),
        height=at.length("height"),
        width=at.length("width"),
        depth=at.length("depth"),
        projection=at.length("projection"),
        name=at.get("name", ""),
        path=at.path,
    )


# ---------------------------------------------------------------- trim and timber


def _trim(at: Checked) -> Trim:
    return Trim(
        name=at.get("name"),
        member=at.get("member"),
        where=at.many("where", _place),
        section=_section(at.inside("section")),
        profile=at.many("profile", _element),
        foot=at.length("foot"),
        timber=at.get("timber"),
        density=at.number("density"),
        rings=at.get("rings"),
        finish=at.get("finish"),
        grade=at.get("grade"),
        moisture=at.percent("moisture"),
        state=at.get("state"),
        top=at.length("top"),
        load=at.number("load"),
        longest=at.length("longest"),
        internal=at.get("internal"),
        match=tuple(tuple(group) for group in at.get("match", ())),
        path=at.path,
    )


def _place(at: Checked) -> Place:
    walls = at.get("walls", "all")
    return Place(at.get("room"), () if walls == "all" else tuple(walls), at.length("from"), at.length("to"), at.path)


def _section(at: Checked) -> Section:
    return Section(at.length("height"), at.length("projection"), at.length("thickness"), at.angle("spring"), at.path)


def _element(at: Checked) -> ProfileElement:
    return ProfileElement(at.get("kind"), at.mm("height"), at.length("projection") or 0.0, at.path)


def _board(at: Checked) -> Board:
    return Board(
        trim=at.get("for"),
        length=at.mm("length"),
        name=at.get("name", ""),
        price=at.number("price"),
        quantity=at.count("quantity"),
        defects=at.many("defects", _defect),
        moisture=at.percent("moisture"),
        bow=at.length("bow"),
        spring=at.length("spring"),
        twist=at.length("twist"),
        cup=at.length("cup"),
        wane=at.length("wane"),
        path=at.path,
    )


def _defect(at: Checked) -> Defect:
    return Defect(
        start=at.mm("from"),
        end=at.mm("to"),
        kind=at.get("kind"),
        size=at.length("size"),
        face=at.percent("face"),
        sound=at.get("sound"),
        path=at.path,
    )


# ---------------------------------------------------------------- choices, work, notes


def _choices(at: Checked) -> Choices:
    return Choices(
        fixing=at.get("fixing"),
        fixing_diameter=at.length("fixing-diameter"),
        fixing_length=at.length("fixing-length"),
        spacing=at.length("spacing"),
        adhesive=at.get("adhesive"),
        filler=at.get("filler"),
        sealant=at.get("sealant"),
        paint=at.get("paint"),
        author=at.get("author"),
        order=at.get("order"),
        line=at.get("line"),
        code=at.get("code"),
        path=at.path,
    )


def _cutting(at: Checked) -> Cutting:
    return Cutting(
        kerf=at.length("kerf"),
        end_trim=at.length("end-trim"),
        keep=at.length("keep"),
        defect_margin=at.length("defect-margin"),
        spare=at.percent("spare"),
        share_cuts=at.get("share-cuts"),
        rack_price=at.percent("rack-price"),
        currency=at.get("currency"),
        path=at.path,
    )


def _tolerances(at: Checked) -> Tolerances:
    return Tolerances(at.length("tape"), at.angle("bevel"), at.length("level"), at.path)


def _work(at: Checked) -> Work:
    return Work(
        start=at.get("start"),
        crew=at.count("crew"),
        hours_per_day=at.number("hours-per-day"),
        tools=at.many("tools", _tool),
        laser_class=at.get("laser-class"),
        hot_work=at.get("hot-work"),
        access=at.get("access"),
        strip_paint=at.get("strip-paint"),
        durations=tuple((step, float(hours)) for step, hours in at.get("durations", {}).items()),
        path=at.path,
    )


def _tool(at: Checked) -> ToolUse:
    return ToolUse(at.get("tool"), at.number("hours"), at.number("noise"), at.number("vibration"), at.path)


def _record(at: Checked) -> Record:
    return Record(
        step=at.get("step"),
        found=at.get("found"),
        by=at.get("by"),
        date=at.get("date", ""),
        room=at.get("room", ""),
        wall=at.get("wall", ""),
        path=at.path,
    )


def _plan(top: Checked) -> tuple[PlanStep, ...]:
    return tuple(_plan_step(item, f"plan/{at}", top) for at, item in enumerate(top.get("plan", ())))


def _plan_step(item: str | Mapping[str, Any], path: str, top: Checked) -> PlanStep:
    line = top.lines.get(path, 0)
    if isinstance(item, str):
        return PlanStep(item, line=line, path=path)
    at = Checked(item, path, top.units, top.lines)
    steps = at.get("step", ())
    named = (steps,) if isinstance(steps, str) else tuple(steps)
    return PlanStep(at.get("text"), named, at.number("day"), at.number("wait"), line, path)


def _departure(at: Checked) -> Departure:
    return Departure(
        rule=at.get("rule"),
        reason=at.get("reason"),
        agreed=at.get("agreed"),
        room=at.get("room", ""),
        wall=at.get("wall", ""),
        trim=at.get("trim", ""),
        path=at.path,
    )
