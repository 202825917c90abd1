"""Words written by others, rendered safely.

Jinja's sandbox stops every reach for Python's internals, but not hunger (``'a' * 10**9``, loops in loops). So a
sentence of a house rule is parsed first, and only text, names, dotted access, constants, comparisons,
and/or/not, if, and a few named filters are let through. A firm's own template (a section, a piece of dress) may
loop as well, over what it is given, and call what the statement offers by name; sums, powers, ranges, assignments,
macros, methods and includes stay out, since each can make a text that has no end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from operator import itemgetter
from typing import Any

from jinja2 import StrictUndefined, Template, TemplateSyntaxError, Undefined, UndefinedError, nodes
from jinja2.exceptions import SecurityError, TemplateRuntimeError
from jinja2.meta import find_undeclared_variables
from jinja2.sandbox import ImmutableSandboxedEnvironment

from listel.core.survey.messages import nearest

LONGEST_SENTENCE = 600
LONGEST_TEMPLATE = 60_000
MOST_RENDERED = 4_000_000
"""So many letters a text may grow to when it is rendered."""

SENTENCE_FILTERS = ("mm", "deg", "num", "upper", "lower", "default", "join", "length", "round", "title")
TEMPLATE_FILTERS = (
    *SENTENCE_FILTERS,
    "money",
    "date",
    "first",
    "last",
    "sort",
    "unique",
    "selectattr",
    "rejectattr",
    "map",
)

_SENTENCE_NODES: tuple[type[nodes.Node], ...] = (
    nodes.Template,
    nodes.Output,
    nodes.TemplateData,
    nodes.Name,
    nodes.Getattr,
    nodes.Const,
    nodes.Compare,
    nodes.Operand,
    nodes.And,
    nodes.Or,
    nodes.Not,
    nodes.If,
    nodes.CondExpr,
    nodes.Filter,
    nodes.Neg,
)
_TEMPLATE_NODES: tuple[type[nodes.Node], ...] = (
    *_SENTENCE_NODES,
    nodes.For,
    nodes.Getitem,
    nodes.Call,
    nodes.Keyword,
    nodes.List,
    nodes.Tuple,
    nodes.Test,
)


class SandboxFault(ValueError):
    """A text that may not be rendered; ``line`` is its line within the text, ``more`` what else is wrong with it."""

    def __init__(self, says: str, line: int = 1, more: Sequence[SandboxFault] = ()) -> None:
        super().__init__(says)
        self.line, self.more = line, more


def sentence(text: str, names: frozenset[str], filters: Mapping[str, Callable[..., Any]]) -> Template:
    """A sentence that may use only those names. Raises SandboxFault for anything it may not hold."""
    if len(text) > LONGEST_SENTENCE:
        raise SandboxFault(f"a sentence holds at most {LONGEST_SENTENCE} characters; this one has {len(text)}")
    environment = _environment(filters, SENTENCE_FILTERS, autoescape=False)
    return _checked(environment, text, _SENTENCE_NODES, names)


def template(text: str, names: frozenset[str], filters: Mapping[str, Callable[..., Any]]) -> Template:
    """A firm's template that may use only those names; HTML in what it is given is escaped.

    Raises SandboxFault for anything it may not hold.
    """
    if len(text) > LONGEST_TEMPLATE:
        raise SandboxFault(f"a template holds at most {LONGEST_TEMPLATE} characters; this one has {len(text)}")
    environment = _environment(filters, TEMPLATE_FILTERS, autoescape=True)
    return _checked(environment, text, _TEMPLATE_NODES, names)


def rendered(made: Template, values: Mapping[str, Any]) -> str:
    """The text with the values in it.

    Raises SandboxFault where a value is not there, may not be reached or does not suit what is done with it, and
    where the text grows beyond all measure.
    """
    try:
        return _measured(made.generate(values))
    except UndefinedError as error:
        raise SandboxFault(f"{error.message}; every name must be there") from error
    except TemplateRuntimeError as error:
        raise SandboxFault(str(error)) from error
    except (TypeError, ValueError, ArithmeticError, AttributeError, RecursionError) as error:
        raise SandboxFault(f"a value does not suit what is done with it: {error}") from error


def _measured(parts: Iterable[str]) -> str:
    taken: list[str] = []
    size = 0
    for part in parts:
        taken.append(part)
        size += len(part)
        if size > MOST_RENDERED:
            raise SecurityError(f"the text grows beyond {MOST_RENDERED} letters")
    return "".join(taken)


def _environment(
    filters: Mapping[str, Callable[..., Any]], allowed: tuple[str, ...], *, autoescape: bool
) -> ImmutableSandboxedEnvironment:
    environment = ImmutableSandboxedEnvironment(undefined=StrictUndefined, autoescape=autoescape, finalize=_printable)
    of_words = {name: _of_words(environment.filters[name]) for name in ("upper", "lower", "title")}
    known = {**environment.filters, **of_words, "join": _join, "round": _round, **filters}
    environment.filters = {name: known[name] for name in allowed if name in known}
    environment.globals.clear()
    return environment


def _printable(value: Any) -> Any:
    """A value that may be printed: words, numbers, true or false, nothing."""
    if value is None or isinstance(value, (str, int, float, Undefined)):
        return value
    if isinstance(value, (list, tuple)):
        raise SecurityError("a list cannot be printed as it is; write {{ a|join(', ') }}")
    raise SecurityError(f"a {type(value).__name__} cannot be printed; write one of its keys, as {{{{ a.key }}}}")


def _of_words(filter_: Callable[..., Any]) -> Callable[..., Any]:
    return lambda value: filter_(_printable(value))


def _join(items: Any, between: str = "") -> str:
    """Listed items as one text, of bounded length. A text is not taken apart: joined again and again it would grow."""
    if isinstance(items, str):
        raise SecurityError("join takes a list")
    words = [str(_printable(item)) for item in items]
    if sum(map(len, words)) + len(words) * len(str(between)) > MOST_RENDERED:
        raise SecurityError(f"the text grows beyond {MOST_RENDERED} letters")
    return str(between).join(words)


def _round(value: float, places: int = 0) -> float:
    """A number rounded to that many decimals, at most 12: Jinja's own raises ten to any power it is given."""
    return round(value, min(places, 12))


