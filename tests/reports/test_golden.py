"""The statement of a small job, kept as a file that a person can open and read.

To write it again after a change that is meant, run pytest with LISTEL_GOLDEN=write and read the difference.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

from listel import __version__
from listel.core.contract.stage import Section
from listel.core.host.engine import Outcome
from listel.reports.statement import render, render_site

GOLDEN = Path(__file__).parents[1] / "golden"


def kept(name: str, page: str) -> str:
    """The page that is kept under that name, with the version of today; the page itself where it is to be written."""
    path = GOLDEN / name
    if os.environ.get("LISTEL_GOLDEN") == "write":
        path.write_text(page.replace(f"listel {__version__}", "listel VERSION"), "utf-8")
    return path.read_text("utf-8").replace("listel VERSION", f"listel {__version__}")


def test_statement(make_outcome: Callable[..., Outcome], tmp_path: Path) -> None:
    template = tmp_path / "heights.html.j2"
    template.write_text(
        "{% set heights = result('RailHeights') %}"
        "<p>The top of the rail stands {{ heights.lines[0].top | mm }} above the floor"
        "{{ note(heights.lines[0].grounds) }}.</p>{{ drawing('proportion', room='Parlour') }}",
        "utf-8",
    )
    section = Section("heights", "Heights of rails", 200, template)
    page = render(make_outcome(sections=(section,)))
    assert page == kept("parlour-statement.html", page)


def test_site_sheets(outcome: Outcome) -> None:
    page = render_site(outcome)
    assert page == kept("parlour-site.html", page)


def test_every_figure_comes_from_the_outcome(outcome: Outcome) -> None:
    """Lengths on the site sheet are those of the marks and pieces, in the job's units."""
    from listel.core.survey.units import show_length
    from listel.plugins.setting_out import SettingOut

    setting_out = outcome.sheet[SettingOut]
    page = render_site(outcome)
    told = {show_length(piece.overall).removesuffix(" mm") for piece in setting_out.pieces}
    assert set(re.findall(r'<td class="big">(-?\d+)</td>', page)) == told
    tops = {show_length(mark.above_floor).removesuffix(" mm") for mark in setting_out.marks if mark.edge == "top"}
    assert set(re.findall(r"<td><strong>(-?\d+)</strong>", page)) == tops
