"""Findings as they are listed: those of one rule that are mended alike stand together, the heaviest first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from listel.core.contract.findings import WEIGHTS, Finding
from listel.core.contract.rules import Rule
from listel.core.house.filters import in_units
from listel.core.quick import dataclass
from listel.core.survey.units import Units

SENTENCE = re.compile(r"(?<=[.!?]) (?=[A-Z])")


@dataclass(frozen=True)
class Group:
    """Findings of one rule and weight. ``kind``: when the rule tells them; ``closing``: what settles them all, or by
    whom and why they were settled."""

    weight: str
    rule: str
    kind: str
    closing: str
    findings: tuple[Finding, ...]

    @property
    def common(self) -> str:
        """The sentences that all of them end with, each having one of its own before; said once for them all."""
        said = [sentences(says) for says in dict.fromkeys(finding.says for finding in self.findings)]
        if len(said) < 2:
            return ""
        most = min(len(each) for each in said) - 1
        alike = next((n for n in range(most) if len({each[-1 - n] for each in said}) > 1), most)
        return " ".join(said[0][len(said[0]) - alike :])

    @property
    def told(self) -> list[tuple[str, list[Finding]]]:
        """What each says that is not common to all, once for those that say the same."""
        found: dict[str, list[Finding]] = {}
        for finding in self.findings:
            found.setdefault(finding.says.removesuffix(self.common).rstrip(), []).append(finding)
        return list(found.items())

    @property
    def lines(self) -> list[int]:
        """The survey lines they came from, at most eight."""
        return sorted({finding.where.line for finding in self.findings if finding.where.line})[:8]


def sentences(says: str) -> list[str]:
    """The sentences of a text, each with its stop."""
    return SENTENCE.split(says)


def grouped(findings: Iterable[Finding], rules: Mapping[str, Rule], units: Units) -> list[Group]:
    """The findings in groups, in order of weight and then as they came; ``rules`` are the declared ones by name."""
    held: dict[tuple[str, str, str], list[Finding]] = {}
    for finding in findings:
        held.setdefault((_weight(finding), finding.rule, _closing(finding)), []).append(finding)
    order = (*WEIGHTS, "settled")
    groups = [
        Group(weight, name, _kind(rules.get(name), units), closing, tuple(found))
        for (weight, name, closing), found in held.items()
    ]
    return sorted(groups, key=lambda group: order.index(group.weight))


def _kind(rule: Rule | None, units: Units) -> str:
    return in_units(rule.when, units) if rule else "findings of one kind"


def _weight(finding: Finding) -> str:
    return "settled" if finding.settled else finding.weight


def _closing(finding: Finding) -> str:
    if finding.settled and finding.settled.cured:
        return f"Cured by what {finding.settled.agreed} sets: {finding.settled.reason.rstrip('.')}."
    if finding.settled:
        return f"Departed from: {finding.settled.reason} (agreed: {finding.settled.agreed})."
    mend = f"To settle it: {finding.mend}" if finding.mend else ""
    record = f"To record it: {finding.record}." if finding.record else ""
    return f"{mend} {record}".strip()
