"""One trial: in a child process one number is another, and the tests of its plugin are run until one fails."""

from __future__ import annotations

import ast
import importlib.machinery
import os
import sys
from pathlib import Path
from typing import Any

import jsonschema  # noqa: F401  (loaded once, before the children are made)
import pytest
import ruamel.yaml  # noqa: F401
from numbers_of_the_trade import Number

SECONDS = 300
"""A trial that takes longer has been noticed."""

LAWS = {
    "closure": ("closure_laws",),
    "cutting": ("cutting",),
    "fixings": ("fixings_laws",),
    "heights": ("heights",),
    "safety": ("safety",),
    "sequence": ("sequence",),
    "setting_out": ("compound_cuts", "closure_laws"),
    "timber": ("timber_laws",),
}
"""The files of laws that speak of a plugin."""


def noticed(root: Path, number: Number) -> int:
    """Begin the trial; the child's number. It ends with 0 where nothing noticed, else with another status."""
    pid = os.fork()
    if pid:
        return pid
    try:
        os._exit(_tried(root, number))
    finally:
        os._exit(3)


def _tried(root: Path, number: Number) -> int:
    import signal

    signal.alarm(SECONDS)
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 1)
    os.dup2(silent, 2)
    if number.file.endswith(".yaml"):
        _change_table(root, number)
    else:
        sys.meta_path.insert(0, _Changed(root, number))
    os.chdir(root)
    quiet = ["-q", "-x", "-p", "no:cacheprovider", "-p", "no:xdist", "--no-header"]
    for group in _groups(root, number.plugin):
        status = pytest.main([*quiet, *group])
        if status not in (0, 5):
            return 1
    return 0


def _groups(root: Path, plugin: str) -> list[list[str]]:
    """The tests of a plugin, the quickest first."""
    kebab = plugin.replace("_", "-")
    published = {"setting_out": "geometry", "closure": "geometry"}.get(plugin, plugin)
    paths = [
        root / "tests" / "published" / f"test_{published}.py",
        root / "tests" / "plugins" / plugin,
        *(root / "tests" / "properties" / f"test_{name}.py" for name in LAWS.get(plugin, ())),
    ]
    return [["tests/test_cases.py", "-k", f"{kebab}/"], *([str(path)] for path in paths if path.exists())]


def _change_table(root: Path, number: Number) -> None:
    from listel.core.contract import tables

    read, wanted = tables.data_beside, (root / number.file).resolve()

    def changed(package: str, name: str) -> Any:
        data = read(package, name)
        if tables.beside(package, f"{name}.yaml").resolve() == wanted:
            row = next(row for row in data["rows"] if row["name"] == number.place[0])
            _set(row, number.place[1:], number.changed)
        return data

    tables.data_beside = changed


def _set(held: Any, place: tuple[Any, ...], value: float) -> None:
    for key in place[:-1]:
        held = held[key]
    held[place[-1]] = value


class _Changed:
    """Finds the one module whose number is another, and compiles it so."""

    def __init__(self, root: Path, number: Number) -> None:
        self.path, self.number = root / number.file, number
        self.module = "listel." + number.file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> Any:
        if name != self.module:
            return None
        package = self.path.name == "__init__.py"
        return importlib.machinery.ModuleSpec(
            name, _Loader(name, str(self.path), self.number), origin=str(self.path), is_package=package
        )


class _Loader(importlib.machinery.SourceFileLoader):
    def __init__(self, name: str, path: str, number: Number) -> None:
        super().__init__(name, path)
        self.number = number

    def get_code(self, fullname: str) -> Any:
        tree = ast.parse(self.get_data(self.path))
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and (node.lineno, node.col_offset) == self.number.place:
                node.value = self.number.changed
        return compile(tree, self.path, "exec")
