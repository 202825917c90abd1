"""The stage ``timber`` over small invented jobs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import (
    Air,
    Building,
    Climate,
    Job,
    Place,
    Reading,
    Record,
    Room,
    Seasons,
    Section,
    Substrate,
    Trim,
    Wall,
)
from listel.plugins.timber import Movement
from listel.plugins.timber.reckoners import reckoners
from listel.plugins.timber.rules import examine
from listel.plugins.timber.sorption import equilibrium_moisture
from listel.plugins.timber.species import species_named

HEATED = Climate("heated")
DADO = Trim(
    "dado",
    "dado-rail",
    (Place("Parlour"),),
    Section(63, 28),
    timber="european-redwood",
    rings="flat-sawn",
    finish="paint",
    moisture=9,
)
WALL = Wall("A", Reading(4000), substrate=Substrate("brick", condition="sound"), moisture=12)


def job(trim: Trim = DADO, climate: Climate = HEATED, walls: tuple[Wall, ...] = (WALL,), **rest: object) -> Job:
    return Job("invented", rooms=(Room("Parlour", walls=walls),), trim=(trim,), climate=climate, **rest)  # type: ignore[arg-type]


def seen(of: Job) -> tuple[Movement, dict[str, Finding]]:
    said = list(examine(of, Sheet({})))
    movement = next(thing for thing in said if isinstance(thing, Movement))
    return movement, {thing.rule: thing for thing in said if isinstance(thing, Finding)}


def line(of: Job):  # type: ignore[no-untyped-def]
    return seen(of)[0].lines[0]


def test_a_heated_house_moves_a_redwood_rail_as_the_handbook_says() -> None:
    found = line(job())
    assert (found.winter, found.summer) == (pytest.approx(7.72, abs=0.01), pytest.approx(10.94, abs=0.01))
    assert found.width_low == pytest.approx(63 * 0.0027055 * 3.2136, rel=1e-3)
    assert found.width_high == pytest.approx(63 * 0.0036 * 3.2136, rel=1e-3)
    assert found.assumed
    assert found.wait_reading == (pytest.approx(7.33, abs=0.01), pytest.approx(11.33, abs=0.01))


def test_unknown_rings_give_a_range_that_holds_both_ways_of_sawing() -> None:
    unknown = line(job(replace(DADO, rings=None)))
    flat, quarter = line(job()), line(job(replace(DADO, rings="quarter-sawn")))
    assert unknown.width_low == pytest.approx(quarter.width_low)
    assert unknown.width_high == pytest.approx(flat.width_high)
    assert quarter.width_high < flat.width_low
    assert flat.depth_high < quarter.depth_high


def test_unknown_timber_gives_the_range_over_the_table_and_says_so() -> None:
    movement, said = seen(job(replace(DADO, timber=None)))
    assert movement.lines[0].width_low < line(job()).width_low
    assert movement.lines[0].width_high > line(job()).width_high
    assert "timber/timber-not-surveyed" in said
    assert any(given.assumed and given.name == "timber" for given in movement.lines[0].grounds.inputs)


def test_unknown_heating_gives_the_range_over_every_kind() -> None:
    movement, said = seen(job(climate=Climate()))
    found = movement.lines[0]
    assert found.winter is None and found.summer is None and found.wait_reading is None
    assert found.winter_range == (pytest.approx(7.72, abs=0.01), pytest.approx(16.49, abs=0.01))
    assert [heating for heating, _, _ in found.waits] == ["heated", "intermittent", "unheated", "conservation"]
    assert "timber/heating-not-surveyed" in said
    for heating in ("heated", "intermittent", "unheated", "conservation"):
        one = line(job(climate=Climate(heating)))
        assert found.width_low <= one.width_low and one.width_high <= found.width_high


def stair(trim: Trim = DADO, **rest: object) -> Job:
    """A heated house with a parlour, and a stair of its own air."""
    rooms = (Room("Parlour", walls=(WALL,)), Room("Stair", walls=(WALL,), climate=Seasons("unheated")))
    return Job("invented", rooms=rooms, trim=(trim,), climate=HEATED, **rest)  # type: ignore[arg-type]


def test_timber_waits_for_the_air_of_its_own_room() -> None:
    alone = line(stair(replace(DADO, where=(Place("Stair"),))))
    assert alone.wait_reading == line(job(climate=Climate("unheated"))).wait_reading
    assert line(stair()).wait_reading == line(job()).wait_reading


def test_a_trim_of_two_airs_waits_in_each_room_for_its_own_and_is_held_where_it_is_off() -> None:
    both = replace(DADO, where=(Place("Parlour"), Place("Stair")), moisture=9)
    said = list(examine(stair(both), Sheet({})))
    (found,) = next(thing for thing in said if isinstance(thing, Movement)).lines
    assert [name for name, _, _ in found.waits] == ["Parlour", "Stair"] and found.known
    assert found.waits[0][2] < found.waits[1][1]
    off = [each for each in said if isinstance(each, Finding) and each.rule.startswith("timber/too-")]
    assert [(each.rule, each.weight, each.where.room) for each in off] == [("timber/too-dry", "hold", "Stair")]
    assert "in the Stair the air calls for" in off[0].says
    lain = Record(step="acclimatise", outcome="done", by="A joiner", room="Stair")
    (off,) = [
        each for each in examine(stair(both, records=(lain,)), Sheet({})) if getattr(each, "rule", "") == off[0].rule
    ]
    assert off.weight == "record"


def test_an_air_like_the_buildings_is_the_buildings() -> None:
    like = replace(stair(), climate=Climate("unheated"))
    both = replace(DADO, where=(Place("Parlour"), Place("Stair")))
    assert line(replace(like, trim=(both,))).wait_reading is not None


def test_measured_air_is_not_assumed() -> None:
    climate = Climate("heated", Air(18, 45), Air(21, 62))
    movement, said = seen(job(climate=climate))
    assert not movement.lines[0].assumed
    assert "timber/air-assumed" not in said
    assert not line(job(climate=replace(climate, heating=None))).assumed


def test_half_measured_air_marks_only_what_was_assumed() -> None:
    movement, said = seen(job(climate=Climate("heated", Air(18, None))))
    assumed = {given.name for given in movement.lines[0].grounds.inputs if given.assumed}
    assert {"winter humidity", "summer temperature", "summer humidity"} <= assumed
    assert "winter temperature" not in assumed
    assert "winter temperature" not in said["timber/air-assumed"].says


def test_an_unheated_house_is_wettest_in_winter() -> None:
    found = line(job(climate=Climate("unheated")))
    assert found.winter > found.summer


def test_air_colder_than_the_table_is_taken_at_its_edge() -> None:
    frozen = line(job(climate=Climate("unheated", Air(-40, 80))))
    assert frozen.winter == line(job(climate=Climate("unheated", Air(-1.1, 80)))).winter
    with pytest.raises(ValueError, match="-30 to 133"):
        equilibrium_moisture(-40, 80)


def test_an_american_house_is_drier() -> None:
    american = job(building=Building(region="united-states"))
    assert line(american).winter < line(job()).winter


@pytest.mark.parametrize(
    ("moisture", "rule", "weight"),
    [
        (14, "timber/too-wet", "hold"),
        (5, "timber/too-dry", "hold"),
        (9, None, None),
        (11.3, None, None),
        (11.4, "timber/too-wet", "hold"),
    ],
)
def test_delivered_moisture(moisture: float, rule: str | None, weight: str | None) -> None:
    _, said = seen(job(replace(DADO, moisture=moisture)))
    found = {name: said[name].weight for name in ("timber/too-wet", "timber/too-dry") if name in said}
    assert found == ({rule: weight} if rule else {})


def test_a_recorded_acclimatising_lifts_the_hold() -> None:
    done = Record(step="acclimatise", outcome="done", by="A. Joiner", says="read 9.5 to 10.1 %", room="Parlour")
    _, said = seen(job(replace(DADO, moisture=14), records=(done,)))
    assert said["timber/too-wet"].weight == "record"
    assert "9.5 to 10.1 %" in said["timber/too-wet"].says


def test_moisture_not_read_is_said_and_the_worst_is_taken() -> None:
    movement, said = seen(job(replace(DADO, moisture=None)))
    assert "timber/moisture-not-surveyed" in said
    spread = [line(job(replace(DADO, moisture=moisture))).settling for moisture in (8.4, 16.6)]
    assert movement.lines[0].settling == max(spread) > line(job()).settling


@pytest.mark.parametrize(
    ("moisture", "condition", "rule"),
    [
        (20, "sound", "timber/damp-wall"),
        (19.9, "sound", "timber/wall-near-damp"),
        (18, None, "timber/wall-near-damp"),
        (17.9, None, None),
        (None, "damp", "timber/damp-wall"),
        (12, "damp", "timber/damp-wall"),
    ],
)
def test_wall_moisture(moisture: float | None, condition: str | None, rule: str | None) -> None:
    wall = replace(WALL, moisture=moisture, substrate=Substrate("brick", condition=condition))
    _, said = seen(job(walls=(wall,)))
    assert {name for name in said if "damp" in name} == ({rule} if rule else set())


def test_unread_walls_are_one_finding_a_room() -> None:
    walls = tuple(replace(WALL, name=name, moisture=None) for name in "ABC")
    _, said = seen(job(walls=walls))
    assert "A, B, C" in said["timber/wall-moisture-not-surveyed"].says


def test_a_room_too_damp_today_is_warned_of() -> None:
    _, said = seen(job(climate=replace(HEATED, day=Air(12, 85))))
    assert "timber/room-not-ready" in said
    _, said = seen(job(climate=replace(HEATED, day=Air(18, 50))))
    assert "timber/room-not-ready" not in said


def test_joints_are_told_with_their_opening() -> None:
    openings = {opening.joint: opening for opening in line(job()).openings}
    assert set(openings) == {"wall-edge", "mitre", "cope", "scarf"}
    assert openings["wall-edge"].high == pytest.approx(line(job()).width_high / 2)
    assert openings["mitre"].high == pytest.approx(2**0.5 * line(job()).depth_high, rel=0.02)
    flat = line(job(replace(DADO, member="architrave", section=Section(95, 20))))
    assert flat.mitre_gap == pytest.approx(2**0.5 * flat.width_high, rel=0.02)
    assert "heel" in next(opening.says for opening in flat.openings if opening.joint == "mitre")


def test_wood_wetter_than_fibre_saturation_does_not_move() -> None:
    redwood = species_named("european-redwood")
    assert redwood.changes("tangential", 100, 45, 32) == pytest.approx((0, 0, 0, 0))
    assert redwood.changes("tangential", 100, 45, 20) == redwood.changes("tangential", 100, 30, 20)


def test_a_job_that_says_nothing_is_no_fault() -> None:
    bare = Trim("rail", "dado-rail", (Place("Parlour"),))
    movement, said = seen(job(bare, Climate(), (Wall("A"),)))
    assert movement.lines[0].width_high is None and movement.lines[0].mitre_gap is None
    assert {finding.weight for finding in said.values()} == {"caution"}
    assert seen(Job("empty"))[0].lines == ()


def reckon(name: str, **given: object) -> dict[str, float]:
    reckoner = next(one for one in reckoners() if one.name == name)
    whole = {option.name.replace("-", "_"): option.default for option in reckoner.options} | given
    return reckoner.reckon(whole).results


@pytest.mark.parametrize(("humidity", "moisture"), [(50, 9.2), (30, 6.2), (65, 12.0), (80, 16.0)])
def test_the_reckoner_of_moisture(humidity: float, moisture: float) -> None:
    assert reckon("moisture", temperature=21.1, humidity=humidity)["emc"] == pytest.approx(moisture, abs=0.1)


def test_the_reckoner_of_moisture_turns_round_and_wants_one_of_the_two() -> None:
    assert reckon("moisture", temperature=20, emc=12)["humidity"] == pytest.approx(65.0, abs=0.05)
    for given in ({}, {"humidity": 50, "emc": 9}):
        with pytest.raises(ValueError, match="either"):
            reckon("moisture", temperature=20, **given)
    with pytest.raises(ValueError, match="never to 40"):
        reckon("moisture", temperature=20, emc=40)


def test_the_reckoner_of_movement() -> None:
    found = reckon("movement", timber="red-oak", width=150.0, **{"from": 8.0, "to": 12.0})
    assert (found["tangential"], found["radial"]) == (pytest.approx(2.214), pytest.approx(0.948))
    board = reckon("movement", timber="mdf", width=600.0, **{"from": 8.0, "to": 13.0})
    assert board["plane"] == pytest.approx(1.5)
    with pytest.raises(ValueError, match="above 0"):
        reckon("movement", timber="red-oak", width=0.0, **{"from": 8.0, "to": 12.0})
