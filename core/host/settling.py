"""What settles a finding beside a record: a departure of the survey, or what a firm set that cured it. Neither settles
what protects people."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from listel.core.contract.findings import Finding, Settled, Where
from listel.core.contract.lines import Amendment, lines_of, where_of
from listel.core.contract.rules import Rule, load_rules
from listel.core.quick import dataclass
from listel.core.survey.job import Departure, Job
from listel.core.survey.messages import nearest

RULES = load_rules(__package__, "engine")

# ---------------------------------------------------------------- departures


def settled(job: Job, finding: Finding, rules: Mapping[str, Rule]) -> tuple[Finding, int | None]:
    """The finding, settled if a departure covers it and it may be settled; and which departure covers it."""
    at = finding.where
    for number, departure in enumerate(job.departures):
        if not departure.covers(finding.rule, at.room, at.wall, at.trim):
            continue
        if finding.protects or not _agreed(departure, finding, rules):
            return finding, number
        agreed = ", ".join(filter(None, (departure.agreed, departure.reference)))
        return replace(finding, settled=Settled(departure.reason, agreed, job.line(departure))), number
    return finding, None


def _agreed(departure: Departure, finding: Finding, rules: Mapping[str, Rule]) -> bool:
    """Whether a departure is agreed, on paper, by whom the rule asks for a hold of it; by anybody where for none."""
    rule = rules.get(finding.rule)
    who = rule.agreed_by if rule and finding.weight == "hold" else ()
    return not who or (departure.competence in who and bool(departure.reference))


def with_departures(job: Job, findings: Iterable[Finding], rules: Mapping[str, Rule]) -> Iterator[Finding]:
    """The findings, settled where a departure covers them; then what there is to say about the departures."""
    used: set[int] = set()
    for finding in findings:
        covered, number = settled(job, finding, rules)
        if number is not None:
            used.add(number)
            if not covered.settled:
                yield _refused(job, finding, number, rules)
        yield covered
    for number, departure in enumerate(job.departures):
        if number not in used:
            says = f"The departure from {departure.rule} settles nothing: no finding of that rule stands there."
            where = Where(departure.room, departure.wall, line=job.line(departure))
            yield RULES["departure-unused"].told("advice", says, where)


def _refused(job: Job, finding: Finding, number: int, rules: Mapping[str, Rule]) -> Finding:
    why = "the finding protects people, and is only resolved by recording what was done"
    if not finding.protects:
        who = " or ".join(rules[finding.rule].agreed_by)
        why = f"whose agreement counts is the {who}'s alone, with its reference (agreed, as and reference)"
    says = f"The departure from {finding.rule} is refused: {why}."
    where = replace(finding.where, line=job.line(job.departures[number]))
    return RULES["departure-refused"].told("caution", says, where)


# ---------------------------------------------------------------- cures

Cure = tuple[int, str, str]
"""What an amendment cured: the number of the line in its result, the rule, the reason."""


@dataclass(frozen=True)
class Cured:
    """What somebody's setting in a line cured there: findings of a ``rule``, with the ``reason``, where they ``may`` be
    settled."""

    by: str
    rule: str
    where: Where
    reason: str
    may: bool

    def covers(self, finding: Finding) -> bool:
        """Whether a finding is of its rule and place, and may be settled."""
        pairs = ((getattr(self.where, key), getattr(finding.where, key)) for key in ("room", "wall", "trim"))
        there = all(mine in ("", got) for mine, got in pairs)
        return self.may and finding.rule == self.rule and there and not finding.protects

    def settle(self, finding: Finding) -> Finding:
        """The finding, settled where it is covered."""
        if finding.settled or not self.covers(finding):
            return finding
        return replace(finding, settled=Settled(self.reason, self.by, cured=True))


def cures_that_stand(
    result: Any,
    wanted: Iterable[tuple[str, Sequence[Cure]]],
    amendments: Iterable[Amendment],
    rules: Mapping[str, Rule],
) -> Iterator[Cured]:
    """The cures of those whose amendment of the line stands."""
    stands = {(each.by, each.field, each.index) for each in amendments}
    lines = lines_of(result)
    for by, cures in wanted:
        for number, rule, reason in cures:
            name, index, line = lines[number]
            if (by, name, index) in stands:
                yield Cured(by, rule, where_of(line), reason, rule not in rules or rules[rule].departs)


def cures_that_fail(
    cured: Iterable[Cured], findings: Sequence[Finding], rules: Mapping[str, Rule]
) -> Iterator[Finding]:
    """What there is to say of cures of rules that may not be settled, or of which no finding stands there."""
    for each in cured:
        if not each.may:
            says = f"{each.by} would settle {each.rule}; that is judged on the line as it stands, and by its records."
            yield RULES["cure-refused"].told("caution", says, each.where)
        elif not any(finding.rule == each.rule for finding in findings):
            near = None if each.rule in rules else nearest(each.rule, [*rules])
            meant = f" Is {near} meant?" if near else ""
            says = f"{each.by} would settle {each.rule}, and no such finding stands here.{meant}"
            yield RULES["cure-unused"].told("record", says, each.where)
