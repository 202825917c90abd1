"""Small jobs to fix: one room, one wall, one trim, changed at will."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import pytest

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Building, Choices, Job, Place, Reading, Room, Section, Studs, Substrate, Trim, Wall
from listel.plugins.fixings import Fixing, FixingSchedule
from listel.plugins.fixings.schedule import examine, follow, judge
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import Site, site_of

LATH = Substrate("lime-on-lath", plaster=22.0, studs=Studs(first=100.0, centres=350.0))
BRICK = Substrate("gypsum-on-brick", plaster=13.0)


@dataclass(frozen=True)
class Fixed:
    """What the stage gave for a job."""

    lines: tuple[Fixing, ...]
    findings: tuple[Finding, ...]

    @property
    def line(self) -> Fixing:
        """The only line."""
        (line,) = self.lines
        return line

    def rules(self, weight: str = "") -> set[str]:
        """The rules that spoke, of that weight or of any."""
        return {finding.rule.split("/")[1] for finding in self.findings if weight in ("", finding.weight)}

    def finding(self, rule: str) -> Finding:
        """The only finding of a rule."""
        (found,) = [finding for finding in self.findings if finding.rule == f"fixings/{rule}"]
        return found


def one_trim(**keys: Any) -> Trim:
    """A dado rail of redwood, 63 by 28 mm, or what the keys make of it."""
    usual: dict[str, Any] = {
        "section": Section(63.0, 28.0),
        "timber": "european-redwood",
        "finish": "paint",
        "top": 900.0,
    }
    return Trim("rail", keys.pop("member", "dado-rail"), (Place("Parlour"),), **(usual | keys))


@pytest.fixture
def fix() -> Callable[..., Fixed]:
    """Fix one trim on one wall: ``fix(substrate, trim, choices, ..., runs=..., results=..., sets=...)``, with what a
    firm ``sets`` in every line."""

    def fixed(
        substrate: Substrate | None = LATH,
        trim: Trim | None = None,
        choices: Choices | None = None,
        building: Building | None = None,
        runs: tuple[Run, ...] | None = (),
        results: tuple[object, ...] = (),
        units: str = "mm",
        sets: dict[str, Any] | None = None,
        **wall: Any,
    ) -> Fixed:
        trim = trim if trim is not None else one_trim()
        wall = {"length": Reading(3600.0), "external": False} | wall
        room = Room("Parlour", walls=(Wall("A", substrate=substrate, **wall),))
        job = Job(
            "test", building=building or Building(region="england", protection="none"), rooms=(room,), trim=(trim,),
            choices=choices or Choices(), units=units,  # type: ignore[arg-type]
        )  # fmt: skip
        if runs == ():
            runs = (
                Run(
                    room="Parlour",
                    wall="A",
                    trim="rail",
                    member=trim.member,
                    start=0.0,
                    end=3600.0,
                    underside=837.0,
                    top=900.0,
                ),
            )
        sheet: dict[type, object] = {Site: site_of(job)} | {type(result): result for result in results}
        if runs is not None and SettingOut not in sheet:
            sheet[SettingOut] = SettingOut(runs=runs)
        (schedule,) = examine(job, Sheet(sheet))
        sheet[FixingSchedule] = schedule
        if sets:
            wanted = FixingSchedule(tuple(replace(line, **sets) for line in schedule.lines))
            sheet[FixingSchedule] = schedule = follow(job, Sheet(sheet), wanted)
        return Fixed(schedule.lines, tuple(judge(job, Sheet(sheet))))

    return fixed


@pytest.fixture
def trim() -> Callable[..., Trim]:
    """The trim of the small jobs, with keys changed."""
    return one_trim


@pytest.fixture
def lath() -> Substrate:
    """Lime on lath with studs at 350 mm from 100 mm."""
    return LATH


@pytest.fixture
def brick() -> Substrate:
    """Gypsum on brick."""
    return BRICK
