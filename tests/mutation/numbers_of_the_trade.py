"""Every number of the trade: the figures in the plugins' tables, and the constants in their code."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

NO_FIGURES = {"rules.yaml", "cases.yaml", "vocabulary.yaml", "plain_words.yaml", "shorts.yaml", "word_classes.yaml"}
PLAIN = {0, 1, 2, -1, 0.5, 10, 100, 1000, 1e-6, 1e-9, 360, 180, 90}
"""Constants of arithmetic and geometry, which are no figures of the trade."""
SHOWING = {"round", "range", "show_length", "show_fine", "Section", "sorted", "enumerate", "slice", "rounded", "num"}
"""Calls whose numbers say how something is shown, counted or placed."""


@dataclass(frozen=True)
class Number:
    """One number: the plugin, its file and place there, and what it is changed to."""

    plugin: str
    file: str
    place: tuple[Any, ...]
    value: float
    changed: float

    def __str__(self) -> str:
        return f"{self.file} {' > '.join(map(str, self.place))}: {self.value:g}"


def numbers_of(root: Path) -> list[Number]:
    """All of them, plugin by plugin."""
    found: list[Number] = []
    for path in sorted((root / "plugins").glob("*/*")):
        name, plugin = str(path.relative_to(root)), path.parent.name
        if path.suffix == ".yaml" and path.name not in NO_FIGURES:
            found += [_number(plugin, name, place, value) for place, value in _in_table(path)]
        elif path.suffix == ".py":
            found += [_number(plugin, name, place, value) for place, value in _in_code(path)]
    return found


def _number(plugin: str, file: str, place: tuple[Any, ...], value: float) -> Number:
    return Number(plugin, file, place, value, changed(value))


def changed(value: float) -> float:
    """Two per cent more, or the least step of a whole number."""
    return value + max(1, round(abs(value) * 0.02)) if isinstance(value, int) else value * 1.02


def _in_table(path: Path) -> Iterator[tuple[tuple[Any, ...], float]]:
    data = YAML(typ="safe", pure=True).load(path.read_text("utf-8"))
    for row in data.get("rows", ()):
        for column, value in row.items():
            if column not in ("name", "source", "note"):
                yield from _figures(value, (row["name"], column))


def _figures(value: Any, place: tuple[Any, ...]) -> Iterator[tuple[tuple[Any, ...], float]]:
    if isinstance(value, bool):
        return
    if isinstance(value, (int, float)):
        if value:
            yield place, value
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield from _figures(item, (*place, number))
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _figures(item, (*place, key))


def _in_code(path: Path) -> Iterator[tuple[tuple[Any, ...], float]]:
    tree = ast.parse(path.read_text("utf-8"))
    skipped = {id(inner) for node in ast.walk(tree) if _shows(node) for inner in ast.walk(node)}
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, (int, float))
            and not isinstance(node.value, bool)
            and node.value not in PLAIN
            and id(node) not in skipped
        ):
            yield (node.lineno, node.col_offset), node.value


def _shows(node: ast.AST) -> bool:
    """Whether numbers inside say how something is shown, counted or placed."""
    if isinstance(node, (ast.Subscript, ast.FormattedValue)):
        return True
    if isinstance(node, ast.Call):
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        return name in SHOWING
    return False
