"""A pack: sheets to be used alone, the paper's own first, then those of plugins that have a view for its reader."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from importlib import import_module

from markupsafe import Markup

from listel.core.contract.stage import Reader
from listel.core.host.outcome import Outcome
from listel.reports.dress import Dress
from listel.reports.papers import About, Leaf, foot
from listel.reports.sections import EMPTY, Sections
from listel.reports.statement import Part, Statement
from listel.reports.templating import render_ours


def statement(outcome: Outcome, readers: Reader, about: About, dress: Dress) -> Statement:
    """The paper for those readers. Raises TemplateFault and SectionFailed as rendering does."""
    paper = import_module(f"listel.reports.papers.{readers.replace('-', '_')}")
    job, sections = outcome.job, Sections(outcome, readers, dress)
    leaves: Iterable[Leaf] = paper.leaves(outcome, about)
    values = {"job": job, "outcome": outcome, "about": about, "svg": lambda drawing: Markup(drawing.svg)}
    mark = Markup('<p class="logo"><img src="{}" alt=""></p>').format(logo) if (logo := dress.logo()) else EMPTY
    parts: list[Part] = []
    for leaf in leaves:
        body = render_ours(sections.environment, leaf.template, {**values, "view": leaf.view})
        if leaf.follows and parts:
            title = Markup("<h3>{}</h3>\n").format(leaf.title)
            parts[-1] = replace(parts[-1], body=parts[-1].body + title + body)
        else:
            parts.append(Part(f"sheet-{leaf.name}", 0, leaf.title, body if parts else mark + body))
    for section in sections.shown():
        if (words := sections.words(section)).strip():
            parts.append(Part(f"sheet-{section.name}", 0, section.title, words))
    return Statement(
        job.title,
        job.reference,
        about.revision,
        about.dated,
        outcome.fit_for_issue,
        foot=foot(outcome, about.dated),
        head=EMPTY,
        short=EMPTY,
        parts=tuple(parts),
        style=dress.style(),
        named=paper.NAMED,
        pack=True,
        large=paper.LARGE,
    )
