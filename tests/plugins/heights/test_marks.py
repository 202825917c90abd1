"""A mark's height is above the floor of its own wall; the rail that follows it passes through it there."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from listel.core.contract.testing import StageRun, run_stage
from listel.core.survey.job import Job
from listel.core.survey.messages import SurveyFaults
from listel.core.survey.reading import job_from_text
from listel.plugins.heights import RailHeights, WallOrders, listel_stages
from listel.plugins.site import site_of

ROOM = """
listel: 1
invented: true
job: {{title: A room}}
rooms:
  - name: Room
    height: 2700
    datum: 1002
    evidence: [{{kind: ghost-line, edge: top, height: {height}, member: {member}, wall: {wall}{at}}}]
    walls:
      - {{name: A, length: 4000, floor: [{{at: 0, to-datum: 1004}}, {{at: 4000, to-datum: 990}}]}}
      - {{name: B, length: 1000, floor: [{{at: 0, to-datum: 990}}, {{at: 1000, to-datum: 994}}]}}
      - {{name: C, length: 4000}}
      - {{name: D}}
trim: [{{name: rail, member: {member}, where: [{{room: Room}}], section: {{height: 60, projection: 25}}}}]
choices: {{line: {line}}}
"""


@pytest.fixture
def marked() -> Callable[..., StageRun]:
    """The stage over a room whose floor is out of level, with one mark."""

    def run(
        line: str = "level", at: str = "", wall: str = "B", member: str = "dado-rail", height: str = "898"
    ) -> StageRun:
        text = ROOM.format(line=line, at=at, wall=wall, member=member, height=height)
        job = job_from_text(text)
        return run_stage(listel_stages()[0], job, site_of(job))

    return run


@pytest.mark.parametrize(
    ("line", "top", "passes"),
    [("level", 898 - 990 + 1002, 898), ("split", 898 + 6, 898), ("parallel", 898, 898)],
)
def test_the_rail_passes_through_its_mark(
    marked: Callable[..., StageRun], line: str, top: float, passes: float
) -> None:
    rail = marked(line, ", at: 0").result(RailHeights).lines[0]
    assert rail.top == pytest.approx(top)
    at_mark = next(one for one in rail.stations if (one.wall, one.station) == ("B", 0.0))
    assert at_mark.above_floor == pytest.approx(passes)


def test_the_floor_between_two_readings_lies_straight(marked: Callable[..., StageRun]) -> None:
    assert marked(at=", at: 250").result(RailHeights).lines[0].top == pytest.approx(898 - 991 + 1002)


def test_a_mark_without_a_station_takes_the_mean_of_its_wall_and_says_how_far_that_may_be_out(
    marked: Callable[..., StageRun],
) -> None:
    mark = marked().result(WallOrders).rooms[0].marks[0]
    assert mark.top == pytest.approx(898 - 992 + 1002)
    assert mark.grounds.worked == "898 mm - 992 mm + 1002 mm = 908 mm"
    assert mark.grounds.uncertainty.startswith("+/- 2 mm")


def test_a_wall_that_was_not_levelled_leaves_the_height_as_it_is_and_says_so(marked: Callable[..., StageRun]) -> None:
    mark = marked(wall="D").result(WallOrders).rooms[0].marks[0]
    assert mark.top == 898
    assert "14 mm" in mark.grounds.uncertainty and "wall D" in mark.grounds.uncertainty


@pytest.mark.parametrize(
    ("member", "top"),
    [("picture-rail", 2400 - 992 + 1002), ("skirting", 2400 - 992 + 990), ("cornice", 2400)],
)
def test_each_member_is_counted_from_its_own_floor(marked: Callable[..., StageRun], member: str, top: float) -> None:
    mark = marked(member=member, height="2400").result(WallOrders).rooms[0].marks[0]
    assert mark.top == pytest.approx(top)


@pytest.mark.parametrize(("wall", "at"), [("B", ", at: 1200"), ('""', ", at: 200")])
def test_a_station_that_cannot_be_is_refused(wall: str, at: str) -> None:
    with pytest.raises(SurveyFaults):
        job_from_text(ROOM.format(line="level", at=at, wall=wall, member="dado-rail", height="898"))


def test_the_station_is_read_in_the_units_of_the_survey() -> None:
    text = ROOM.format(line="level", at=", at: 10 in", wall="B", member="dado-rail", height="898")
    job: Job = job_from_text(text)
    assert job.rooms[0].evidence[0].at == pytest.approx(254)
