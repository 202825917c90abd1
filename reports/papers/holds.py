"""The open holds as every paper tells them: in the plain words that each rule declares for that."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from listel.core.contract.findings import Finding
from listel.core.contract.lift import Lift
from listel.core.contract.records import records_on
from listel.core.contract.rules import Rule
from listel.core.contract.stage import Reader
from listel.core.host.outcome import Outcome
from listel.core.host.records import Judge
from listel.core.house.filters import shown_value
from listel.core.quick import dataclass
from listel.plugins.site import tables

FOR_CLIENT: tuple[Reader, ...] = ("client", "handover")
"""The papers that a client reads."""


@dataclass(frozen=True, kw_only=True)
class Hold:
    """What must be settled, by its number in every paper, once for all the places it holds: what stands in the way, who
    does what about it; what a record that may lift it can say (``outcomes``), and ``who`` may say which on what paper;
    whether it protects people."""

    number: int
    where: tuple[str, ...]
    says: str
    needs: str
    outcomes: tuple[str, ...]
    who: tuple[tuple[tuple[str, ...], str], ...]
    protects: bool
    findings: tuple[Finding, ...]

    def touches(self, room: str, wall: str) -> bool:
        """Whether it holds that wall, alone or with others."""
        return any(f.where.room in ("", room) and f.where.wall in ("", wall) for f in self.findings)


def holds(outcome: Outcome, reader: Reader = "all") -> tuple[Hold, ...]:
    """The open holds, each sentence once, those that protect people first, but for those that their rules keep from the
    paper of that reader. What has no words for a client is told him by one general line, and to the trade as it was
    said."""
    for_client = reader in FOR_CLIENT
    groups: dict[tuple[str, str], list[Finding]] = {}
    for hold in sorted(outcome.holds, key=lambda hold: not hold.protects):
        groups.setdefault(_told(outcome, hold, for_client), []).append(hold)
    judge = Judge(outcome.job, outcome.rules, tables.competences().rows)
    told = (
        Hold(
            number=number,
            where=tuple(places(group)),
            says=says,
            needs=needs,
            outcomes=judge.may_say(lift.step) if (lift := _lift(outcome, group[0])) else (),
            who=tuple(judge.who_says(lift.step)) if lift else (),
            protects=group[0].protects,
            findings=tuple(group),
        )
        for number, ((says, needs), group) in enumerate(groups.items(), 1)
    )
    return tuple(hold for hold in told if any(_is_for(outcome, each, reader) for each in hold.findings))


def _is_for(outcome: Outcome, hold: Finding, reader: Reader) -> bool:
    rule = outcome.rules.get(hold.rule)
    return rule is None or reader not in rule.not_for


def _lift(outcome: Outcome, hold: Finding) -> Lift | None:
    rule = outcome.rules.get(hold.rule)
    return rule.lifted_by if rule else None


Held = Mapping[tuple[str, str], Sequence[tuple[Hold, Finding]]]
"""What holds each wall by itself, with what is said of it, by room and wall."""


def by_wall(found: Iterable[Hold]) -> Held:
    """What holds each wall by itself."""
    walls: dict[tuple[str, str], list[tuple[Hold, Finding]]] = {}
    for hold in found:
        for finding in hold.findings:
            walls.setdefault((finding.where.room, finding.where.wall), []).append((hold, finding))
    return walls


def _told(outcome: Outcome, hold: Finding, for_client: bool) -> tuple[str, str]:
    """What stands in the way, and who does what about it."""
    rule = outcome.rules.get(hold.rule)
    words = rule.for_client if rule else None
    facts = {fact.name: shown_value(fact.value, fact.unit, outcome.job.units) for fact in hold.facts}
    if rule is not None and words is not None and words.facts <= facts.keys():
        found, then = (words.found, words.then) if _found(outcome, rule, hold) else ("", "")
        says = hold.says if hold.worded_by else (found or words.says).format(**facts)
        return says, (then or words.needs).format(**facts)
    needs = sentence((rule.settled_by if rule else "") or hold.mend or hold.says)
    return (
        f"{_who(rule)} must settle one thing {_there(hold)} before work starts." if for_client else hold.says
    ), needs


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
    return f"on wall {wall} of the {room}" if wall else f"in the {room}" if room else "of the whole job"


def places(group: Iterable[Finding]) -> Iterator[str]:
    """Where they hold, room by room: a room that is held as a whole, or its walls in the order they came."""
    rooms: dict[str, list[str]] = {}
    for hold in group:
        rooms.setdefault(hold.where.room, []).append(hold.where.wall)
    for room, walls in rooms.items():
        named = list(dict.fromkeys(walls))
        whole = not room or "" in named
        yield room or "The whole job" if whole else f"{room}, wall{'s' if len(named) > 1 else ''} {', '.join(named)}"


def sentence(words: str) -> str:
    """Words as a sentence of their own."""
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."
