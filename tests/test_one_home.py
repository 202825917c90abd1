"""What the survey tells of the site is worked out in one place: no other module does it again."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
OTHERS = sorted(
    path
    for room in ("core", "plugins", "reports")
    for path in (ROOT / room).rglob("*.py")
    if path.parts[-2] != "site" and path.parent.name != "survey"
)

NAMES = {"protected", "pitch_of", "flight_pitch", "flight_climb", "studs_of", "studs_along", "stud_stations"}
NAMES |= {"floor_of", "reading_at", "to_datum", "is_ring", "corner_pairs", "compass_rule", "headings"}
"""Functions that answer what the site answers."""

FORMULAS = {
    "studs": r"studs\.(centres|first|positions)",
    "thickness": r"thickness if [\w.]*thickness is not None else [\w.]*projection|thickness or [\w.]*projection",
    "clear finishes": r'"clear", "wax", "oil"',
}


@pytest.mark.parametrize("path", OTHERS, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_other_module_works_out_the_site(path):
    text = path.read_text(encoding="utf-8")
    defined = {node.name for node in ast.walk(ast.parse(text)) if isinstance(node, ast.FunctionDef)}
    assert defined & NAMES == set()
    assert [what for what, pattern in FORMULAS.items() if re.search(pattern, text)] == []
