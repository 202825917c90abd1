"""The papers of a small job, kept as text that a person can open and read.

To write them again after a change that is meant, run pytest with LISTEL_GOLDEN=write and read the difference.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from listel import __version__
from listel.core.contract.stage import READERS, Section
from listel.core.host.outcome import Outcome
from listel.core.survey.units import show_length
from listel.plugins.setting_out import SettingOut
from listel.reports.markdown import to_markdown
from listel.reports.statement import Statement, compose, render

GOLDEN = Path(__file__).parents[1] / "golden"


def kept(name: str, statement: Statement) -> tuple[str, str]:
    """The paper as text with today's version, and what is kept under that name; written first where it is to be."""
    text = to_markdown(statement, "drawings")[0].replace(f"listel {__version__}", "listel VERSION")
    path = GOLDEN / name
    if os.environ.get("LISTEL_GOLDEN") == "write":
        path.write_text(text, "utf-8")
    return text, path.read_text("utf-8")


def test_statement(make_outcome: Callable[..., Outcome], tmp_path: Path) -> None:
    template = tmp_path / "heights.html.j2"
    template.write_text(
        "{% set heights = result('RailHeights') %}"
        "<p>The top of the rail stands {{ heights.lines[0].top | mm }} above the floor"
        "{{ note(heights.lines[0].grounds) }}.</p>{{ drawing('proportion', room='Parlour') }}",
        "utf-8",
    )
    section = Section("heights", "Heights of rails", 200, template)
    made, golden = kept("parlour-statement.md", compose(make_outcome(sections=(section,))))
    assert made == golden


@pytest.mark.parametrize("readers", [readers for readers in READERS if readers != "all"])
def test_papers(outcome: Outcome, readers: str) -> None:
    made, golden = kept(f"parlour-{readers}.md", compose(outcome, readers=readers))  # type: ignore[arg-type]
    assert made == golden


def test_every_length_comes_from_the_outcome(outcome: Outcome) -> None:
    """The big figures of the workshop pack are the lengths of the pieces, in the job's units."""
    setting_out = outcome.sheet[SettingOut]
    page = render(outcome, readers="workshop")
    told = [show_length(piece.overall).removesuffix(" mm") for piece in setting_out.pieces]
    assert sorted(re.findall(r'<td><span class="figure">(-?\d+)</span>', page)) == sorted(told)
