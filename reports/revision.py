"""The next revision of a statement: its letter, the survey that names it, and the outcome that was issued before."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.core.survey.splice import changed
from listel.core.survey.yaml_places import text_of
from listel.reports.compare_command import read_outcome

FIRST, LAST = "A", "Z"


@dataclass(frozen=True, kw_only=True)
class Issue:
    """One issue of a statement: its ``revision`` and date, where its outcome is kept (``place``), the survey's new text
    (None: it names the revision already), and the outcome it is held against."""

    revision: str
    dated: str
    place: Path
    text: str | None
    since: Path | None


def next_revision(survey: Path, outcome: Outcome) -> Issue:
    """The first issue of a survey, or the one after the last that is kept beside it. Raises InputFault where nothing
    changed since, or no letter is left."""
    letters = [path.stem[-1] for path in survey.parent.glob(f"{survey.stem}-?.json")]
    issued = sorted(letter for letter in letters if FIRST <= letter <= LAST)
    since = survey.with_name(f"{survey.stem}-{issued[-1]}.json") if issued else None
    if since is not None and read_outcome(since)["digest"] == outcome.digest:
        raise InputFault(
            f"{survey.name}: nothing has changed since revision {issued[-1]}, which stays as it was issued"
        )
    if issued and issued[-1] == LAST:
        raise InputFault(f"{survey.name}: the letters are used up; begin a new survey file from this one")
    revision = chr(ord(issued[-1]) + 1) if issued else FIRST
    text = text_of(survey, "survey")
    return Issue(
        revision=revision,
        dated=date.today().isoformat(),
        place=survey.with_name(f"{survey.stem}-{revision}.json"),
        text=None if outcome.job.revision == revision else changed(text, ("job", "revision"), revision),
        since=since,
    )
