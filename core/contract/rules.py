"""Rules: each thing that a plugin can tell is declared once, in ``rules.yaml`` beside its code, and told by that.

A file of rules::

    about: what can be told of fixings
    sources:
      ec5: {title: ..., author: CEN, year: "2004", locator: 8.3.1.2, standing: published-from-memory}
    rules:
      too-short:
        weights: [hold, caution]
        when: the chosen fixing reaches less far into what bears it than the code asks
        why: it would pull out
        settled-by: a longer fixing, or another kind
        for-client:
          says: "The fixings that were chosen reach {reached} into this wall, which is too little."
          needs: "The joiner picks longer ones, or another kind."
        facts: {reached: mm, needed: mm}
        source: ec5

A rule that protects people says what lifts it, and that no departure does::

    gas-pipe:
        ...
        protects: true
        lifted-by:
          step: gas-check
          outcomes: {clear: [gas-engineer], dealt-with: [gas-engineer]}
          reference: true
          date: true
          stands-for: {says: that day's state}
          found: nobody works near it; ...

and the code that tells it::

    RULES = load_rules(__package__)
    ...
    yield RULES["too-short"].told("hold", f"The chosen fixing leaves {reached} ...", where, grounds, reached=...)

The catalogue (``listel plugins --rules``), the weights and words of house rules, the grounds and the cases beside the
rules all read the same declaration.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field, replace
from functools import cache
from string import Formatter
from typing import Any

from listel.core.contract.findings import WEIGHTS, Fact, Finding, Grounds, Source, Weight, Where
from listel.core.contract.lift import Kept, Lift
from listel.core.contract.stage import Reader
from listel.core.contract.tables import data_beside, sources_of
from listel.core.files import beside
from listel.core.quick import dataclass
from listel.core.survey.messages import Fault, SurveyFaults
from listel.core.survey.units import Units, show_length

LACKING, DECIDES = "not surveyed", "decides"
"""The facts of a finding that tells what was not surveyed, and what that decides."""

ALIKE = "the same"
"""The fact of a finding that stands for several, which tells of the others."""

RESTS_ON = "rests on"
"""The fact of a finding whose sentence says what it rests on, one of SURE."""

SURE = {"law": "law", "guidance": "guidance", "custom": "custom", "allowance": "our allowance"}
"""What a rule may be sure of, with the word that its sentences say it by."""


@dataclass(frozen=True, kw_only=True)
class ForClient:
    """A hold in a client's words, each a sentence or two in which ``{fact}`` stands for a fact of the finding:
    ``says`` what stands in the way, ``found`` the same once a record says that it was found, or refused ("" where
    that makes no difference), ``needs`` who does what to settle it, ``then`` the same once it was found ("" where that
    makes no difference).
    """

    says: str
    needs: str
    found: str = ""
    then: str = ""

    @property
    def facts(self) -> set[str]:
        """The facts that they name."""
        parts = (part for words in (self.says, self.needs, self.found, self.then) for part in Formatter().parse(words))
        return {name for _, name, _, _ in parts if name is not None}


@dataclass(frozen=True, kw_only=True)
class Rule:
    """One thing that can be told.

    ``name`` is ``plugin/words-in-kebab-case``; ``weights`` those it may be told with; ``when`` it is told and ``why``
    it matters, each in words that finish a sentence; ``settled_by`` what makes it go; ``facts`` what a sentence may
    name, each with its unit ("" for words and counts). ``protects`` marks what protects people, ``lifted_by`` the
    records that lift it, ``departs`` whether a departure may settle it, ``agreed_by`` the competences that alone may
    agree to one from a hold of it (none: anybody), ``for_client`` how a client is told that it
    holds. ``sure``: what it rests on, one of SURE, which its sentences say; "" where it reckons from the survey alone.
    """

    name: str
    weights: tuple[Weight, ...]
    when: str
    why: str
    settled_by: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)
    sources: tuple[Source, ...] = ()
    protects: bool = False
    worst: str = ""
    """The fact by which one of several of a place is the worst: the greatest, or with a minus before it the least."""
    not_for: tuple[Reader, ...] = ()
    """The readers whose papers leave it out of what is open, for they have no say in it."""
    departs: bool = True
    agreed_by: tuple[str, ...] = ()
    lifted_by: Lift | None = None
    for_client: ForClient | None = None
    sure: str = ""

    @property
    def plugin(self) -> str:
        """The plugin whose rule it is, as rules spell it ("setting-out")."""
        return self.name.partition("/")[0]

    def told(
        self,
        weight: Weight,
        says: str,
        where: Where = Where(),
        grounds: Grounds = Grounds(),
        mend: str = "",
        record: str = "",
        sure: str | None = None,
        **facts: float | str,
    ) -> Finding:
        """The finding that this rule tells with that weight at that place, on its own sources where ``grounds`` name
        none. ``record``: how the survey is told that it is settled; ``sure``: what it rests on here, where that is not
        what the rule declares.

        Raises ValueError for a weight or a fact that the rule does not declare.
        """
        if weight not in self.weights:
            raise ValueError(f"{self.name} is declared for {', '.join(self.weights)}, not for {weight}")
        if not facts.keys() <= self.facts.keys():
            raise ValueError(f"{self.name} does not declare {', '.join(sorted(facts.keys() - self.facts.keys()))}")
        if self.sources and not grounds.sources:
            grounds = replace(grounds, sources=self.sources)
        told = tuple(Fact(key, value, self.facts[key]) for key, value in facts.items())
        rests = SURE.get(self.sure if sure is None else sure, "")
        told = (*told, Fact(RESTS_ON, rests)) if rests else told
        says = surely(says, rests)
        return Finding(
            self.name, weight, says, where, grounds, mend=mend, protects=self.protects, facts=told, record=record
        )

    def lacking(self, what: str, decides: str, where: Where = Where(), mend: str = "", record: str = "") -> Finding:
        """The finding that a fact is missing, ``Not surveyed: WHAT; it decides DECIDES.``: a caution, or where the rule
        is declared for none the first of its weights.

        A missing fact is never guessed in silence and never stops the run.
        """
        says = f"Not surveyed: {what}; it decides {decides}."
        weight = "caution" if "caution" in self.weights else self.weights[0]
        told = self.told(weight, says, where, mend=mend, record=record, sure="")
        return replace(told, facts=(*told.facts, Fact(LACKING, what), Fact(DECIDES, decides)))


def surely(says: str, rests: str) -> str:
    """A sentence with the word for what it rests on, before its stop."""
    return f"{says.removesuffix('.')} ({rests})." if rests else says


@dataclass(frozen=True)
class Rules:
    """The rules of one plugin, found by the part of their name after the stroke."""

    plugin: str
    by_name: Mapping[str, Rule]

    def __getitem__(self, name: str) -> Rule:
        """The rule of that name; KeyError if the plugin declares none."""
        return self.by_name[name]

    def __iter__(self) -> Iterator[Rule]:
        return iter(self.by_name.values())

    def hardest(self, findings: Iterable[Finding], units: Units) -> Iterator[Finding]:
        """What is said of many runs or pieces, each rule once for its place, in the order it first came.

        Of several of one place by a rule that declares which is ``worst`` the worst is told, and the rest are counted
        with their stations; by another rule one stands only for those that say the very same of that place.
        """
        groups: dict[tuple[object, ...], list[Finding]] = {}
        for finding in findings:
            at = finding.where
            place: tuple[object, ...] = (at.room, at.wall, at.trim, at.piece)
            rule = self.by_name.get(finding.rule.partition("/")[2])
            if rule is None or not rule.worst:
                place = (*place, at.station, finding.says)
            groups.setdefault((finding.rule, *place), []).append(finding)
        for group in groups.values():
            rule = self.by_name.get(group[0].rule.partition("/")[2])
            yield _worst(group, rule.worst, units) if rule is not None and rule.worst else group[0]


def _worst(group: list[Finding], fact: str, units: Units) -> Finding:
    sign, name = (-1.0, fact[1:]) if fact.startswith("-") else (1.0, fact)

    def heft(finding: Finding) -> tuple[int, float]:
        value = next((fact.value for fact in finding.facts if fact.name == name), 0.0)
        return -WEIGHTS.index(finding.weight), sign * float(value)

    told = max(group, key=heft)
    rest = [finding for finding in group if finding is not told]
    if not rest:
        return told
    at = [show_length(each.where.station, units) for each in rest if each.where.station is not None]
    where = f", from {', '.join(dict.fromkeys(at))}" if at else ""
    more = "one more" if len(rest) == 1 else f"{len(rest)} more"
    alike = f"It is the worst there; the same is so of {more}{where}."
    return replace(told, says=f"{told.says} {alike}", facts=(*told.facts, Fact(ALIKE, alike)))


@cache
def load_rules(package: str, plugin: str = "") -> Rules:
    """The rules that ``rules.yaml`` in a plugin's package declares (pass ``__package__``), spelt as those of
    ``plugin``, or by the package's own name.

    Raises SurveyFaults where the file of a plugin from outside is not of its form (``schemas/rules.schema.json``), each
    fault at its line and column.
    """
    if not package.startswith("listel.") and (faults := rules_faults(package)):
        raise SurveyFaults(faults)
    return rules_from(data_beside(package, "rules"), plugin or package.rpartition(".")[2].replace("_", "-"))


def rules_from(data: Mapping[str, Any], plugin: str) -> Rules:
    """The rules of a plugin from the parsed YAML, which is of the form of ``schemas/rules.schema.json``."""
    sources = sources_of(data)
    found: dict[str, Rule] = {}
    for name, said in data["rules"].items():
        found[name] = Rule(
            name=f"{plugin}/{name}",
            weights=tuple(said["weights"]),
            when=said["when"],
            why=said["why"],
            settled_by=said.get("settled-by", ""),
            facts=said.get("facts", {}),
            sources=tuple(sources[key] for key in _cited(said)),
            protects=said.get("protects", False),
            worst=said.get("worst", ""),
            not_for=tuple(said.get("not-for", ())),
            departs=said.get("departs", not said.get("protects", False) and "lifted-by" not in said),
            agreed_by=tuple(said.get("agreed-by", ())),
            lifted_by=_lift(said["lifted-by"]) if "lifted-by" in said else None,
            for_client=ForClient(**said["for-client"]) if "for-client" in said else None,
            sure=said.get("sure", ""),
        )
    return Rules(plugin, found)


def _cited(said: Mapping[str, Any]) -> list[str]:
    cited = said.get("source", [])
    return [cited] if isinstance(cited, str) else cited


def rules_faults(package: str) -> list[Fault]:
    """What stands in the ``rules.yaml`` of a package and may not, each at its line and column."""
    from listel.core.survey.messages import did_you_mean
    from listel.core.survey.schema_words import schema_faults
    from listel.core.survey.yaml_places import read_document

    document = read_document(beside(package, "rules.yaml"), "file of rules")
    schema = json.loads(beside("listel.schemas", "rules.schema.json").read_text(encoding="utf-8"))
    if faults := schema_faults(document, schema):
        return faults
    sources = document.data.get("sources", {})
    for name, said in document.data["rules"].items():
        for key in _cited(said):
            if key not in sources:
                says = f"there is no source {key}.{did_you_mean(key, sources, 'there are')}"
                faults.append(document.fault(("rules", name, "source"), says))
        words = ForClient(**said["for-client"]).facts if "for-client" in said else set()
        for fact in sorted(words - said.get("facts", {}).keys()):
            says = f"{{{fact}}} is no fact of this rule: what the words for a client name stands under its facts"
            faults.append(document.fault(("rules", name, "for-client"), says))
    return faults


def _lift(said: Mapping[str, Any]) -> Lift:
    stands = said.get("stands-for", {})
    return Lift(
        step=said["step"],
        outcomes={outcome: tuple(who) for outcome, who in said["outcomes"].items()},
        reference=said.get("reference", False),
        date=said.get("date", False),
        stands_for=stands.get("says", ""),
        years=stands.get("years", {}),
        before_survey=said.get("before-survey", False),
        until_works=said.get("until-works", False),
        whole_job=said.get("whole-job", False),
        stops=said.get("stops", False),
        names_works=said.get("names-works", False),
        during_work=said.get("during-work", False),
        found=said.get("found", ""),
        alone=said.get("alone", False),
        after_found=tuple(said.get("after-found", ())),
        keeps={outcome: Kept(tuple(kept["as"]), kept["then"]) for outcome, kept in said.get("keeps", {}).items()},
        shows=said.get("shows", False),
        on_finish={outcome: tuple(words) for outcome, words in said.get("on-finish", {}).items()},
        lifted=said.get("lifted", ""),
    )
