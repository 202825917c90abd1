"""A statement made from the outcome, and the one self-contained HTML file that holds it.

Its parts are written in a small subset of HTML: h2 h3 h4 p table caption thead tbody tr th td ul ol li figure
figcaption div span strong em sup a br, with class, id, scope and href, and the SVG of the drawings. Whatever else
is made of a statement is made from the same parts.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import KW_ONLY, replace
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

from markupsafe import Markup, escape

from listel.core.contract.stage import Reader
from listel.core.contract.tables import adding
from listel.core.host.collecting import uncollected
from listel.core.host.outcome import Outcome
from listel.core.house.wording import wording
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.core.survey.own import Schema
from listel.reports.drawings.paper import SVG
from listel.reports.dress import Dress
from listel.reports.papers import About
from listel.reports.sections import SectionFailed
from listel.reports.templating import environment, render_ours

_TAG = re.compile(r"<[^>]*>")
_DIGEST = re.compile(r"[0-9a-f]{64}\b")
LONG_WORD = 40
"""Letters of a word that may have to be broken."""


@dataclass(frozen=True)
class Part:
    """One part of the statement: its anchor, its number (0: none), its title and its body in the subset of HTML."""

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
    _: KW_ONLY
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


@uncollected()
def composed(
    outcome: Outcome,
    *,
    readers: Reader = "all",
    dated: str = "",
    revision: str = "",
    since: Mapping[str, Any] | None = None,
    dress: Path | None = None,
    schema: Schema | None = None,
) -> tuple[Outcome, Statement]:
    """The same, and the outcome it tells: where a section of a plugin from outside could not be made, one with that
    hold. ``schema`` is the survey's, whose own facts of firms the form for the site asks for."""
    job = outcome.job
    about = About(dated=dated or job.surveyed, revision=revision or job.revision, since=since, schema=schema)
    paper = import_module(f"listel.reports.papers.{'whole' if readers == 'all' else 'pack'}")
    with adding(outcome.added):
        while True:
            try:
                return outcome, _as_said(paper.statement(outcome, readers, about, Dress(dress)), job)
            except SectionFailed as failed:
                outcome = outcome.without_section(failed.name, failed.says)


def _as_said(made: Statement, job: Job) -> Statement:
    """The statement in the words of the job's region."""
    put = wording(job, html=True)

    def regional(text: Markup) -> Markup:
        return Markup(put(text))

    parts = tuple(
        replace(part, title=regional(escape(part.title)).unescape(), body=regional(part.body)) for part in made.parts
    )
    return replace(made, head=regional(made.head), short=regional(made.short), parts=parts)


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
        "breaks": any(map(_has_long_words, bodies)),
    }
    return str(render_ours(environment(Job("")), "pack.html.j2" if statement.pack else "frame.html.j2", values))


def _has_long_words(body: Markup) -> bool:
    """Whether a word stands there, outside drawings, that may have to be broken; a digest is set small enough."""
    told = " ".join(part.rpartition("</svg>")[2] for part in str(body).split("<svg"))
    return any(len(word) >= LONG_WORD and not _DIGEST.match(word) for word in _TAG.sub(" ", told).split())


def _scrolling(body: Markup) -> Markup:
    """The body with its tables and drawings in boxes that scroll, by keyboard too, where the screen is too narrow.

    Within HTML a drawing needs no name of its language, so that the file holds no address at all.
    """
    box = '<div class="wide" tabindex="0">'
    text = str(body).replace("<table", f"{box}<table").replace("</table>", "</table></div>")
    text = text.replace(f' xmlns="{SVG}"', "")
    return Markup(text.replace('<div class="paper">', '<div class="paper" tabindex="0">'))


@cache
def _style(name: str) -> str:
    return Path(__file__).with_name(name).read_text("utf-8")


def _css_text(words: str) -> str:
    """Words as a CSS string may hold them, whatever they are."""
    return re.sub(r"[^A-Za-z0-9 ,.;:]", lambda match: f"\\{ord(match[0]):x} ", words)
