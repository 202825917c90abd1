"""The parser's syntax faults in a person's words."""

from __future__ import annotations

from typing import Any

_WORDS = (
    ("found unexpected end of stream", "the quote opened on line {context} is not closed"),
    ("expected ',' or ']'", "the [ opened on line {context} is not closed, or a comma is missing"),
    ("expected ',' or '}'", "the {{ opened on line {context} is not closed, or a comma is missing"),
    ("could not find expected ':'", "a key without a colon; write key: value"),
    (
        "mapping values are not allowed",
        "a colon cannot stand here; check the indent, or put text that holds a colon in quotes",
    ),
    (
        "expected <block end>",
        "this does not line up with what stands above; give keys of one map, and items of one list, one indent",
    ),
    ("sequence entries are not allowed", "a list item (-) cannot begin here; begin it on a line of its own"),
    ("block sequence entries", "a list item (-) cannot begin here; begin it on a line of its own"),
    ("unknown escape character", "a backslash in double quotes begins an escape; use single quotes, or write \\\\"),
    ("found duplicate anchor", "an anchor (&) of this name stands above already; give it another name"),
    ("found unexpected ':'", "a colon cannot stand here; put text that holds a colon in quotes"),
    ("but found '<stream end>'", "the file ends where a value is expected; look for brackets left open"),
    (
        "expected '<document start>'",
        "this stands outside the map above; give it a key, at the indent of the other keys",
    ),
    ("cannot start any token", "this letter cannot begin a value; put the text in quotes"),
)


def syntax_words(error: Any, text: str) -> str:
    """What a YAML error says, in words, from its problem and the line it stands on."""
    problem = str(error.problem or error.context or error)
    mark = error.problem_mark or error.context_mark
    if mark and _tab_before(text, mark.line, mark.column):
        return "a tab stands in the indent; indent with spaces"
    context = (error.context_mark or mark).line + 1 if mark or error.context_mark else 0
    for found, words in _WORDS:
        if found in problem:
            return words.format(context=context)
    return f"this cannot be read as YAML: {problem}"


def _tab_before(text: str, line: int, column: int) -> bool:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if line >= len(lines):
        return False
    indent = lines[line][: len(lines[line]) - len(lines[line].lstrip())]
    return "\t" in indent
