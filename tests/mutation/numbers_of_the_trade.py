"""Every number of the trade: the figures in the plugins' tables, and the constants in their code.

Not on the list, since they are no figures of the trade:

- files of words and cases, and the columns of a table that only put its rows in order (``ORDERING``);
- constants of arithmetic within a function: 0, 1, 2, a half, 10, 100, 360, and powers of ten that turn one unit into
  another; a named constant of a module is a figure whatever its value;
- indexes, slices and counts: what stands in ``[]``, what a ``len(...)`` is held against, a remainder, a shift of bits;
- how something is shown, rounded or placed on a page: within calls of ``SHOWING``, and in text;
- tolerances of floats, below a ten-thousandth;
- how hard the cutting search tries (``SEARCH``): it decides how long it takes, and no figure told;
- how the letters of a plan's words are compared (``READING``, within functions);
- what a plan's words are weighed by (``weighing.py``): its figures belong to a table that is learnt whole.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

NO_FIGURES = {"rules.yaml", "cases.yaml", "vocabulary.yaml", "plain_words.yaml", "shorts.yaml", "word_classes.yaml"}
ORDERING = {"rank", "order", "weight", "step", "leaves"}
PLAIN = {0, 1, 2, -1, 0.5, 10, 100, 360}
SHOWING = {
    *("round", "range", "rounded", "num", "show_length", "show_fine", "Section", "sorted", "enumerate", "slice"),
    *("fill", "set_column", "set_properties", "lru_cache"),
}
SEARCH = {
    *("bounds", "branch", "columns", "correction", "demands", "evenness", "filling", "free", "free_linear", "gather"),
    *("greedy", "group", "jointing", "master", "one_length", "packing", "patterns", "plan", "problem", "recut"),
    *("regroup", "search", "settle", "short", "small", "trying", "under_way", "ways"),
}
READING = {"wording", "clauses", "phrases", "recognise", "reading"}


@dataclass(frozen=True)
class Number:
    """One number: the plugin, its file and place there, what it is changed to, and the words it may be known by."""

    plugin: str
    file: str
    place: tuple[Any, ...]
    value: float
    changed: float
    words: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.file} {' > '.join(map(str, self.place))}: {self.value:g}"


def numbers_of(root: Path) -> list[Number]:
    """All of them, plugin by plugin."""
    found: list[Number] = []
    for path in sorted((root / "plugins").glob("*/*")):
        if path.suffix == ".yaml" and path.name not in NO_FIGURES:
            figures = _in_table(path)
        elif path.suffix == ".py" and not _is_learnt_or_searched(path):
            figures = _in_code(path)
        else:
            continue
        name, plugin = str(path.relative_to(root)), path.parent.name
        for place, value, words in figures:
            known = (path.stem, *words, f"{value:g}")
            found.append(Number(plugin, name, place, value, changed(value), known))
    return found


def _is_learnt_or_searched(path: Path) -> bool:
    return path.stem == "weighing" or (path.parent.name == "cutting" and path.stem in SEARCH)


def changed(value: float) -> float:
    """Two per cent more, or the least step of a whole number."""
    return value + max(1, round(abs(value) * 0.02)) if isinstance(value, int) else value * 1.02


Found = tuple[tuple[Any, ...], float, tuple[str, ...]]


def _in_table(path: Path) -> Iterator[Found]:
    data = YAML(typ="safe").load(path.read_text("utf-8"))
    for row in data.get("rows", ()):
        for column, value in row.items():
            if column not in ("name", "source", "note", *ORDERING):
                for place, figure in _figures(value, (row["name"], column)):
                    yield place, figure, tuple(map(str, place))


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


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


def _in_code(path: Path) -> Iterator[Found]:
    yield from _in_node(_tree(path), path.stem in READING, ())


def _in_node(node: ast.AST, letters: bool, within: tuple[str, ...]) -> Iterator[Found]:
    """The figures below a node; ``within``: the functions and names it stands in."""
    for child in ast.iter_child_nodes(node):
        if _is_no_figure(child):
            continue
        if isinstance(child, (ast.FunctionDef, ast.Lambda)):
            if not letters:
                yield from _in_node(child, letters, (*within, "def", getattr(child, "name", "")))
        elif isinstance(child, ast.Assign):
            yield from _in_node(child, letters, (*within, *(ast.unparse(target) for target in child.targets)))
        elif isinstance(child, ast.Constant):
            if _is_figure(child.value, named="def" not in within):
                yield (child.lineno, child.col_offset), child.value, within
        else:
            yield from _in_node(child, letters, within)


def _is_figure(value: Any, *, named: bool) -> bool:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or abs(value) < 1e-4:
        return bool(value) and isinstance(value, float) and f"{value:e}"[0] != "1"
    return value not in (0, 1) if named else value not in PLAIN and not _is_power_of_ten(value)


def _is_power_of_ten(value: float) -> bool:
    return abs(value) >= 1000 and f"{abs(value):e}".startswith("1.000000e")


def _is_no_figure(node: ast.AST) -> bool:
    """Whether numbers inside say how something is shown, counted, indexed or compared in length."""
    if isinstance(node, (ast.Subscript, ast.FormattedValue)):
        return True
    if isinstance(node, ast.Call):
        return _called(node) in SHOWING
    if isinstance(node, ast.BinOp):
        return isinstance(node.op, (ast.Mod, ast.LShift)) and isinstance(node.right, ast.Constant)
    if isinstance(node, ast.Compare):
        return any(isinstance(side, ast.Call) and _called(side) == "len" for side in (node.left, *node.comparators))
    return False


def _called(node: ast.Call) -> str:
    return node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
