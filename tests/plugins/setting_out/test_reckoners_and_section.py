"""The reckoners, the tables behind them, and the section of the statement."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import Environment, StrictUndefined
from ruamel.yaml import YAML

from listel.core.contract.reckoning import Reckoning
from listel.core.host.registry import load
from listel.core.house.filters import filters
from listel.core.survey.job import Bow, Job, LevelReading
from listel.plugins import closure, setting_out

HERE = Path(setting_out.__file__).parent
ALLOWED = {"h3", "h4", "p", "table", "caption", "thead", "tbody", "tr", "th", "td", "ul", "ol", "li", "strong", "em"}
RECKONERS = {each.name: each for each in (*setting_out.listel_reckoners(), *closure.listel_reckoners())}


def reckon(name: str, **given: Any) -> Reckoning:
    """A reckoner with the options left out as the command line leaves them."""
    keys = {
        option.name.replace("-", "_"): False if option.kind == "flag" else None for option in RECKONERS[name].options
    }
    assert given.keys() <= keys.keys()
    return RECKONERS[name].reckon({**keys, **given})


@pytest.mark.parametrize(
    ("kind", "allowance", "long_point"), [("internal", -27.37, "back"), ("external", 27.37, "face")]
)
def test_mitre(kind, allowance, long_point) -> None:
    results = reckon("mitre", corner=91.3, kind=kind, projection=28).results
    assert (results["cut_angle"], results["saw_reading"]) == (45.65, 44.35)
    assert results["face_allowance"] == pytest.approx(allowance, abs=0.01)
    assert results["long_point"] == long_point


def test_mitre_of_unequal_projections() -> None:
    results = reckon("mitre", corner=90, projection=20, other_projection=30).results
    assert (results["cut_angle"], results["other_cut_angle"]) == (33.69, 56.31)
    assert (results["face_allowance"], results["other_face_allowance"]) == (-30, -20)


@pytest.mark.parametrize(("spring", "mitre", "bevel"), [(38, 31.62, 33.86), (45, 35.26, 30.0)])
def test_sprung(spring, mitre, bevel) -> None:
    results = reckon("sprung", spring=spring, corner=90).results
    assert (results["mitre"], results["bevel"]) == (mitre, bevel)


def test_rake() -> None:
    results = reckon("rake", pitch=40, corner=90, height=70, projection=25).results
    assert (results["level_to_rake_cut"], results["level_to_rake_cut_angle"]) == (20, 70)
    assert (results["mitre"], results["bevel"]) == (40, 45)
    assert results["mismatch"] == pytest.approx(41.95, abs=0.01)
    assert reckon("rake", rise=190, going=240).results["pitch"] == 38.37


def test_bow() -> None:
    results = reckon("bow", chord=2000, rise=10, thickness=20, height=60, timber="european-redwood").results
    assert results["radius"] == 50005
    assert results["way"] == "bend"
    assert "stress" not in reckon("bow", chord=2000, rise=10).results


@pytest.mark.parametrize(("first", "misclosure"), [(4000, 0.0), (4100, 100.0)])
def test_closure(first, misclosure) -> None:
    results = reckon("closure", side=(first, 3000, 4000, 3000), angle=(90, 90, 90, 90)).results
    assert results["misclosure"] == misclosure
    assert results["closed"] is (misclosure == 0)
    assert [each["what"] for each in results["suspects"]][:2] == (["side 1", "side 3"] if misclosure else [])


@pytest.mark.parametrize(
    ("name", "given", "says"),
    [
        ("mitre", {"corner": 0}, "between 0 and 360"),
        ("mitre", {"corner": 180}, "straight wall"),
        ("mitre", {"corner": 361}, "between 0 and 360"),
        ("mitre", {"corner": 270, "kind": "internal"}, "external, 90 degrees"),
        ("mitre", {"corner": 90, "projection": -5}, "above nothing"),
        ("sprung", {"spring": 95, "corner": 90}, "spring angle"),
        ("rake", {"pitch": 90}, "no rake"),
        ("rake", {"rise": 190}, "rise and going"),
        ("bow", {"chord": 2000, "rise": -10}, "rise"),
        ("bow", {"chord": 2000, "rise": 1001}, "half of its chord"),
        ("closure", {"side": (4000, 3000), "angle": (90, 90)}, "three walls"),
        ("closure", {"side": (4000, 0, 3000), "angle": (60, 60, 60)}, "no length"),
        ("closure", {"side": (4000, 3000, 3000), "angle": (60, 180, 60)}, "straight wall"),
    ],
)
def test_figures_that_cannot_be(name, given, says) -> None:
    with pytest.raises(ValueError, match=says):
        reckon(name, **given)


def test_every_number_has_its_grounds() -> None:
    assumed = [i for g in reckon("mitre", corner=90, projection=20).grounds for i in g.inputs if i.assumed]
    assert {each.name for each in assumed} >= {"kind of corner"}
    assert all(each.grounds for each in (reckon("rake", pitch=40), reckon("bow", chord=900, rise=9)))


@pytest.mark.parametrize(
    "table",
    sorted(path for path in HERE.glob("*.yaml") if path.stem not in ("rules", "cases")),
    ids=lambda path: path.stem,
)
def test_tables_keep_to_their_form(table: Path) -> None:
    data = YAML(typ="safe").load(table.read_text("utf-8"))
    schema = json.loads(files("listel.schemas").joinpath("table.schema.json").read_text("utf-8"))
    jsonschema.validate(data, schema)
    known = {"name", "source", "note", *data["columns"]}
    assert all(row.keys() <= known for row in data["rows"])
    names = [row["name"] for row in data["rows"]]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("units", ["mm", "inches"])
def test_section_keeps_to_the_subset_and_shows_both_angles(set_out, trim, square_room, units) -> None:
    bowed = tuple(replace(w, bow=Bow(2000, 9)) if w.name == "C" else w for w in square_room.walls)
    trims = (trim(timber="european-redwood"), trim("architrave", 70, 20, top=None))
    found = set_out(replace(square_room, walls=bowed), *trims)
    html = _rendered(Job("t", units=units, rooms=(square_room,), trim=trims), found.out)
    assert set(re.findall(r"<([a-z0-9]+)", html)) <= ALLOWED
    assert "Saw reads" in html and "Cut from its length" in html
    assert "the saw reads 45° too" in html
    assert "DRAWING plan" in html and "DRAWING cuts" in html


def test_section_says_each_thing_once(set_out, trim, square_room) -> None:
    """One row for a corner, however many trims turn it; legs of one length together; a level line told in one line."""
    falls = {"A": 0}
    floor = tuple(
        replace(w, floor=(LevelReading(0, 1000), LevelReading(2500, 1000 + falls.get(w.name, 9))))
        for w in square_room.walls
    )
    room = replace(square_room, datum=1000, walls=floor)
    members = (("skirting", 200), ("dado-rail", 70), ("picture-rail", 45))
    trims = [trim(member, height, top=None if member == "skirting" else 900) for member, height in members]
    trims.append(trim("architrave", 70, 20, top=None))
    html = _rendered(Job("t", rooms=(room,), trim=tuple(trims)), set_out(room, *trims).out)
    tables = {m[1]: m[2] for m in re.finditer(r"<caption>(.*?)</caption>(.*?)</table>", html, re.DOTALL)}
    assert tables["Corners in Parlour"].count('<tr><th scope="row">') == 4
    assert "picture, dado, skirting: cope the piece on wall" in tables["Corners in Parlour"]
    pieces = next(text for caption, text in tables.items() if caption.startswith("Pieces"))
    assert "A-A1, A-A3" in pieces and "45°" not in pieces
    assert "dado: the top edge 100 mm below the datum line, the underside 70 mm lower" in html
    marks = tables["Top edges above the floor there, wall B of Parlour"]
    assert marks.count('<th scope="col">') == 4 and "Take off its bottom edge" in marks


def test_section_of_a_job_with_nothing_to_set_out(set_out, trim) -> None:
    from listel.core.survey.job import Room

    found = set_out(Room("Parlour"), trim())
    html = _rendered(Job("t"), found.out)
    assert "No wall was surveyed" in html


def _rendered(job: Job, out: object) -> str:
    """The section as the statement renders it."""
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    environment.filters |= dict(filters(job.units))
    (section,) = setting_out.listel_sections()
    return environment.from_string(section.template.read_text("utf-8")).render(
        job=job, result={"SettingOut": out}.get, number=str, drawing=lambda name, **keys: f"DRAWING {name}"
    )


def test_demo_surveys_are_set_out(examples: Path) -> None:
    from listel.core.host.engine import examine
    from listel.core.survey.reading import read_survey
    from listel.plugins.setting_out import SettingOut

    outcome = examine(read_survey(examples / "stair-hall.yaml"), load([]))
    out = outcome.sheet[SettingOut]
    assert all(line.closed for line in outcome.sheet[closure.Closures].lines)
    assert len({piece.label for piece in out.pieces}) == len(out.pieces) > 30
    assert any(run.pitch for run in out.runs)


@given(st.floats(60, 178) | st.floats(182, 300), st.floats(8, 60), st.floats(8, 60), st.floats(0.1, 2))
def test_a_mitre_of_unequal_projections_by_crossing_lines(theta: float, own: float, other: float, error: float) -> None:
    """Where the two face lines cross, how far that is, and what turning by the error opens."""
    turn = np.radians(theta)
    inward = np.array([np.sin(turn), -np.cos(turn)])
    crossing = np.linalg.solve(np.array([[0.0, 1.0], inward]), [own, other])
    kind = "internal" if theta < 180 else "external"
    sizes = {"projection": own, "other_projection": other, "error": error}
    found = reckon("mitre", corner=min(theta, 360 - theta), kind=kind, **sizes).results
    through = reckon("mitre", corner=theta, kind=kind, **sizes).results
    assert through == pytest.approx(found)
    line = float(np.hypot(*crossing))
    chord = complex(*crossing) - complex(*crossing) * np.exp(1j * np.radians(error))
    assert found["mitre_line"] == pytest.approx(line, abs=0.006)
    assert found["gap"] == pytest.approx(abs(chord), abs=0.006)
    assert found["face_allowance"] == pytest.approx(-crossing[0], abs=0.006)


def test_a_cut_is_drawn_as_text_and_says_how_an_angle_was_read() -> None:
    drawn = reckon("mitre", corner=225, kind="external", projection=20, explain=True)
    assert drawn.says[0].startswith("225 was given through the room")
    assert reckon("sprung", corner=225, spring=38).says[0] == drawn.says[0]
    assert drawn.says[0] in reckon("rake", corner=225, pitch=35).says
    lines = drawn.says[-5:]
    assert "back, on the wall" in lines[0] and "face, to the room" in lines[-1]
    assert lines[-1].index("\\") > lines[0].index("\\")


@pytest.mark.parametrize(
    "figures", [{"corner": 91.3, "projection": 28.0}, {"corner": 120.0, "projection": 15.0, "other_projection": 25.0}]
)
def test_worked_lines_come_to_the_printed_result(figures: dict[str, float]) -> None:
    reckoning = reckon("mitre", **figures)
    assert f"= {reckoning.results['cut_angle']:.2f}" in reckoning.grounds[0].worked
    assert reckoning.grounds[0].worked.endswith(f"= {reckoning.results['saw_reading']:.2f}")
