"""Trials: in a child process one number is another, and the tests of its plugin are run until one fails.

The parent collects all tests once, and runs them once to see which of them reads which figure of a table, and calls
which function. A child puts the number into what is loaded: into the row of its table, into the code of its functions,
or into the names that its module gives to others. Where none of these holds it (the default of a field), or no test
comes to it (what is made when a plugin is loaded), the child loads all of listel anew with the number changed.
"""

from __future__ import annotations

import ast
import cProfile
import gc
import importlib.machinery
import inspect
import itertools
import json
import math
import os
import re
import signal
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from functools import _lru_cache_wrapper, cache
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any

import pytest
from numbers_of_the_trade import NO_FIGURES, Number

SECONDS = 120
"""Of a processor: a trial that takes longer has been noticed."""

LAWS = {
    "closure": ("closure_laws",),
    "cutting": ("cutting",),
    "existing": ("existing_laws",),
    "fixings": ("fixings_laws",),
    "heights": ("heights", "stair_laws"),
    "safety": ("safety",),
    "sequence": ("sequence",),
    "setting_out": ("compound_cuts", "bow_laws", "free_ends", "notches", "stair_laws"),
    "timber": ("timber_laws",),
}
"""The files of laws that speak of a plugin."""

PUBLISHED = {"setting_out": "geometry", "closure": "geometry"}
"""Where the published checks of a plugin are not in a file of its name."""

LEAN = {
    "elements": ("setting_out",),
    "finishes": ("safety", "bonding", "sequence"),
    "flues": ("safety", "fixings"),
    "framing": ("fixings",),
    "makeups": ("fixings", "safety", "bonding", "setting_out", "existing"),
    "members": ("sequence", "bonding", "fixings"),
    "periods": ("heights", "proportions", "existing"),
    "timbers": ("timber", "fixings", "setting_out", "bonding", "safety"),
}
"""The plugins that lean on a table of the site."""

UNTRIED = "could not be tried"
"""Told of a number whose trial ended twice without a word."""
QUICK = ["-q", "-s", "--assert=plain", "--no-header", "-p", "no:cacheprovider", "-p", "no:xdist"]
QUICK += ["--hypothesis-profile", "few"]


def files_for(root: Path, number: Number) -> list[str]:
    """The files of tests that may notice a number."""
    plugins = [number.plugin]
    if number.plugin == "site":
        plugins += LEAN.get(Path(number.file).stem, tuple(LAWS))
    names = ["test_cases.py", "published/test_figures.py"]
    for plugin in plugins:
        names += [f"plugins/{plugin}", f"published/test_{PUBLISHED.get(plugin, plugin)}.py"]
        names += [f"properties/test_{law}.py" for law in LAWS.get(plugin, ())]
    return [f"tests/{name}" for name in dict.fromkeys(names) if (root / "tests" / name).exists()]


