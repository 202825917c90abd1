"""Stages, the sheet they write on, and what else a plugin may add: steps and sections."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import KW_ONLY
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeVar, cast, get_args

from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault

if TYPE_CHECKING:
    from listel.core.contract.findings import Finding
    from listel.core.contract.lift import Lift
    from listel.core.contract.tables import Row
    from listel.core.survey.job import Job

T = TypeVar("T")

TIES = ("needs", "wants", "gives", "amends", "settles")
"""How a stage is tied to results, each a tuple of types."""


class NotGiven(KeyError, InputFault):
    """A result that is asked for and was not given: its stage failed, or the plugin is not there."""

    def __str__(self) -> str:
        return f"there is no {self.args[0].__name__} of this job: the stage that gives it failed, or is not installed"


class Sheet:
    """The typed results so far. A stage reads it; only the engine writes it."""

    __slots__ = ("_results",)

    def __init__(self, results: dict[type, object] | None = None) -> None:
        self._results: dict[type, object] = dict(results or {})

    def __getitem__(self, kind: type[T]) -> T:
        """The result of that type; NotGiven, a KeyError, if no stage has given it (declare it in ``needs``)."""
        if kind not in self._results:
            raise NotGiven(kind)
        return cast(T, self._results[kind])

    def get(self, kind: type[T]) -> T | None:
        """The result of that type, or None (declare it in ``wants``)."""
        return cast("T | None", self._results.get(kind))

    def __eq__(self, other: object) -> bool:
        return self._results == other._results if isinstance(other, Sheet) else NotImplemented

    def __contains__(self, kind: type) -> bool:
        return kind in self._results

    def __iter__(self) -> Iterator[object]:
        return iter(self._results.values())


@dataclass(frozen=True)
class Stage:
    """One examination of the job by one plugin.

    ``examine(job, sheet)`` yields Findings and one result of each type in ``gives`` and ``settles``.
    A stage runs once all it ``needs`` (it is skipped if that failed) and ``wants`` (it runs all the same, and finds
    ``sheet.get(T)`` None) stands as it will stay.

    A result is amended in two phases. First those that ``amend`` it set: each yields ``sets(line, key=value, ...)``
    for lines of the result as it was given (only keys that are settable), and ``cures(line, rule, reason)`` for
    findings that this cured; none sees what another sets, and the engine puts it all together, so their order decides
    nothing. What the giver's ``follow(job, sheet, result)`` makes of that stands then: everything that follows from the
    set keys brought in step (``sheet`` still holds the result as given). At last the one stage that ``settles`` the
    type moves what must make way, whoever asked for it. Findings about lines that may be set come from a stage that
    needs the result, not from the one that gives it: it judges them as they stand in the end.

    ``author`` is named in the statement for what the stage sets; empty: the plugin's name.
    """

    name: str
    examine: Callable[[Job, Sheet], Iterable[object]]
    needs: tuple[type, ...] = ()
    gives: tuple[type, ...] = ()
    amends: tuple[type, ...] = ()
    _: KW_ONLY
    settles: tuple[type, ...] = ()
    wants: tuple[type, ...] = ()
    follow: Callable[[Job, Sheet, Any], Any] | None = None
    author: str = ""

    @property
    def reads(self) -> tuple[type, ...]:
        """Every type it looks at on the sheet."""
        return (*self.needs, *self.wants, *self.amends, *self.settles)

    @property
    def yields(self) -> tuple[type, ...]:
        """Every type it must yield a result of."""
        return (*self.gives, *self.settles)


Who = Literal[
    "joiner",
    "client",
    "conservation-officer",
    "electrician",
    "surveyor",
    "decorator",
    "plumber",
    "plasterer",
    "specialist",
]


@dataclass(frozen=True)
class Step:
    """One step of work that a plugin adds to the sequence.

    ``name`` is the step's name in kebab-case ("detect-services"); ``applies(job, sheet)`` returns the reason
    why this job needs it, or "" if it does not. ``needs``: names of steps that must end before it starts;
    ``before``: names of steps that may not start until this one has ended; ``right_after``: those of its needs whose
    wait it need not keep (a nail is punched before the adhesive has cured).
    ``required``: leaving it out is a hold, else a caution. ``hours``: working time as a function of the job;
    ``wait``: hours that must pass after it before what needs it may start (drying, curing) with the reason.
    ``shared``: all the crew do it together, and ``hours`` is what that takes them.
    ``each_shift``: steps after each of whose shifts it is done, each time for its ``hours``; where none of its needs
    is in the job it follows those, and stands before what they stand before.
    ``who`` does or signs it. ``told_by``: which record says that it is done, where not anybody's will do; one of
    another step where that tells of it, and then it has none of its own. ``words``: phrases by which a line of a plan
    means it, beside its title and its name.
    """

    name: str
    title: str
    applies: Callable[[Job, Sheet], str]
    needs: tuple[str, ...] = ()
    required: bool = True
    _: KW_ONLY
    hours: Callable[[Job, Sheet], float] | None = None
    wait: Callable[[Job, Sheet], tuple[float, str]] | None = None
    shared: bool = False
    who: Who = "joiner"
    before: tuple[str, ...] = ()
    right_after: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    told_by: Lift | None = None
    each_shift: tuple[str, ...] = ()


def hours_of_all(job: Job, hours: float) -> float:
    """What so many working hours take all the crew together, to quarters of an hour."""
    return round(hours / max(1, job.work.crew or 1) * 4) / 4


def step_of(row: Row, applies: Callable[[Job, Sheet], str], hours: Callable[[Job, Sheet], float]) -> Step:
    """A step from its row of a table: title, needs, before, required, who and words; ``hours``: the working hours in
    it, which all the crew share."""
    return Step(
        name=row.name,
        title=row["title"],
        applies=applies,
        needs=tuple(row["needs"]),
        required=row["required"],
        hours=lambda job, sheet: hours_of_all(job, hours(job, sheet)),
        shared=True,
        who=row.get("who", "joiner"),
        before=tuple(row["before"]),
        words=tuple(row["words"]),
    )


@dataclass(frozen=True)
class Words:
    """Phrases by which a line of a plan means a step, whoever's it is: ("dock/trim the lengths",) for the step "cut",
    of whose words a stroke parts those of which either may stand there; or a way of working that the audit looks at:
    ("go at it with the belt",) for "machine-sand"."""

    step: str
    phrases: tuple[str, ...]


@dataclass(frozen=True)
class Steps:
    """All steps and words collected from the plugins; the engine puts it on the sheet before any stage runs."""

    steps: tuple[Step, ...] = ()
    words: tuple[Words, ...] = ()

    def phrases(self) -> tuple[tuple[str, str], ...]:
        """Every phrase that plugins gave, as (step, phrase)."""
        own = [(step.name, phrase) for step in self.steps for phrase in step.words]
        return (*own, *((each.step, phrase) for each in self.words for phrase in each.phrases))


@dataclass(frozen=True)
class Said:
    """Every finding of the stages before this one; the engine keeps it on the sheet, so that a stage may see what
    holds the job."""

    findings: tuple[Finding, ...] = ()


Reader = Literal["client", "officer", "workshop", "snags", "handover", "form", "as-fixed", "all"]
READERS: tuple[Reader, ...] = tuple(reader for reader in get_args(Reader) if reader != "as-fixed")
"""The readers who have a paper of every job; the record as fixed is made of a finished one."""


@dataclass(frozen=True)
class Section:
    """A section of the statement: a Jinja template rendered with ``job``, ``sheet``, ``findings``, ``outcome``.

    ``place`` orders the sections (the built-ins stand at 100, 200 ...). The whole file shows every section; ``readers``
    names the papers that show this one too, on a sheet of its own after theirs: the template may tell by ``readers``
    which of them it is rendered for. The template uses the statement's subset of HTML (see DEVELOPERS.md). ``trusted``
    is False for a template that no installed code brought (house rules): it is rendered in the sandbox. ``outside`` is
    set by the host for one that a plugin from outside brought: where it fails, that is a hold.
    """

    name: str
    title: str
    place: int
    template: Path
    readers: tuple[Reader, ...] = ("all",)
    _: KW_ONLY
    trusted: bool = True
    outside: bool = False
