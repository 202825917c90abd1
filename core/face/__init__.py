"""listel: one survey of a trim job in, a method statement and its reckoning out.

The names a plugin author needs are fetched from the rooms on first use, so that
``import listel`` stays cheap.
"""

TYPE_CHECKING = False
if TYPE_CHECKING:
    from listel.core.contract.findings import Finding, Grounds, Input, Source, Where
    from listel.core.contract.hooks import hookimpl
    from listel.core.contract.lines import sets, told
    from listel.core.contract.reckoning import Option, Reckoner, Reckoning
    from listel.core.contract.rules import Rule, load_rules
    from listel.core.contract.stage import Section, Sheet, Stage, Step, Words
    from listel.core.contract.tables import Row, load_table
    from listel.core.survey.job import Job

__version__ = "0.1.0"

_HOMES = {
    "Finding": "contract.findings",
    "Grounds": "contract.findings",
    "Input": "contract.findings",
    "Source": "contract.findings",
    "Where": "contract.findings",
    "hookimpl": "contract.hooks",
    "Job": "survey.job",
    "sets": "contract.lines",
    "told": "contract.lines",
    "Option": "contract.reckoning",
    "Reckoner": "contract.reckoning",
    "Reckoning": "contract.reckoning",
    "Rule": "contract.rules",
    "load_rules": "contract.rules",
    "Section": "contract.stage",
    "Sheet": "contract.stage",
    "Stage": "contract.stage",
    "Step": "contract.stage",
    "Words": "contract.stage",
    "Row": "contract.tables",
    "load_table": "contract.tables",
}

__all__ = [
    "Finding",
    "Grounds",
    "Input",
    "Job",
    "Option",
    "Reckoner",
    "Reckoning",
    "Section",
    "Sheet",
    "Source",
    "Stage",
    "Step",
    "Where",
    "Words",
    "hookimpl",
    "Rule",
    "load_rules",
    "load_table",
    "Row",
    "sets",
    "told",
]


def __getattr__(name: str) -> object:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module 'listel' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"listel.core.{home}"), name)