class Trials:
    """A pytest plugin: instead of running what was collected, it tries number after number against it.

    ``tell`` is called with each number and the test that noticed it: "" where none did, None where it could not be
    put into what is loaded; and with no number for a test that fails with nothing changed.
    """

    def __init__(
        self, root: Path, numbers: Iterator[Number], at_once: int, tell: Callable[[Number | None, str | None], None]
    ) -> None:
        self.root, self.numbers, self.at_once, self.tell = root, numbers, at_once, tell
        self.sound: dict[int, bool] = {}
        self.again: set[Number] = set()
        self.watch = watch_tables(root)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try all the numbers, so many at once."""
        self.items = session.items
        self.words = [_words_of(item) for item in self.items]
        self.common = Counter(word for words in self.words for word in words)
        self.loaded = _Loaded(self.root)
        self._warm_up()
        self.readers = self._who_reads_what()
        running: dict[int, tuple[Number, int]] = {}
        while True:
            while len(running) < self.at_once and (number := next(self.numbers, None)) is not None:
                reading, writing = os.pipe()
                running[_fork(lambda number=number, writing=writing: self._try(number, writing))] = (number, reading)
                os.close(writing)
            if not running:
                return True
            pid, status = os.wait()
            number, reading = running.pop(pid)
            with os.fdopen(reading, "rb") as pipe:
                said = pipe.read().decode()
            if os.WIFSIGNALED(status):
                self.tell(number, "the time it takes")
            elif not said and number not in self.again:
                self.again.add(number)
                self.numbers = itertools.chain([number], self.numbers)
            elif not said:
                self.tell(number, UNTRIED)
            elif said == "unchanged":
                self.tell(number, None)
            elif said == "nobody":
                self.tell(number, "")
            elif self._passes_unchanged(int(said)):
                self.tell(number, self.items[int(said)].nodeid)
            else:
                self.numbers = itertools.chain([number], self.numbers)

    def _who_reads_what(self) -> dict[str, list[int]]:
        """The tests that read each figure of a table, or call each function; all run once, in children."""
        share = -(-len(self.items) // self.at_once)
        parts = {}
        for first in range(0, len(self.items), share):
            places = range(first, min(first + share, len(self.items)))
            told = Path(tempfile.gettempdir()) / f"reads-{first}"
            parts[_fork(lambda places=places, told=told: self._write_reads(places, told), seconds=0)] = told
        readers: dict[str, list[int]] = {}
        for pid, told in parts.items():
            os.waitpid(pid, 0)
            for read, found in json.loads(told.read_text("utf-8")).items():
                readers.setdefault(read, []).extend(found)
        return readers

    def _write_reads(self, places: range, told: Path) -> None:
        shared: dict[str, set[str]] = {}
        readers: dict[str, list[int]] = {}
        self.items[0].config.pluginmanager.register(_Fixtures(self.watch, shared))
        for place in places:
            item = self.items[place]
            self.loaded.forget()
            self.watch.taken()
            following = self.items[place + 1] if place + 1 in places else None
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            for read in self.watch.taken().union(*(shared.get(name, ()) for name in getattr(item, "fixturenames", ()))):
                readers.setdefault(read, []).append(place)
        told.write_text(json.dumps(readers), "utf-8")

    def _warm_up(self) -> None:
        """One test of each plugin is run here, so that no child has to load what all of them need."""
        first = {_plugin_of(item): place for place, item in reversed(list(enumerate(self.items))) if _plugin_of(item)}
        self._first_failure(list(first.values()))
        gc.collect()
        gc.freeze()

    def _try(self, number: Number, writing: int) -> None:
        said = "unchanged"
        may = self._in_order(number, self.loaded.put(number))
        if may or number.file.endswith(".yaml"):
            failed = self._first_failure(may)
            said = "nobody" if failed is None else str(failed)
        os.write(writing, said.encode())

    def _in_order(self, number: Number, changed: set[str]) -> list[int]:
        """The tests that read what was changed, the likeliest first: those that share the number's rarest words. Laws
        come last, and before them the cases and figures of other plugins."""
        files = files_for(self.root, number)
        words = set(re.findall(r"[a-z]{2,}|[0-9.]+", " ".join(number.words).lower()))
        plugins = {
            number.plugin.replace("_", "-"),
            *(p.replace("_", "-") for p in LEAN.get(Path(number.file).stem, ())),
        }

        def likely(place: int) -> float:
            shared = sum(1 / self.common[word] for word in words & self.words[place])
            return shared + math.log(1 + len(words & self.words[place]))

        def own(place: int) -> bool:
            item = self.items[place]
            spoken = _plugin_of(item)
            return spoken in plugins if spoken else any(item.nodeid.startswith(file) for file in files)

        may = {place for read in changed for place in self.readers.get(read, ()) if self.sound.get(place, True)}
        return sorted(
            may, key=lambda place: ("properties/" in self.items[place].nodeid, not own(place), -likely(place))
        )

    def _first_failure(self, places: list[int]) -> int | None:
        session = self.items[0].session
        for place, after in itertools.zip_longest(places, places[1:]):
            item, following = self.items[place], None if after is None else self.items[after]
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if session.testsfailed:
                return place
        return None

    def _passes_unchanged(self, place: int) -> bool:
        """Whether a test passes with nothing changed: tried once for each that noticed something."""
        if place not in self.sound:
            pid = _fork(lambda: os._exit(self._first_failure([place]) is not None))
            self.sound[place] = os.waitpid(pid, 0)[1] == 0
            if not self.sound[place]:
                self.tell(None, self.items[place].nodeid)
        return self.sound[place]


def _fork(do: Callable[[], object], seconds: int = SECONDS) -> int:
    pid = os.fork()
    if pid:
        return pid
    try:
        signal.setitimer(signal.ITIMER_PROF, seconds)
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        do()
        os._exit(0)
    finally:
        os._exit(3)


def _spoken(item: pytest.Item) -> Any:
    """The case, or the printed figure, that a test is of."""
    params = item.callspec.params if hasattr(item, "callspec") else {}
    figure, case = params.get("figure"), params.get("case")
    return figure if hasattr(figure, "plugin") else case if hasattr(case, "rule") else None


def _plugin_of(item: pytest.Item) -> str:
    spoken = _spoken(item)
    return spoken.plugin if hasattr(spoken, "plugin") else spoken.rule.partition("/")[0] if spoken else ""


def _words_of(item: pytest.Item) -> set[str]:
    """What a test speaks of."""
    spoken = _spoken(item)
    text = f"{item.nodeid} {spoken}" if spoken else f"{item.nodeid} {inspect.getsource(item.function)}"
    return set(re.findall(r"[a-z]{2,}|[0-9.]+", text.lower()))


class _Values(dict[str, Any]):
    """The values of one row, that tell which of them are read."""

    name = ""

    def __init__(self, values: dict[str, Any], watch: Watch) -> None:
        super().__init__(values)
        self.watch = watch

    def tell(self, column: str) -> None:
        self.watch.reads.add(f"{self.name} {column}")

    def __getitem__(self, column: str) -> Any:
        self.tell(column)
        return super().__getitem__(column)

    def get(self, column: str, default: Any = None) -> Any:
        self.tell(column)
        return super().get(column, default)

    def __iter__(self) -> Iterator[str]:
        for column in super().__iter__():
            self.tell(column)
        return super().__iter__()

    def items(self) -> Any:
        return [(column, self[column]) for column in self]

    def values(self) -> Any:
        return [self[column] for column in self]


class Watch:
    """What was read of the tables (file, row and column) and which functions of plugins were called (file and line)."""

    def __init__(self, root: Path) -> None:
        self.root = root.resolve()
        self.reads: set[str] = set()
        self.calls = cProfile.Profile(builtins=False)

    def taken(self) -> set[str]:
        """What there was since this was asked last."""
        self.calls.disable()
        called = (entry.code for entry in self.calls.getstats())
        reads = self.reads.union(
            called_as(code, self.root)
            for code in called
            if isinstance(code, CodeType) and "plugins" in code.co_filename
        )
        self.reads = set()
        self.calls.clear()
        self.calls.enable()
        return reads


def called_as(code: CodeType, root: Path) -> str:
    """What a function is known by: its file and first line."""
    return f"{code.co_filename.removeprefix(f'{root}/')}:{code.co_firstlineno}"


def watch_tables(root: Path) -> Watch:
    """Have every table that is loaded from now on tell what is read of it."""
    from listel.core.contract import tables

    watch, make = Watch(root), tables._row

    def watched(entry: dict[str, Any], sources: dict[str, Any]) -> Any:
        row = make(entry, sources)
        return type(row)(row.name, _Values(row.values, watch), row.sources, row.note)

    tables._row = watched
    return watch


class _Fixtures:
    """A pytest plugin: what a fixture of many tests reads is read by all of them."""

    def __init__(self, watch: Watch, shared: dict[str, set[str]]) -> None:
        self.watch, self.shared = watch, shared

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Iterator[None]:
        before = self.watch.taken()
        made = yield
        read = self.watch.taken()
        self.shared.setdefault(fixturedef.argname, set()).update(read)
        self.watch.reads |= before | read
        return made


class _Loaded:
    """What is loaded of the plugins: their functions by file, and what they keep."""

    def __init__(self, root: Path) -> None:
        from listel.core.contract.tables import load_table

        self.root = root
        for path in root.glob("plugins/*/*.yaml"):
            if path.name not in NO_FIGURES:  # loaded before the children are made, so that all mean the same rows
                for row in load_table(f"listel.plugins.{path.parent.name}", path.stem):
                    row.values.name = f"{path.relative_to(root)} {row.name}"
        for path in root.glob("plugins/*/*.py"):
            source_of(path)
        self.functions: dict[str, list[FunctionType]] = {}
        self.kept = []
        gc.unfreeze()  # what the tests froze when they were collected
        for held in gc.get_objects():
            if isinstance(held, FunctionType):
                self.functions.setdefault(held.__code__.co_filename, []).append(held)
            elif isinstance(held, _lru_cache_wrapper) and str(held.__module__).startswith(("listel.plugins", "tests")):
                self.kept.append(held)

    def forget(self) -> None:
        """Empty what functions of plugins and tests keep."""
        for kept in self.kept:
            kept.cache_clear()

    def put(self, number: Number) -> set[str]:
        """Put a number in place of what is loaded; what was changed by it."""
        self.forget()
        if number.file.endswith(".yaml"):
            set_in(self.values(number), number.place[1:], number.changed)
            return {f"{number.file} {number.place[0]} {number.place[1]}"}
        return self._in_code(number)

    def values(self, number: Number) -> Any:
        """The values of the row that a number of a table stands in."""
        from listel.core.contract.tables import load_table

        table = load_table(f"listel.plugins.{number.plugin}", Path(number.file).stem)
        return table.row(str(number.place[0])).values

    def _in_code(self, number: Number) -> set[str]:
        module = importlib.import_module(module_of(number))
        code = changed_code(Path(module.__file__ or ""), number)
        inner = {(each.co_qualname, each.co_firstlineno): each for each in _codes(code)}
        done = set()
        for function in self.functions.get(str(module.__file__), ()):
            new = inner.get((function.__code__.co_qualname, function.__code__.co_firstlineno))
            if new is not None and new != function.__code__:
                function.__code__ = new
                done.add(called_as(new, self.root.resolve()))
        return done or self._speak_of(_give_names(module, code))

    def _speak_of(self, names: set[str]) -> set[str]:
        """The functions that speak of one of these names."""
        codes = {function.__code__ for functions in self.functions.values() for function in functions}
        return {
            called_as(code, self.root.resolve())
            for code in codes
            if any(names.intersection(each.co_names) for each in (code, *_codes(code)))
        }


def _codes(code: CodeType) -> Iterator[CodeType]:
    for held in code.co_consts:
        if isinstance(held, CodeType):
            yield held
            yield from _codes(held)


def _give_names(module: ModuleType, code: CodeType) -> set[str]:
    """Run a changed module aside, and give the plain data it names anew to it and to whoever took it from there; the
    names of what was changed."""
    aside = {key: value for key, value in vars(module).items() if key.startswith("__")}
    exec(code, aside)
    done = set()
    for name, old in list(vars(module).items()):
        new = aside.get(name)
        if _is_plain(old) and new != old:
            done.add(name)
            for other in list(sys.modules.values()):
                if getattr(other, "__name__", "").startswith("listel") and vars(other).get(name) == old:
                    setattr(other, name, new)
    return done


def _is_plain(value: Any) -> bool:
    if isinstance(value, dict):
        return all(map(_is_plain, value.values()))
    if isinstance(value, (list, tuple, set, frozenset)):
        return all(map(_is_plain, value))
    return isinstance(value, (int, float, str))


def noticed_anew(root: Path, number: Number) -> bool:
    """Whether a test notices the number where listel is loaded with it, in a process that has not loaded it yet."""
    pid = _fork(lambda: os._exit(_anew(root, number)))
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) != 0


def _anew(root: Path, number: Number) -> int:
    sys.meta_path.insert(0, _Changed(root, number))
    kebab = number.plugin.replace("_", "-")
    cases, *others = files_for(root, number)
    for group in ([cases, "-k", f"{kebab}/"], *([other] for other in others)):
        if pytest.main([*QUICK, "-x", *group]) not in (0, 5):
            return 1
    return 0


def module_of(number: Number) -> str:
    """The module a number stands in."""
    return "listel." + number.file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


@cache
def source_of(path: Path) -> str:
    """The text of a file as it was when it was first asked for."""
    return path.read_text("utf-8")


def changed_code(path: Path, number: Number) -> CodeType:
    """The code of a file with the number changed."""
    tree = ast.parse(source_of(path))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and (node.lineno, node.col_offset) == number.place:
            node.value = number.changed
    return compile(tree, str(path), "exec")


def set_in(held: Any, place: tuple[Any, ...], value: float) -> None:
    """Set a value at its place in a row."""
    for key in place[:-1]:
        held = held[key]
    held[place[-1]] = value


class _Changed:
    """Finds the one module whose number is another, and compiles it so."""

    def __init__(self, root: Path, number: Number) -> None:
        self.path, self.number = root / number.file, number

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> Any:
        if name != module_of(self.number):
            return None
        loader = _Loader(name, str(self.path), self.number)
        package = self.path.name == "__init__.py"
        return importlib.machinery.ModuleSpec(name, loader, origin=str(self.path), is_package=package)


class _Loader(importlib.machinery.SourceFileLoader):
    def __init__(self, name: str, path: str, number: Number) -> None:
        super().__init__(name, path)
        self.number = number

    def get_code(self, fullname: str) -> CodeType:
        return changed_code(Path(self.path), self.number)
