"""The whole file: every part and every section of a plugin; at its end each working once, to which the rest refers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from listel import __version__
from listel.core.contract.findings import Finding
from listel.core.contract.stage import Reader, Section
from listel.core.host.outcome import Outcome
from listel.plugins.conservation import OfficerTable
from listel.plugins.site import protection_of
from listel.reports.amended import amended
from listel.reports.dress import Dress
from listel.reports.grouping import grouped
from listel.reports.notes import STANDINGS, Notes, stands_in
from listel.reports.opening import opening, runs
from listel.reports.papers import About, foot
from listel.reports.papers.holds import holds
from listel.reports.papers.rooms import pictures
from listel.reports.photos import shown_by_room
from listel.reports.sections import EMPTY, Sections, plugin_of
from listel.reports.statement import Part, Statement
from listel.reports.templating import render_ours

if TYPE_CHECKING:
    from listel.reports.compare import Comparison

OWN_PARTS: tuple[tuple[int, str, str], ...] = (
    (10, "changes", "What changed since the last revision"),
    (20, "holds", "What must be settled first"),
    (30, "scope", "The work and the building"),
    (40, "rooms", "The rooms, wall by wall"),
    (50, "touched", "What is touched, and how it comes off again"),
    (60, "photographs", "Photographs"),
    (890, "amended", "What the firm's own rules changed"),
    (900, "others", "Further findings"),
    (910, "departures", "Departures from the rules"),
    (920, "records", "Done and recorded"),
    (930, "sign-off", "Sign-off"),
    (940, "notes", "Notes: the grounds of each finding"),
    (950, "sources", "Sources"),
    (960, "ran", "What made this statement"),
)
"""The file's own parts: place, name, title. A part with nothing to say is left out."""


COVER = 6
"""Pictures on the first page at most."""


def statement(outcome: Outcome, readers: Reader, about: About, dress: Dress) -> Statement:
    """The whole file. Raises TemplateFault and SectionFailed as rendering does, ValueError where what it is held
    against is no outcome."""
    return _Whole(outcome, readers, about, dress).statement()


