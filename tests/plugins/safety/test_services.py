from __future__ import annotations

from dataclasses import replace

import pytest

from listel.core.contract.stage import Sheet
from listel.core.survey.job import Building, Ends, Fitting, LevelReading, Reading, Record, Studs, Substrate, Wall
from listel.plugins.fixings import FixingSchedule
from listel.plugins.safety.rows import move
from listel.plugins.safety.zones import zones_of
from listel.plugins.site import Site, site_of


def moved(job, schedule):
    """The schedule once the stage has moved what it can."""
    return next(move(job, Sheet({Site: site_of(job), FixingSchedule: schedule})))


ISOLATED = Record(
    step="detect-services",
    outcome="dealt-with",
    by="an electrician",
    competence="electrician",
    on="2026-03-12",
    reference="form 9",
    says="one cable",
)


def stations(job, schedule):
    """The stations of the first line once the stage has moved what it can."""
    return [point.station for point in moved(job, schedule).lines[0].points]


def zones_on(job, wall="A"):
    """The zones of one wall of the first room."""
    return zones_of(job, job.rooms[0], site_of(job).wall(job.rooms[0].name, wall))


@pytest.mark.parametrize(("right", "corners"), [(None, 2), ("butt", 2), ("newel", 1), ("run-on", 1)])
def test_an_end_that_comes_to_no_wall_has_no_corner_zone(job_of, wall, right, corners):
    ended = replace(wall, ends=None if right is None else Ends(right=right))
    assert sum(zone.kind == "corner" for zone in zones_on(job_of(ended))) == corners


def test_fixings_move_out_from_above_a_socket_say_why_and_stand_evenly(job_of, wall, schedule):
    line = moved(job_of(wall), schedule(300, 700, 1050, 1500, most_spacing=400)).lines[0]
    assert [p.station for p in line.points] == pytest.approx([300, 700, 1100, 1500])
    assert line.points[2].first == 1050
    assert line.points[2].moved == "out of the zone above and below the socket"
    assert line.count == 4 and line.spacing == pytest.approx(400)


@pytest.mark.parametrize(
    ("row", "most", "stand"),
    [
        ((400, 1000, 1600), 600, (400, 800, 1200, 1600)),
        ((460, 1000, 1540), 620, (460, 922, 1540)),
        ((200, 300, 1000, 1700, 1800), 700, (200, 300, 767, 1233, 1700, 1800)),
        ((850, 1000, 1150), 160, (850, 922, 1078, 1150)),
    ],
)
def test_a_row_is_even_on_each_side_of_a_zone(job_of, wall, schedule, row, most, stand):
    """The zone of the socket, and 10 mm about it, is 922 to 1078."""
    assert stations(job_of(wall), schedule(*row, most_spacing=most)) == pytest.approx(list(stand), abs=1)


def test_a_pair_moved_out_of_a_corner_is_made_one_where_the_spacing_still_holds(job_of, wall, schedule):
    assert stations(job_of(wall), schedule(60, 150, 600)) == [160, 600]
    assert stations(job_of(wall), schedule(60, 150, 600, most_spacing=420)) == [160, 380, 600]
    assert stations(job_of(wall), schedule(60, 150)) == [160, 240]


def test_on_studs_a_fixing_only_goes_to_another_stud(job_of, wall, schedule):
    studded = replace(wall, substrate=Substrate("lime-on-lath", studs=Studs(positions=(600, 900, 1000, 1100, 1500))))
    assert stations(job_of(studded), schedule(600, 1000, 1500, on="stud")) == [600, 900, 1500]


def test_on_an_upright_a_fixing_moves_up_or_down_out_of_the_switchs_level(job_of, wall, schedule):
    leg = schedule(2000, start=1980, end=2020, upright=True, most_spacing=600)
    points = tuple(replace(leg.lines[0].points[0], height=h) for h in (300, 700, 1200, 1700))
    found = moved(job_of(wall), FixingSchedule((replace(leg.lines[0], points=points),)))
    assert [p.height for p in found.lines[0].points] == [300, 789, 1278, 1700]


def test_a_rail_level_with_a_switch_holds_every_fixing(job_of, wall, schedule, examined):
    notes, found = examined(job_of(wall), schedule(300, 900, 1500, height=1200), 1170, 1230)
    (held,) = found["fixing-in-zone"]
    assert held.weight == "hold" and held.protects and "level with the switch" in held.says
    assert sum(c.fixing for c in notes.crossings) == 3


@pytest.mark.parametrize("where", [("Parlour", ""), ("Parlour", "A")])
def test_a_recorded_search_of_the_wall_turns_the_hold_into_a_record(job_of, wall, schedule, examined, where):
    record = replace(ISOLATED, room=where[0], wall=where[1])
    _, found = examined(job_of(wall, records=(record,)), schedule(300, 900, height=1200), 1170, 1230)
    assert [f.weight for f in found["fixing-in-zone"]] == ["record"]


