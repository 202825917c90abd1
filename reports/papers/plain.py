"""The open holds as a client is told them: in the words that each rule declares for that."""

from __future__ import annotations

from dataclasses import dataclass

from listel.core.contract.findings import Finding
from listel.core.contract.records import records_on
from listel.core.contract.rules import Rule
from listel.core.host.engine import Outcome
from listel.core.house.filters import shown_value
from listel.reports.papers.rooms import capital


@dataclass(frozen=True, kw_only=True)
class PlainHold:
    """What must be settled, under its number on the sheet that lists them: where, what stands in the way, who does
    what about it. ``spots``: the same places as room and wall."""

    number: int
    where: tuple[str, ...]
    says: str
    needs: str
    spots: frozenset[tuple[str, str]]


def plain_holds(outcome: Outcome) -> tuple[PlainHold, ...]:
    """The open holds, each sentence once for all its places, those that protect people first."""
    groups: dict[tuple[str, str], list[Finding]] = {}
    for hold in sorted(outcome.holds, key=lambda hold: not hold.protects):
        groups.setdefault(_told(outcome, hold), []).append(hold)
    return tuple(
        PlainHold(
            number=number,
            where=tuple(dict.fromkeys(map(_place, group))),
            says=says,
            needs=needs,
            spots=frozenset((hold.where.room, hold.where.wall) for hold in group),
        )
        for number, ((says, needs), group) in enumerate(groups.items(), 1)
    )


def _told(outcome: Outcome, hold: Finding) -> tuple[str, str]:
    """What stands in the way, and who does what about it; a rule without words for a client has a general line."""
    rule = outcome.rules.get(hold.rule)
    words = rule.for_client if rule else None
    facts = {fact.name: shown_value(fact.value, fact.unit, outcome.job.units) for fact in hold.facts}
    if rule is not None and words is not None and words.facts <= facts.keys():
        says = hold.says if hold.worded_by else words.found if _found(outcome, rule, hold) else words.says
        return says.format(**facts), words.needs.format(**facts)
    settled_by = (rule.settled_by if rule else "") or hold.mend or hold.says
    return f"{_who(rule)} must settle one thing {_there(hold)} before work starts.", capital(settled_by)


def _found(outcome: Outcome, rule: Rule, hold: Finding) -> bool:
    """Whether a record says that what the rule looks for was found there, or refused."""
    step = rule.lifted_by.step if rule.lifted_by else ""
    return bool(step) and records_on(outcome.sheet).found(step, hold.where.room, hold.where.wall) is not None


def _who(rule: Rule | None) -> str:
    """Who settles what holds by a rule: those whose records lift it, else the joiner."""
    who = (name for names in rule.lifted_by.outcomes.values() for name in names) if rule and rule.lifted_by else ()
    return f"The {' or '.join(name.replace('-', ' ') for name in dict.fromkeys(who)) or 'joiner'}"


def _there(hold: Finding) -> str:
    room, wall = hold.where.room, hold.where.wall
    return f"on wall {wall} of {room}" if wall else f"in {room}" if room else "of the whole job"


def _place(hold: Finding) -> str:
    room, wall = hold.where.room, hold.where.wall
    return f"{room}, wall {wall}" if wall else room or "The whole job"