class _Whole:
    """Renders each part in turn; what they cite is gathered for the notes, which come last."""

    def __init__(self, outcome: Outcome, readers: Reader, about: About, dress: Dress) -> None:
        self.outcome, self.about, self.dress = outcome, about, dress
        self.notes = Notes()
        self.sections = Sections(outcome, readers, dress, self.notes.cite)
        since = about.since
        self.changes = None if since is None else _changes(since, outcome, about.revision)
        self.said_before = {(told["rule"], told["says"]) for told in since["findings"]} if since else set()
        self.placed = {section.name.replace("-", "_") for section in outcome.sections}

    def statement(self) -> Statement:
        """Every part, in order of place."""
        outcome, job, about = self.outcome, self.outcome.job, self.about
        wanted: list[tuple[int, str, str, Callable[[], Markup]]] = [
            (place, name, title, partial(self.part, name)) for place, name, title in OWN_PARTS
        ]
        for section in self.sections.shown():
            wanted.append((section.place, section.name, section.title, partial(self.section, section)))
        parts: list[Part] = []
        for _, name, title, body in sorted(wanted, key=lambda part: part[0]):
            made = body()
            if made.strip():
                parts.append(Part(f"part-{name}", len(parts) + 1, title, made))
        head = self.dressed("title", {"logo": self.dress.logo(), "version": __version__})
        return Statement(
            job.title,
            job.reference,
            about.revision,
            about.dated,
            outcome.fit_for_issue,
            foot=foot(outcome, about.dated),
            head=head + "\n" + self.ours("status", holds=holds(outcome)),
            short=self.ours(
                "cover",
                rows=pictures(outcome, 174.0, 42.0, most=COVER),
                svg=lambda drawing: Markup(drawing.svg),
            )
            + self.dressed("opening", {"rows": opening(outcome)}),
            parts=tuple(parts),
            style=self.dress.style(),
        )

    def dressed(self, name: str, values: Mapping[str, Any]) -> Markup:
        """One of our templates, or the firm's own in its place."""
        own = self.dress.template(name)
        given = {"dated": self.about.dated, "revision": self.about.revision, **values}
        if own:
            return self.sections.file(own, {**self.sections.values, **given}, trusted=False)
        return self.ours(name, **given)

    def ours(self, name: str, **values: Any) -> Markup:
        """One of our own templates."""
        given = {**self.sections.values, "fresh": self.fresh, **values}
        return render_ours(self.sections.environment, f"{name}.html.j2", given)

    def section(self, section: Section) -> Markup:
        """A plugin's section: its own words, then its findings."""
        return self.sections.words(section) + self.findings(self.sections.findings(section))

    def findings(self, findings: tuple[Finding, ...]) -> Markup:
        """Findings under their section; open holds stand in the first part."""
        told = [f for f in findings if not f.open_hold]
        return self.ours(
            "findings",
            groups=grouped(told, self.outcome.rules, self.outcome.job.units),
            holds=len(findings) - len(told),
        )

    def fresh(self, finding: Finding) -> Markup:
        """A mark on what the earlier outcome did not say."""
        if self.about.since is None or (finding.rule, finding.says) in self.said_before:
            return EMPTY
        revision = f" in {self.about.revision}" if self.about.revision else ""
        return Markup('<strong class="new">{}</strong> ').format(f"New{revision}.")

    def part(self, name: str) -> Markup:
        """The body of one of the file's own parts; empty where it has nothing to say."""
        if name == "others":
            rest = tuple(f for f in self.outcome.findings if plugin_of(f) not in self.placed)
            return self.findings(rest) if rest else EMPTY
        if name == "sign-off":
            return self.dressed(name, {"protection": protection_of(self.outcome.job.building)})
        values = self.part_values(name)
        return EMPTY if values is None else self.ours(name, **values)

    def part_values(self, name: str) -> Mapping[str, Any] | None:
        """What the template of a part is given; None where the part has nothing to say."""
        outcome, job, notes = self.outcome, self.outcome.job, self.notes
        if name == "changes":
            return self.changed()
        if name == "holds":
            return {"groups": grouped(outcome.holds, outcome.rules, job.units)}
        if name == "scope":
            return {"runs": runs(outcome), "protection": protection_of(job.building)}
        if name == "photographs":
            rooms = shown_by_room(outcome)
            return {"rooms": rooms, "figure": self.sections.figure} if rooms else None
        if name == "touched":
            table = outcome.sheet.get(OfficerTable)
            return {"undoing": table.undoing if table else ()}
        if name == "amended":
            lines = amended(outcome)
            return {"amended": lines} if lines else None
        if name == "departures":
            return {"settled": [f for f in outcome.findings if f.settled and not f.settled.cured]}
        if name == "notes":
            return {"notes": notes.numbered, "number_of": notes.source_number} if notes.numbered else None
        if name == "sources":
            given = {"sources": notes.sources, "standings": STANDINGS, "stands_in": stands_in}
            return given if notes.sources else None
        return {}

    def changed(self) -> Mapping[str, Any] | None:
        """What changed since the earlier outcome."""
        if self.about.since is None:
            return None
        from listel.reports.compare import in_words

        before = self.about.since["survey"].get("revision") or "the earlier one"
        rooms = in_words(self.changes) if self.changes else []
        return {"told": self.changes, "rooms": rooms, "before": before, "now": self.about.revision or "this one"}


def _changes(since: Mapping[str, Any], outcome: Outcome, revision: str) -> Comparison:
    """What changed since an earlier outcome. Raises ValueError if it is no outcome."""
    from listel.reports.compare import compared

    told = outcome.to_json()
    try:
        return compared(since, {**told, "survey": {**told["survey"], "revision": revision}})
    except (KeyError, TypeError, AttributeError) as error:
        raise ValueError("this is no outcome; write one with: listel statement SURVEY --json") from error
