"""Which plugins are installed, and what each of them adds.

Built-in plugins are named in one tuple; others come from installed packages (entry-point group
``listel.plugins``) or from a file named on the command line or in the user's settings. A survey can never
name one. Each plugin is loaded on its own and guarded: one that fails is a fault beside its name, and the
rest go on.
"""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any

import pluggy

from listel.core import hooks
from listel.core.findings import Weight
from listel.core.limits import time_limit
from listel.core.reckoning import Reckoner
from listel.core.stage import Section, Stage, Step

BUILT_IN = (
    "heights",
    "proportions",
    "setting_out",
    "timber",
    "fixings",
    "bonding",
    "defects",
    "cutting",
    "safety",
    "sequence",
)

LOAD_SECONDS = 10.0
"""How long a plugin from outside may take to import and to answer one hook."""


@dataclass(frozen=True)
class Weighing:
    """A weight that a firm gives to findings of one rule, and who says so."""

    rule: str
    weight: Weight
    by: str


@dataclass(frozen=True)
class Plugin:
    """One plugin: its name, version, where it came from ("built in", a package, a file), and what it adds.

    ``faults`` says in words what went wrong with it; what it adds is then empty or in part.
    """

    name: str
    version: str
    origin: str
    stages: tuple[Stage, ...] = ()
    reckoners: tuple[Reckoner, ...] = ()
    steps: tuple[Step, ...] = ()
    sections: tuple[Section, ...] = ()
    faults: tuple[str, ...] = ()
    tables_digest: str = ""
    outside: bool = True
    weights: tuple[Weighing, ...] = ()


@dataclass(frozen=True)
class Registry:
    """Every installed plugin, in the order they were found."""

    plugins: tuple[Plugin, ...] = field(default=())

    def stages(self) -> list[tuple[Plugin, Stage]]:
        """Every stage with its plugin, in no particular order."""
        return [(plugin, stage) for plugin in self.plugins for stage in plugin.stages]

    def steps(self) -> tuple[Step, ...]:
        """Every step that a plugin adds to the sequence."""
        return tuple(step for plugin in self.plugins for step in plugin.steps)

    def sections(self) -> tuple[Section, ...]:
        """Every section of the statement, in order of place."""
        sections = [section for plugin in self.plugins for section in plugin.sections]
        return tuple(sorted(sections, key=lambda section: (section.place, section.name)))

    def reckoners(self) -> dict[str, Reckoner]:
        """Every reckoner by name. Raises ValueError where two plugins offer one name."""
        found: dict[str, tuple[str, Reckoner]] = {}
        for plugin in self.plugins:
            for reckoner in plugin.reckoners:
                if reckoner.name in found:
                    raise ValueError(
                        f"reckoner {reckoner.name} is offered by both {found[reckoner.name][0]} and {plugin.name}"
                    )
                found[reckoner.name] = (plugin.name, reckoner)
        return {name: reckoner for name, (_, reckoner) in sorted(found.items())}


def load(files: Iterable[Path] = (), *, entry_points: bool = True) -> Registry:
    """Load the built-in plugins, those of installed packages, and those in the given Python files."""
    plugins = [_load_built_in(name) for name in BUILT_IN]
    if entry_points:
        plugins += _load_entry_points()
    plugins += [_load_file(Path(path)) for path in files]
    return Registry(tuple(plugins))


