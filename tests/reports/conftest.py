"""A small invented job with results of every kind, so that what is shown does not hang on the plugins' rules."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Settled, Source, Where
from listel.core.contract.stage import Sheet
from listel.core.host.outcome import Outcome, Ran
from listel.core.survey.job import (
    Bow,
    Building,
    Choices,
    Corner,
    Departure,
    Evidence,
    Fitting,
    HeightReading,
    Job,
    LevelReading,
    Opening,
    Place,
    ProfileElement,
    Reading,
    Record,
    Room,
    Section,
    Studs,
    Substrate,
    Trim,
    Wall,
    Work,
)
from listel.plugins.bonding import Bond, Bonding
from listel.plugins.closure import Closure, Closures
from listel.plugins.conservation import OfficerTable
from listel.plugins.conservation.undoing import undoing
from listel.plugins.cutting import Cut, CutBoard, CuttingList, Purchase, TrimCutting
from listel.plugins.fixings import Fixing, FixingPoint, FixingSchedule
from listel.plugins.heights import RailHeight, RailHeights
from listel.plugins.proportions import MemberProportion, OrderShares, Proportions
from listel.plugins.safety import SafetyNotes, Zone
from listel.plugins.sequence import JobStep, Sequence
from listel.plugins.setting_out import (
    CornerCut,
    Mark,
    Piece,
    PieceEnd,
    RakedProfile,
    Run,
    SettingOut,
)

BOOK = Source("A Made-up Treatise of Joinery", "An Invented Author", "1831", "plate 4")
HALVED = Grounds(
    (Input("corner angle", 91.3, "deg", line=14), Input("tape", 2.0, "mm", assumed=True, note="our allowance")),
    "half of the corner angle",
    "91.3 / 2 = 45.65",
    "45.65 deg",
    (BOOK,),
    uncertainty="+/- 0.2 deg",
)


def parlour() -> Room:
    lath = Substrate("lime-on-lath", 18.0, condition="sound", studs=Studs(350.0, 120.0))
    rubble = Substrate("rubble", 25.0)
    return Room(
        "Parlour",
        period="regency",
        use="reception",
        extent="whole",
        height=(HeightReading(2951.0, "A", 0.0), HeightReading(2946.0)),
        datum=1000.0,
        evidence=(Evidence("ghost-line", "dado-rail", 868.0, "A", "top"),),
        walls=(
            Wall(
                "A",
                Reading(4862.0, 4861.0),
                Corner("internal", 91.3),
                lath,
                Bow(2000.0, 9.0),
                floor=(LevelReading(0.0, 1004.0), LevelReading(2400.0, 995.0), LevelReading(4862.0, 991.0)),
                openings=(Opening("door", 620.0, 838.0, 2032.0, architrave=110.0, lock_rail=890.0),),
                fittings=(
                    Fitting("socket", 2400.0, 300.0, 146.0, 86.0),
                    Fitting("switch", 1640.0, 1050.0, 86.0, 86.0),
                    Fitting("radiator", 3200.0, 150.0, 1000.0, 600.0),
                ),
            ),
            Wall(
                "B",
                Reading(3640.0),
                Corner("internal", 89.4),
                rubble,
                openings=(
                    Opening("window", 700.0, 1060.0, 1720.0, sill=640.0, architrave=90.0),
                    Opening("window", 2200.0, 1060.0, 1720.0, sill=640.0, architrave=90.0),
                ),
            ),
            Wall("C", Reading(1700.0), Corner("internal", 90.2), lath),
            Wall("D", Reading(400.0), Corner("external", 90.0), rubble),
            Wall(
                "E",
                Reading(1500.0),
                Corner("external", 90.0),
                rubble,
                openings=(Opening("fireplace", 300.0, 900.0, 960.0),),
                fittings=(Fitting("mantel", 150.0, 1120.0, 1200.0, 60.0),),
            ),
            Wall("F", Reading(400.0), Corner("internal", 89.8), rubble),
            Wall("G", Reading(1700.0), Corner("internal", 90.5), Substrate()),
            Wall("H", Reading(3620.0), Corner("internal", 89.0), lath),
        ),
    )


TRIMS = (
    ("parlour dado", "dado-rail", 805.0, 868.0),
    ("parlour skirting", "skirting", 0.0, 220.0),
    ("picture rail", "picture-rail", 2180.0, 2230.0),
)


def gaps(wall: Wall, low: float, high: float) -> list[tuple[float, float, str, str]]:
    """The clear stretches of a wall between two heights."""
    at, found, before = 0.0, [], "corner"
    for opening in wall.openings:
        bottom = opening.sill or 0.0
        if bottom < high and low < bottom + (opening.height or 9999.0) + (opening.architrave or 0.0):
            edge = opening.architrave or 0.0
            found.append((at, opening.at - edge, before, "architrave"))
            at, before = opening.end + edge, "architrave"
    assert wall.length
    found.append((at, wall.length.value, before, "corner"))
    return [gap for gap in found if gap[1] > gap[0]]


def setting_out(room: Room) -> SettingOut:
    runs, pieces, marks, corners = [], [], [], []
    for trim, member, low, high in TRIMS:
        for wall in room.walls:
            for start, end, a, b in gaps(wall, low, high):
                runs.append(
                    Run(
                        room=room.name,
                        wall=wall.name,
                        trim=trim,
                        member=member,
                        start=start,
                        end=end,
                        underside=low,
                        top=high,
                        start_at=a,
                        end_at=b,
                    )
                )
                number = len(pieces) + 1
                cope = PieceEnd(kind="cope", cut_angle=90.0, saw_reading=0.0) if number % 2 else PieceEnd(kind="square")
                mitre = (
                    PieceEnd(kind="external-mitre", cut_angle=45.0, saw_reading=45.0, gives=28.0)
                    if wall.name in "DE"
                    else PieceEnd(kind="square")
                )
                pieces.append(
                    Piece(
                        label=f"P{number}",
                        room=room.name,
                        wall=wall.name,
                        trim=trim,
                        start=start,
                        end=end,
                        back=end - start,
                        face=end - start - 27.4,
                        overall=end - start + 3.0,
                        left=cope,
                        right=mitre,
                        order=number,
                        grounds=HALVED,
                    )
                )
            for station in (0.0, wall.length.value if wall.length else 0.0):
                marks.append(
                    Mark(
                        room=room.name,
                        wall=wall.name,
                        station=station,
                        trim=trim,
                        edge="top",
                        above_floor=high,
                        from_datum=high - 1000.0,
                    )
                )
    for first, second in zip(room.walls, (*room.walls[1:], room.walls[0]), strict=True):
        angle = first.corner.angle if first.corner else None
        assert first.corner
        kind = first.corner.kind
        corners.append(
            CornerCut(
                room=room.name,
                trim="parlour dado",
                first=first.name,
                second=second.name,
                kind=kind,
                angle=angle,
                joint="cope" if kind == "internal" else "mitre",
                coped=second.name if kind == "internal" else "",
                cut_angle=angle / 2 if angle else None,
                saw_reading=90 - angle / 2 if angle else None,
                gap=0.4,
                grounds=HALVED,
            )
        )
    raked = RakedProfile(
        room=room.name,
        trim="parlour dado",
        at="wall A to B",
        pitch=38.0,
        angle=90.0,
        ordinates=tuple(
            (x, y, y * 1.27)
            for x, y in ((0.0, 0.0), (20.0, 0.0), (22.0, 15.0), (28.0, 40.0), (12.0, 55.0), (10.0, 63.0), (0.0, 63.0))
        ),
    )
    return SettingOut(
        corners=tuple(corners), runs=tuple(runs), pieces=tuple(pieces), marks=tuple(marks), raked=(raked,)
    )


def closures(room: Room) -> Closures:
    points = (
        (0.0, 0.0),
        (4861.5, 0.0),
        (4779.0, 3639.0),
        (3080.0, 3610.0),
        (3085.0, 3210.0),
        (1585.0, 3190.0),
        (1580.0, 3590.0),
        (-120.0, 3570.0),
    )
    says = "The survey closes to 9 mm, within what tape and bevel explain."
    line = Closure(
        room=room.name,
        closed=True,
        says=says,
        misclosure=9.0,
        allowed=24.0,
        angle_error=0.2,
        precision=1800.0,
        points=points,
        grounds=HALVED,
    )
    return Closures((line,))


def fixing_schedule(room: Room) -> FixingSchedule:
    lines = []
    for trim, member, low, high in TRIMS:
        for wall in room.walls:
            for start, end, _, _ in gaps(wall, low, high):
                count = max(int((end - start) // 330), 2)
                step = (end - start - 160) / (count - 1)
                points = tuple(
                    FixingPoint(
                        start + 80 + step * n, (low + high) / 2, "stud", "clear of the switch's cable" if n == 2 else ""
                    )
                    for n in range(count)
                )
                lines.append(
                    Fixing(
                        room=room.name,
                        wall=wall.name,
                        trim=trim,
                        member=member,
                        start=start,
                        end=end,
                        substrate="lime-on-lath",
                        into="stud",
                        kind="screw",
                        diameter=4.5,
                        length=70.0,
                        spacing=step,
                        count=count,
                        points=points,
                        grounds=HALVED,
                    )
                )
    return FixingSchedule(tuple(lines))


def steps() -> Sequence:
    rows = (
        ("survey", 4, 0),
        ("detect-services", 2, 0),
        ("acclimatise", 1, 168),
        ("cut", 9, 0),
        ("dry-fit", 4, 0),
        ("fix", 10, 0),
        ("fill", 3, 16),
        ("prime", 3, 16),
        ("top-coat", 4, 24),
        ("snag", 1, 0),
    )
    at, found, before = 0.0, [], ()
    for name, hours, wait in rows:
        ends = at + hours
        found.append(
            JobStep(
                name,
                name.replace("-", " ").capitalize(),
                "the job needs it",
                before,
                hours=hours,
                wait=wait,
                wait_why="drying" if wait else "",
                starts=at,
                ends=ends,
                free=ends + wait,
                critical=name != "detect-services",
                hold="rails not proved clear of cables" if name == "fix" else "",
            )
        )
        before, at = (name,), ends + wait
    return Sequence(tuple(found), 14, ("survey", "fix"), on_site=14, first="2026-05-11")


def results(room: Room) -> dict[type, object]:
    boards = (
        CutBoard(
            board="R3",
            length=1740.0,
            bought=False,
            price=None,
            cuts=(Cut(piece="P2", start=10.0, end=580.0, left="square", right="cope", kerf=3.0),),
            defects=((610.0, 655.0, "knot"),),
            remnants=((660.0, 1740.0),),
            waste=40.0,
        ),
        CutBoard(
            board="new 4200 mm no. 1",
            length=4200.0,
            bought=True,
            price=23.4,
            cuts=(
                Cut(piece="P1", start=10.0, end=1510.0, left="cope", right="square", kerf=3.0),
                Cut(piece="P4", start=1513.0, end=4100.0, left="square", right="mitre 45", kerf=3.0),
            ),
            defects=(),
            remnants=(),
            waste=100.0,
        ),
        CutBoard(
            board="new 4200 mm no. 2",
            length=4200.0,
            bought=True,
            price=23.4,
            cuts=(Cut(piece="P8", start=10.0, end=3630.0, left="cope", right="square", kerf=3.0),),
            defects=(),
            remnants=((3640.0, 4190.0),),
            waste=20.0,
        ),
    )
    cutting = CuttingList(
        (
            TrimCutting(
                trim="parlour dado",
                boards=boards,
                bought=(Purchase(4200.0, 2, 23.4),),
                cost=46.8,
                priced=True,
                bound=46.8,
                proven=True,
                metres=9.27,
                grounds=HALVED,
            ),
        )
    )
    orders = OrderShares(
        room=room.name,
        author="gibbs",
        order="ionic",
        height=2950.0,
        parts=(("pedestal", 590.0), ("column", 1888.0), ("entablature", 472.0)),
        grounds=HALVED,
    )
    members = (
        MemberProportion(
            room=room.name,
            member="picture-rail",
            trim="picture rail",
            size=50.0,
            top=2230.0,
            underside=2180.0,
            below_ceiling=720.0,
        ),
        MemberProportion(
            room=room.name, member="skirting", trim="parlour skirting", size=220.0, top=220.0, underside=0.0
        ),
    )
    heights = RailHeights(
        (RailHeight(room=room.name, trim="parlour dado", top=868.0, underside=805.0, grounds=HALVED),)
    )
    bonds = Bonding(
        (
            Bond(
                room=room.name,
                wall="A",
                trim="parlour dado",
                adhesive="none",
                why="listed",
                grounds=HALVED,
            ),
        )
    )
    zones = SafetyNotes(
        zones=(
            Zone(room=room.name, wall="A", kind="vertical", x0=1640.0, x1=1726.0, y0=0.0, y1=2950.0, by="the switch"),
            Zone(room=room.name, wall="A", kind="top", x0=0.0, x1=4862.0, y0=2800.0, y1=2950.0, by="the ceiling"),
        )
    )
    schedule = fixing_schedule(room)
    given = (
        closures(room),
        setting_out(room),
        schedule,
        OfficerTable(undoing=tuple(undoing(line, bonds, ()) for line in schedule.lines)),
        steps(),
        cutting,
        Proportions(members, (orders,)),
        heights,
        bonds,
        zones,
    )
    return {type(result): result for result in given}


def small_job() -> Job:
    room = parlour()
    profile = (
        ProfileElement("fillet", 6.0, 0.0),
        ProfileElement("ovolo", 14.0, 12.0),
        ProfileElement("fillet", 3.0, 0.0),
        ProfileElement("cyma-recta", 18.0, 6.0),
        ProfileElement("torus", 14.0, 0.0),
        ProfileElement("fillet", 8.0, -18.0),
    )
    trims = tuple(
        Trim(
            name,
            member,
            (Place(room.name),),
            Section(high - low, 28.0),
            profile if member == "dado-rail" else (),
            foot=10.0,
            timber="european-redwood",
            finish="paint",
        )
        for name, member, low, high in TRIMS
    )
    return Job(
        "Parlour trim, an invented house",
        "INV-7",
        "A",
        "An invented client",
        "An invented terrace",
        surveyor="An invented surveyor",
        surveyed="2026-03-14",
        invented=True,
        building=Building(
            1838,
            True,
            "england",
            "listed-grade-2",
            "occupied",
            children=True,
            significance="A little-altered front room.",
        ),
        rooms=(room,),
        trim=trims,
        choices=Choices(author="gibbs", order="ionic"),
        work=Work("2026-05-11", 2, 7.5),
        records=(
            Record(
                step="lead-check",
                outcome="found",
                by="An invented tester",
                competence="lead-tester",
                on="2026-03-20",
                reference="report 12 (invented)",
                says="lead in the old paint of the skirting",
                room="Parlour",
            ),
        ),
        departures=(
            Departure("bonding/rigid-filler-moves", "a sample panel is to be kept", "An invented officer", "Parlour"),
        ),
        source="parlour.yaml",
        digest="1d" * 32,
        lines=MappingProxyType({"rooms/0/walls/0": 14}),
    )


def findings() -> tuple[Finding, ...]:
    at = Where("Parlour", "A", "parlour dado", station=1640.0, line=31)
    return (
        Finding(
            "safety/services-not-proved",
            "hold",
            "The dado rail passes over a zone where a cable may run to the switch.",
            at,
            HALVED,
            mend="Prove the wall dead with a detector and record it.",
            protects=True,
        ),
        Finding(
            "heights/rail-meets-switch",
            "caution",
            "The dado rail stands 12 mm below the switch plate.",
            at,
            HALVED,
            mend="Move the plate up.",
        ),
        Finding(
            "bonding/rigid-filler-moves",
            "hold",
            "A rigid filler is chosen for a joint that moves.",
            Where("Parlour"),
            HALVED,
            settled=Settled("a sample panel is to be kept", "An invented officer", 60),
        ),
        Finding(
            "proportions/later-pattern",
            "advice",
            "The picture rail's pattern is later than the room.",
            Where("Parlour"),
            Grounds(formula="period of the pattern", result="later", sources=(PRACTICE,)),
        ),
        Finding(
            "heights/line-chosen", "record", "The rail follows the ghost line at 868 mm.", Where("Parlour"), HALVED
        ),
    )


@pytest.fixture
def make_outcome() -> Callable[..., Outcome]:
    """An outcome of the small job, or of one given, with results of every kind or those given."""

    def made(
        job: Job | None = None,
        given: dict[type, object] | None = None,
        found: tuple[Finding, ...] | None = None,
        **changes: object,
    ) -> Outcome:
        job = job or small_job()
        ran = (Ran(stage="heights", plugin="heights", version="1.0", origin="built in", gives=("RailHeights",)),)
        sheet = Sheet(results(job.rooms[0]) if given is None else given)
        outcome = Outcome(job, sheet, findings() if found is None else found, ran, (), digest="ab" * 32)
        return replace(outcome, **changes)  # type: ignore[arg-type]

    return made


@pytest.fixture
def outcome(make_outcome: Callable[..., Outcome]) -> Outcome:
    """The small job's outcome."""
    return make_outcome()


@pytest.fixture(scope="session")
def pages(examples: Path) -> dict[str, str]:
    """Every page made of the demo surveys: the paper for each reader."""
    from listel.core.contract.stage import READERS
    from listel.core.host.engine import examine
    from listel.core.host.registry import load
    from listel.core.survey.reading import read_survey
    from listel.reports.statement import render

    registry, made = load([]), {}
    for name in ("plain-room", "us-house", "stair-hall"):
        job = read_survey(examples / f"{name}.yaml")
        outcome = examine(job, registry)
        for readers in READERS:
            part = "statement" if readers == "all" else readers
            made[f"{name} {part}"] = render(outcome, readers=readers)
    return made
