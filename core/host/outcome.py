"""What came of a job: its findings in order, its results, what ran and what was at work; and its JSON form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, field, replace
from functools import cached_property
from typing import Any, Protocol

from listel.core.contract.findings import Finding
from listel.core.contract.firms import FirmHeights
from listel.core.contract.lines import Amendment, plain, units_of
from listel.core.contract.records import Records
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Said, Section, Sheet, Steps
from listel.core.contract.tables import Table
from listel.core.quick import dataclass
from listel.core.survey.job import Job


@dataclass(frozen=True, kw_only=True)
class Ran:
    """One stage that ran, or was skipped: ``fault`` says why in words. ``seconds`` is for the trace only."""

    stage: str
    plugin: str
    version: str
    origin: str
    needs: tuple[str, ...] = ()
    wants: tuple[str, ...] = ()
    gives: tuple[str, ...] = ()
    amends: tuple[str, ...] = ()
    settles: tuple[str, ...] = ()
    findings: int = 0
    fault: str = ""
    seconds: float = field(default=0.0, compare=False)


@dataclass(frozen=True)
class AtWork:
    """One plugin, or one firm's house rules, which are no ``code``: ``origin`` says whose."""

    plugin: str
    version: str
    origin: str
    outside: bool
    code: bool = True


class Given(Protocol):
    """What a person hands to a plugin beside the survey, as a firm's own figures: it stands on the sheet by its type
    before any stage runs. ``digest`` stands for all that it holds."""

    @property
    def digest(self) -> str:
        """SHA-256 of its data."""


@dataclass(frozen=True)
class Outcome:
    """Everything that came of one job: the job, the sheet of results, the findings in order, what ran, and what was
    amended by whom.

    ``digest`` covers the survey, the plugins with their versions and tables, the house rules, and what was ``given``
    to plugins: two people with the same digest ran the same thing.
    """

    job: Job
    sheet: Sheet
    findings: tuple[Finding, ...]
    ran: tuple[Ran, ...]
    sections: tuple[Section, ...]
    _: KW_ONLY
    digest: str
    house: tuple[str, ...] = ()
    plugins: tuple[AtWork, ...] = ()
    amendments: tuple[Amendment, ...] = ()
    added: tuple[Table, ...] = ()
    """The tables of plugins from outside, without which words of theirs mean nothing."""
    given: tuple[Given, ...] = ()
    rules: Mapping[str, Rule] = field(default_factory=dict)

    @cached_property
    def holds(self) -> tuple[Finding, ...]:
        """The findings that hold the job and that nobody has settled."""
        return tuple(finding for finding in self.findings if finding.open_hold)

    @property
    def fit_for_issue(self) -> bool:
        """Whether the statement may be issued: no hold is open."""
        return not self.holds

    def without_section(self, name: str, fault: str) -> Outcome:
        """The same without a section that could not be made, which is a hold of its own."""
        says = f"The section {name} of the statement could not be made: {fault}. What it would have told is not in it."
        rules = load_rules(__package__, "engine")
        hold = rules["section-failed"].told("hold", says, mend="Mend or remove the plugin that brings it.")
        sections = tuple(section for section in self.sections if section.name != name)
        return replace(self, sections=sections, findings=(*self.findings, hold))

    def to_json(self) -> dict[str, Any]:
        """All of it as JSON holds it, valid against ``schemas/outcome.schema.json``."""
        from listel import __version__

        results = {
            type(result).__name__: result
            for result in self.sheet
            if not isinstance(result, (Said, Steps, Records, FirmHeights)) and result not in self.given
        }
        about = ("title", "reference", "revision", "surveyed", "units", "source", "digest")
        ran = [{key: value for key, value in plain(entry).items() if key != "seconds"} for entry in self.ran]
        return {
            "listel": __version__,
            "digest": self.digest,
            "survey": {name: getattr(self.job, name) for name in about},
            "fit_for_issue": self.fit_for_issue,
            "house": list(self.house),
            "plugins": [
                {"plugin": each.plugin, "version": each.version, "origin": each.origin} for each in self.plugins
            ],
            "findings": plain(self.findings),
            "results": plain(results),
            "units": {name: units for name, result in results.items() if (units := units_of(result))},
            "amendments": plain(self.amendments),
            "ran": ran,
        }
