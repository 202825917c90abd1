"""The method statement: parts made from the outcome, and the one self-contained HTML file that holds them.

The parts are written in a small subset of HTML: h2 h3 h4 p table caption thead tbody tr th td ul ol li figure
figcaption div span strong em sup a br, with class, id, scope and href, and the SVG of the drawings. Whatever else
is made of a statement is made from the same parts.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache, partial
from pathlib import Path
from typing import Any, get_args

from markupsafe import Markup, escape

from listel import __version__
from listel.core.contract.findings import Finding
from listel.core.contract.lines import line_kinds
from listel.core.contract.stage import Reader, Said, Section, Steps
from listel.core.contract.tables import adding
from listel.core.host.engine import Outcome, outcome_json, without_section
from listel.core.host.limits import told_error
from listel.core.house.filters import date
from listel.core.survey.faults import InputFault
from listel.core.survey.job import Job
from listel.reports.amended import amended
from listel.reports.compare import Comparison, alike, by_line, compared, units_of
from listel.reports.drawings.paper import SVG, Drawing
from listel.reports.dress import Dress
from listel.reports.fabric import stuck, touched
from listel.reports.grouping import grouped
from listel.reports.notes import STANDINGS, Notes, stands_in
from listel.reports.opening import opening, quantity, reason, runs
from listel.reports.templating import environment, render_file, render_ours
from listel.reports.walk import tree
from listel.reports.wording import regional

READERS: tuple[Reader, ...] = get_args(Reader)
FOR_WHOM: dict[str, str] = {
    "client": "the client's part",
    "officer": "the conservation officer's part",
    "all": "",
}

PACKS: tuple[Reader, ...] = ("workshop", "client", "officer", "snags", "handover")
"""The readers whose paper is made by a module of ``reports/papers``."""

EMPTY = Markup("")
_TAGS = re.compile(r"<svg.*?</svg>|<[^>]*>", re.DOTALL)
_LONG_WORD = re.compile(r"(?<!\S)(?![0-9a-f]{64}\b)\S{40}")

OWN_PARTS: tuple[tuple[int, str, str, tuple[Reader, ...]], ...] = (
    (10, "changes", "What changed since the last revision", ("all",)),
    (20, "holds", "What must be settled first", ("all",)),
    (30, "scope", "The work and the building", ("all",)),
    (40, "rooms", "The rooms, wall by wall", ("all",)),
    (50, "touched", "What is touched, and how it comes off again", ("officer",)),
    (60, "photographs", "Photographs", ("all",)),
    (890, "amended", "What the firm's own rules changed", ("all",)),
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
    named: str = "method statement"
    pack: bool = False
    """Whether each part is a sheet to be used alone: unnumbered, without contents, in plain type to the margins."""
    large: bool = False
    """Whether it is set in larger type, for those who read it once and at ease."""


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


def compose(outcome: Outcome, **how: Any) -> Statement:
    """The statement in its parts. Arguments and faults as for :func:`render`."""
    return composed(outcome, **how)[1]


def composed(
    outcome: Outcome,
    *,
    readers: Reader = "all",
    dated: str = "",
    revision: str = "",
    since: Mapping[str, Any] | None = None,
    dress: Path | None = None,
) -> tuple[Outcome, Statement]:
    """The same, and the outcome it tells: where a section of a plugin from outside could not be made, one with that
    hold."""
    with adding(outcome.added):
        if readers in PACKS:
            from listel.reports.papers import pack

            made = pack(readers, outcome, dated=dated, revision=revision, dress=Dress(dress))
            return outcome, _as_said(made, outcome.job)
        while True:
            try:
                made = _Composer(outcome, readers, dated, revision, since, Dress(dress)).statement()
                return outcome, _as_said(made, outcome.job)
            except SectionFailed as failed:
                outcome = without_section(outcome, failed.name, failed.says)


class SectionFailed(Exception):
    """A section of a plugin from outside that could not be made: its name, and what is wrong."""

    def __init__(self, name: str, says: str) -> None:
        super().__init__(f"{name}: {says}")
        self.name, self.says = name, says


def _as_said(made: Statement, job: Job) -> Statement:
    """The statement in the words of the job's region."""
    parts = tuple(
        replace(part, title=regional(escape(part.title), job).unescape(), body=regional(part.body, job))
        for part in made.parts
    )
    return replace(made, head=regional(made.head, job), short=regional(made.short, job), parts=parts)


def to_html(statement: Statement) -> str:
    """One HTML file of a statement's parts."""
    bodies = (statement.head, statement.short, *(part.body for part in statement.parts))
    title, revision = statement.title, statement.revision
    values = {
        "statement": statement,
        "style": Markup(_style("pack.css" if statement.pack else "statement.css") + statement.style),
        "running": Markup(_css_text(f"{title[:80]}, revision {revision}" if revision else title[:100])),
        "foot": Markup(_css_text(statement.foot)),
        "scrolling": _scrolling,
        "breaks": any(_LONG_WORD.search(_TAGS.sub(" ", body)) for body in bodies),
    }
    return str(render_ours(environment(Job("")), "pack.html.j2" if statement.pack else "frame.html.j2", values))


