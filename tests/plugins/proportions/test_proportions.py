"""Sizes and places of the other members, and what is said of them."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest

from listel.core.contract.testing import StageRun, assert_grounded, run_stage
from listel.core.survey.reading import job_from_text
from listel.plugins.heights import listel_stages as height_stages
from listel.plugins.proportions import MemberProportion, Proportions, listel_stages
from listel.plugins.site import site_of

SURVEY = """
listel: 1
invented: true
job: {{title: A room}}
building: {{region: england}}
rooms:
  - name: Room
    use: {use}
    period: {period}
{room}
    walls:
      - name: A
        length: 4000
        openings: {openings}
trim:
  - name: the trim
    member: {member}
    where: [{{room: Room}}]
    section: {section}
{trim}
{more}
"""

PARTS = {
    "use": "reception",
    "period": "edwardian",
    "room": "    height: 2900",
    "openings": "[{kind: door, at: 600, width: 838, height: 2032, architrave: 100}]",
    "member": "picture-rail",
    "section": "{height: 50, projection: 20}",
    "trim": "",
    "more": "",
}

Run = Callable[..., StageRun]


@pytest.fixture
def run() -> Run:
    """The stage run over a job of one room with one trim, any part of which may be given instead."""

    def run(**parts: str) -> StageRun:
        job = job_from_text(SURVEY.format(**{**PARTS, **parts}))
        heights = run_stage(height_stages()[0], job, site_of(job))
        return run_stage(listel_stages()[0], job, *heights.results)

    return run


def line(ran: StageRun) -> MemberProportion:
    return ran.result(Proportions).lines[0]


GHOST = "    height: 2900\n    evidence: [{kind: ghost-line, member: picture-rail, height: 2300, edge: underside}]"
NEXT_DOOR = "    height: 2900\n    evidence: [{kind: twin-house, member: picture-rail, height: 2310}]"


@pytest.mark.parametrize(
    ("parts", "top"),
    [
        ({"room": GHOST, "trim": "    top: 2200"}, 2350),
        ({"room": NEXT_DOOR, "trim": "    top: 2200"}, 2200),
        ({"room": NEXT_DOOR}, 2310),
        ({}, 2132),
        ({"period": "interwar"}, 2900 - 400),
        ({"period": "interwar", "more": "choices: {author: ware, order: ionic}"}, 2900 * 16 / 19 + 50),
        ({"period": "edwardian", "openings": "[]", "room": "    height: 2900\n    cornice: 200"}, 2900 - 200 - 300),
    ],
    ids=["mark", "wish", "twin house", "door head", "the habit", "order named", "order held to the habit"],
)
def test_a_picture_rail_goes_by_the_first_ground(run: Run, parts: dict[str, str], top: float) -> None:
    found = line(run(**parts))
    assert found.top == pytest.approx(top)
    assert found.underside == pytest.approx(top - 50)
    assert found.chosen_rule


CAP = {
    "member": "wainscot-cap",
    "room": "    height: 2900\n    datum: 1000\n    evidence: [{kind: ghost-line, member: wainscot-cap, height: 962, "
    "edge: top, wall: A, at: 600}, {kind: twin-house, member: wainscot-cap, height: 940}]",
    "openings": "[]\n        floor: [{at: 0, to-datum: 1000}, {at: 1200, to-datum: 1004}]",
}


@pytest.mark.parametrize(("asked", "top"), [("", 960), ("    top: 980", 980)])
def test_a_cap_goes_by_the_mark_where_no_top_is_asked_for(run: Run, asked: str, top: float) -> None:
    """The mark stands 962 above its own floor, which lies 2 below the one where the level line was struck."""
    assert line(run(**CAP, trim=asked)).top == pytest.approx(top)


def test_a_drop_is_measured_from_the_cornice_where_there_is_one(run: Run) -> None:
    found = line(run(room="    height: 2900\n    cornice: 150", trim="    top: 2400"))
    assert found.below_ceiling == pytest.approx(350)


def test_a_picture_rail_above_the_ceiling_is_a_hold(run: Run) -> None:
    assert "proportions/picture-rail-over-ceiling" in run(trim="    top: 2950").rules()


def test_a_picture_rail_that_reaches_below_the_floor_is_a_hold(run: Run) -> None:
    assert "proportions/picture-rail-below-floor" in run(trim="    top: 20").rules()


def test_a_room_without_a_height_is_told_but_a_door_head_still_serves(run: Run) -> None:
    assert line(run(room="")).top == pytest.approx(2132)
    ran = run(room="", period="interwar")
    assert "proportions/room-height-not-surveyed" in ran.rules()
    assert line(ran).top is None


@pytest.mark.parametrize(
    ("period", "member", "use", "rule"),
    [
        ("georgian", "picture-rail", "reception", "proportions/unusual-for-period"),
        ("regency", "picture-rail", "reception", "proportions/disputed-for-period"),
        ("edwardian", "picture-rail", "reception", ""),
        ("interwar", "dado-rail", "reception", "proportions/unusual-for-period"),
        ("interwar", "dado-rail", "passage", ""),
        ("edwardian", "dado-rail", "bedroom", "proportions/unusual-for-period"),
        ("georgian", "plate-rail", "dining", "proportions/unusual-for-period"),
        ("victorian", "dado-rail", "reception", ""),
    ],
)
def test_a_member_out_of_its_time_is_noted_never_faulted(
    run: Run, period: str, member: str, use: str, rule: str
) -> None:
    found = [one for one in run(period=period, member=member, use=use).findings if one.rule.endswith("for-period")]
    assert [one.rule for one in found] == ([rule] if rule else [])
    assert all(one.weight in ("advice", "record") for one in found)


@pytest.mark.parametrize(("size", "outside"), [(225, False), (40, True), (520, True)])
def test_a_skirting_stands_on_the_floor_and_is_judged_by_period(run: Run, size: float, outside: bool) -> None:
    ran = run(member="skirting", period="1880", section=f"{{height: {size}, projection: 25}}")
    assert (line(ran).underside, line(ran).top) == (0, size)
    assert ("proportions/size-out-of-range" in ran.rules()) is outside
    assert ("proportions/skirting-in-two-pieces" in ran.rules()) is (size > 203)
    assert line(ran).verdict.startswith(f"At {size} mm")


def test_an_upper_room_wants_less_skirting(run: Run) -> None:
    ran = run(member="skirting", period="1880", room="    height: 2500\n    rank: upper")
    usual = next(one for one in line(ran).suggestions if one.rule.startswith("what was usual"))
    assert (usual.low, usual.high) == pytest.approx((225 * 0.6, 300 * 0.75))


def test_an_architrave_is_judged_against_the_opening(run: Run) -> None:
    found = line(run(member="architrave", section="{height: 140, projection: 20}"))
    palladio = next(one for one in found.suggestions if "Palladio" in one.rule)
    assert (palladio.low, palladio.high) == pytest.approx((838 / 6, 838 / 5))
    assert found.top is None and found.underside is None
    assert "Palladio" in found.verdict


def test_an_opening_without_a_height_is_told(run: Run) -> None:
    ran = run(member="architrave", openings="[{kind: door, at: 600, width: 838}]")
    assert "proportions/opening-height-not-surveyed" in ran.rules()


def test_cornice_and_frieze_hang_from_the_ceiling(run: Run) -> None:
    cornice = line(run(member="cornice", section="{height: 150, projection: 150}"))
    assert (cornice.top, cornice.underside) == (2900, 2750)
    frieze = line(run(member="frieze", room="    height: 2900\n    cornice: 150", section="{height: 400}"))
    assert (frieze.top, frieze.underside) == (2750, 2350)


def test_panels_stand_between_skirting_and_dado_rail(run: Run) -> None:
    more = (
        "  - {name: base, member: skirting, where: [{room: Room}], section: {height: 200}}\n"
        "  - {name: dado, member: dado-rail, where: [{room: Room}], section: {height: 60}, top: 860}"
    )
    ran = run(member="panel-mould", more=more, openings="[]")
    found = next(one for one in ran.result(Proportions).lines if one.member == "panel-mould")
    assert (found.underside, found.top) == (295, 705)
    assert "5 equal panels" in found.suggestions[0].rule
    frames = ran.result(Proportions).panels
    margin = frames[0].start
    assert [one.start - other.end for other, one in pairwise(frames)] == pytest.approx([margin] * 4)
    assert all(one.proposed and (one.underside, one.top) == (295, 705) for one in frames)


def test_a_plinth_block_stands_a_little_higher_than_the_skirting(run: Run) -> None:
    more = "  - {name: base, member: skirting, where: [{room: Room}], section: {height: 200}}"
    ran = run(member="plinth-block", section="{height: 218}", more=more)
    found = next(one for one in ran.result(Proportions).lines if one.member == "plinth-block")
    assert (found.suggestions[0].low, found.suggestions[0].high) == (212, 225)
    assert "agrees" in found.verdict


def test_a_mark_of_a_member_that_is_not_in_the_job_is_told(run: Run) -> None:
    ran = run(member="skirting", room=GHOST)
    assert "proportions/mark-without-member" in ran.rules()
    assert any(one.member == "picture-rail" and one.trim == "" for one in ran.result(Proportions).lines)


def test_the_followed_order_is_laid_on_the_wall_from_the_floor_up(run: Run) -> None:
    shares = run().result(Proportions).orders[0]
    assert [name for name, _ in shares.parts] == ["base", "die", "cap", "column", "architrave", "frieze", "cornice"]
    assert sum(size for _, size in shares.parts) == pytest.approx(2900)
    pedestal_only = run(more="choices: {author: benjamin}").result(Proportions).orders[0]
    assert [name for name, _ in pedestal_only.parts] == ["pedestal", "the rest of the order"]


def test_findings_that_rest_on_figures_name_a_source(run: Run) -> None:
    ran = run(room=GHOST, trim="    top: 2200", period="georgian")
    assert_grounded(one for one in ran.findings if not one.says.startswith("Not surveyed"))
    assert all(one.grounds.sources for one in line(ran).suggestions)
