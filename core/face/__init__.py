"""listel: one survey of a trim job in, a method statement and its reckoning out.

The names a plugin author needs are fetched from the rooms on first use, so that
``import listel`` stays cheap.
"""

TYPE_CHECKING = False
if TYPE_CHECKING:
    from listel.core.findings import Finding, Grounds, Input, Source, Where
    from listel.core.hooks import hookimpl
    from listel.core.job import Job
    from listel.core.lines import told
    from listel.core.reckoning import Option, Reckoner, Reckoning
    from listel.core.stage import Section, Sheet, Stage, Step
    from listel.core.tables import load_table

__version__ = "0.1.0"

_HOMES = {
    "Finding": "findings",
    "Grounds": "findings",
    "Input": "findings",
    "Source": "findings",
    "Where": "findings",
    "hookimpl": "hooks",
    "Job": "job",
    "told": "lines",
    "Option": "reckoning",
    "Reckoner": "reckoning",
    "Reckoning": "reckoning",
    "Section": "stage",
    "Sheet": "stage",
    "Stage": "stage",
    "Step": "stage",
    "load_table": "tables",
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
    "hookimpl",
    "load_table",
    "told",
]


def __getattr__(name: str) -> object:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module 'listel' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"listel.core.{home}"), name)
