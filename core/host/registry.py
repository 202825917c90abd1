"""Which plugins are installed, and what each of them adds.

Built-in plugins are named in one tuple; others come from installed packages (entry-point group
``listel.plugins``) or from a file named on the command line or in the user's settings. A survey can never
name one. Each plugin is loaded on its own and guarded: one that fails is a fault beside its name, and the
rest go on.
"""

from __future__ import annotations

import hashlib
import re
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import redirect_stdout
from dataclasses import field, is_dataclass, replace
from functools import cache
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any

import pluggy

from listel.core.contract import hooks
from listel.core.contract.firms import HeightRule, OptionsForm, SurveyFields
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule
from listel.core.contract.stage import Section, Stage, Step, Words
from listel.core.contract.tables import Table
from listel.core.files import shipped
from listel.core.host.limits import time_limit, told_error
from listel.core.host.plugin import Plugin
from listel.core.quick import dataclass
from listel.core.survey.messages import SurveyFaults, did_you_mean

BUILT_IN = (
    "site",
    "closure",
    "existing",
    "heights",
    "proportions",
    "setting_out",
    "conservation",
    "timber",
    "panelling",
    "fixings",
    "bonding",
    "defects",
    "cutting",
    "safety",
    "sequence",
    "estimate",
    "progress",
)

LOAD_SECONDS = 10.0
"""How long a plugin from outside may take to import and to answer one hook."""


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

    def rules(self) -> tuple[Rule, ...]:
        """Every rule that a plugin can tell, plugin by plugin."""
        return tuple(rule for plugin in self.plugins for rule in plugin.rules())

    def reckoners(self) -> dict[str, Reckoner]:
        """Every reckoner by name."""
        found = {reckoner.name: reckoner for plugin in self.plugins for reckoner in plugin.reckoners}
        return dict(sorted(found.items()))


class _Manager(pluggy.PluginManager):
    """Looks in a module only at what is named as a hook: to look at all of it takes ten times as long."""

    def parse_hookimpl_opts(self, plugin: object, name: str) -> Any:
        return super().parse_hookimpl_opts(plugin, name) if name.startswith(hooks.PREFIX) else None

    def parse_hookspec_opts(self, module_or_class: ModuleType | type, name: str) -> Any:
        return super().parse_hookspec_opts(module_or_class, name) if name.startswith(hooks.PREFIX) else None


def load(files: Iterable[Path] = (), *, entry_points: bool = True, reckoners: bool = True) -> Registry:
    """Load the built-in plugins, those of installed packages, and those in the given Python files.

    Without ``reckoners`` the built-in calculations stay where they are: a statement needs none of them.
    """
    plugins = [*(_load_built_in(name, reckoners) for name in BUILT_IN), *from_outside(files, entry_points=entry_points)]
    if all(not plugin.outside for plugin in plugins):
        return Registry(tuple(plugins))
    from listel.core.host.admit import admitted

    return Registry(admitted(plugins))


def from_outside(files: Iterable[Path], *, entry_points: bool = True) -> list[Plugin]:
    """The plugins that are not built in: those of installed packages, and those in the given Python files."""
    return [*(_load_entry_points() if entry_points else []), *(_load_file(Path(path)) for path in files)]


def plugin_from(
    module: object, name: str, version: str, origin: str, *, outside: bool = True, reckoners: bool = True
) -> Plugin:
    """A plugin from an imported module (or any object with marked hooks); a hook that fails becomes a fault."""
    manager = _Manager(hooks.PROJECT)
    manager.add_hookspecs(hooks)
    faults: list[str] = _of_another_api(module) if outside else []
    try:
        faults += _hook_faults(module) if outside else ()
        if not faults:
            manager.register(module, name=name)
    except (pluggy.PluginValidationError, ValueError) as error:
        faults.append(_register_fault(error))
    except Exception as error:
        faults.append(f"its hooks could not be looked for: {told_error(error)}")
    if faults:
        return Plugin(name, version, origin, faults=tuple(faults), outside=outside)
    answers = _Answers(manager, outside)
    added: dict[str, tuple[Any, ...]] = {}
    for hook, kind in (
        ("listel_stages", Stage),
        ("listel_reckoners", Reckoner),
        ("listel_steps", Step),
        ("listel_sections", Section),
        ("listel_words", Words),
        ("listel_survey_fields", SurveyFields),
        ("listel_options", OptionsForm),
        ("listel_heights", HeightRule),
    ):
        if hook == "listel_reckoners" and not reckoners:
            continue
        added[hook] = answers.of(kind, hook)
    rules = cache(lambda: answers.of(Rule, "listel_rules"))
    tables = cache(lambda: answers.of(Table, "listel_tables"))
    if outside:
        rules(), tables()
    return Plugin(
        name,
        version,
        origin,
        stages=added["listel_stages"],
        reckoners=added.get("listel_reckoners", ()),
        steps=added["listel_steps"],
        sections=tuple(replace(section, outside=outside) for section in added["listel_sections"]),
        words=added["listel_words"],
        fields=added["listel_survey_fields"],
        options=added["listel_options"],
        heights=added["listel_heights"],
        faults=answers.faults,
        tables_digest=_tables_digest(module, outside),
        outside=outside,
        rules=rules,
        tables=tables,
    )


