"""The form for the site: what the survey knows is printed, what it does not know is left open for a thick pencil.

``house.py`` is its first sheet, ``room.py`` that of a room, ``behind.py`` the part of it on what lies behind the walls
and stands on them; ``filling.py`` holds the tables that all of them are made of.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from listel.core.host.outcome import Outcome
from listel.core.survey.job import Job
from listel.core.survey.own import Schema
from listel.reports.drawings.small_plan import small_plan
from listel.reports.papers import About, Leaf
from listel.reports.papers.form.filling import Firm
from listel.reports.papers.form.house import house
from listel.reports.papers.form.room import of_room

NAMED = "form for the site"
LARGE = False
PLAN = 42.0
"""How wide and tall the plan of a room stands, mm."""


def leaves(outcome: Outcome, about: About) -> Iterator[Leaf]:
    """The house, then each room: its walls, what is in them, behind them and on them."""
    job, firm = outcome.job, Firm(about.schema, outcome.job.units)
    yield Leaf(name="house", title="The house", template="form/sheet.html.j2", view=house(job, firm))
    for number, room in enumerate(job.rooms, 1):
        yield Leaf(
            name=f"room-{number}",
            title=room.name,
            template="form/sheet.html.j2",
            view=of_room(room, job.units, firm, small_plan(outcome, room.name, PLAN)),
        )


def written(job: Job, ending: str, schema: Schema) -> str | bytes:
    """The form of a survey that nobody has reckoned yet, in the form that ends so (".html", ".pdf", ".docx").

    Raises InputFault where it needs more than is installed.
    """
    from listel.core.host.engine import examine
    from listel.core.host.registry import Registry
    from listel.reports import forms
    from listel.reports.statement import compose, to_html

    made = compose(examine(job, Registry(())), readers="form", schema=schema)
    form = next((name for name, end in forms.FORMS.items() if end == ending), None)
    if form is None:
        return to_html(made)
    forms.ready([form])
    files, _ = forms.files(made, job, [form], lambda end: Path(f"form{end}"))
    return files[0][1]
