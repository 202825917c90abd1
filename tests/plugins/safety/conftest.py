from __future__ import annotations

from collections.abc import Callable

import pytest

from listel.core.contract.findings import Finding
from listel.core.contract.records import Records
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.host.records import Judge
from listel.core.survey.job import Building, Fitting, HeightReading, Job, Place, Reading, Room, Section, Trim, Wall
from listel.plugins.existing import Existing
from listel.plugins.existing.stage import examine as what_stands
from listel.plugins.fixings import Fixing, FixingPoint, FixingSchedule
from listel.plugins.safety import SafetyNotes
from listel.plugins.safety.notes import examine
from listel.plugins.safety.rows import move
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import Site, site_of


@pytest.fixture
def wall() -> Wall:
    """Four metres of wall with a socket and a switch."""
    fittings = (Fitting("socket", 957, 407, 86, 86), Fitting("switch", 3557, 1157, 86, 86))
    return Wall("A", length=Reading(4000), thickness=100, fittings=fittings)


@pytest.fixture
def job_of() -> Callable[..., Job]:
    """A job of one room with the walls given, and one dado rail on all of them."""

    def make(*walls: Wall, trim: tuple[Trim, ...] | None = None, **more: object) -> Job:
        dado = Trim("dado", "dado-rail", (Place("Parlour"),), section=Section(63, 28), timber="european-redwood")
        building = more.pop("building", Building(built=1838, region="england"))
        room = Room("Parlour", height=(HeightReading(2700),), walls=walls)
        more = {"surveyed": "2026-03-09", **more}
        return Job("A job", building=building, rooms=(room,), trim=(dado,) if trim is None else trim, **more)  # type: ignore[arg-type]

    return make


@pytest.fixture
def schedule() -> Callable[..., FixingSchedule]:
    """A schedule of one line on wall A, fixings at the stations and height given."""

    def make(*stations: float, height: float | None = 950, on: str = "masonry", **more: object) -> FixingSchedule:
        points = tuple(FixingPoint(x, height, on) for x in stations)
        given = {
            "start": 0,
            "end": 4000,
            "most_spacing": 600,
            "from_ends": 60,
            "points": points,
            "count": len(points),
            **more,
        }
        return FixingSchedule((Fixing(room="Parlour", wall="A", trim="dado", member="dado-rail", **given),))  # type: ignore[arg-type]

    return make


@pytest.fixture
def examined() -> Callable[..., tuple[SafetyNotes, dict[str, list[Finding]]]]:
    """Both stages run over a job and its schedule, its records judged: notes, and findings by rule. The dado is 917 to
    980 up."""

    def run(job: Job, schedule: FixingSchedule | None = None, underside: float | None = 917, top: float | None = 980):  # type: ignore[no-untyped-def]
        runs = tuple(
            Run(
                room=room.name,
                wall=wall.name,
                trim=trim.name,
                member=trim.member,
                start=start,
                end=end or 4000,
                underside=underside,
                top=top,
            )
            for trim in job.trim
            for room, wall, start, end in job.places(trim)
        )
        results: dict[type, object] = {Site: site_of(job), SettingOut: SettingOut(runs=runs)}
        results[Existing] = list(what_stands(job, Sheet(results)))[-1]
        if schedule is not None:
            results[FixingSchedule] = schedule
            results[FixingSchedule] = next(move(job, Sheet(results)))
        rules = {rule.name: rule for rule in load_rules("listel.plugins.safety")}
        judge = Judge(job, rules, load_table("listel.plugins.site", "competences").rows)
        results[Records] = judge.records
        items = [judge.judged(each) if isinstance(each, Finding) else each for each in examine(job, Sheet(results))]
        found: dict[str, list[Finding]] = {}
        for item in items:
            if isinstance(item, Finding):
                found.setdefault(item.rule.removeprefix("safety/"), []).append(item)
        return items[-1], found

    return run