def _checked(
    environment: ImmutableSandboxedEnvironment,
    text: str,
    allowed: tuple[type[nodes.Node], ...],
    names: frozenset[str],
) -> Template:
    try:
        faults = sorted(dict.fromkeys(_faults(environment, text, allowed, names)), key=itemgetter(0))
        if faults:
            first, *more = (SandboxFault(says, line) for line, says in faults)
            raise SandboxFault(str(first), first.line, more)
        return environment.from_string(text)
    except RecursionError as error:
        raise SandboxFault("it is nested too deeply") from error


def _faults(
    environment: ImmutableSandboxedEnvironment,
    text: str,
    allowed: tuple[type[nodes.Node], ...],
    names: frozenset[str],
) -> Iterator[tuple[int, str]]:
    """What a text may not hold: the line, and what is wrong there."""
    try:
        tree = environment.parse(text)
    except TemplateSyntaxError as error:
        yield error.lineno, f"it is no template: {error.message}"
        return
    said = [(node.lineno, _misused(node, environment, allowed)) for node in tree.find_all(nodes.Node)]
    wrong = [(line, says) for line, says in said if says]
    yield from wrong
    yield from _unknown_names(tree, _names_in(tree) if wrong else find_undeclared_variables(tree), names)


def _misused(
    node: nodes.Node, environment: ImmutableSandboxedEnvironment, allowed: tuple[type[nodes.Node], ...]
) -> str:
    """What is wrong with a node by itself; "" where nothing is."""
    if not isinstance(node, allowed):
        return _not_allowed(node, allowed)
    if isinstance(node, nodes.Getattr) and node.attr.startswith("_"):
        return f"{node.attr} is not allowed here"
    if isinstance(node, nodes.Filter) and node.name not in environment.filters:
        return f"the filter {node.name} is not allowed here; {', '.join(environment.filters)} are"
    if isinstance(node, nodes.Test) and node.name not in environment.tests:
        return f"there is no test {node.name}; there are {', '.join(filter(str.isalpha, environment.tests))}"
    if isinstance(node, nodes.Name) and node.name == "self":
        return "self is not allowed here"
    if isinstance(node, nodes.Call) and not isinstance(node.node, nodes.Name):
        return "only what the statement offers may be called here"
    if isinstance(node, nodes.For) and node.recursive:
        return "a recursive loop is not allowed here"
    return ""


_CALLED = {
    "assign": "{% set %}: write the value where it is used",
    "assignblock": "{% set %}: write the value where it is used",
    "with": "{% with %}: write the value where it is used",
    "slice": "a slice [a:b]",
    "concat": "~: write the two side by side, {{ a }} {{ b }}",
    "for": "{% for %}",
    "getitem": "[ ]: write a.key",
    "test": "a test (is ...)",
    "add": "+",
    "sub": "-",
    "mul": "*",
    "div": "/",
    "floordiv": "//",
    "mod": "%",
    "pow": "**",
}
"""What a person wrote, for the names Jinja gives it."""


def _not_allowed(node: nodes.Node, allowed: tuple[type[nodes.Node], ...]) -> str:
    name = type(node).__name__.lower()
    may = "names, a.key, comparisons, if and filters"
    if nodes.For in allowed:
        may = "names, a.key, comparisons, if, for, filters and result(...)"
    written = _CALLED.get(name, f"{{% {name} %}}" if isinstance(node, nodes.Stmt) else name)
    what, _, instead = written.partition(": ")
    return f"{what} ({name}) is not allowed here; {may} are" + (f"; {instead}" if instead else "")


def _names_in(tree: nodes.Template) -> set[str]:
    """The names that are used and nowhere made, whatever else is in the text: Jinja's own way to find them reckons, and
    what is not allowed may have no end."""
    named = [(node.name, node.ctx) for node in tree.find_all(nodes.Name)]
    return {name for name, use in named if use == "load"} - {name for name, use in named if use != "load"} - {"self"}


def _unknown_names(tree: nodes.Template, used: set[str], names: frozenset[str]) -> Iterator[tuple[int, str]]:
    for name in sorted(used - names):
        line = next(node.lineno for node in tree.find_all(nodes.Name) if node.name == name)
        near = nearest(name, sorted(names))
        meant = f" Did you mean {near}?" if near else ""
        yield line, f"there is no {name} here; there are {', '.join(sorted(names))}.{meant}"
