"""Small rooms, and how they close."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Corner, Job, Reading, Room, Wall
from listel.plugins.closure import Closure, Closures
from listel.plugins.closure.stage import examine
from listel.plugins.site import Site, site_of


@dataclass(frozen=True)
class Closed:
    """The closure of a job's one room, with its findings."""

    closure: Closure
    findings: tuple[Finding, ...]

    def rules(self) -> list[str]:
        return [finding.rule.removeprefix("closure/") for finding in self.findings]

    def finding(self, rule: str) -> Finding:
        return next(each for each in self.findings if each.rule == f"closure/{rule}")


@pytest.fixture
def wall() -> Callable[..., Wall]:
    def make(name: str, length: float | None, angle: float | None = 90) -> Wall:
        return Wall(name, None if length is None else Reading(length), Corner("internal", angle))

    return make


@pytest.fixture
def square_room(wall: Callable[..., Wall]) -> Room:
    """A room of 4000 by 3000."""
    walls = (wall("A", 4000), wall("B", 3000), wall("C", 4000), wall("D", 3000))
    return Room("Parlour", extent="whole", walls=walls)


@pytest.fixture
def close() -> Callable[..., Closed]:
    def run(room: Room, **more: Any) -> Closed:
        job = Job("test", rooms=(room,), **more)
        *findings, found = examine(job, Sheet({Site: site_of(job)}))
        assert isinstance(found, Closures)
        return Closed(found.lines[0], tuple(findings))

    return run
