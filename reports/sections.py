"""Sections of plugins, house rules and a firm's dress: rendered with what every section may call."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from markupsafe import Markup, escape

from listel.core.contract.findings import Finding, Grounds
from listel.core.contract.stage import Reader, Section
from listel.core.host.limits import told_error
from listel.core.host.outcome import Outcome
from listel.core.survey.faults import InputFault
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables
from listel.reports.drawings.paper import Drawing
from listel.reports.dress import Dress
from listel.reports.templating import environment, render_file

EMPTY = Markup("")


class SectionFailed(Exception):
    """A section of a plugin from outside that could not be made: its name, and what is wrong."""

    def __init__(self, name: str, says: str) -> None:
        super().__init__(f"{name}: {says}")
        self.name, self.says = name, says


class Sections:
    """Renders the sections that one paper shows. A drawing that is drawn twice is a way back to the first."""

    def __init__(
        self,
        outcome: Outcome,
        readers: Reader,
        dress: Dress,
        note: Callable[[Grounds], Markup] = lambda grounds: EMPTY,
    ) -> None:
        dress.check(section.name for section in outcome.sections)
        self.outcome, self.readers, self.dress = outcome, readers, dress
        self.environment = environment(outcome.job)
        self.drawn: dict[str, str] = {}
        self.numbers = (outcome.sheet.get(SettingOut) or SettingOut()).numbers
        self.values: dict[str, Any] = {
            "job": outcome.job,
            "sheet": outcome.sheet,
            "outcome": outcome,
            "findings": (),
            "result": {type(result).__name__: result for result in outcome.sheet}.get,
            "readers": readers,
            "drawing": self.drawing,
            "note": note,
            "number": self.number,
            "timber": tables.timber_words,
        }

    def number(self, label: str) -> str:
        """The number of a piece on paper, by its label."""
        return self.numbers.get(label, label)

    def shown(self) -> list[Section]:
        """The sections that have a view for this paper, in order of place; the whole file shows them all."""
        whole = self.readers == "all"
        mine = (section for section in self.outcome.sections if whole or self.readers in section.readers)
        return sorted(mine, key=lambda section: section.place)

    def findings(self, section: Section) -> tuple[Finding, ...]:
        """The findings of a section's plugin."""
        return tuple(f for f in self.outcome.findings if plugin_of(f) == section.name.replace("-", "_"))

    def words(self, section: Section) -> Markup:
        """A section's own words. Raises SectionFailed where one from outside cannot be made."""
        own = self.dress.template(section.name)
        template = own or section.template
        values = {**self.values, "findings": self.findings(section)}
        try:
            trusted = section.trusted and not own
            words = self.file(template, values, trusted=trusted, limited=section.outside or not trusted)
            if section.outside and not own:
                from listel.reports.walk import tree

                tree(words, template.name)
        except Exception as error:
            if own or not section.outside:
                raise
            says = str(error) if isinstance(error, InputFault) else told_error(error)
            raise SectionFailed(section.name, says) from error
        return words

    def file(self, template: Path, values: Mapping[str, Any], *, trusted: bool, limited: bool = True) -> Markup:
        """A template file with these values."""
        drawn = self.drawn
        return render_file(self.environment, template, values, trusted=trusted, limited=limited, drawings=drawn)

    def drawing(self, name: str, **keys: Any) -> Markup:
        """The figure of a drawing, its title beneath it; where the same was drawn before, a way back to it."""
        from listel.reports.drawings import draw

        made = draw(name, self.outcome, **keys)
        return Markup("").join(self.figure(sheet) for sheet in (made, *made.further))

    def figure(self, made: Drawing) -> Markup:
        """The figure of one finished drawing."""
        before = self.drawn.get(made.svg)
        if before:
            return Markup(f'<p>Drawn above: <a href="#{before}">{escape(made.title)}</a>.</p>')
        anchor = self.drawn[made.svg] = f"drawing-{len(self.drawn) + 1}"
        scale = f", {made.scale}" if made.scale else ""
        return Markup(
            f'<figure class="drawing" id="{anchor}"><div class="paper">{made.svg}</div>'
            f"<figcaption><strong>{escape(made.title)}</strong>{escape(scale)}</figcaption></figure>"
        )


def tried(outcome: Outcome) -> Outcome:
    """The outcome with a hold for each section of a plugin from outside that cannot be made for one of its readers, and
    without it."""
    for section in (each for each in outcome.sections if each.outside):
        try:
            for reader in dict.fromkeys(("all", *section.readers)):
                Sections(outcome, reader, Dress(None)).words(section)
        except SectionFailed as failed:
            outcome = outcome.without_section(failed.name, failed.says)
    return outcome


def plugin_of(finding: Finding) -> str:
    """The plugin a finding is of, as its section is named; rules are in kebab-case."""
    return finding.rule.split("/")[0].replace("-", "_")
