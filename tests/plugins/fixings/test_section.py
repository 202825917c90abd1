"""The section of the statement and the tables behind it."""

from __future__ import annotations

import json
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from jinja2 import Environment, StrictUndefined
from ruamel.yaml import YAML

from listel.core.house.filters import filters
from listel.core.survey.job import Choices, Job, Section
from listel.core.survey.words import built_in_schema
from listel.plugins import fixings
from listel.plugins.fixings import FixingSchedule

HERE = Path(fixings.__file__).parent
TABLES = sorted(path for path in HERE.glob("*.yaml") if path.stem not in ("rules", "cases"))
ALLOWED = {"h3", "h4", "p", "table", "caption", "thead", "tbody", "tr", "th", "td", "ul", "ol", "li", "strong", "em"}


def rendered(lines: tuple, units: str = "mm") -> str:
    """The section as the statement renders it."""
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    environment.filters |= filters(units)  # type: ignore[arg-type]
    (section,) = fixings.listel_sections()
    template = environment.from_string(section.template.read_text("utf-8"))
    schedule = FixingSchedule(lines)
    return template.render(
        job=Job("t", units=units), readers="all", result=lambda name: {"FixingSchedule": schedule}.get(name)
    )  # type: ignore[arg-type]


def tags(html: str) -> set[str]:
    """The names of the elements in a piece of HTML."""
    import re

    return set(re.findall(r"<([a-z0-9]+)", html))


def test_section_shows_the_schedule_and_the_ratio(fix) -> None:
    fixed = fix()
    html = rendered(fixed.lines)
    assert "screw No. 8 x 90 mm" in html
    assert f"<strong>{fixed.line.ratio:.2f}</strong>" in html
    assert "percussive drilling" in html
    assert tags(html) <= ALLOWED


def test_section_says_how_to_find_studs(fix, lath) -> None:
    assert "strong magnet" in rendered(fix(replace(lath, studs=None)).lines)


@pytest.mark.parametrize("units", ["mm", "inches"])
def test_section_of_what_is_not_known(fix, trim, units: str) -> None:
    lines = (
        fix(None).lines + fix(trim=trim(section=Section())).lines + fix(choices=Choices(fixing=("masonry-nail",))).lines
    )
    html = rendered(lines, units)
    assert "not to be named yet" in html and "cannot be told until" in html
    assert html.count("<caption>") == html.count("<thead>") == 2


def test_section_without_a_schedule() -> None:
    assert "No run could be fixed" in rendered(())


def test_tables_have_at_most_eight_columns(fix) -> None:
    html = rendered(fix().lines)
    assert all(head.count('scope="col"') <= 8 for head in html.split("<thead>")[1:])


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_every_table_names_its_sources_and_columns(path: Path) -> None:
    data = YAML(typ="safe").load(path.read_text("utf-8"))
    schema = json.loads(files("listel.schemas").joinpath("table.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(schema).validate(data)
    used = {key for row in data["rows"] for key in row} - {"name", "source", "note"}
    assert used == set(data["columns"])
    named = {
        key for row in data["rows"] for key in ([row["source"]] if isinstance(row["source"], str) else row["source"])
    }
    assert named == set(data["sources"])


def test_every_kind_of_fixing_of_the_survey_has_its_row() -> None:
    from listel.core.contract.tables import load_table

    kinds = built_in_schema()["$defs"]["fixing-kind"]["enum"]
    assert [name for name in kinds if name not in load_table("listel.plugins.fixings", "kinds")] == []