def _of_another_api(module: object) -> list[str]:
    """That a plugin is made for another form of the contract than this one."""
    from listel import API

    made_for = vars(module).get("LISTEL_API", API) if hasattr(module, "__dict__") else API
    if type(made_for) is int and made_for == API:
        return []
    newer = isinstance(made_for, int) and made_for > API
    mend = "a later listel has it" if newer else "ask its maker for one that is made for this listel"
    return [f"it is made for number {made_for!r} of listel's plugin contract, and this is number {API}; {mend}"]


def _hook_faults(module: object) -> Iterator[str]:
    """Hooks of a name that does not exist, or without their mark, and a plugin without any: pluggy passes them over."""
    specs = [name for name in vars(hooks) if name.startswith(hooks.PREFIX)]
    marked = [name for name in dir(module) if hasattr(getattr(module, name, None), f"{hooks.PROJECT}_impl")]
    for name in marked:
        if name not in specs:
            yield f"there is no hook {name}.{did_you_mean(name, specs, 'the hooks are')}"
    for name in specs:
        found = getattr(module, name, None)
        if name not in marked and callable(found) and not hasattr(found, f"{hooks.PROJECT}_spec"):
            yield f"{name} lacks the mark @hookimpl, so nobody would call it"
            marked.append(name)
    if not marked:
        yield f"it has no hook; a plugin marks functions named {', '.join(specs)} with @hookimpl"


def _register_fault(error: Exception) -> str:
    """What pluggy refuses, without its words for the module."""
    return re.sub(r"\(<.*?>\)|<module.*?>", "", str(error).replace("\n", " ")).strip()


class _Answers:
    """What the hooks of a plugin answer, and what is wrong with that: an answer that is not its list is left out whole,
    one thing in it that is not as the contract says by itself. What several fail with is told once."""

    def __init__(self, manager: pluggy.PluginManager, outside: bool) -> None:
        self._manager, self._outside = manager, outside
        self._slips: list[str] = []
        self._failed: dict[str, list[str]] = {}

    @property
    def faults(self) -> tuple[str, ...]:
        """What is wrong, in words."""
        return (*(f"{', '.join(hooks)} failed: {says}" for says, hooks in self._failed.items()), *self._slips)

    def of(self, kind: type, hook: str) -> tuple[Any, ...]:
        """What is sound of a hook's answer, a list of that kind."""
        call = getattr(self._manager.hook, hook)
        if not call.get_hookimpls():
            return ()
        try:
            answers = _guarded(call) if self._outside else call()
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            told = map(str, error.faults) if isinstance(error, SurveyFaults) else [told_error(error)]
            for says in told:
                self._failed.setdefault(says, []).append(hook)
            return ()
        answer = answers[0] if answers else None  # pluggy passes over an answer of None
        if not isinstance(answer, (list, tuple)) or any(not isinstance(item, kind) for item in answer):
            self._slips.append(f"{hook} must return a list of {kind.__name__}; it returned {_returned(answer)}")
            return ()
        judged = [(item, _slips(item) if self._outside else []) for item in answer]
        self._slips += [f"{hook}, {_named(item)}: {says}" for item, slips in judged for says in slips]
        return tuple(item for item, slips in judged if not slips)


