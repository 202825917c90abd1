"""One floor: every stage and every drawing has the same floor at the same station as the site."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.contract.testing import SMALL_SURVEY
from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.job import HeightReading, LevelReading
from listel.core.survey.reading import job_from_text, read_survey
from listel.plugins.heights import RailHeights
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site, corner_pairs
from listel.reports.drawings.walls import bands, floor_line, height_at, site_of_outcome

REGISTRY = load(entry_points=False, reckoners=False)
tapes = st.dictionaries(st.integers(0, 3200), st.integers(960, 1040), min_size=1, max_size=4)
FLOOR = "floor: [{at: 0, to-datum: 1000}, {at: 3200, to-datum: 994}]"


@settings(max_examples=12)
@given(tapes, st.sampled_from(["level", "parallel", "split"]), st.sampled_from(["dado-rail", "skirting"]))
def test_heights_marks_and_drawing_stand_on_the_floor_of_the_site(read, line, member):
    told = ", ".join(f"{{at: {at}, to-datum: {tape}}}" for at, tape in read.items())
    survey = SMALL_SURVEY.replace(FLOOR, f"floor: [{told}]").replace("member: dado-rail", f"member: {member}")
    assert told in survey
    outcome = examine(job_from_text(f"{survey}\nchoices: {{line: {line}}}\n"), REGISTRY)
    assert [entry.fault for entry in outcome.ran if entry.fault] == []
    site = outcome.sheet[Site]
    wall = site.wall("Hall", "A")
    drawn = floor_line(site_of_outcome(outcome).wall("Hall", "A"), 3200.0)
    for station in (0.0, 1600.0, 3200.0, *map(float, read)):
        assert height_at(drawn, station) == pytest.approx(-(wall.floor(station) or 0.0))
    marks = [mark for mark in outcome.sheet[SettingOut].marks if mark.wall == "A" and mark.from_datum is not None]
    assert marks
    for mark in marks:
        assert mark.above_floor - mark.from_datum == pytest.approx(wall.floor(mark.station))
    for rail in outcome.sheet[RailHeights].lines:
        for each in rail.stations:
            assert each.above_floor - each.from_datum == pytest.approx(site.wall("Hall", each.wall).floor(each.station))


some = st.dictionaries(st.integers(200, 3000), st.integers(960, 1040), max_size=2)


@settings(max_examples=12)
@given(st.tuples(some, some, some, some).filter(any), st.integers(0, 3))
def test_a_corner_has_one_floor_and_one_ceiling_and_a_level_line_one_height(read, over):
    """Wherever floor and ceiling were read; what was not is told."""
    job = read_survey(Path(str(files("listel.schemas"))) / "bases" / "whole-room.yaml")
    ceiling = (LevelReading(500, 1890), LevelReading(2500, 1905))
    walls = tuple(
        replace(
            wall,
            floor=tuple(LevelReading(at, tape) for at, tape in tapes.items()),
            ceiling=ceiling if number == over else (),
            openings=(),
        )
        for number, (wall, tapes) in enumerate(zip(job.rooms[0].walls, read, strict=True))
    )
    job = replace(job, rooms=(replace(job.rooms[0], walls=walls),), choices=replace(job.choices, line="level"))
    outcome = examine(job, REGISTRY)
    site, set_out = outcome.sheet[Site].rooms["Parlour"], outcome.sheet[SettingOut]
    lines: dict[str, set[float]] = {}
    for one, other in corner_pairs(site.room):
        left, right = site.walls[one.name], site.walls[other.name]
        assert left.floor(left.length) == pytest.approx(right.floor(0.0))
        assert left.height(left.length) == pytest.approx(right.height(0.0))
        floor = floor_line(left, left.length)
        for band in bands(outcome.sheet, site.room, one, left.length, floor):
            lines.setdefault(band.trim, set()).update(round(height, 3) for _, height in band.top)
    assert {trim: len(heights) for trim, heights in lines.items()} == dict.fromkeys(lines, 1)
    unread = {run.wall for run in set_out.runs if not site.walls[run.wall].floors.spans(run.end)}
    told = " ".join(each.says for each in outcome.findings if each.rule == "setting-out/floor-not-surveyed")
    assert all(wall in told.split(" of the ")[0] for wall in unread)


heights_taken = st.lists(
    st.tuples(st.sampled_from("ABCD"), st.integers(200, 3000), st.integers(2850, 2950)), min_size=1, max_size=3
)


@settings(max_examples=12)
@given(tapes, heights_taken)
def test_what_hangs_from_the_ceiling_stands_nowhere_in_it(floor, taken):
    """However the ceiling runs, and over whichever floor it was taken, a cornice lies against it at every mark."""
    job = read_survey(Path(str(files("listel.schemas"))) / "bases" / "whole-room.yaml")
    room = job.rooms[0]
    first = replace(room.walls[0], floor=tuple(LevelReading(at, tape) for at, tape in floor.items()))
    heights = tuple(HeightReading(high, wall, at) for wall, at, high in taken)
    room = replace(room, walls=(first, *room.walls[1:]), height=heights, datum=1000.0, cornice=None)
    trim = (replace(job.trim[0], member="cornice", top=None), *job.trim[1:])
    outcome = examine(replace(job, rooms=(room,), trim=trim), REGISTRY)
    site = outcome.sheet[Site].rooms["Parlour"]
    marks = [mark for mark in outcome.sheet[SettingOut].marks if mark.trim == trim[0].name and mark.edge == "top"]
    assert marks
    for mark in marks:
        assert mark.from_datum == pytest.approx(site.walls[mark.wall].ceiling(mark.station))
