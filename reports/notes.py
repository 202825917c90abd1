"""The notes of a statement: each grounds once, numbered where it is first cited, and the sources they rest on."""

from __future__ import annotations

from markupsafe import Markup

from listel.core.contract.findings import Grounds, Source, Standing
from listel.core.survey.job import Job

STANDINGS: dict[Standing, str] = {
    "published-seen": "published, and read for this program",
    "published-second-hand": "published, seen as quoted elsewhere",
    "published-from-memory": "published, cited from memory",
    "common-practice": "common practice of the trade, no source",
    "allowance": "an allowance of this program, with no authority",
    "derived": "arithmetic and geometry",
    "house-rule": "a firm's own rule",
}


_EUROPEAN = {"CEN", "DIN", "BSI", "IET and BSI", "HSE", "NHBC", "National House-Building Council", "HM Government"}
"""The British and European bodies whose figures are used."""


def stands_in(source: Source, job: Job) -> bool:
    """Whether a source is British or European and the job American: it stands in for a figure that was not seen."""
    american = job.building.region == "united-states"
    return american and source.author in _EUROPEAN


class Notes:
    """Collects what is cited."""

    def __init__(self) -> None:
        self._numbers: dict[Grounds, int] = {}
        self._sources: dict[Source, int] = {}

    def cite(self, grounds: Grounds) -> Markup:
        """The raised number of the note that holds these grounds; nothing where there are none to show."""
        if grounds == Grounds():
            return Markup("")
        number = self._numbers.setdefault(grounds, len(self._numbers) + 1)
        for source in grounds.sources:
            self._sources.setdefault(source, len(self._sources) + 1)
        return Markup(f'<sup><a href="#note-{number}">{number}</a></sup>')

    @property
    def numbered(self) -> list[tuple[int, Grounds]]:
        """Each note with its number."""
        return [(number, grounds) for grounds, number in self._numbers.items()]

    @property
    def sources(self) -> list[tuple[int, Source]]:
        """Each source with its number, in order of first use."""
        return [(number, source) for source, number in self._sources.items()]

    def source_number(self, source: Source) -> int:
        """The number of a source that is cited."""
        return self._sources[source]
