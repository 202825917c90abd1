"""One plugin as it was loaded: what it adds, and what went wrong with it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import KW_ONLY, field
from typing import Any

from listel.core.contract.findings import Finding, Weight
from listel.core.contract.firms import HeightRule, OptionsForm, SurveyFields
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule
from listel.core.contract.stage import Section, Stage, Step, Words
from listel.core.contract.tables import Table
from listel.core.quick import dataclass
from listel.core.survey.job import Job


@dataclass(frozen=True)
class Weighing:
    """A weight that a firm gives to findings of one rule, and who says so."""

    rule: str
    weight: Weight
    by: str


@dataclass(frozen=True)
class Wording:
    """A firm's own words for findings of one rule, and whose they are. ``says`` raises ValueError where they cannot be
    made of a finding."""

    rule: str
    by: str
    says: Callable[[Job, Finding], str]


@dataclass(frozen=True)
class Plugin:
    """One plugin: its name, version, where it came from ("built in", a package, a file), and what it adds.

    ``faults`` says in words what went wrong with it; what it adds is then empty or in part.
    """

    name: str
    version: str
    origin: str
    stages: tuple[Stage, ...] = ()
    reckoners: tuple[Reckoner, ...] = ()
    _: KW_ONLY
    steps: tuple[Step, ...] = ()
    sections: tuple[Section, ...] = ()
    words: tuple[Words, ...] = ()
    fields: tuple[SurveyFields, ...] = ()
    options: tuple[OptionsForm, ...] = ()
    heights: tuple[HeightRule, ...] = ()
    told: Mapping[str, Mapping[str, Any]] = field(default_factory=dict, hash=False)
    """Options that a house file gives to plugins, by name."""
    faults: tuple[str, ...] = ()
    tables_digest: str = ""
    outside: bool = True
    code: bool = True
    """Whether it is code; a house file is data that listel's own code reads."""
    weights: tuple[Weighing, ...] = ()
    wordings: tuple[Wording, ...] = ()
    rules: Callable[[], tuple[Rule, ...]] = field(default=tuple, compare=False)
    """Every rule it can tell. A built-in plugin is asked only when somebody wants to know: declaring costs a start."""
    tables: Callable[[], tuple[Table, ...]] = field(default=tuple, compare=False)
    """Every table whose rows are words of the survey, asked for in the same way."""

    @property
    def called(self) -> str:
        """Its name, with its version where it has one."""
        return f"{self.name} {self.version}".strip()
