"""The elevation of a wall with a socket, a switch and a rail between them shows the zones and the moved fixings."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.plugins.fixings import FixingSchedule
from listel.plugins.safety import SafetyNotes
from listel.reports.drawings import draw
from listel.reports.drawings.paper import Drawing

SURVEY = """
listel: 1
units: mm
invented: true
job: {title: One wall}
building: {built: 1880, region: england}
rooms:
  - name: Room
    extent: part
    height: [{wall: A, at: 100, height: 2700}]
    datum: 1000
    walls:
      - name: A
        length: 4000
        substrate: {kind: lime-on-brick, plaster: 20, condition: sound}
        floor: [{at: 0, to-datum: 1000}, {at: 4000, to-datum: 1000}]
        fittings:
          - {kind: socket, at: 970, height: 300, width: 146, depth: 86}
          - {kind: switch, at: 2960, height: 1150, width: 86, depth: 86}
    evidence: [{kind: ghost-line, member: dado-rail, height: 900, edge: top, wall: A}]
trim:
  - name: rail
    member: dado-rail
    where: [{room: Room}]
    section: {height: 60, projection: 25}
    timber: european-redwood
choices: {fixing: screw}
"""
SCALE = 50
HATCH = re.compile(r'<path d="([^"]*)" fill="none" stroke="black" stroke-width="0.13"/>')
LINE = re.compile(r"M(\S+) (\S+)L(\S+) (\S+?)(?=M|$)")


@pytest.fixture(scope="module")
def wall() -> Outcome:
    """One wall with a socket below the rail and a switch above it."""
    return examine(job_from_text(SURVEY), load([]))


@pytest.fixture(scope="module")
def drawn(wall: Outcome) -> Drawing:
    """Its elevation."""
    return draw("elevation", wall, room="Room", wall="A")


def hatching(drawn: Drawing) -> list[tuple[float, float]]:
    """The middle of each line of hatching, as a station and a height above the floor."""
    left = re.search(r'text-anchor="middle"[^>]*>4000<', drawn.svg)
    assert left, "the wall's length stands under it"
    middle = float(re.findall(r'<text x="([^"]*)"[^>]*>4000<', drawn.svg)[0])
    start = middle - 2000 / SCALE
    floor = max(
        float(y0)
        for data in re.findall(r'<path d="([^"]*)" fill="none" stroke="black" stroke-width="0.7"/>', drawn.svg)
        for _, y0, _, _ in LINE.findall(data)
    )
    found = []
    for data in HATCH.findall(drawn.svg):
        for x0, y0, x1, y1 in LINE.findall(data):
            x, y = (float(x0) + float(x1)) / 2, (float(y0) + float(y1)) / 2
            found.append(((x - start) * SCALE, (floor - y) * SCALE))
    return found


def test_zones_are_those_of_the_safety_notes(wall: Outcome) -> None:
    zones = wall.sheet[SafetyNotes].zones
    assert Counter(zone.kind for zone in zones) == {"corner": 2, "top": 1, "vertical": 2, "horizontal": 2}


def test_every_zone_is_hatched_and_nothing_else(wall: Outcome, drawn: Drawing) -> None:
    assert f"1:{SCALE}" in drawn.scale
    zones = wall.sheet[SafetyNotes].zones
    on_the_wall = [(x, y) for x, y in hatching(drawn) if 0 <= y <= 2700]

    def within(x: float, y: float, slack: float) -> list[int]:
        return [
            n for n, z in enumerate(zones) if z.x0 - slack <= x <= z.x1 + slack and z.y0 - slack <= y <= z.y1 + slack
        ]

    assert all(within(x, y, 2.0) for x, y in on_the_wall), "hatching stands in zones only"
    counts = Counter(number for x, y in on_the_wall for number in within(x, y, 0.0))
    assert set(counts) == set(range(len(zones))), "each zone has hatching of its own"
    assert "prove it dead before fixing" in " ".join(re.findall(r">([^<]*)</text>", drawn.svg))


def test_moved_fixings_are_ringed(wall: Outcome, drawn: Drawing) -> None:
    points = [point for line in wall.sheet[FixingSchedule].lines for point in line.points]
    moved = [point for point in points if point.moved]
    assert moved, "fixings at the usual spacing would stand in a zone"
    in_the_key = 1
    assert drawn.svg.count('r="1.1"') == len(moved) + in_the_key
    assert drawn.svg.count('r="0.45"') == len(points) + 2 * in_the_key
    zones = wall.sheet[SafetyNotes].zones
    for point in points:
        height = point.height or 0.0
        within = [z for z in zones if z.x0 < point.station < z.x1 and z.y0 < height < z.y1]
        assert not within or point.moved, "what could leave its zone has left it"
