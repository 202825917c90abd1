"""What ``sequence`` gives: the steps of this job as a graph, as a programme, and the audit of a plan."""

from __future__ import annotations

from dataclasses import KW_ONLY
from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import told
from listel.core.quick import dataclass


@dataclass(frozen=True)
class JobStep:
    """One step this job needs. Times are hours from the start of work; days are working days."""

    LINE: ClassVar[str] = "step"
    name: str = told("the step's name")
    title: str = told("the step in words")
    because: str = told("why this job needs it")
    needs: tuple[str, ...] = told("steps that must end before it starts", default=())
    right_after: tuple[str, ...] = told("those of its needs whose wait it need not keep", default=())
    _: KW_ONLY
    required: bool = told("whether leaving it out holds the job", default=True)
    who: str = told("who does or signs it", default="joiner")
    hours: float = told("working time", "h", 0.0)
    worked: float = told("working time of all who share it, together", "h", 0.0)
    wait: float = told("time to pass after it", "h", 0.0)
    wait_why: str = told("what the wait is for", default="")
    starts: float | None = told("earliest start, calendar hours from the first morning; none while barred", "h", None)
    ends: float | None = told("end of its work, calendar hours; none while barred", "h", None)
    free: float | None = told("end of its wait, calendar hours; none while barred", "h", None)
    critical: bool = told("whether it lies on the critical path", default=False)
    hold: str = told("the open hold on it, or empty", default="")
    barred: str = told("the step whose hold must be settled before it may start, or empty", default="")
    done: bool = told("whether the survey records it as done", default=False)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True)
class Recognised:
    """A clause of the plan and the steps it was read as."""

    line: int = told("line of the plan")
    text: str = told("as written")
    steps: tuple[str, ...] = told("step names", default=())


@dataclass(frozen=True)
class Missed:
    """A step the plan leaves out."""

    step: str = told("the step")
    weight: str = told("hold or caution")
    because: str = told("why this job needs it")
    line: int = told("the line of the plan that leaves it out on purpose, or 0", default=0)
    text: str = told("as written, where it is left out on purpose", default="")
    _: KW_ONLY
    perhaps: tuple[int, ...] = told("lines of the plan that may be it, read in doubt", default=())


@dataclass(frozen=True)
class Spared:
    """A step that a clause leaves out on purpose and that is not missed."""

    line: int = told("line of the plan")
    text: str = told("as written")
    step: str = told("the step")
    because: str = told("why it is not missed")


@dataclass(frozen=True, kw_only=True)
class Harmful:
    """A way of working that the plan names and that does harm here."""

    line: int = told("line of the plan")
    text: str = told("as written")
    method: str = told("the way of working")
    words: str = told("the way of working in words")
    weight: str = told("hold or caution")
    because: str = told("why")


@dataclass(frozen=True)
class OutOfOrder:
    """Two steps the wrong way round."""

    first: str = told("what must end first")
    then: str = told("what the plan starts before it")
    line: int = told("the line of the plan")
    because: str = told("why")
    weight: str = told("hold or caution", default="caution")


@dataclass(frozen=True)
class TooSoon:
    """A wait cut short."""

    step: str = told("the step that must dry, cure or settle")
    then: str = told("what the plan starts too soon")
    given: float = told("hours the plan gives", "h")
    needed: float = told("hours it needs", "h")
    line: int = told("the line of the plan")
    _: KW_ONLY
    because: str = told("why", default="")


@dataclass(frozen=True)
class Unread:
    """A clause that was not recognised, with the nearest step."""

    line: int = told("line of the plan")
    text: str = told("as written")
    nearest: str = told("the nearest step", default="")


@dataclass(frozen=True)
class Doubtful:
    """A clause of which one reading is not sure."""

    line: int = told("line of the plan")
    text: str = told("as written")
    means: str = told("what it may mean: a step, or behind a minus one that is left out, behind a ! a way of working")
    sure: float = told("how sure that is, from 0 to 1")
    counted: bool = told("whether it was read so")


@dataclass(frozen=True)
class Differs:
    """A clause that fixes, glues or stops the trim otherwise than the statement has it."""

    line: int = told("line of the plan")
    text: str = told("as written")
    says: str = told("how it differs")


@dataclass(frozen=True)
class HeldStep:
    """A step that an open hold stands on and no line of the plan names: what the hold says."""

    step: str = told("the step")
    says: str = told("what the hold says")


@dataclass(frozen=True)
class Audit:
    """A plan held against the steps this job needs."""

    recognised: tuple[Recognised, ...] = ()
    missed: tuple[Missed, ...] = ()
    out_of_order: tuple[OutOfOrder, ...] = ()
    too_soon: tuple[TooSoon, ...] = ()
    not_recognised: tuple[Unread, ...] = ()
    _: KW_ONLY
    doubtful: tuple[Doubtful, ...] = ()
    not_needed: tuple[Recognised, ...] = ()
    holds: tuple[HeldStep, ...] = ()
    good: tuple[str, ...] = ()
    differs: tuple[Differs, ...] = ()
    harmful: tuple[Harmful, ...] = ()
    spared: tuple[Spared, ...] = ()


@dataclass(frozen=True)
class Sequence:
    """The steps in a working order, the programme, and the audit of the survey's own plan if it has one.

    ``days``: calendar days from the first morning to the end, the last with them, if what holds the work is settled in
    the time reckoned for it; ``on_site``: those of them from the covering of the floors on; ``first``: the date of
    that, empty where the start is not known. ``meanwhile``: steps that may go on while holds stand; empty where none
    bars any; ``nowhere``: in which rooms all work has stopped, in words. ``at_work``: each of the days of the whole
    job, counted from the covering of the floors, on which somebody works, and at which steps.
    """

    steps: tuple[JobStep, ...] = ()
    days: int = 0
    critical: tuple[str, ...] = ()
    audit: Audit | None = None
    meanwhile: tuple[str, ...] = ()
    _: KW_ONLY
    on_site: int = 0
    first: str = ""
    nowhere: str = ""
    at_work: tuple[tuple[int, tuple[str, ...]], ...] = ()
