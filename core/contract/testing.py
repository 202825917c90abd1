"""A pytest plugin for those who write plugins: small jobs, one stage run alone, grounds demanded, files of cases run.

It is at work wherever listel and pytest are installed together; ``listel.testing`` is its face.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any, TypeVar

import pytest

from listel.core.quick import dataclass

if TYPE_CHECKING:
    from listel.core.contract.cases import Case
    from listel.core.contract.findings import Finding
    from listel.core.contract.lines import Sets
    from listel.core.contract.stage import Stage
    from listel.core.host.firm import Firm
    from listel.core.host.outcome import Outcome
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
    """A function that runs the built-in stages, and those of the plugins given, over a job: modules with hooks, each
    under its name in kebab-case. ``options`` are told to them, by name."""

    def run(job: Job, *plugins: ModuleType, options: Mapping[str, Mapping[str, Any]] | None = None) -> Outcome:
        from listel.core.host.engine import examine
        from listel.core.host.registry import Registry, load, plugin_from

        named = ((module, module.__name__.replace("_", "-")) for module in plugins)
        made = (plugin_from(module, name, getattr(module, "__version__", ""), "a test") for module, name in named)
        return examine(job, Registry((*load(entry_points=False).plugins, *made)), options=options)

    return run


# ---------------------------------------------------------------- files of cases


def pytest_collect_file(file_path: Path, parent: pytest.Collector) -> pytest.Collector | None:
    """A file of cases, run case by case."""
    from listel.core.contract.cases import is_cases

    return (
        CasesFile.from_parent(parent, path=file_path) if file_path.suffix == ".yaml" and is_cases(file_path) else None
    )


class CasesFile(pytest.File):
    """A file of cases, with what is at work in all of them."""

    def collect(self) -> Iterator[pytest.Item]:
        """Its cases."""
        from listel.core.contract.cases import firm_of_cases, read_cases

        firm = firm_of_cases(self.path)
        for case in read_cases(self.path):
            yield CaseItem.from_parent(self, name=case.name, case=case, firm=firm)


class CaseItem(pytest.Item):
    """One case."""

    def __init__(self, *, case: Case, firm: Firm, **how: Any) -> None:
        super().__init__(**how)
        self._case, self._firm = case, firm

    def runtest(self) -> None:
        """Fails where the case is not told as it says."""
        from listel.core.contract.cases import judge

        says = judge(self._case, self._firm)
        if says:
            raise CaseFailed(says)

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: Any = None) -> Any:
        """What is wrong, in words alone, with the line of the case."""
        if isinstance(excinfo.value, CaseFailed):
            return f"{self.path}:{self._case.line}: {excinfo.value}"
        return super().repr_failure(excinfo, style)

    def reportinfo(self) -> tuple[Path, int, str]:
        """The file, the line from 0, and the name of the case."""
        return self.path, self._case.line - 1, self.name


class CaseFailed(Exception):
    """A case that is not told as it says."""
