"""On the wall of a flight the board that rakes is drawn as wide as it is, with its fixings in it."""

from __future__ import annotations

from math import cos, radians

import pytest
from pytest import approx

from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.reports.drawings.one_wall import WallView, fixings_drawn
from listel.reports.drawings.walls import bands, floor_line, height_at, site_of_outcome

SURVEY = """
listel: 1
units: mm
invented: true
job: {title: One flight}
building: {built: 1880, region: england}
rooms:
  - name: Stair
    use: stair
    extent: part
    height: 3600
    datum: 1000
    walls:
      - name: A
        length: 4600
        substrate: {kind: lime-on-brick, plaster: 20, condition: sound}
        floor: [{at: 0, to-datum: 1000}, {at: 4600, to-datum: FALL}]
    stairs: [{name: stair, rise: 168, going: 285, steps: 12, walls: [{wall: A, foot: 700}]}]
trim:
  - name: board
    member: stair-skirting
    top: 220
    where: [{room: Stair}]
    section: {height: 340, projection: 25}
    timber: european-redwood
choices: {fixing: screw}
"""


@pytest.mark.parametrize("fall", ["1000", "1030"])
def test_the_fixings_of_a_raking_board_are_drawn_in_it(fall: str) -> None:
    outcome = examine(job_from_text(SURVEY.replace("FALL", fall)), load([]))
    site = site_of_outcome(outcome).rooms["Stair"]
    wall, floor = site.walls["A"], floor_line(site.walls["A"], 4600.0)
    members = bands(outcome.sheet, site.room, wall.wall, 4600.0, floor)
    view = WallView(
        outcome=outcome,
        site=site,
        wall=wall.wall,
        length=4600.0,
        floor=floor,
        ceiling=None,
        members=members,
        scale=1.0,
    )
    raking = next(band for band in members if band.top[-1][1] - band.top[0][1] > 1000)
    drawn = [(fixing, point, -y) for fixing, point, (_, y) in fixings_drawn(view) if fixing.pitch]
    assert len(drawn) > 8
    assert {round(height_at(raking.top, point.station) - height, 6) for _, point, height in drawn} == {55.0, 165.0}
    for station in (1500.0, raking.end):
        plumb = height_at(raking.top, station) - height_at(raking.underside, station)
        assert plumb == approx(340 / cos(radians(drawn[0][0].pitch)))
    assert all(height >= height_at(floor, station) - 1e-9 for band in members for station, height in band.underside)
