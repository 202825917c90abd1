"""What listel rests on, as ``listel plugins --sources`` lists it."""

from __future__ import annotations

import json

import pytest

from listel.core.commands.cli import main
from listel.core.contract.findings import STANDINGS


def test_sources_go_by_standing_and_the_longest_not_looked_at_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plugins", "--sources", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    order = [(STANDINGS.index(row["standing"]), row["checked"]) for row in rows]
    assert order == sorted(order)
    assert {"", "2026-11"} <= {row["checked"] for row in rows}
    assert all(row["leans"] for row in rows)
    monuments = next(row for row in rows if row["title"].startswith("Historic Monuments") and row["checked"])
    assert monuments["leans"] == ["safety/consents/scheduled-northern-ireland"]


def test_sources_in_words_count_what_leans_on_them(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plugins", "--sources"]) == 0
    told = capsys.readouterr().out
    assert told.startswith("published seen (")
    assert "  2026-11" in told and "  not dated" in told
    assert "leaned on by" in told