def _scrolling(body: Markup) -> Markup:
    """The body with its tables and drawings in boxes that scroll, by keyboard too, where the screen is too narrow.

    Within HTML a drawing needs no name of its language, so that the file holds no address at all.
    """
    box = '<div class="wide" tabindex="0">'
    text = str(body).replace("<table", f"{box}<table").replace("</table>", "</table></div>")
    text = text.replace(f' xmlns="{SVG}"', "")
    return Markup(text.replace('<div class="paper">', '<div class="paper" tabindex="0">'))


class _Composer:
    """Renders each part in turn; what they cite is gathered for the notes, which come last."""

    def __init__(
        self,
        outcome: Outcome,
        readers: Reader,
        dated: str,
        revision: str,
        since: Mapping[str, Any] | None,
        dress: Dress,
    ) -> None:
        self.outcome, self.readers, self.dress = outcome, readers, dress
        dress.check(section.name for section in outcome.sections)
        self.dated = dated or outcome.job.surveyed
        self.revision = revision or outcome.job.revision
        self.since = since
        self.environment = environment(outcome.job)
        self.notes = Notes(shown=readers in ("all", "officer"))
        self.plain = readers == "client"
        self.recording = readers == "all"
        self.changes = None if since is None else _changes(since, outcome)
        self.said_before = {(told["rule"], told["says"]) for told in since["findings"]} if since else set()
        self.drawn: dict[str, str] = {}
        self.placed = {section.name.replace("-", "_") for section in outcome.sections}
        self.values: dict[str, Any] = {
            "job": outcome.job,
            "sheet": outcome.sheet,
            "outcome": outcome,
            "findings": (),
            "result": {type(result).__name__: result for result in outcome.sheet}.get,
            "readers": readers,
            "drawing": self.drawing,
            "note": self.notes.cite,
        }

    def statement(self) -> Statement:
        """Every part the reader's copy has, in order of place."""
        job = self.outcome.job
        wanted: list[tuple[int, str, str, Callable[[], Markup]]] = []
        for place, name, title, readers in OWN_PARTS:
            if self._reads(readers):
                wanted.append((place, name, title, partial(self.part, name)))
        for section in self.outcome.sections:
            if self._reads(section.readers):
                wanted.append((section.place, section.name, section.title, partial(self._section, section)))
        parts: list[Part] = []
        for _, name, title, body in sorted(wanted, key=lambda part: part[0]):
            made = body()
            if made.strip():
                parts.append(Part(f"part-{name}", len(parts) + 1, title, made))
        reasons = list(dict.fromkeys(reason(hold) for hold in self.outcome.holds))
        about = {
            "dated": self.dated,
            "revision": self.revision,
            "for_whom": FOR_WHOM[self.readers],
            "version": __version__,
        }
        return Statement(
            job.title,
            job.reference,
            self.revision,
            self.dated,
            self.outcome.fit_for_issue,
            self.foot(),
            self._dressed("title", {**about, "logo": self.dress.logo()}) + "\n" + self._ours("status", reasons=reasons),
            self._dressed("opening", {"rows": opening(self.outcome)}),
            tuple(parts),
            self.dress.style(),
        )

    def _reads(self, readers: tuple[Reader, ...]) -> bool:
        return self.readers == "all" or "all" in readers or self.readers in readers

    def foot(self) -> str:
        """What stands at the foot of each page."""
        return foot(self.outcome, self.dated)

    def _dressed(self, name: str, values: Mapping[str, Any]) -> Markup:
        """One of our templates, or the firm's own in its place."""
        given = {**self.values, **values}
        own = self.dress.template(name)
        if own:
            return render_file(self.environment, own, given, trusted=False, drawings=self.drawn)
        return render_ours(self.environment, f"{name}.html.j2", given)

    def _section(self, section: Section) -> Markup:
        """A plugin's section: its own words, then its findings."""
        mine = tuple(f for f in self.outcome.findings if _plugin_of(f) == section.name.replace("-", "_"))
        given = {**self.values, "findings": mine}
        own = self.dress.template(section.name)
        trusted = section.trusted and not own
        template = own or section.template
        try:
            words = render_file(self.environment, template, given, trusted=trusted, drawings=self.drawn)
            if section.outside and not own:
                tree(words, template.name)
        except Exception as error:
            if own or not section.outside:
                raise
            says = str(error) if isinstance(error, InputFault) else told_error(error)
            raise SectionFailed(section.name, says) from error
        return words + self._findings(mine)

    def _findings(self, findings: tuple[Finding, ...]) -> Markup:
        """Findings under their section: open holds stand in the first part, and a client is not told what only
        confirms."""
        told = [f for f in findings if not f.open_hold and not (self.plain and f.weight == "record")]
        holds = sum(1 for f in findings if f.open_hold)
        return self._ours("findings", groups=grouped(told, recording=self.recording), holds=holds)

    def _ours(self, name: str, **values: Any) -> Markup:
        return render_ours(
            self.environment, f"{name}.html.j2", {**self.values, "plain": self.plain, "fresh": self.fresh, **values}
        )

    def fresh(self, finding: Finding) -> Markup:
        """A mark on what the earlier outcome did not say."""
        if self.since is None or (finding.rule, finding.says) in self.said_before:
            return EMPTY
        revision = f" in {self.revision}" if self.revision else ""
        return Markup('<strong class="new">{}</strong> ').format(f"New{revision}.")

    def part(self, name: str) -> Markup:
        """The body of one of the statement's own parts; empty where it has nothing to say."""
        outcome, job = self.outcome, self.outcome.job
        if name == "changes":
            return self._changes()
        if name == "holds":
            return self._ours("holds", groups=grouped(outcome.holds, recording=self.recording))
        if name == "scope":
            return self._ours("scope", runs=runs(outcome), quantity=lambda metres: quantity(metres, job))
        if name == "photographs":
            from listel.reports.photos import shown_by_room

            rooms = shown_by_room(outcome)
            return self._ours("photographs", rooms=rooms, figure=self._figure) if rooms else EMPTY
        if name == "touched":
            return self._ours("touched", touched=touched(outcome), stuck=stuck(outcome))
        if name == "amended":
            lines = amended(outcome)
            return self._ours("amended", amended=lines) if lines else EMPTY
        if name == "others":
            rest = tuple(f for f in outcome.findings if _plugin_of(f) not in self.placed)
            return self._findings(rest) if rest else EMPTY
        if name == "departures":
            return self._ours("departures", settled=[f for f in outcome.findings if f.settled and not f.settled.cured])
        if name == "sign-off":
            return self._dressed("sign-off", {"revision": self.revision})
        if name == "notes":
            notes = self.notes
            return self._ours("notes", notes=notes.numbered, number_of=notes.source_number) if notes.numbered else EMPTY
        if name == "sources":
            sources = self.notes.sources
            return (
                self._ours("sources", sources=sources, standings=STANDINGS, stands_in=stands_in) if sources else EMPTY
            )
        return self._ours(name)

    def _changes(self) -> Markup:
        if self.since is None:
            return EMPTY
        before = self.since["survey"].get("revision") or "the earlier one"
        told = self.changes
        lines = by_line(told.lines) if told else []
        now = self.revision or "this one"
        return self._ours("changes", told=told, lines=lines, alike=alike, before=before, now=now)

    def drawing(self, name: str, **keys: Any) -> Markup:
        """The figure of a drawing, its title beneath it; where the same was drawn before, a way back to it."""
        from listel.reports.drawings import draw

        made = draw(name, self.outcome, **keys)
        return Markup("").join(self._figure(sheet) for sheet in (made, *made.further))

    def _figure(self, made: Drawing) -> Markup:
        before = self.drawn.get(made.svg)
        if before:
            return Markup(f'<p>Drawn above: <a href="#{before}">{escape(made.title)}</a>.</p>')
        anchor = self.drawn[made.svg] = f"drawing-{len(self.drawn) + 1}"
        scale = f", {made.scale}" if made.scale else ""
        return Markup(
            f'<figure class="drawing" id="{anchor}"><div class="paper">{made.svg}</div>'
            f"<figcaption><strong>{escape(made.title)}</strong>{escape(scale)}</figcaption></figure>"
        )


def _changes(since: Mapping[str, Any], outcome: Outcome) -> Comparison:
    """What changed since an earlier outcome. Raises ValueError if it is no outcome."""
    kinds = line_kinds(type(result) for result in outcome.sheet if not isinstance(result, (Said, Steps)))
    try:
        return compared(since, outcome_json(outcome), units_of(kinds.values()))
    except (KeyError, TypeError, AttributeError) as error:
        raise ValueError("this is no outcome; write one with: listel statement SURVEY --json") from error


def _plugin_of(finding: Finding) -> str:
    """The plugin a finding is of, as its section is named; rules are in kebab-case."""
    return finding.rule.split("/")[0].replace("-", "_")


def foot(outcome: Outcome, dated: str) -> str:
    """What stands at the foot of each page: the date, the version and the outcome."""
    return f"{date(dated) if dated else 'not dated'}; listel {__version__}; outcome {outcome.digest[:12]}"


@cache
def _style(name: str) -> str:
    return Path(__file__).with_name(name).read_text("utf-8")


def _css_text(words: str) -> str:
    """Words as a CSS string may hold them, whatever they are."""
    return re.sub(r"[^A-Za-z0-9 ,.;:]", lambda match: f"\\{ord(match[0]):x} ", words)
