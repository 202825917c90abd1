"""Small jobs for setting out, and their results."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import pytest

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Corner, Job, Opening, Place, Reading, Room, Section, Trim, Wall
from listel.plugins.closure import Closures
from listel.plugins.closure.stage import examine as close
from listel.plugins.cutting.jointing import examine_joints
from listel.plugins.defects.checks import examine as examine_defects
from listel.plugins.existing import Existing
from listel.plugins.existing.stage import examine as examine_existing
from listel.plugins.setting_out import SettingOut
from listel.plugins.setting_out.stage import examine, examine_runs
from listel.plugins.site import Site, site_of


@dataclass(frozen=True)
class Set:
    """The result of a job with its findings."""

    out: SettingOut
    findings: tuple[Finding, ...]

    def rules(self) -> list[str]:
        return [finding.rule.removeprefix("setting-out/") for finding in self.findings]

    def finding(self, rule: str) -> Finding:
        return next(each for each in self.findings if each.rule == f"setting-out/{rule}")

    def runs(self, trim: str, wall: str = "") -> list[tuple[int, int]]:
        return [(round(r.start), round(r.end)) for r in self.out.runs if r.trim == trim and wall in ("", r.wall)]


@pytest.fixture
def wall() -> Callable[..., Wall]:
    def make(name: str, length: float | None, angle: float | None = 90, kind: Any = "internal", **more: Any) -> Wall:
        reading = None if length is None else Reading(length)
        return Wall(name, reading, Corner(kind, angle), **more)

    return make


@pytest.fixture
def square_room(wall: Callable[..., Wall]) -> Room:
    """A room of 4000 by 3000 with a door in wall A."""
    door = Opening("door", 1500, 800, 2040, architrave=70)
    walls = (wall("A", 4000, openings=(door,)), wall("B", 3000), wall("C", 4000), wall("D", 3000))
    return Room("Parlour", extent="whole", walls=walls)


@pytest.fixture
def trim() -> Callable[..., Trim]:
    def make(
        member: str = "dado-rail", height: float = 70, projection: float = 25, room: str = "Parlour", **more: Any
    ) -> Trim:
        made = Trim(member.split("-")[0], member, (Place(room),), Section(height, projection), finish="paint", top=950)
        return replace(made, **more)

    return make


@pytest.fixture
def set_out(examined: Callable[[Job], Set]) -> Callable[..., Set]:
    return lambda room, *trims, **more: examined(Job("test", rooms=(room,), trim=trims, **more))


@pytest.fixture
def examined() -> Callable[[Job], Set]:
    def run(job: Job) -> Set:
        site = Sheet({Site: site_of(job)})
        *_, closures = close(job, site)
        *_, existing = examine_existing(job, site)
        results = {Site: site[Site], Closures: closures, Existing: existing}
        said: list[Finding] = []
        for stage in (examine_defects, examine_runs, examine_joints, examine):
            for thing in stage(job, Sheet(results)):
                said.append(thing) if isinstance(thing, Finding) else results.setdefault(type(thing), thing)
        out = results[SettingOut]
        assert isinstance(out, SettingOut)
        return Set(out, tuple(each for each in said if each.rule.startswith("setting-out/")))

    return run
