"""What firms make of findings: the weight they give to a rule, and their own words for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from listel.core.contract.findings import WEIGHTS, Finding
from listel.core.contract.rules import ALIKE, RESTS_ON, load_rules, surely
from listel.core.host.plugin import Plugin, Weighing, Wording
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.core.survey.messages import nearest

RULES = load_rules(__package__, "engine")


@dataclass(frozen=True)
class Voices:
    """The weights and the words that the firms at work give, by rule: of several weights the heaviest."""

    job: Job
    weights: Mapping[str, Weighing]
    words: Mapping[str, Wording]

    def said(self, findings: Iterable[Finding]) -> Iterator[Finding]:
        """The findings as firms have them."""
        for finding in findings:
            for worded in self._worded(finding):
                yield from self._weighed(worded)

    def _worded(self, finding: Finding) -> Iterator[Finding]:
        """In a firm's words; one that protects people says its own beside them."""
        wording = self.words.get(finding.rule)
        if wording is None:
            yield finding
            return
        try:
            says = wording.says(self.job, finding)
        except ValueError as error:
            yield finding
            why = f"{wording.by}'s words for {finding.rule} cannot be said here, and listel's own stand: {error}."
            yield RULES["words-unfit"].told("record", why, finding.where)
            return
        if finding.protects:
            says = f"{finding.says} {says}"
        else:
            facts = {fact.name: str(fact.value) for fact in finding.facts}
            says = " ".join(filter(None, (surely(says, facts.get(RESTS_ON, "")), facts.get(ALIKE))))
        yield replace(finding, says=says, worded_by=wording.by)

    def _weighed(self, finding: Finding) -> Iterator[Finding]:
        """With the weight that a firm gives it; one that protects people is never made lighter."""
        weighing = self.weights.get(finding.rule)
        if weighing is None or weighing.weight == finding.weight:
            yield finding
        elif finding.protects and WEIGHTS.index(weighing.weight) > WEIGHTS.index(finding.weight):
            yield finding
            lighter = f"{weighing.by} would make {finding.rule} a mere {weighing.weight}"
            says = f"{lighter}; it protects people and keeps its weight."
            yield RULES["weight-refused"].told("caution", says, finding.where)
        else:
            yield replace(finding, weight=weighing.weight, weighed_by=weighing.by)

    def unused(self, findings: Iterable[Finding]) -> Iterator[Finding]:
        """What there is to say about weights of rules of which no finding stands here."""
        rules = sorted({finding.rule for finding in findings})
        for rule, weighing in self.weights.items():
            if rule not in rules:
                near = nearest(rule, rules)
                meant = f" Is {near} meant?" if near else ""
                says = (
                    f"The weight that {weighing.by} gives to {rule} weighs nothing: no such finding stands here.{meant}"
                )
                yield RULES["weight-unused"].told("record", says)


def voices_of(job: Job, plugins: Iterable[Plugin]) -> Voices:
    """The weights and words of these plugins."""
    plugins = list(plugins)
    weighings = sorted((each for plugin in plugins for each in plugin.weights), key=_heft, reverse=True)
    words = {each.rule: each for plugin in plugins for each in plugin.wordings}
    return Voices(job, {each.rule: each for each in weighings}, words)


def _heft(weighing: Weighing) -> int:
    return WEIGHTS.index(weighing.weight)
