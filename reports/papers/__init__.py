"""Papers: each is made from the outcome for one pair of hands. A module builds the typed view of what stands on each
sheet, in order; the templates of the same name lay it out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from listel.core.contract.stage import Reader
from listel.core.host.engine import Outcome
from listel.reports.dress import Dress
from listel.reports.templating import environment, render_ours

if TYPE_CHECKING:
    from listel.reports.statement import Statement


@dataclass(frozen=True, kw_only=True)
class Leaf:
    """One sheet of a paper: its name, the title at its head, the template that lays it out, and what stands on it."""

    name: str
    title: str
    template: str
    view: Any


@dataclass(frozen=True, kw_only=True)
class About:
    """What every sheet may say of itself: the job in short, its date, its revision."""

    dated: str
    revision: str


def pack(readers: Reader, outcome: Outcome, *, dated: str, revision: str, dress: Dress) -> Statement:
    """The paper for those readers. Raises TemplateFault as :func:`listel.reports.statement.render` does."""
    from listel.reports.statement import Part, Statement, foot

    paper = import_module(f"listel.reports.papers.{readers}")
    job = outcome.job
    about = About(dated=dated or job.surveyed, revision=revision or job.revision)
    made = environment(job)
    leaves: Iterable[Leaf] = paper.leaves(outcome, about)
    values = {"job": job, "outcome": outcome, "about": about, "svg": lambda drawing: Markup(drawing.svg)}
    mark = Markup('<p class="logo"><img src="{}" alt=""></p>').format(logo) if (logo := dress.logo()) else Markup("")
    parts: list[Part] = []
    for leaf in leaves:
        body = render_ours(made, leaf.template, {**values, "view": leaf.view})
        parts.append(Part(f"sheet-{leaf.name}", 0, leaf.title, body if parts else mark + body))
    return Statement(
        job.title,
        job.reference,
        about.revision,
        about.dated,
        outcome.fit_for_issue,
        foot(outcome, about.dated),
        Markup(""),
        Markup(""),
        tuple(parts),
        dress.style(),
        named=paper.NAMED,
        pack=True,
        large=paper.LARGE,
    )
