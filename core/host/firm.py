"""What is at work over a job: listel's own plugins, those installed beside it, a firm's files and house rules."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from typing import Any

from listel.core.host.added import options_schema
from listel.core.host.engine import examine
from listel.core.host.outcome import Given, Outcome
from listel.core.host.plugin import Plugin
from listel.core.host.registry import Registry, load
from listel.core.host.slips import slips_of
from listel.core.survey.job import Job
from listel.core.survey.messages import Fault, SurveyFaults, did_you_mean
from listel.core.survey.yaml_places import Document, read_text


class Firm:
    """The plugins and house rules at work. Nothing of it is kept anywhere else, and it pickles as what it was made of.

    ``plugins`` and ``house`` are files, or one; ``installed``: whether the plugins of installed packages are at work
    too; ``reckoners``: whether the calculations of listel's own plugins are wanted; ``options``: what plugins are
    told, by name. Raises Faults, with every fault, where a house file cannot be read or a plugin
    of that name is not there; a plugin that fails says so in each statement.
    """

    def __init__(
        self,
        *,
        plugins: Path | Iterable[Path | str] = (),
        house: Path | Iterable[Path | str] = (),
        installed: bool = True,
        reckoners: bool = False,
        options: Mapping[str, Mapping[str, Any]] | None = None,
    ) -> None:
        self._made_of: dict[str, Any] = {
            "plugins": _files(plugins),
            "house": _files(house),
            "installed": installed,
            "reckoners": reckoners,
            "options": options or {},
        }
        self.registry: Registry = load(self._made_of["plugins"], entry_points=installed, reckoners=reckoners)
        self.house: list[Plugin] = []
        if self._made_of["house"]:
            from listel.core.house.rules import house_plugins

            self.house = house_plugins(self._made_of["house"], self.registry)
        if options:
            self.take_options(read_text(json.dumps({"options": options}), "options", "options"))

    @property
    def options(self) -> Mapping[str, Mapping[str, Any]]:
        """What plugins are told, by name."""
        told: Mapping[str, Mapping[str, Any]] = self._made_of["options"]
        return told

    def take_options(self, document: Document) -> None:
        """Tell the plugins what stands under ``options`` in a document. Raises Faults, each at its place, for what they
        do not ask for."""
        from listel.core.survey.schema_words import schema_faults

        schema = options_schema((plugin.name, form) for plugin in self.registry.plugins for form in plugin.options)
        known = sorted(plugin.name for plugin in self.registry.plugins)
        faults = [
            document.fault(
                ("options", name), f"there is no plugin {name}.{did_you_mean(name, known, 'there are')}", at_key=True
            )
            for name in document.data.get("options", {})
            if name not in known
        ]
        if faults := [*faults, *schema_faults(document, schema)]:
            raise SurveyFaults(faults)
        self._made_of["options"] = document.data.get("options", {})

    def __reduce__(self) -> tuple[Any, ...]:
        return _firm, (self._made_of,)

    @cached_property
    def schema(self) -> dict[str, Any]:
        """The JSON Schema of a survey with the words that these plugins bring."""
        from listel.core.host.words import schema_with

        return schema_with(plugin for plugin in (*self.registry.plugins, *self.house) if plugin.outside)

    @cached_property
    def digest(self) -> str:
        """Stands for all that is at work: two firms of one digest make the same of one survey."""
        parts = sorted(f"{each.called} {each.tables_digest}" for each in (*self.registry.plugins, *self.house))
        options = json.dumps(self._made_of["options"], sort_keys=True, default=str)
        return sha256("\n".join((*parts, options)).encode()).hexdigest()

    def read(self, path: Path) -> Job:
        """The job that a survey file tells of. Raises Faults, with every fault."""
        from listel.core.survey.reading import read_survey

        return read_survey(path, self.schema, self.slips)

    def read_text(self, text: str, name: str) -> Job:
        """The job that a survey's text tells of; ``name`` stands for its file. Raises as :meth:`read` does."""
        from listel.core.survey.reading import job_from_text

        return job_from_text(text, name, self.schema, self.slips)

    def slips(self, job: Job) -> list[Fault]:
        """What is wrong with the records and departures of a job beside the rules at work."""
        return slips_of(job, (*self.registry.plugins, *self.house)) if job.records or job.departures else []

    def examine(self, job: Job, given: Sequence[Given] = (), *, limits: bool = True) -> Outcome:
        """Every stage over a job, with what is ``given`` to plugins beside it. Raises Faults for a record or a
        departure that the rules at work do not allow."""
        return examine(job, self.registry, self.house, given, limits=limits, options=self.options)


def _files(named: Path | Iterable[Path | str]) -> tuple[Path, ...]:
    return (Path(named),) if isinstance(named, (str, Path)) else tuple(map(Path, named))


def _firm(made_of: dict[str, Any]) -> Firm:
    return Firm(**made_of)
