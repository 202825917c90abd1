"""The statement of a small job, kept as a file that a person can open and read.

To write it again after a change that is meant, run pytest with LISTEL_GOLDEN=write and read the difference.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

from listel import __version__
from listel.core.engine import Outcome
from listel.core.stage import Section
from listel.reports.statement import render, render_site

GOLDEN = Path(__file__).parents[1] / "golden"


def held_against(name: str, page: str) -> None:
    """The page is the one that is kept, whatever the version."""
    page = page.replace(f"listel {__version__}", "listel VERSION")
    path = GOLDEN / name
    if os.environ.get("LISTEL_GOLDEN") == "write":
        path.write_text(page, "utf-8")
    assert page == path.read_text("utf-8")


def test_statement(make_outcome: Callable[..., Outcome], tmp_path: Path) -> None:
    template = tmp_path / "heights.html.j2"
    template.write_text(
        "{% set heights = result('RailHeights') %}"
        "<p>The top of the rail stands {{ heights.lines[0].top | mm }} above the floor"
        "{{ note(heights.lines[0].grounds) }}.</p>{{ drawing('proportion', room='Parlour') }}",
        "utf-8",
    )
    section = Section("heights", "Heights of rails", 200, template)
    held_against("parlour-statement.html", render(make_outcome(sections=(section,))))


def test_site_sheets(outcome: Outcome) -> None:
    held_against("parlour-site.html", render_site(outcome))


def test_every_figure_comes_from_the_outcome(outcome: Outcome) -> None:
    """Lengths on the site sheet are those of the marks and pieces, in the job's units."""
    from listel.core.units import show_length
    from listel.plugins.setting_out import SettingOut

    setting_out = outcome.sheet[SettingOut]
    told = {show_length(piece.overall) for piece in setting_out.pieces}
    told |= {show_length(mark.above_floor) for mark in setting_out.marks}
    big = set(re.findall(r'<td class="big">(-?\d+ mm)</td>', render_site(outcome)))
    assert big == told