def test_a_record_of_another_wall_leaves_the_hold(job_of, wall, schedule, examined):
    record = replace(ISOLATED, room="Parlour", wall="B")
    _, found = examined(job_of(wall, records=(record,)), schedule(300, 900, height=1200), 1170, 1230)
    assert [f.weight for f in found["fixing-in-zone"]] == ["hold"]


def test_a_wall_with_no_fittings_noted_is_called_unknown(job_of, schedule, examined):
    notes, found = examined(job_of(Wall("A", length=Reading(4000))), schedule(300))
    assert "not the same as none there" in found["fittings-not-surveyed"][0].says
    assert not notes.walls[0].fittings


@pytest.mark.parametrize("region", ["england", "ireland", "united-states", "european-union", "other", None])
def test_it_is_always_said_that_old_wiring_may_ignore_the_zones(job_of, wall, examined, region):
    _, found = examined(job_of(wall, building=Building(region=region)))
    (said,) = found["old-wiring"]
    assert said.protects and ("lder cables" in said.says or "no bay is proved clear" in said.says)


@pytest.mark.parametrize("region", ["ireland", "european-union", "other"])
def test_distances_that_were_not_checked_say_so(job_of, wall, examined, region):
    _, found = examined(job_of(wall, building=Building(region=region)))
    assert "not checked" in found["old-wiring"][0].says


def test_in_the_united_states_an_accessory_makes_its_stud_bay_a_zone(job_of, wall):
    studs = Studs(positions=(600, 906, 1212, 3500, 3900), width=38)
    job = job_of(
        replace(wall, substrate=Substrate("plasterboard-on-stud", studs=studs)),
        building=Building(region="united-states"),
    )
    zones = zones_on(job)
    assert [(z.kind, z.x0, z.x1) for z in zones] == [("vertical", 925, 1193), ("vertical", 3519, 3881)]


def test_the_other_face_counts_through_a_thin_wall_only(job_of, wall):
    for thickness, count in ((100, 5), (101, 3), (None, 5)):
        behind = replace(wall, fittings=(), behind=(Fitting("socket", 957, 407, 86, 86),), thickness=thickness)
        job = job_of(behind)
        assert len(zones_on(job)) == count, thickness


def test_a_radiator_makes_zones_about_its_tails_up_to_its_top(job_of, wall):
    job = job_of(replace(wall, fittings=(Fitting("radiator", 1000, 120, 900, 600),)))
    zones = [z for z in zones_on(job) if z.kind == "pipe"]
    assert [(z.x0, z.x1, z.y0, z.y1) for z in zones] == [(900, 1100, 0, 720), (1800, 2000, 0, 720)]


def test_an_old_gas_bracket_is_a_hold_until_it_is_proved_dead(job_of, wall, schedule, examined):
    fitted = replace(wall, fittings=(Fitting("gas-bracket", 2000, 1600),))
    assert examined(job_of(fitted), schedule(300))[1]["gas-pipe"][0].open_hold
    capped = replace(ISOLATED, step="gas-check", competence="gas-engineer", room="Parlour")
    assert examined(job_of(fitted, records=(capped,)), schedule(300))[1]["gas-pipe"][0].weight == "record"
    for other in (ISOLATED, replace(capped, competence="electrician"), replace(capped, outcome="found")):
        assert examined(job_of(fitted, records=(other,)), schedule(300))[1]["gas-pipe"][0].open_hold


def test_a_size_that_was_not_measured_is_marked_assumed(job_of, wall):
    job = job_of(replace(wall, fittings=(Fitting("socket", 957, 407),)))
    zone = zones_on(job)[-1]
    assert {i.name: i.assumed for i in zone.grounds.inputs} == {
        "at": False, "width": True, "depth": True, "height": False, "margin": True,
    }  # fmt: skip


def test_deep_fixings_are_told_of(job_of, wall, schedule, examined):
    assert "deep-fixing" not in examined(job_of(wall), schedule(2000, length=75))[1]
    assert "54 mm" in examined(job_of(wall), schedule(2000, length=80))[1]["deep-fixing"][0].says


def test_floors_out_of_level_bring_a_fixing_into_the_level_zone_of_a_switch(job_of, wall, schedule, examined):
    falling = replace(wall, floor=(LevelReading(0, 1000), LevelReading(4000, 1400)))
    # The switch stands 1157 above a floor that is 356 mm lower there: level with 801 above the floor at the start.
    notes, _ = examined(job_of(falling), schedule(300, height=860), 800, 860)
    assert any(c.fixing and "level with the switch" in c.zone for c in notes.crossings)


@pytest.mark.parametrize(("raised", "tops"), [(None, 1), (-2489.0, 0), (2535.0, 0)])
def test_the_rooms_height_tells_no_top_of_a_wall_that_stands_on_another_floor(job_of, wall, raised, tops):
    found = zones_on(job_of(replace(wall, raised=raised)))
    assert sum(zone.kind == "top" for zone in found) == tops
