"""Rules: each thing that a plugin can tell is declared once, and told by its declaration.

A module of rules opens with its declarations; the code below tells them::

    TOO_SHORT = rule(
        "fixings/choice-too-short",
        weights=("hold",),
        when="the chosen fixing reaches less far into what bears it than the code asks",
        why="it would pull out",
        settled_by="a longer fixing, or another kind",
        facts={"reached": "mm", "needed": "mm"},
    )
    ...
    yield TOO_SHORT.told("hold", f"The chosen fixing leaves {reached} ...", where, grounds, reached=..., needed=...)

The catalogue (``listel plugins --rules``), the weights and words of house rules, the grounds, the documentation and the
cases beside the rules all read the same declaration.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import ModuleType

from listel.core.contract.findings import Fact, Finding, Grounds, Source, Weight, Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One thing that can be told.

    ``name`` is ``plugin/words-in-kebab-case``; ``weights`` those it may be told with; ``when`` it is told and ``why``
    it matters, each in words that finish a sentence; ``settled_by`` what makes it go; ``facts`` what a sentence may
    name, each with its unit ("" for words and counts). ``protects`` marks what protects people.
    """

    name: str
    weights: tuple[Weight, ...]
    when: str
    why: str
    settled_by: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)
    sources: tuple[Source, ...] = ()
    protects: bool = False

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
        **facts: float | str,
    ) -> Finding:
        """The finding that this rule tells with that weight at that place.

        Raises ValueError for a weight or a fact that the rule does not declare.
        """
        if weight not in self.weights:
            raise ValueError(f"{self.name} is declared for {', '.join(self.weights)}, not for {weight}")
        if not facts.keys() <= self.facts.keys():
            raise ValueError(f"{self.name} does not declare {', '.join(sorted(facts.keys() - self.facts.keys()))}")
        told = tuple(Fact(key, value, self.facts[key]) for key, value in facts.items())
        return Finding(self.name, weight, says, where, grounds, mend, self.protects, told)

    def lacking(self, what: str, decides: str, where: Where = Where(), mend: str = "") -> Finding:
        """The caution that a fact is missing: ``Not surveyed: WHAT; it decides DECIDES.``

        A missing fact is never guessed in silence and never stops the run.
        """
        return self.told("caution", f"Not surveyed: {what}; it decides {decides}.", where, mend=mend)


def rule(
    name: str,
    *,
    weights: tuple[Weight, ...],
    when: str,
    why: str,
    settled_by: str = "",
    facts: Mapping[str, str] | None = None,
    sources: tuple[Source, ...] = (),
    protects: bool = False,
) -> Rule:
    """Declare a rule; see :class:`Rule` for what each word means."""
    return Rule(
        name=name,
        weights=weights,
        when=when,
        why=why,
        settled_by=settled_by,
        facts=facts or {},
        sources=sources,
        protects=protects,
    )


def missing(name: str, what: str, decides: str) -> Rule:
    """Declare a rule that is told where a fact was not surveyed: ``what`` is missing, and what it ``decides``."""
    return rule(
        name,
        weights=("caution",),
        when=f"{what} was not surveyed",
        why=f"it decides {decides}",
        settled_by="surveying it",
    )


def rules_in(*modules: ModuleType) -> list[Rule]:
    """The rules that these modules declare, in their order: what a plugin's hook ``listel_rules`` returns.

    A rule that one module takes from another is named once.
    """
    found: dict[str, Rule] = {}
    for module in modules:
        for value in vars(module).values():
            if isinstance(value, Rule):
                found.setdefault(value.name, value)
    return list(found.values())


def rule_named(rules: Iterable[Rule], name: str) -> Rule | None:
    """The rule of that name, or None."""
    return next((each for each in rules if each.name == name), None)
