"""listel: one survey of a trim job in, a method statement and its reckoning out.

The names a plugin author needs are fetched from the rooms on first use, so that
``import listel`` stays cheap.
"""

TYPE_CHECKING = False
if TYPE_CHECKING:
    from listel.core.contract.findings import Finding, Grounds, Input, Source, Where
    from listel.core.contract.firms import HeightOffer, HeightRule, Options, OptionsForm, SurveyFields, room_form
    from listel.core.contract.hooks import hookimpl
    from listel.core.contract.lines import cures, sets, told
    from listel.core.contract.reckoning import Option, Reckoner, Reckoning
    from listel.core.contract.records import records_on
    from listel.core.contract.rules import Rule, load_rules
    from listel.core.contract.stage import Section, Sheet, Stage, Step, Words
    from listel.core.contract.tables import Row, Table, load_table
    from listel.core.host.firm import Firm
    from listel.core.host.outcome import Outcome
    from listel.core.survey.faults import InputFault
    from listel.core.survey.job import Job
    from listel.core.survey.messages import SurveyFaults as Faults
    from listel.library import Examined, audit, compare, estimate, examine, examine_many, read, render

__version__ = "0.2.0"

API = 1
"""The number of the plugin contract: a plugin says which it is made for as ``LISTEL_API``."""

_HOMES = {
    "core.contract.findings": "Finding Grounds Input Source Where",
    "core.contract.firms": "HeightOffer HeightRule Options OptionsForm SurveyFields room_form",
    "core.contract.hooks": "hookimpl",
    "core.contract.lines": "cures sets told",
    "core.contract.records": "records_on",
    "core.contract.reckoning": "Option Reckoner Reckoning",
    "core.contract.rules": "Rule load_rules",
    "core.contract.stage": "Section Sheet Stage Step Words",
    "core.contract.tables": "Row Table load_table",
    "core.host.outcome": "Outcome",
    "core.host.firm": "Firm",
    "core.survey.faults": "InputFault",
    "core.survey.job": "Job",
    "core.survey.messages": "Faults",
    "library": "Examined audit compare estimate examine examine_many read render",
}
"""Public names, by the module that each is fetched from when it is first asked for."""

_NAMED_THERE = {"Faults": "SurveyFaults"}

_LEAVING: dict[str, str] = {}
"""Names that go when the number of the contract rises, each with what to write instead: asked for, it warns."""

__all__ = [
    "API",
    "Examined",
    "Faults",
    "Finding",
    "Firm",
    "Grounds",
    "HeightOffer",
    "HeightRule",
    "Input",
    "InputFault",
    "Job",
    "Option",
    "Options",
    "OptionsForm",
    "Outcome",
    "Reckoner",
    "Reckoning",
    "Row",
    "Rule",
    "Section",
    "Sheet",
    "Source",
    "Stage",
    "Step",
    "SurveyFields",
    "Table",
    "Where",
    "Words",
    "audit",
    "compare",
    "cures",
    "estimate",
    "examine",
    "examine_many",
    "hookimpl",
    "load_rules",
    "load_table",
    "read",
    "records_on",
    "render",
    "room_form",
    "sets",
    "told",
]


def __getattr__(name: str) -> object:
    home = next((home for home, names in _HOMES.items() if name in names.split()), None)
    if home is None:
        raise AttributeError(f"module 'listel' has no attribute {name!r}")
    from importlib import import_module

    if name in _LEAVING:
        from warnings import warn

        says = f"listel.{name} goes with number {API + 1} of the plugin contract; {_LEAVING[name]}"
        warn(says, DeprecationWarning, stacklevel=2)
    return getattr(import_module(f"listel.{home}"), _NAMED_THERE.get(name, name))
