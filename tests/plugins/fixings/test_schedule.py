"""The schedule: what each make-up of wall gets, how long, where, and what is said where facts are missing."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from math import cos, radians

import pytest

from listel.core.contract.cases import base, changed
from listel.core.contract.lines import settable
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.host.engine import examine as examine_all
from listel.core.host.registry import load
from listel.core.survey.job import (
    Building,
    Choices,
    Ground,
    Job,
    Opening,
    ProfileElement,
    Reading,
    Section,
    Studs,
    Substrate,
)
from listel.core.survey.reading import job_from_text
from listel.plugins.fixings import Fixing, FixingSchedule, respaced
from listel.plugins.fixings.schedule import examine
from listel.plugins.setting_out import BowCheck, Mark, Piece, PieceEnd, Run, SettingOut
from listel.plugins.site import Site
from listel.plugins.timber import Movement, TrimMovement

SUBSTRATES = [row.name for row in load_table("listel.plugins.site", "makeups") if not row.get("hold")]


def run(start: float = 0.0, end: float = 3600.0, **keys: object) -> Run:
    return Run(
        room="Parlour",
        wall="A",
        trim="rail",
        member="dado-rail",
        start=start,
        end=end,
        **({"underside": 837.0, "top": 900.0} | keys),
    )  # type: ignore[arg-type]


def test_screws_land_on_surveyed_studs(fix) -> None:
    line = fix().line
    assert line.kind == "screw"
    assert [point.station for point in line.points] == [100.0 + 350 * n for n in range(10)]
    assert {point.on for point in line.points} == {"stud"}
    assert line.find == ""


def test_length_goes_through_trim_and_plaster_into_the_stud(fix) -> None:
    line = fix().line
    assert line.through == pytest.approx(28 - 2 + 22)
    assert line.length == 90
    assert line.embedment == pytest.approx(42)


def test_studs_one_by_one(fix, lath) -> None:
    line = fix(replace(lath, studs=Studs(positions=(3100.0, 240.0, 610.0, 1800.0)))).line
    assert [point.station for point in line.points] == [240.0, 610.0, 1800.0, 3100.0]


def test_studs_too_far_apart_are_named(fix, lath) -> None:
    fixed = fix(replace(lath, studs=Studs(positions=(240.0, 610.0, 1800.0, 3100.0))))
    assert "1300 mm" in fixed.finding("studs-too-far-apart").says


def test_studs_to_be_found(fix, lath) -> None:
    fixed = fix(replace(lath, studs=None))
    assert "studs-not-surveyed" in fixed.rules("caution")
    assert "magnet" in fixed.line.find
    assert {point.on for point in fixed.line.points} == {"stud to be found"}


def test_masonry_gets_plugs_wholly_in_the_brick(fix, brick) -> None:
    line = fix(brick).line
    assert (line.kind, line.plug, line.lead_hole) == ("plug-and-screw", "6 mm plug", 6.0)
    assert line.embedment is not None and line.embedment >= 35


def test_pairs_near_the_ends_and_even_between(fix, brick) -> None:
    line = fix(brick).line
    assert (line.from_ends, line.second) == (50, 150)
    assert line.spacing is not None and line.spacing <= 450
    assert line.count == len(line.points) == 11


def test_ground_sets_the_row_and_bears_all_along(fix, brick) -> None:
    line = fix(replace(brick, grounds=(Ground(870.0, 95.0, 20.0, behind=0.0),))).line
    assert line.into == "the timber ground behind"
    assert {point.height for point in line.points} == {870.0}
    assert {point.on for point in line.points} == {"ground"}
    assert line.length is not None and line.through is not None and line.length <= line.through + 20


@pytest.mark.parametrize(("behind", "length", "embedment"), [(0.0, 45.0, 19.0), (13.0, 60.0, 21.0)])
def test_a_noggin_behind_the_plaster_is_fixed_through_it(fix, brick, behind, length, embedment) -> None:
    """Trim 28 less 2 sunk, 13 of plaster over the noggin or none, 22 of it: 48 or 61 at most; 45 and 60 are sold."""
    fixed = fix(replace(brick, grounds=(Ground(870.0, 95.0, 22.0, behind=behind),)))
    assert (fixed.line.through, fixed.line.length) == (26 + behind, length)
    assert fixed.line.embedment == pytest.approx(embedment)


def test_a_ground_of_unknown_face_is_not_counted_on(fix, brick) -> None:
    fixed = fix(replace(brick, grounds=(Ground(870.0, 95.0, 20.0),)))
    assert "lies behind the face of the plaster" in fixed.finding("ground-not-surveyed").says
    assert fixed.line.embedment == 45 - 26 - 13


@pytest.mark.parametrize(("void", "length"), [(15.0, 60.0), (35.0, 80.0), (42.0, 90.0)])
def test_battens_are_as_thick_as_the_hollow_between_them(fix, void, length) -> None:
    """26 of the trim and 22 of plaster: 48 passed, 35 wanted, and no point out of the back of the batten."""
    line = fix(Substrate("battened-lath", plaster=22.0, void=void)).line
    assert line.length == length and line.length <= 48 + void
    known = next(given for given in line.grounds.inputs if given.name == "thickness of the battens")
    assert (known.value, known.assumed) == (void, False)


def test_a_batten_that_nobody_measured_is_told_as_assumed(fix) -> None:
    fixed = fix(Substrate("battened-lath", plaster=22.0, studs=Studs(first=100.0, centres=350.0)))
    known = next(given for given in fixed.line.grounds.inputs if given.name == "thickness of the battens")
    assert (known.value, known.assumed) == (25.0, True)
    assert "the hollow between the battens" in fixed.finding("hollow-not-surveyed").says


def test_our_own_fixing_is_short_by_the_same_law_as_one_that_a_rule_respaces(fix, trim) -> None:
    """A rule that sets nothing but the spacing leaves the screw as it was, and what is said of it."""
    battens = Substrate("battened-lath", plaster=22.0, studs=Studs(first=100.0, centres=350.0))
    thin = trim(section=Section(63.0, 24.0))
    ours, set_ = fix(battens, thin), fix(battens, thin, sets={"most_spacing": 400.0})
    assert ours.line.length == set_.line.length == 60
    told = [each.finding("too-short") for each in (ours, set_)]
    assert told[0].says == told[1].says and {each.weight for each in told} == {"caution"}
    assert all("Sink its head 3 mm deeper" in each.mend and "We should use" not in each.mend for each in told)
    assert set_.line.grounds.result == "screw, 400 mm apart at most"


def test_a_ground_that_stops_short_is_not_counted_on(fix, brick) -> None:
    assert (
        fix(replace(brick, grounds=(Ground(870.0, 95.0, 20.0, 0.0, 1200.0, behind=0.0),))).line.kind == "plug-and-screw"
    )


def test_old_plugs_are_used_again(fix, brick) -> None:
    plugs = (310.0, 840.0, 1380.0, 2900.0)
    fixed = fix(replace(brick, plugs=plugs), building=Building(region="england", protection="listed-grade-2"))
    old = [point.station for point in fixed.line.points if point.on == "old plug"]
    assert old == list(plugs)
    assert fixed.line.spacing is not None and fixed.line.spacing <= 450
    assert "reuse-old-holes" in fixed.rules("advice")


def test_heights_follow_the_marks_set_out(fix, brick) -> None:
    marks = tuple(
        Mark(
            room="Parlour",
            wall="A",
            station=at,
            trim="rail",
            edge="top",
            above_floor=900.0 + at / 360,
            from_datum=None,
        )
        for at in (0.0, 3600.0)
    )
    line = fix(brick, results=(SettingOut(runs=(run(),), marks=marks),)).line
    assert line.points[-1].height == pytest.approx(837 + 3550 / 360 + 31.5)


def test_raked_run_climbs(fix, brick) -> None:
    line = fix(brick, runs=(run(pitch=40.0),)).line
    heights = [point.height for point in line.points]
    assert heights == sorted(heights) and heights[-1] - heights[0] == pytest.approx(3500 * 0.8390996)
    assert line.spacing is not None and line.spacing <= 450


def test_raked_run_climbs_past_the_marks_of_the_level_one_beside_it(fix, brick) -> None:
    marks = tuple(
        Mark(room="Parlour", wall="A", station=at, trim="rail", edge="underside", above_floor=837.0, from_datum=None)
        for at in (3600.0, 4200.0)
    )
    line = fix(brick, results=(SettingOut(runs=(run(pitch=40.0),), marks=marks),)).line
    assert line.points[-1].height - line.points[0].height == pytest.approx(3500 * 0.8390996)


def test_architrave_leg_is_fixed_at_both_edges(fix, trim, brick) -> None:
    leg = Run(
        room="Parlour",
        wall="A",
        trim="rail",
        member="architrave",
        start=1000.0,
        end=1095.0,
        underside=0.0,
        top=2100.0,
        upright=True,
    )
    door = Opening("door", 1100.0, 800.0, 2000.0)
    line = fix(brick, trim(member="architrave", section=Section(95.0, 20.0)), runs=(leg,), openings=(door,)).line
    assert line.rows == 2
    lining = [point for point in line.points if point.on == "lining"]
    assert {point.station for point in lining} == {1080.0}
    assert lining[0].height == 50 and lining[-1].height == 2050
    assert line.kind == "lost-head-nail"


def test_architrave_in_a_protected_building_is_screwed(fix, trim, brick) -> None:
    leg = Run(
        room="Parlour",
        wall="A",
        trim="rail",
        member="architrave",
        start=1000.0,
        end=1095.0,
        underside=0.0,
        top=2100.0,
        upright=True,
    )
    listed = Building(region="england", protection="listed-grade-2")
    assert fix(brick, trim(member="architrave"), building=listed, runs=(leg,)).line.kind == "screw"


@pytest.mark.parametrize(("wide", "rows"), [(99.0, 1), (101.0, 2)])
def test_a_jamb_is_fixed_through_its_packing_in_pairs_where_it_is_wide(fix, trim, brick, wide, rows) -> None:
    """Common practice, no source: near head and foot, at most 600 apart; the head hangs on the jambs. The screw passes
    28 of lining, sunk 2, and 20 of packing at the most."""
    jamb = replace(run(1000.0, 1028.0, underside=0.0, top=2060.0, upright=True), member="lining")
    head = replace(run(1014.0, 1880.0, underside=2032.0, top=2060.0), member="lining")
    told = fix(brick, trim(member="lining", section=Section(wide, 28.0)), runs=(jamb, head))
    line = told.line
    assert [point.height for point in line.points] == [100, 600, 1030, 1460, 1960] * rows
    assert (line.rows, line.count, line.through) == (rows, 5 * rows, 28 - 2 + 20)
    assert line.into == "brick behind the plaster at the side of the opening"
    assert len(told.lines) == 1


@pytest.mark.parametrize(
    ("timber", "height", "rows"),
    [("european-redwood", 95.0, 1), ("european-redwood", 150.0, 1), ("european-redwood", 151.0, 2), ("mdf", 220.0, 2)],
)
def test_rows_of_a_skirting_on_studs(fix, trim, timber: str, height: float, rows: int) -> None:
    low = Run(
        room="Parlour", wall="A", trim="rail", member="skirting", start=0.0, end=3600.0, underside=0.0, top=height
    )
    line = fix(trim=trim(member="skirting", timber=timber, section=Section(height, 20.0)), runs=(low,)).line
    assert line.rows == rows and line.count == rows * 10


def test_unknown_substrate_is_a_hold_that_says_how_to_find_out(fix) -> None:
    fixed = fix(None)
    hold = fixed.finding("substrate-unknown")
    assert hold.weight == "hold" and "trial hole" in hold.mend
    assert fixed.line.kind == "" and fixed.line.count == 0


def test_unmeasured_plaster_gives_a_range_and_the_longer_screw(fix, lath) -> None:
    fixed = fix(replace(lath, plaster=None))
    assert "plaster-not-surveyed" in fixed.rules("caution")
    assert fixed.line.through == pytest.approx(26 + 30)
    assert "35" not in fixed.line.grounds.uncertainty and "to" in fixed.line.grounds.uncertainty
    assert any(given.assumed and given.name == "plaster" for given in fixed.line.grounds.inputs)


def test_nothing_set_out_fixes_whole_walls_and_says_so(fix, brick) -> None:
    fixed = fix(brick, runs=None)
    assert (fixed.line.start, fixed.line.end) == (0.0, 3600.0)
    assert "nothing-set-out" in fixed.rules("caution")


def test_wall_without_length_and_nothing_set_out(fix, brick) -> None:
    fixed = fix(brick, runs=None, length=None)
    assert fixed.lines == () and "length-not-surveyed" in fixed.rules("caution")


def test_no_job_at_all() -> None:
    assert list(examine(Job("bare"), Sheet({Site: Site()}))) == [FixingSchedule()]


@pytest.mark.parametrize("kind", SUBSTRATES)
def test_every_make_up_of_wall_is_fixed(fix, kind: str) -> None:
    fixed = fix(Substrate(kind))
    line = fixed.line
    assert line.kind and line.metal and line.avoid and line.count >= 2
    assert line.ratio is None or line.ratio <= 1.0
    assert all(0 < point.station < 3600 for point in line.points)


@pytest.mark.parametrize("kind", SUBSTRATES)
@pytest.mark.parametrize("region", ["england", "united-states", None])
def test_a_bare_survey_never_stops_the_stage(fix, trim, kind: str, region) -> None:
    bare = trim(section=Section(), timber=None, finish=None, top=None)
    bare_run = run(underside=None, top=None)
    fixed = fix(Substrate(kind), bare, building=Building(region=region), runs=(bare_run,), external=None)
    assert fixed.line.length is None and fixed.line.ratio is None
    assert {"thickness-not-surveyed", "section-not-surveyed", "timber-not-surveyed"} <= fixed.rules("caution")


def test_short_run_says_so(fix, brick) -> None:
    fixed = fix(brick, runs=(run(100.0, 150.0),))
    assert fixed.line.count < 2 and "fewer-than-two" in fixed.rules("caution")


@pytest.mark.parametrize(
    ("timber", "wall", "kind", "metal"),
    [
        ("european-oak", {}, "gypsum-on-brick", "stainless A2"),
        ("european-redwood", {"moisture": 24.0}, "gypsum-on-brick", "stainless A2"),
        ("european-redwood", {"external": True}, "gypsum-on-brick", "stainless A2"),
        ("european-redwood", {}, "lime-on-brick", "stainless A2"),
        ("european-redwood", {}, "gypsum-on-brick", "zinc-plated steel"),
    ],
)
def test_metal(fix, trim, timber: str, wall: dict, kind: str, metal: str) -> None:
    fixed = fix(Substrate(kind), trim(timber=timber), **wall)
    assert fixed.line.metal == metal
    assert ("acid-timber" in fixed.rules()) == (timber == "european-oak")


def test_picture_rail_load_is_assumed_and_shown(fix, trim) -> None:
    fixed = fix(trim=trim(member="picture-rail", section=Section(55.0, 25.0)))
    assert "load-not-surveyed" in fixed.rules("caution")
    assert any(given.assumed and given.value == 100 for given in fixed.line.grounds.inputs)
    assert fixed.line.ratio is not None and 0 < fixed.line.ratio < 1


def test_an_overload_by_a_load_nobody_stated_is_advice(fix, trim, brick) -> None:
    rail = trim(member="picture-rail", section=Section(55.0, 25.0))
    far = Choices(spacing=9000.0)
    stated, guessed = (fix(brick, replace(rail, load=load), choices=far) for load in (100.0, None))
    assert stated.line.ratio == guessed.line.ratio > 1
    assert stated.finding("overloaded").weight == "hold"
    assert guessed.finding("overloaded").weight == "advice"


def test_no_load_is_taken_at_its_word(fix, trim) -> None:
    fixed = fix(trim=trim(member="picture-rail", section=Section(55.0, 25.0), load=0.0))
    assert "load-not-surveyed" not in fixed.rules()
    assert fixed.line.most_spacing == 600


def test_demand_over_capacity_is_the_ratio(fix, trim, brick) -> None:
    line = fix(brick, trim(member="picture-rail", load=150.0)).line
    assert line.ratio == pytest.approx(line.demand / line.capacity)
    assert line.demand == pytest.approx((line.pull**2 + line.shear**2) ** 0.5)


@pytest.mark.parametrize(("way", "pulls"), [("bend", True), ("thin", True), ("kerf", False), ("pack", False)])
def test_springback_of_what_is_drawn_in_adds_to_the_pull(fix, way, pulls) -> None:
    bow = BowCheck(
        room="Parlour",
        wall="A",
        trim="rail",
        chord=2000.0,
        rise=9.0,
        radius=55000.0,
        arc_excess=0.1,
        stiff=1e8,
        way=way,
    )
    line = fix(results=(SettingOut(runs=(run(),), bows=(bow,)),)).line
    spring = line.pull - fix().line.pull
    assert spring == pytest.approx(bow.pull(line.spacing) if pulls else 0.0)
    assert (spring > 0) is pulls


def test_a_sprung_moulding_is_fixed_at_its_foot_and_its_nails_pass_no_air(fix, trim) -> None:
    """Whatever its height; straight into the wall a nail passes its board slantwise."""
    for height in (60.0, 108.0, 190.0):
        flat = fix(Substrate("lime-on-rubble", plaster=25.0), trim(section=Section(height, 19.0)))
        sprung = fix(
            Substrate("lime-on-rubble", plaster=25.0),
            trim(section=Section(height, 0.8 * height, thickness=19.0, spring=38.0)),
        )
        assert {point.height for point in sprung.line.points} == {837.0 + 9.5}
        assert sprung.line.through - flat.line.through == pytest.approx(19.0 / cos(radians(38.0)) - 19.0)
        assert sprung.line.rows == 1 and "sprung-head" in sprung.rules()
        assert "sprung-head" not in flat.rules()


def test_load_draws_our_fixings_closer(fix, trim) -> None:
    heavy = trim(member="picture-rail", section=Section(55.0, 25.0), load=400.0)
    fixed = fix(Substrate("lime-on-rubble", plaster=25.0), heavy)
    assert fixed.line.most_spacing < 400
    assert fixed.line.ratio <= 1.0
    assert {"spacing-set-by-load", "pull-test"} <= fixed.rules()


def test_overload_is_a_hold_with_the_spacing_that_would_do(fix, trim) -> None:
    fixed = fix(trim=trim(member="picture-rail", section=Section(55.0, 25.0), load=700.0))
    hold = fixed.finding("overloaded")
    assert hold.weight == "hold" and fixed.line.ratio > 1
    assert "apart they would serve" in hold.mend and "noggings" in hold.mend


def test_overload_beyond_any_spacing(fix, trim) -> None:
    fixed = fix(trim=trim(member="picture-rail", section=Section(55.0, 25.0), load=5000.0))
    assert "No spacing of 100 mm or more" in fixed.finding("overloaded").mend


def test_overload_names_the_fixing_that_would_do(fix, trim) -> None:
    heavy = trim(member="picture-rail", section=Section(55.0, 25.0), load=1100.0)
    mend = fix(Substrate("rubble"), heavy).finding("overloaded").mend
    assert mend.startswith("Resin anchors")


def test_another_fixing_closer_than_the_studs_needs_noggings(fix, trim) -> None:
    heavy = trim(member="picture-rail", section=Section(55.0, 25.0), load=1000.0)
    mend = fix(trim=heavy).finding("overloaded").mend
    assert mend.startswith("Screws No. 10") and "which needs noggings between the studs" in mend


def test_thin_battens_with_unmeasured_plaster_hold(fix) -> None:
    fixed = fix(Substrate("battened-lath", studs=Studs(first=100.0, centres=350.0)))
    line = fixed.line
    assert line.length <= 26 + 20 + 25
    assert "holds-nothing" not in fixed.rules() or line.capacity == 0


def test_american_job_is_reckoned_by_the_nds(fix) -> None:
    fixed = fix(building=Building(region="united-states", protection="none"), units="inches")
    assert "NDS" in fixed.finding("timber-code").says
    assert fixed.line.length == pytest.approx(88.9)
    assert "NDS" in fixed.line.safety


def test_hollow_plaster_is_made_fast_first(fix, lath) -> None:
    assert "plaster-not-sound" in fix(replace(lath, condition="hollow")).rules("caution")


def test_every_line_has_grounds_with_sources(fix, brick) -> None:
    for substrate in (brick, None):
        grounds = fix(substrate).line.grounds
        assert grounds.inputs and grounds.formula
    assert fix(brick).line.grounds.sources and fix(brick).line.grounds.worked


def two_pieces(at: float) -> tuple[Piece, ...]:
    end = PieceEnd(kind="scarf")
    spans = ((0.0, at), (at, 3600.0))
    return tuple(
        Piece(
            label=f"P{a:.0f}",
            room="Parlour",
            wall="A",
            trim="rail",
            start=a,
            end=b,
            back=b - a,
            face=b - a,
            overall=b - a,
            left=end,
            right=end,
        )
        for a, b in spans
    )


def test_a_joint_on_masonry_gets_a_fixing(fix, brick) -> None:
    line = fix(brick, results=(SettingOut(runs=(run(),), pieces=two_pieces(2000.0)),)).line
    assert 2000.0 in [point.station for point in line.points]
    assert line.count == fix(brick).line.count + 1


def test_a_joint_between_studs_is_told(fix) -> None:
    off = fix(results=(SettingOut(runs=(run(),), pieces=two_pieces(2000.0)),))
    over = fix(results=(SettingOut(runs=(run(),), pieces=two_pieces(1860.0)),))
    assert "2000 mm" in off.finding("joint-off-a-fixing").says
    assert "joint-off-a-fixing" not in over.rules()


@pytest.mark.parametrize(("at", "held"), [(3300.0, True), (3020.0, False)])
def test_a_piece_held_at_less_than_two_places_holds_though_its_run_has_many(fix, lath, at, held) -> None:
    studs = replace(lath, studs=Studs(positions=tuple(100.0 + 292.0 * number for number in range(12))))
    fixed = fix(studs, results=(SettingOut(runs=(run(),), pieces=two_pieces(at)),))
    assert ("fewer-than-two" in fixed.rules("hold")) is held
    if held:
        assert "from 3300 mm to 3600 mm has studs for one fixing only" in fixed.finding("fewer-than-two").says


def test_joints_off_a_fixing_in_two_runs_of_one_wall_are_both_told(fix) -> None:
    pieces = (*two_pieces(700.0)[:1], replace(two_pieces(3000.0)[0], start=1600.0))
    runs = (run(0.0, 1500.0), run(1600.0, 3600.0))
    told = [f.says for f in fix(results=(SettingOut(runs=runs, pieces=pieces),)).findings if "joint-off" in f.rule]
    assert len(told) == 2 and "700 mm" in told[0] and "3000 mm" in told[1]


def test_a_profile_thins_what_the_fixing_passes(fix, trim) -> None:
    profile = (ProfileElement("cavetto", 30.0, 20.0), ProfileElement("fascia", 33.0, 28.0))
    line = fix(trim=trim(section=Section(63.0, 58.0), foot=10.0, profile=profile)).line
    assert line.through == pytest.approx(10 + 20 + 28 * 1.5 / 33 - 2 + 22)


def test_a_tall_solid_board_may_move_between_its_two_rows(fix, trim) -> None:
    low = Run(room="Parlour", wall="A", trim="rail", member="skirting", start=0.0, end=3600.0, underside=0.0, top=220.0)
    tall = trim(member="skirting", section=Section(220.0, 22.0))
    moves = Movement((TrimMovement(trim="rail", width_low=1.0, width_high=2.3),))
    fixed = fix(trim=tall, runs=(low,), results=(moves,))
    told = fixed.finding("two-rows")
    assert "55 mm and 165 mm down from its top edge" in told.says and f"{2.3 / 2:.1f} mm" in told.mend
    assert {point.height for point in fixed.line.points} == {55.0, 165.0}


def ground_run(fix, **sets):
    """A dado of 4,788 mm on a ground, fixed every 450 mm at most."""
    length = 4788.0
    ground = Substrate("gypsum-on-brick", plaster=13.0, grounds=(Ground(868.0, behind=0.0),))
    runs = (
        Run(
            room="Parlour", wall="A", trim="rail", member="dado-rail", start=0.0, end=length, underside=837.0, top=900.0
        ),
    )
    return fix(ground, runs=runs, length=Reading(length), choices=Choices(spacing=450.0), sets=sets)


def gaps(line) -> list[float]:
    return [after - before for before, after in pairwise(sorted(point.station for point in line.points))]


def test_a_closer_rule_lays_the_run_out_again_and_does_not_halve_its_gaps(fix) -> None:
    line, closer = ground_run(fix).line, ground_run(fix, most_spacing=400.0).line
    assert {point.on for point in closer.points} == {"ground"}
    assert closer.count == line.count + 2
    assert (closer.from_ends, closer.second) == (line.from_ends, line.second)
    assert gaps(closer)[1:-1] == pytest.approx([closer.spacing] * (closer.count - 3))
    assert 350 < closer.spacing <= 400


def test_fixings_moved_wider_apart_are_asked_more(fix) -> None:
    line, closer = ground_run(fix).line, ground_run(fix, most_spacing=300.0).line
    assert closer.demand < line.demand and closer.ratio < line.ratio
    wider = respaced(closer, closer.points[:5] + closer.points[6:])
    assert wider.demand == pytest.approx(closer.demand * wider.carries / (wider.carries / 2), rel=1.0)
    assert wider.demand > closer.demand


def test_studs_stay_where_they_are_and_are_told_where_a_rule_wants_them_closer(fix) -> None:
    usual, set_closer = fix(), fix(sets={"most_spacing": 349.0})
    assert set_closer.line.points == usual.line.points
    assert "studs-too-far-apart" not in usual.rules()
    assert set_closer.finding("studs-too-far-apart").facts[0].value == pytest.approx(350.0)
    assert "studs-too-far-apart" not in fix(sets={"most_spacing": 350.0}).rules()


def test_a_fixing_that_a_rule_sets_is_reckoned_and_judged_anew(fix) -> None:
    usual = fix()
    short = fix(sets={"length": 20.0})
    assert (short.line.kind, short.line.through, short.line.embedment) == ("screw", usual.line.through, 0.0)
    assert (short.line.capacity, "too-short" in short.rules("hold")) == (0, True)
    nails = fix(sets={"kind": "cut-nail"})
    assert nails.line.gauge == "" and nails.line.length != usual.line.length
    assert nails.line.most_spacing is not None


def test_what_was_wrong_with_a_choice_goes_when_a_rule_sets_another_fixing(fix, brick) -> None:
    nailed = fix(brick, choices=Choices(fixing=("lost-head-nail",)))
    assert "choice-cannot-hold-here" in nailed.rules("hold")
    plugged = fix(brick, choices=Choices(fixing=("lost-head-nail",)), sets={"kind": "plug-and-screw"})
    assert not plugged.rules("hold")
    assert plugged.line.capacity > 0


def test_of_several_runs_on_one_wall_the_worst_is_told_and_the_rest_are_counted(fix, trim, lath) -> None:
    studs = replace(lath, studs=Studs(positions=(1000.0, 3000.0, 3300.0)))
    runs = tuple(run(*ends) for ends in ((0, 990), (1500, 2400),
        (2900, 3150), (1100, 1240)))  # fmt: skip
    found = fix(studs, runs=runs).finding("fewer-than-two")
    assert found.weight == "hold"
    assert "has no stud to fix to" in found.says
    assert found.where.station == 0
    assert "the same is so of 3 more, from 1500 mm, 2900 mm, 1100 mm" in found.says


@pytest.mark.parametrize(("length", "weight"), [(150.0, "caution"), (151.0, "hold")])
def test_a_run_too_long_to_hang_on_its_joints_holds_until_it_has_two_fixings(fix, lath, length, weight) -> None:
    studs = replace(lath, studs=Studs(positions=(2000.0,)))
    assert fix(studs, runs=(run(0.0, length),)).finding("fewer-than-two").weight == weight


@pytest.mark.parametrize(("length", "loose"), [(3285.0, True), (3190.0, False)])
def test_an_end_farther_from_its_last_stud_than_a_first_fixing_may_be_is_told(fix, lath, length, loose) -> None:
    studs = replace(lath, studs=Studs(positions=tuple(100.0 + 322.2 * number for number in range(10))))
    fixed = fix(studs, runs=(run(0.0, length),), length=Reading(length))
    assert ("end-beyond-studs" in fixed.rules("advice")) == loose
    if loose:
        found = fixed.finding("end-beyond-studs")
        assert found.where.station == length and "nogging" in found.mend and "285 mm" in found.says


def test_both_ends_of_a_run_are_told_where_neither_is_held(fix, lath) -> None:
    studs = replace(lath, studs=Studs(positions=(400.0, 700.0, 1000.0)))
    fixed = fix(studs, runs=(run(0.0, 1300.0),), length=Reading(1300.0))
    ends = [found.where.station for found in fixed.findings if found.rule == "fixings/end-beyond-studs"]
    assert ends == [0.0, 1300.0]


@pytest.mark.parametrize("substrate", ["gypsum-on-brick", None])
def test_every_line_says_the_density_its_weight_is_reckoned_with(fix, trim, substrate) -> None:
    wall = Substrate(substrate) if substrate else None
    assert fix(wall, trim(density=470.0)).line.density == 470.0
    assert fix(wall, trim()).line.density == 510  # European redwood, the least of two data sheets (second hand)


@pytest.mark.parametrize(
    ("key", "least", "most"), [("diameter", 1, 12), ("length", 10, 300), ("most_spacing", 50, 2000)]
)
def test_a_firm_sets_no_fixing_that_is_not_sold_and_no_spacing_that_holds_nothing(key, least, most) -> None:
    may = settable(Fixing)[key]
    assert not may.unfit(least) and not may.unfit(most)
    assert may.unfit(least * 0.99) and may.unfit(most * 1.01)


def test_the_rows_of_a_skirting_are_level_where_its_floor_falls() -> None:
    """It is set level, so that each row lies as far under its top edge all along."""
    falls = {"rooms.0.walls.A.floor": [{"at": 0, "to-datum": 1000}, {"at": 3600, "to-datum": 1012}]}
    sheet = examine_all(job_from_text(json.dumps(changed(base("one-wall"), falls))), load(entry_points=False), []).sheet
    line = next(each for each in sheet[FixingSchedule].lines if each.trim == "skirting")
    for point in line.points:
        top = 168 - 12 + 12 * point.station / 3600
        assert any(top - (point.height or 0.0) == pytest.approx(down) for down in line.rows_down)


@pytest.mark.parametrize("void", [None, 25.0])
def test_panelling_bears_in_front_of_its_hollow(fix, void) -> None:
    """Its stiles and rails take the screw; the hollow lies behind them, and battens stand in it, so none is crossed."""
    on_battens = fix(Substrate("panelling-on-battens", void=void)).line
    assert on_battens.through == fix(Substrate("timber-panelling")).line.through
    assert on_battens.length == fix(Substrate("timber-panelling")).line.length


def test_packing_in_front_of_the_plaster_is_passed_by_nothing_and_as_thick_as_it_stands_out(fix) -> None:
    """The screw of a trim on packing bears in that: it passes the trim alone."""
    on_it = fix(
        Substrate("gypsum-on-brick", plaster=13.0, grounds=(Ground(870, behind=-30.0),)),
        runs=(replace(run(), off=30.0),),
    ).line
    flush = fix(Substrate("gypsum-on-brick", plaster=13.0, grounds=(Ground(870, thickness=30.0, behind=0.0),))).line
    assert (on_it.through, on_it.length) == (flush.through, flush.length)


def test_a_job_in_inches_has_the_customs_of_those_who_work_in_them(fix, trim, brick, lath) -> None:
    """Plugs two feet apart hold a skirting, as plugs 600 mm apart do; studs 16 inches apart a plate rail."""
    board = trim(member="skirting", section=Section(140.0, 20.0), top=None)
    plugs = tuple(50.8 + 609.6 * number for number in range(6))
    counted = [len(fix(replace(brick, plugs=plugs), board, units=units).line.points) for units in ("inches", "mm")]
    assert counted[0] < counted[1]
    assert fix(lath, trim(member="plate-rail"), units="inches").line.most_spacing == pytest.approx(16 * 25.4)
