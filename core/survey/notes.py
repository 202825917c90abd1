"""What is noted beside what was measured: what came of a step, photographs, the plan, departures, what work took.

Part of the job model (core/survey/job.py).
"""

from dataclasses import KW_ONLY, field
from typing import Literal, get_args

from listel.core.quick import dataclass
from listel.core.survey.surveyed import Surveyed, spelt
from listel.core.survey.units import Length

Outcome = Literal[
    "clear",
    "found",
    "removed",
    "sealed",
    "by-plan",
    "dealt-with",
    "applied-for",
    "granted",
    "refused",
    "not-needed",
    "done",
]
"""What came of a step: looked for and not there; there; there once, and taken out; there to stay, sealed; there, and
worked by a written plan; there and made safe; of a consent its three stages, or that none is needed; of a step that
protects nobody plain done."""

OUTCOMES: tuple[Outcome, ...] = get_args(Outcome)


@dataclass(frozen=True, kw_only=True)
class Record(Surveyed):
    """What came of a ``step`` (asbestos-check ...): its ``outcome``, ``by`` whom, with which ``competence`` (the key
    ``as``), ``on`` which day, under which ``reference``, and for which room and wall ("": all; several rooms are a
    record each); of a survey for asbestos its ``kind``, of a wall that is clear what make-up it ``shows`` it to be; of
    a consent the works that it covers, as ``Job.works`` names them. What it ``says`` is for the reader: no free text
    settles anything."""

    step: str
    outcome: Outcome
    by: str
    competence: str = spelt("as", "")
    on: str = ""
    _: KW_ONLY
    reference: str = ""
    kind: str = ""
    shows: str = ""
    covers_works: tuple[str, ...] = spelt("covers", ())
    says: str = ""
    room: str = spelt(default="", each=True)
    wall: str = ""
    photos: tuple[str, ...] = ()

    def covers(self, room: str, wall: str) -> bool:
        """Whether it speaks of that wall, or of more ("" of a wall: the whole room; of a room: the whole job)."""
        return self.room in ("", room) and self.wall in ("", wall)

    def touches(self, room: str, wall: str) -> bool:
        """Whether it speaks of any part of that place."""
        return (not room or self.room in ("", room)) and (not wall or self.wall in ("", wall))


@dataclass(frozen=True, kw_only=True)
class Photo(Surveyed):
    """A photograph: its ``file`` inside the survey's folder, what it ``shows``, and where its taker faced the wall."""

    name: str
    file: str
    shows: str
    room: str = ""
    wall: str = ""
    at: Length | None = None
    height: Length | None = None
    taken: str = ""
    by: str = ""


@dataclass(frozen=True)
class PlanStep(Surveyed):
    """One line of what the person means to do. ``steps``: step names that settle what the text means; ``day`` and
    ``wait`` (hours) if given."""

    text: str = spelt(alone=True)
    steps: tuple[str, ...] = spelt("step", ())
    day: float | None = None
    wait: float | None = None
    line: int = field(default=0, compare=False)


@dataclass(frozen=True)
class Departure(Surveyed):
    """A finding settled against the rule: which ``rule``, in which room or wall ("" everywhere), the ``reason``, who
    ``agreed``, in which ``competence`` (the key ``as``) and under which ``reference``."""

    rule: str
    reason: str
    agreed: str
    room: str = ""
    wall: str = ""
    _: KW_ONLY
    trim: str = ""
    competence: str = spelt("as", "")
    reference: str = ""

    def covers(self, rule: str, room: str = "", wall: str = "", trim: str = "") -> bool:
        """Whether it is from that rule, and names no other place than that of a finding."""
        places = ((self.room, room), (self.wall, wall), (self.trim, trim))
        return self.rule == rule and all(wanted in ("", got) for wanted, got in places)


@dataclass(frozen=True, kw_only=True)
class Actual(Surveyed):
    """What some work took in the end: a kind of ``work`` in a room and of a trim ("": all), its ``hours`` of all who
    worked and its ``cost``."""

    work: str
    room: str = ""
    trim: str = ""
    hours: float | None = None
    cost: float | None = None
    note: str = ""
