"""Which records of a survey lift what a rule holds, and by whose word a step is done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from listel.core.quick import dataclass


@dataclass(frozen=True)
class Kept:
    """An outcome that tells what became of a thing found and keeps its hold: ``who`` may say so, and what ``then``
    holds."""

    who: tuple[str, ...]
    then: str


@dataclass(frozen=True, kw_only=True)
class Lift:
    """Which records lift a rule: those of its ``step``, with one of its ``outcomes``, by one of the competences named
    with it, with their ``reference`` and ``date`` where these are asked.

    ``stands_for`` says in words how long, ``years`` by region in which the work must begin; ``before_survey``: it may
    be older than the survey, ``until_works``: but not than the last works on the building; ``whole_job``: it need not
    name its room, ``names_works``: but all works of the job, or of the old piece that is spoken of; ``during_work``: it
    may be of a day after the work was to start. ``found`` says what holds, and who may go on, once it is found or
    refused; ``stops``: then all work stops in the room that its record names, or in all, but what settles it;
    ``alone``: that tells the rule even where nothing else does. ``after_found``: the competences that alone may say
    that it is clear where it was found (none: all); ``keeps``: the other outcomes that tell that it was there;
    ``on_finish``: those that lift only on a wall with one of these finishes, and name that wall. ``shows``: one that a
    wall is clear may say what make-up it is.
    ``lifted`` is said once it is lifted.
    """

    step: str
    outcomes: Mapping[str, tuple[str, ...]]
    reference: bool = False
    date: bool = False
    stands_for: str = ""
    years: Mapping[str, int] = field(default_factory=dict)
    before_survey: bool = False
    until_works: bool = False
    whole_job: bool = False
    stops: bool = False
    names_works: bool = False
    during_work: bool = False
    found: str = ""
    alone: bool = False
    after_found: tuple[str, ...] = ()
    keeps: Mapping[str, Kept] = field(default_factory=dict)
    shows: bool = False
    on_finish: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    lifted: str = ""

    def who(self, outcome: str) -> tuple[str, ...]:
        """The competences that may say that outcome; none where it is anybody's."""
        return self.keeps[outcome].who if outcome in self.keeps else self.outcomes.get(outcome, ())
