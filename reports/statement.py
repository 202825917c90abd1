"""The method statement: parts made from the outcome, and the one self-contained HTML file that holds them.

The parts are written in a small subset of HTML: h2 h3 h4 p table caption thead tbody tr th td ul ol li figure
figcaption div span strong em sup a br, with class, id, scope and href, and the SVG of the drawings. Whatever else
is made of a statement is made from the same parts.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, get_args

from markupsafe import Markup, escape

from listel import __version__
from listel.core.engine import Outcome
from listel.core.filters import date
from listel.core.findings import WEIGHTS, Finding
from listel.core.stage import Reader, Section
from listel.reports.dress import Dress
from listel.reports.notes import STANDINGS, Notes
from listel.reports.opening import opening, quantity, runs
from listel.reports.templating import environment, render_file, render_ours

READERS: tuple[Reader, ...] = get_args(Reader)
FOR_WHOM: dict[str, str] = {
    "client": "the client's part",
    "officer": "the conservation officer's part",
    "site": "the site part",
    "all": "",
}

OWN_PARTS: tuple[tuple[int, str, str, tuple[Reader, ...]], ...] = (
    (10, "changes", "What changed since the last revision", ("all",)),
    (20, "holds", "What must be settled first", ("all",)),
    (30, "scope", "The work and the building", ("all",)),
    (40, "rooms", "The rooms, wall by wall", ("client", "officer")),
    (50, "touched", "What is touched, and how it comes off again", ("officer",)),
    (60, "sheets", "Sheets for the wall", ("site",)),
    (900, "others", "Further findings", ("all",)),
    (910, "departures", "Departures from the rules", ("all",)),
    (920, "records", "Done and recorded", ("all",)),
    (930, "sign-off", "Sign-off", ("all",)),
    (940, "notes", "Notes: the grounds of each finding", ("officer",)),
    (950, "sources", "Sources", ("officer",)),
    (960, "ran", "What made this statement", ("all",)),
)
"""The statement's own parts: place, name, title, and whose part shows it. A part with nothing to say is left out."""


@dataclass(frozen=True)
class Part:
    """One numbered part of the statement: its anchor, its title and its body in the subset of HTML."""

    name: str
    number: int
    title: str
    body: Markup


@dataclass(frozen=True)
class Statement:
    """A whole statement, ready to be put on paper. ``head`` is the title block, ``short`` the first half page."""

    title: str
    reference: str
    revision: str
    dated: str
    fit_for_issue: bool
    foot: str
    head: Markup
    short: Markup
    parts: tuple[Part, ...]
    style: str


def render(
    outcome: Outcome,
    *,
    readers: Reader = "all",
    dated: str = "",
    revision: str = "",
    since: Mapping[str, Any] | None = None,
    dress: Path | None = None,
) -> str:
    """The statement as one HTML file that needs nothing else: no network, no script.

    ``dated`` stands in for the survey's date; ``revision`` for the survey's; ``since`` is an earlier outcome in its
    JSON form; ``dress`` a folder of a firm's own templates. The same arguments give the same bytes.
    Raises TemplateFault where a template cannot be rendered, ValueError where ``since`` is no outcome.
    """
    return to_html(compose(outcome, readers=readers, dated=dated, revision=revision, since=since, dress=dress))


def compose(
    outcome: Outcome,
    *,
    readers: Reader = "all",
    dated: str = "",
    revision: str = "",
    since: Mapping[str, Any] | None = None,
    dress: Path | None = None,
) -> Statement:
    """The statement in its parts. Arguments and faults as for :func:`render`."""
    return _Composer(outcome, readers, dated, revision, since, Dress(dress)).statement()


def to_html(statement: Statement) -> str:
    """One HTML file of a statement's parts."""
    running = f"{statement.title[:80]}, revision {statement.revision}" if statement.revision else statement.title[:100]
    values = {
        "statement": statement,
        "style": Markup(_style() + statement.style),
        "running": Markup(_css_text(running)),
        "foot": Markup(_css_text(statement.foot)),
    }
    return str(render_ours(environment_of(), "frame.html.j2", values))


@cache
def environment_of() -> Any:
    """Our environment for what hangs on no job."""
    from listel.core.job import Job

    return environment(Job(""))


