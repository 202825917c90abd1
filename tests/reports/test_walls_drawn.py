"""What is drawn on a wall stands where it is: boards that rake with their fixings, old pieces with their heights."""

from __future__ import annotations

import re
from importlib.resources import files
from itertools import combinations
from math import cos, radians

import pytest
from pytest import approx

from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.reports.drawings import draw
from listel.reports.drawings.one_wall import fixings_drawn
from listel.reports.drawings.paper import text_boxes
from listel.reports.drawings.picture import picture, seen_walls
from listel.reports.drawings.small_plan import small_plan
from listel.reports.drawings.wall_view import WallView
from listel.reports.drawings.walls import bands, floor_line, height_at, site_of_outcome

FLIGHT = """
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

OLD = """
listel: 1
units: mm
invented: true
job: {title: One wall}
building: {built: 1880, region: england}
rooms:
  - name: Room
    extent: part
    height: 2700
    datum: 1000
    walls:
      - name: A
        length: 4800
        floor: [{at: 0, to-datum: 1000}, {at: 4800, to-datum: 1000}]
        existing:
          - {member: dado-rail, from: 0, to: 1700, top: 905, section: {height: 70, projection: 30}, intent: keep}
          - {member: dado-rail, from: 2000, to: 3000, top: 907, section: {height: 70, projection: 30}, intent: keep}
          - {member: dado-rail, from: 3200, to: 4800, top: 909, section: {height: 70, projection: 30}, intent: keep}
"""


def test_the_height_of_an_old_piece_is_told_at_the_end_it_reaches_else_at_the_nearer() -> None:
    drawn = draw("elevation", examine(job_from_text(OLD), load([])), room="Room")
    assert re.findall(r">(90\d[^<]*)<", drawn.svg) == ["905", "909 old 3", "907 old 2"]


@pytest.mark.parametrize("fall", ["1000", "1030"])
def test_the_fixings_of_a_raking_board_are_drawn_in_it(fall: str) -> None:
    outcome = examine(job_from_text(FLIGHT.replace("FALL", fall)), load([]))
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


BAY = [
    ("A", 4200, "internal", 90), ("B", 5000, "internal", 90), ("C", 900, "external", 90), ("D", 300, "internal", 135),
    ("E", 800, "internal", 135), ("F", 1269, "internal", 135), ("G", 800, "internal", 135), ("H", 300, "external", 90),
    ("J", 900, "internal", 90), ("K", 5000, "internal", 90),
]  # fmt: skip


@pytest.mark.parametrize("size", [22.0, 26.0, 30.0, 36.0])
def test_each_wall_of_a_canted_bay_is_named_once_on_the_small_plan(size: float) -> None:
    walls = [
        f"      - {{name: {name}, length: {length}, corner: {{kind: {kind}, angle: {angle}}}}}"
        for name, length, kind, angle in BAY
    ]
    head = "listel: 1\ninvented: true\njob: {title: A bay}\nrooms:\n  - name: Bay\n    walls:\n"
    outcome = examine(job_from_text(head + "\n".join(walls)), load([]))
    plan = small_plan(outcome, "Bay", size)
    boxes = text_boxes(plan.svg)
    assert sorted(name for name, _ in boxes) == [name for name, *_ in BAY]
    apart = [one.x1 <= other.x0 or other.x1 <= one.x0 or one.y1 <= other.y0 or other.y1 <= one.y0
             for (_, one), (_, other) in combinations(boxes, 2)]  # fmt: skip
    assert all(apart)


def whole_room(**walls: str):
    """The kit's whole room, with more told of some walls."""
    text = (files("listel.schemas") / "bases" / "whole-room.yaml").read_text(encoding="utf-8")
    for name, told in walls.items():
        text = text.replace(f"      - name: {name}\n", f"      - name: {name}\n        {told}\n")
    return examine(job_from_text(text), load(entry_points=False))


def test_in_the_picture_of_a_room_a_wall_on_a_landing_stands_as_high_as_its_floor() -> None:
    flat, landing = (seen_walls(whole_room(**more), "Parlour")[0] for more in ({}, {"B": "raised: 900"}))
    corners = [next(each for each in walls if each.wall.name == "B").at(0, height) for walls, height in
               ((flat, 900), (landing, 0))]  # fmt: skip
    assert corners[0] == approx(corners[1])


@pytest.mark.parametrize("wall", "ABCD")
def test_a_room_as_it_is_is_seen_from_where_its_old_trim_is(wall: str) -> None:
    told = "existing: [{member: skirting, top: 150, intent: keep, section: {height: 150, projection: 20}}]"
    outcome = whole_room(**{wall: told})
    before, after = (picture(outcome, room="Parlour", before=one) for one in (True, False))
    seen = seen_walls(outcome, "Parlour")
    assert any(each.faces and each.wall.name == wall for each in seen["other side" in before.title])
    assert "other side" not in after.title
