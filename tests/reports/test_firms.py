"""What a firm brings is named in the statement, and what its rules changed is told in a part of its own."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from listel.core.commands.cli import main
from listel.core.host.outcome import Outcome
from listel.core.survey.faults import InputFault
from listel.reports.statement import render

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "schemas" / "examples"


def test_a_firm_its_rules_and_what_they_set_are_named(tmp_path: Path) -> None:
    house = EXAMPLES / "house-lathwise.yaml"
    main(["statement", str(EXAMPLES / "stair-hall.yaml"), "--house", str(house), "--markdown", "--out", str(tmp_path)])
    for name in ("stair-hall-statement.html", "stair-hall-statement.md"):
        page = (tmp_path / name).read_text("utf-8")
        made_by = page[page.index("Made by") :][:200]
        assert "house rules of Lathwise Conservation Carpentry, house-lathwise.yaml" in made_by
        assert "What the firm" in page
        assert "Lathwise Conservation Carpentry: lath-at-350" in page
        assert "most spacing 350 mm" in page
        assert "Inspection of the Stair hall" in page


def test_a_weight_that_a_firm_gave_is_told(outcome: Outcome) -> None:
    weighed = replace(outcome.findings[0], weighed_by="Oak & Ash")
    page = render(replace(outcome, findings=(weighed, *outcome.findings[1:])))
    assert "Weight given by Oak &amp; Ash." in page
    assert "What the firm&#39;s own rules changed" not in page


def test_a_dress_template_that_takes_the_place_of_nothing_is_told(outcome: Outcome, tmp_path: Path) -> None:
    (tmp_path / "titel.html.j2").write_text("<h1>x</h1>", "utf-8")
    with pytest.raises(InputFault, match=r"takes the place of nothing. Did you mean title\.html\.j2\?"):
        render(outcome, dress=tmp_path)
