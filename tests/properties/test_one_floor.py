"""One floor: every stage and every drawing has the same floor at the same station as the site."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.contract.testing import SMALL_SURVEY
from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.plugins.heights import RailHeights
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site
from listel.reports.drawings.walls import floor_line, height_at, site_of_outcome

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
