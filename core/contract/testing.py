"""A pytest plugin for those who write plugins: small jobs, one stage run alone, and grounds demanded.

It is at work wherever listel and pytest are installed together. Fixtures: ``small_job`` (one room, two walls, one
dado rail), ``outcome_of`` (run every installed stage over a job). Functions to import: :func:`run_stage`,
:func:`assert_grounded`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

import pytest

if TYPE_CHECKING:
    from listel.core.contract.findings import Finding
    from listel.core.contract.lines import Sets
    from listel.core.contract.stage import Stage
    from listel.core.host.engine import Outcome
    from listel.core.host.registry import Plugin
    from listel.core.survey.job import Job

T = TypeVar("T")

SMALL_SURVEY = """
listel: 1
invented: true
job: {title: A small job}
building: {built: 1890, region: england, protection: none, occupied: empty}
climate: {heating: heated}
rooms:
  - name: Hall
    use: reception
    height: 2700
    datum: 1000
    walls:
      - name: A
        length: 3200
        corner: {kind: internal, angle: 90.5}
        substrate: {kind: lime-on-lath, plaster: 18, condition: sound, studs: {centres: 350, first: 120}}
        floor: [{at: 0, to-datum: 1000}, {at: 3200, to-datum: 994}]
      - name: B
        length: 2400
        corner: {kind: internal, angle: 89.5}
        substrate: {kind: gypsum-on-brick, plaster: 13, condition: sound}
trim:
  - name: hall dado
    member: dado-rail
    where: [{room: Hall}]
    section: {height: 63, projection: 25}
    timber: european-redwood
    finish: paint
    moisture: 11
"""
"""The survey behind ``small_job``."""


@dataclass(frozen=True)
class StageRun:
    """What one stage said and gave when it was run alone."""

    findings: tuple[Finding, ...]
    results: tuple[object, ...]
    sets: tuple[Sets, ...] = ()

    def result(self, kind: type[T]) -> T:
        """The result of that type; AssertionError if the stage gave none."""
        for given in self.results:
            if isinstance(given, kind):
                return given
        raise AssertionError(f"the stage gave no {kind.__name__}")

    def rules(self) -> list[str]:
        """The rules of its findings, in order."""
        return [finding.rule for finding in self.findings]


def run_stage(stage: Stage, job: Job, *results: object) -> StageRun:
    """Run one stage alone over a job, with these results already on the sheet and what else it needs from the
    built-in stages.

    What the stage yields is not checked as the engine would; an exception comes through.
    """
    from listel.core.contract.findings import Finding
    from listel.core.contract.lines import Sets
    from listel.core.contract.stage import Sheet

    given = {type(result): result for result in results}
    for kind in stage.needs:
        if kind not in given:
            given |= {kind: _needed(kind, job)}
    items = list(stage.examine(job, Sheet(given)))
    findings = tuple(item for item in items if isinstance(item, Finding))
    wanted = tuple(item for item in items if isinstance(item, Sets))
    return StageRun(findings, tuple(item for item in items if not isinstance(item, (Finding, Sets))), wanted)


def _needed(kind: type, job: Job) -> object:
    """A result that a stage needs, from the built-in stage that gives it. StopIteration if none does."""
    from listel.core.host.registry import load

    stages = (each for plugin in load(entry_points=False, reckoners=False).plugins for each in plugin.stages)
    return run_stage(next(each for each in stages if kind in each.gives), job).result(kind)


def assert_grounded(findings: Iterable[Finding]) -> None:
    """Every finding has grounds with at least one source. AssertionError names the first that has none."""
    for finding in findings:
        assert finding.grounds.sources, f"{finding.rule} ({finding.where}) has no source in its grounds: {finding.says}"


@pytest.fixture
def small_job() -> Job:
    """One room of an ordinary house with two walls and a dado rail."""
    from listel.core.survey.reading import job_from_text

    return job_from_text(SMALL_SURVEY, "small.yaml")


@pytest.fixture
def outcome_of() -> Callable[..., Outcome]:
    """A function that runs the built-in stages, and those of the plugins given, over a job."""

    def run(job: Job, *plugins: Plugin) -> Outcome:
        from listel.core.host.engine import examine
        from listel.core.host.registry import Registry, load

        return examine(job, Registry((*load(entry_points=False).plugins, *plugins)))

    return run