def _named(item: Any) -> str:
    """An answer of a hook by its name, or by what it is of."""
    return f"{type(item).__name__} {getattr(item, 'name', None) or getattr(item, 'on', '')}".strip()


def _slips(item: object) -> list[str]:
    """What is wrong with an answer of a hook: a field of another type, a form that is no JSON Schema."""
    from listel.core.host.answers import unfit

    if says := unfit(item):
        return [says]
    if isinstance(item, Stage):
        return [
            f"it gives {kind.__name__}; a result is a frozen dataclass whose tuples hold lines"
            for kind in item.gives
            if not is_dataclass(kind) or kind.__setattr__ is object.__setattr__
        ]
    if isinstance(item, (SurveyFields, OptionsForm)):
        from listel.core.host.added import form_slips

        return list(form_slips(item.properties))
    return []


def _returned(answer: object) -> str:
    if answer is None:
        return "nothing: a return may be missing"
    if isinstance(answer, (list, tuple)):
        return f"a list with {', '.join(dict.fromkeys(type(item).__name__ for item in answer))} in it"
    return f"{type(answer).__name__} on its own"


def _guarded(call: Callable[[], Any]) -> Any:
    """What code from outside answers, within its time; it prints to standard error."""
    with redirect_stdout(sys.stderr), time_limit(LOAD_SECONDS):
        return call()


def _load_built_in(name: str, reckoners: bool) -> Plugin:
    from listel import __version__

    module = import_module(f"listel.plugins.{name}")
    return plugin_from(module, name, __version__, "built in", outside=False, reckoners=reckoners)


def _load_entry_points() -> list[Plugin]:
    if not _any_entry_point(tuple(sys.path)):
        return []
    from importlib.metadata import entry_points

    found = []
    for point in sorted(entry_points(group=hooks.ENTRY_POINTS), key=lambda point: point.name):
        version = point.dist.version if point.dist else "?"
        origin = f"package {point.dist.name}" if point.dist else "an installed package"
        found.append(_load_guarded(point.load, point.name, version, origin))
    return found


@cache
def _any_entry_point(folders: tuple[str, ...]) -> bool:
    """Whether any installed package offers a plugin; to ask importlib.metadata costs four times Python's own start."""
    group = f"[{hooks.ENTRY_POINTS}]".encode()
    told = (path for folder in folders for path in Path(folder or ".").glob("*-info/entry_points.txt"))
    return any(group in path.read_bytes() for path in told)


def _load_file(path: Path) -> Plugin:
    def imported() -> ModuleType:
        from importlib.util import module_from_spec, spec_from_file_location

        name = f"listel_plugin_{path.stem}"
        spec = spec_from_file_location(name, path)
        if spec is None or spec.loader is None or path.suffix != ".py":
            raise ValueError(f"{path} is not a Python file")
        if not path.is_file():
            raise ValueError(f"there is no file {path}")
        module = module_from_spec(spec)
        sys.modules[name] = module
        spec.loader.exec_module(module)
        return module

    return _load_guarded(imported, path.stem.replace("_", "-"), "", f"file {path}")


def _load_guarded(get: Callable[[], object], name: str, version: str, origin: str) -> Plugin:
    from listel.core.host.trial import try_out

    try:
        try_out(get, lambda module: plugin_from(module, name, "", ""), LOAD_SECONDS)
        module = _guarded(get)
        version = version or getattr(module, "__version__", "")
        if not isinstance(version, str) or not version.isprintable():
            raise TypeError("its __version__ is no line of text")
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        return Plugin(name, version, origin, faults=(f"it could not be loaded: {told_error(error)}",))
    return plugin_from(module, name, version, origin)


def _tables_digest(module: object, outside: bool) -> str:
    """SHA-256 over the tables that lie beside a plugin, of one from outside over its code and templates as well (its
    version may stand still while it is worked on), or over the file of a one-file plugin."""
    home = getattr(module, "__file__", None)
    if home is None:
        return ""
    here = Path(home)
    kinds = ("*.yaml", "*.py", "*.j2") if outside else ("*.yaml",)
    paths = sorted(path for kind in kinds for path in here.parent.glob(kind)) if here.name == "__init__.py" else [here]
    digest = hashlib.sha256()
    for path in paths:
        digest.update(path.name.encode() + b"\0" + (path.read_bytes() if outside else shipped(path)) + b"\0")
    return digest.hexdigest()