class _Composer:
    """Renders each part in turn; what they cite is gathered for the notes, which come last."""

    def __init__(
        self, outcome: Outcome, readers: Reader, dated: str, revision: str, since: Mapping[str, Any] | None, dress: Dress
    ) -> None:
        self.outcome, self.readers, self.dress = outcome, readers, dress
        self.dated = dated or outcome.job.surveyed
        self.revision = revision or outcome.job.revision
        self.since = since
        self.environment = environment(outcome.job)
        self.notes = Notes(shown=readers in ("all", "officer"))
        self.plain = readers == "client"
        self.placed = {section.name for section in outcome.sections}
        self.values: dict[str, Any] = {
            "job": outcome.job,
            "sheet": outcome.sheet,
            "outcome": outcome,
            "findings": (),
            "result": {type(result).__name__: result for result in outcome.sheet}.get,
            "drawing": self.drawing,
            "note": self.notes.cite,
        }

    def statement(self) -> Statement:
        """Every part the reader's copy has, in order of place."""
        job = self.outcome.job
        wanted: list[tuple[int, str, str, Callable[[], Markup]]] = []
        for place, name, title, readers in OWN_PARTS:
            if self._reads(readers):
                wanted.append((place, name, title, lambda name=name: self._own(name)))
        for section in self.outcome.sections:
            if self._reads(section.readers):
                wanted.append((section.place, section.name, section.title, lambda s=section: self._section(s)))
        parts: list[Part] = []
        for _, name, title, body in sorted(wanted, key=lambda part: part[0]):
            made = body()
            if made.strip():
                parts.append(Part(f"part-{name}", len(parts) + 1, title, made))
        about = {"dated": self.dated, "revision": self.revision, "for_whom": FOR_WHOM[self.readers]}
        return Statement(
            job.title,
            job.reference,
            self.revision,
            self.dated,
            self.outcome.fit_for_issue,
            self._foot(),
            self._dressed("title", {**about, "logo": self.dress.logo(), "version": __version__}),
            self._dressed("opening", {"rows": opening(self.outcome)}),
            tuple(parts),
            self.dress.style(),
        )

    def _reads(self, readers: tuple[Reader, ...]) -> bool:
        return self.readers == "all" or "all" in readers or self.readers in readers

    def _foot(self) -> str:
        dated = date(self.dated) if self.dated else "not dated"
        return f"{dated}; listel {__version__}; outcome {self.outcome.digest[:12]}"

    def _dressed(self, name: str, values: Mapping[str, Any]) -> Markup:
        """One of our templates, or the firm's own in its place."""
        given = {**self.values, **values}
        own = self.dress.template(name)
        if own:
            return render_file(self.environment, own, given, trusted=False)
        return render_ours(self.environment, f"{name}.html.j2", given)

    def _section(self, section: Section) -> Markup:
        """A plugin's section: its own words, then its findings."""
        mine = tuple(f for f in self.outcome.findings if f.rule.split("/")[0] == section.name)
        given = {**self.values, "findings": mine}
        own = self.dress.template(section.name)
        words = render_file(self.environment, own or section.template, given, trusted=section.trusted and not own)
        return words + self._findings(mine)

    def _findings(self, findings: tuple[Finding, ...]) -> Markup:
        by_weight = [(weight, [f for f in findings if f.weight == weight]) for weight in WEIGHTS]
        return self._ours("findings", groups=[group for group in by_weight if group[1]])

    def _ours(self, name: str, **values: Any) -> Markup:
        return render_ours(self.environment, f"{name}.html.j2", {**self.values, "plain": self.plain, **values})

    def _own(self, name: str) -> Markup:
        """The body of one of the statement's own parts; empty where it has nothing to say."""
        outcome, job = self.outcome, self.outcome.job
        if name == "changes":
            return self._changes()
        if name == "holds":
            return self._ours("holds", holds=outcome.holds)
        if name == "scope":
            return self._ours("scope", runs=runs(outcome), quantity=lambda metres: quantity(metres, job))
        if name == "others":
            rest = tuple(f for f in outcome.findings if f.rule.split("/")[0] not in self.placed)
            return self._findings(rest) if rest else Markup("")
        if name == "departures":
            return self._ours("departures", settled=[f for f in outcome.findings if f.settled])
        if name == "sign-off":
            return self._dressed("sign-off", {"revision": self.revision})
        if name == "notes":
            numbers = self.notes.source_number
            return self._ours("notes", notes=self.notes.numbered, number_of=numbers) if self.notes.numbered else Markup("")
        if name == "sources":
            sources = self.notes.sources
            return self._ours("sources", sources=sources, standings=STANDINGS) if sources else Markup("")
        return self._ours(name)

    def _changes(self) -> Markup:
        if self.since is None:
            return Markup("")
        from listel.core.compare import compared
        from listel.core.engine import outcome_json

        told = compared(self.since, outcome_json(self.outcome))
        before = self.since["survey"].get("revision") or "the earlier one"
        return self._ours("changes", told=told, before=before, now=self.revision or "this one")

    def drawing(self, name: str, **keys: Any) -> Markup:
        """The figure of a drawing, its title beneath it."""
        from listel.reports.drawings import draw

        made = draw(name, self.outcome, **keys)
        scale = f", {made.scale}" if made.scale else ""
        return Markup(
            f'<figure class="drawing"><div class="paper">{made.svg}</div>'
            f"<figcaption><strong>{escape(made.title)}</strong>{escape(scale)}</figcaption></figure>"
        )


@cache
def _style() -> str:
    return Path(__file__).with_name("statement.css").read_text("utf-8")


def _css_text(words: str) -> str:
    """Words as a CSS string may hold them, whatever they are."""
    return re.sub(r"[^A-Za-z0-9 ,.;:]", lambda match: f"\\{ord(match[0]):x} ", words)
