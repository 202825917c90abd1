"""The person's own fixing is judged like ours and never silently replaced."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listel.core.survey.job import Building, Choices, Section, Substrate


def test_good_choice_is_recorded(fix, lath) -> None:
    fixed = fix(choices=Choices(fixing=("screw",), fixing_diameter=4.2, fixing_length=90.0))
    assert "choice-serves" in fixed.rules("record")
    assert (fixed.line.diameter, fixed.line.length) == (4.2, 90.0)


def test_a_screw_in_masonry_goes_in_a_plug(fix, brick) -> None:
    assert fix(brick, choices=Choices(fixing=("screw",))).line.kind == "plug-and-screw"


def test_plugs_are_not_wanted_in_timber(fix) -> None:
    assert fix(choices=Choices(fixing=("plug-and-screw",))).line.kind == "screw"


@pytest.mark.parametrize(
    ("substrate", "fixing"),
    [
        ("lime-on-lath", "masonry-nail"),
        ("gypsum-on-brick", "lost-head-nail"),
        ("cob", "resin-anchor"),
        ("brick", "cavity-fixing"),
    ],
)
def test_wrong_kind_is_a_hold_that_offers_ours(fix, substrate: str, fixing: str) -> None:
    fixed = fix(Substrate(substrate, plaster=15.0), choices=Choices(fixing=(fixing,)))
    hold = fixed.finding("choice-cannot-hold-here")
    assert hold.weight == "hold" and "We should use" in hold.mend
    assert fixed.line.kind == fixing and fixed.line.ratio is None


def test_too_short_is_a_hold(fix) -> None:
    fixed = fix(choices=Choices(fixing=("screw",), fixing_length=60.0))
    assert fixed.finding("too-short").weight == "hold"
    assert fixed.line.length == 60.0


def test_too_short_by_unmeasured_plaster_is_a_caution(fix, lath) -> None:
    fixed = fix(replace(lath, plaster=None), choices=Choices(fixing=("screw",), fixing_length=75.0))
    assert fixed.finding("too-short").weight == "caution"


def test_too_long_for_battens(fix) -> None:
    fixed = fix(Substrate("battened-lath", plaster=22.0), choices=Choices(fixing=("screw",), fixing_length=90.0))
    assert "17 mm behind" in fixed.finding("choice-too-long").says


def test_wide_spacing_is_kept_and_cautioned(fix, brick) -> None:
    fixed = fix(brick, choices=Choices(spacing=700.0))
    assert "choice-too-far-apart" in fixed.rules("caution")
    assert 450 < fixed.line.spacing <= 700 and fixed.line.most_spacing == 700


def test_wide_spacing_leaves_studs_out(fix) -> None:
    stations = [point.station for point in fix(choices=Choices(spacing=700.0)).line.points]
    assert stations[:3] == [100.0, 800.0, 1500.0] and stations[-1] == 3250.0


def test_overloaded_choice_is_a_hold(fix, trim, brick) -> None:
    heavy = trim(member="picture-rail", section=Section(55.0, 25.0), load=900.0)
    fixed = fix(brick, heavy, choices=Choices(spacing=900.0))
    assert fixed.line.ratio > 1
    assert "apart they would serve" in fixed.finding("overloaded").mend
    assert "choice-against-ours" in fixed.rules("advice")


def test_ours_is_not_offered_where_it_is_overloaded_too(fix, trim) -> None:
    rail = trim(member="picture-rail", section=Section(55.0, 25.0), load=1000.0)
    fixed = fix(trim=rail, choices=Choices(fixing=("screw",)))
    assert "overloaded" in fixed.rules("hold") and "choice-against-ours" not in fixed.rules()


def test_smooth_nails_do_not_carry_pictures(fix, trim) -> None:
    rail = trim(member="picture-rail", section=Section(55.0, 18.0))
    fixed = fix(Substrate("timber-stud"), rail, choices=Choices(fixing=("lost-head-nail",)))
    assert fixed.finding("smooth-nail-under-lasting-pull").weight == "hold"
    assert fixed.line.ratio is None and fixed.line.capacity == 0


def test_smooth_nails_under_the_rail_s_own_weight_are_advice(fix) -> None:
    fixed = fix(Substrate("timber-stud"), choices=Choices(fixing=("lost-head-nail",)))
    assert fixed.finding("smooth-nail-under-lasting-pull").weight == "advice"
    assert 0 < fixed.line.ratio < 1


def test_nds_lets_nails_carry(fix, trim) -> None:
    rail = trim(member="picture-rail", section=Section(55.0, 18.0), load=20.0)
    us = Building(region="united-states", protection="none")
    fixed = fix(Substrate("timber-stud"), rail, choices=Choices(fixing=("lost-head-nail",)), building=us)
    assert "smooth-nail-under-lasting-pull" not in fixed.rules()
    assert fixed.line.ratio is not None


def test_blows_on_lath(fix) -> None:
    fixed = fix(choices=Choices(fixing=("oval-nail",)))
    assert "blows-on-fragile-plaster" in fixed.rules("caution")
    assert fixed.line.kind == "oval-nail"


def test_thick_nail_in_thin_trim_is_drilled(fix, trim) -> None:
    thin = trim(section=Section(63.0, 15.0))
    fixed = fix(
        Substrate("timber-stud"), thin, choices=Choices(fixing=("nail",), fixing_diameter=3.35, fixing_length=65.0)
    )
    assert "thinner than" in fixed.finding("drill-for-nails").says
    assert fixed.line.clearance_hole == pytest.approx(2.5)


def test_nails_in_a_protected_building_leave_a_trace(fix) -> None:
    listed = Building(region="scotland", protection="category-a")
    fixed = fix(Substrate("timber-stud"), choices=Choices(fixing=("ring-nail",)), building=listed)
    assert "leaves-a-trace" in fixed.rules("caution")


def test_cavity_fixings_in_board_hold_a_dado(fix) -> None:
    fixed = fix(Substrate("plasterboard-on-stud", plaster=12.5), choices=Choices(fixing=("cavity-fixing",)))
    assert fixed.line.into == "the plasterboard alone"
    assert fixed.line.ratio < 1
    assert {point.on for point in fixed.line.points} == {"board"}


@pytest.mark.parametrize("fixing", ["masonry-nail", "resin-anchor", "timber-wedge", "plug-and-screw"])
def test_every_masonry_fixing_is_reckoned(fix, brick, fixing: str) -> None:
    line = fix(brick, choices=Choices(fixing=(fixing,))).line
    assert line.kind == fixing and line.capacity > 0 and line.ratio > 0


@pytest.mark.parametrize("fixing", ["screw", "nail", "cut-nail", "oval-nail", "lost-head-nail", "ring-nail", "pin"])
def test_every_timber_fixing_is_reckoned(fix, fixing: str) -> None:
    line = fix(Substrate("timber-stud"), choices=Choices(fixing=(fixing,))).line
    assert line.kind == fixing and line.length


def test_code_can_be_chosen(fix) -> None:
    assert "NDS" in fix(choices=Choices(code="nds")).finding("timber-code").says


def test_choice_is_said_once_for_the_trim(fix, brick) -> None:
    fixed = fix(brick, choices=Choices(fixing=("screw",)))
    assert len([finding for finding in fixed.findings if finding.rule == "fixings/choice-serves"]) == 1


def test_heads_are_sunk_for_the_pellets_that_were_chosen(fix) -> None:
    filled = fix(choices=Choices(fixing=("screw",), filler="two-part")).line
    pelleted = fix(choices=Choices(fixing=("screw",), filler="timber-pellet")).line
    assert pelleted.through == filled.through - 4


def test_of_several_kinds_a_wall_has_the_first_that_may_bear_in_it(fix, brick, lath) -> None:
    both = Choices(fixing=("lost-head-nail", "plug-and-screw"))
    assert [fix(wall, choices=both).line.kind for wall in (lath, brick)] == ["lost-head-nail", "plug-and-screw"]
    assert fix(brick, choices=Choices(fixing=("lost-head-nail", "pin"))).rules("hold") == {"choice-cannot-hold-here"}
