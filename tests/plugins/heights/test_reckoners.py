"""``listel reckon order`` and ``listel reckon height``, the tables behind them, and the section."""

from __future__ import annotations

import json
from importlib.resources import files

import jsonschema
import pytest
from ruamel.yaml import YAML

from listel.core.commands.cli import main
from listel.plugins.heights.orders import authors, order_parts, table
from listel.plugins.heights.reckoners import AUTHORS


def reckoned(capsys: pytest.CaptureFixture[str], *words: str) -> dict:  # type: ignore[type-arg]
    assert main(["reckon", *words, "--json"]) == 0
    return dict(json.loads(capsys.readouterr().out)["results"])


def test_order_divides_a_wall(capsys: pytest.CaptureFixture[str]) -> None:
    found = reckoned(capsys, "order", "--height", "2800", "--author", "gibbs", "--order", "ionic")
    assert found["pedestal"] == 560.0
    assert found["column"] + found["entablature"] == pytest.approx(2240)
    assert set(found) >= {"base", "die", "cap", "architrave", "frieze", "cornice"}


def test_order_without_a_pedestal_gives_the_wall_to_column_and_entablature(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("order", "--height", "3500", "--author", "vignola", "--order", "tuscan", "--no-pedestal")
    found = reckoned(capsys, *words)
    assert "pedestal" not in found
    assert found["column"] == pytest.approx(2800)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--author", "serlio", "--order", "ionic"), "it may be tuscan"),
        (("--author", "benjamin", "--order", "doric", "--no-pedestal"), "the pedestal only"),
    ],
)
def test_an_order_the_author_does_not_give_is_refused(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], message: str
) -> None:
    assert main(["reckon", "order", "--height", "2800", *words]) == 2
    assert message in capsys.readouterr().err


def test_height_lists_every_candidate_with_its_standing(capsys: pytest.CaptureFixture[str]) -> None:
    found = reckoned(capsys, "height", "--room-height", "3000")
    heights = {one["rule"]: (one["height"], one["standing"]) for one in found["candidates"]}
    assert heights["a fifth of the room height"] == (600.0, "common-practice")
    assert found["chosen"] == 750.0
    assert len(heights) > 12


def test_height_follows_evidence_author_and_cornice(capsys: pytest.CaptureFixture[str]) -> None:
    assert reckoned(capsys, "height", "--room-height", "3000", "--evidence", "868")["chosen"] == 868
    assert reckoned(capsys, "height", "--room-height", "3000", "--author", "gibbs")["chosen"] == 600
    taken_under = reckoned(capsys, "height", "--room-height", "2850", "--cornice", "150")
    assert taken_under["chosen"] == reckoned(capsys, "height", "--room-height", "3000")["chosen"]


def test_the_reckoners_and_the_tables_name_the_same_authors() -> None:
    assert set(AUTHORS) == set(authors()) == {row["author"] for row in table("orders")}


@pytest.mark.parametrize("row", [(row["author"], row["order"]) for row in table("orders")], ids="-".join)
def test_every_order_in_the_table_fills_the_wall(row: tuple[str, str]) -> None:
    parts = order_parts(*row, height=3000)
    assert 0 < parts["pedestal"] < 1000
    if "column" in parts:
        assert parts["pedestal"] + parts["column"] + parts["entablature"] == pytest.approx(3000, abs=1e-9)


@pytest.mark.parametrize("plugin", ["heights", "proportions"])
def test_every_table_is_valid_and_uses_all_it_lists(plugin: str) -> None:
    schema = json.loads(files("listel.schemas").joinpath("table.schema.json").read_text())
    tables = [one for one in files(f"listel.plugins.{plugin}").iterdir() if one.name.endswith(".yaml")]
    tables = [one for one in tables if one.name not in ("rules.yaml", "cases.yaml")]
    assert tables
    for one in tables:
        data = YAML(typ="safe").load(one.read_text(encoding="utf-8"))
        jsonschema.Draft202012Validator(schema).validate(data)
        keys = {key for row in data["rows"] for key in row} - {"name", "source", "note"}
        assert keys == set(data["columns"]), one.name
        named = {
            key
            for row in data["rows"]
            for key in ([row["source"]] if isinstance(row["source"], str) else row["source"])
        }
        assert named == set(data["sources"]), one.name


def test_a_room_too_low_for_any_rail_is_refused_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["reckon", "height", "--room-height", "600", "--member", "dado-rail"]) == 2
    assert "no rule keeps a dado rail within a room 600 mm high" in capsys.readouterr().err