def plugin_from(module: object, name: str, version: str, origin: str, *, outside: bool = True) -> Plugin:
    """A plugin from an imported module (or any object with marked hooks); a hook that fails becomes a fault."""
    manager = pluggy.PluginManager(hooks.PROJECT)
    manager.add_hookspecs(hooks)
    faults: list[str] = []
    try:
        manager.register(module, name=name)
        manager.check_pending()
    except (pluggy.PluginValidationError, ValueError) as error:
        return Plugin(name, version, origin, faults=(str(error).replace("\n", " "),), outside=outside)
    added: dict[str, tuple[Any, ...]] = {}
    for hook, kind in (
        ("listel_stages", Stage),
        ("listel_reckoners", Reckoner),
        ("listel_steps", Step),
        ("listel_sections", Section),
    ):
        added[hook], fault = _collect(getattr(manager.hook, hook), kind, hook, outside)
        faults += fault
    return Plugin(
        name,
        version,
        origin,
        stages=added["listel_stages"],
        reckoners=added["listel_reckoners"],
        steps=added["listel_steps"],
        sections=added["listel_sections"],
        faults=tuple(faults),
        tables_digest=_tables_digest(module),
        outside=outside,
    )


def _collect(call: Callable[[], list[Any]], kind: type, hook: str, outside: bool) -> tuple[tuple[Any, ...], list[str]]:
    try:
        answers = _guarded(call) if outside else call()
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        return (), [f"{hook} failed: {_in_words(error)}"]
    items: list[Any] = []
    for answer in answers:
        if not isinstance(answer, (list, tuple)) or any(not isinstance(item, kind) for item in answer):
            return (), [
                f"{hook} must return a list of {kind.__name__}; it returned {type(answer).__name__}: {str(answer)[:80]}"
            ]
        items += answer
    return tuple(items), []


def _guarded(call: Callable[[], Any]) -> Any:
    with time_limit(LOAD_SECONDS):
        return call()


def _load_built_in(name: str) -> Plugin:
    from listel import __version__

    module = import_module(f"listel.plugins.{name}")
    return plugin_from(module, name, __version__, "built in", outside=False)


def _load_entry_points() -> list[Plugin]:
    if not _any_entry_point():
        return []
    from importlib.metadata import entry_points

    found = []
    for point in sorted(entry_points(group=hooks.ENTRY_POINTS), key=lambda point: point.name):
        version = point.dist.version if point.dist else "?"
        origin = f"package {point.dist.name}" if point.dist else "an installed package"
        found.append(_load_guarded(point.load, point.name, version, origin))
    return found


def _any_entry_point() -> bool:
    """Whether any installed package offers a plugin; to ask importlib.metadata costs four times Python's own start."""
    group = f"[{hooks.ENTRY_POINTS}]".encode()
    for folder in sys.path:
        for pattern in ("*.dist-info/entry_points.txt", "*.egg-info/entry_points.txt"):
            if any(group in path.read_bytes() for path in Path(folder or ".").glob(pattern)):
                return True
    return False


def _load_file(path: Path) -> Plugin:
    def imported() -> ModuleType:
        from importlib.util import module_from_spec, spec_from_file_location

        name = f"listel_plugin_{path.stem}"
        spec = spec_from_file_location(name, path)
        if spec is None or spec.loader is None or path.suffix != ".py":
            raise ValueError(f"{path} is not a Python file")
        module = module_from_spec(spec)
        sys.modules[name] = module
        spec.loader.exec_module(module)
        return module

    return _load_guarded(imported, path.stem.replace("_", "-"), "", f"file {path}")


def _load_guarded(get: Callable[[], object], name: str, version: str, origin: str) -> Plugin:
    try:
        module = _guarded(get)
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        return Plugin(name, version, origin, faults=(f"it could not be loaded: {_in_words(error)}",))
    version = version or str(getattr(module, "__version__", "no version"))
    return plugin_from(module, name, version, origin)


def _tables_digest(module: object) -> str:
    """SHA-256 over the tables that lie beside a plugin, or over the file of a one-file plugin."""
    home = getattr(module, "__file__", None)
    if home is None:
        return ""
    here = Path(home)
    paths = sorted(here.parent.glob("*.yaml")) if here.name == "__init__.py" else [here]
    digest = hashlib.sha256()
    for path in paths:
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


def _in_words(error: BaseException) -> str:
    text = str(error).strip().replace("\n", " ")
    return f"{type(error).__name__}: {text}" if text else type(error).__name__
