"""Which height is chosen, and what is said of those that gave way."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from listel.core.contract.lines import settable
from listel.core.contract.testing import StageRun, assert_grounded
from listel.plugins.heights import RailHeight, RailHeights

Run = Callable[..., StageRun]

GHOST = "{kind: ghost-line, member: dado-rail, height: 850, edge: top, wall: A}"
PLUGS = "{kind: plugs, member: dado-rail, height: 880, wall: A}"
NEXT_DOOR = "{kind: adjoining-room, member: dado-rail, height: 810}"


def room(*evidence: str, height: str = "height: 2700") -> str:
    return f"    {height}\n    evidence: [{', '.join(evidence)}]"


def line(ran: StageRun) -> RailHeight:
    return ran.result(RailHeights).lines[0]


@pytest.mark.parametrize(
    ("parts", "top", "rule"),
    [
        ({"room": room(NEXT_DOOR, PLUGS, GHOST), "trim": "    top: 900"}, 850, "ghost line"),
        ({"room": room(NEXT_DOOR, PLUGS), "trim": "    top: 900"}, 910, "plugs"),
        ({"room": room(NEXT_DOOR), "trim": "    top: 900"}, 900, "the survey asks"),
        ({"room": room(NEXT_DOOR)}, 810, "adjoining room"),
        ({"tail": "choices: {author: gibbs, order: ionic}"}, 540, "Ionic pedestal after Gibbs"),
        ({}, 675, "a quarter of the room height"),
        ({"room": "    height: 2200"}, 609.6, "held to the band"),
        ({"room": "    height: 4000"}, 914.4, "held to the band"),
        ({"use": "passage"}, 850, "halls and stairs"),
        (
            {"room": "    height: 2700\n    stairs: [{name: flight, rise: 190, going: 230, handrail: 905}]"},
            905,
            "handrail",
        ),
        ({"member": "plate-rail"}, 1800, "two thirds"),
    ],
)
def test_the_first_ground_in_order_of_precedence_decides(
    run: Run, parts: dict[str, str], top: float, rule: str
) -> None:
    found = line(run(**parts))
    assert found.top == pytest.approx(top)
    assert found.underside == pytest.approx(top - 60)
    chosen = [one for one in found.candidates if one.chosen]
    assert len(chosen) == 1
    assert rule in chosen[0].rule
    assert all(one.set_aside for one in found.candidates if not one.chosen)


@pytest.mark.parametrize(("edge", "top"), [("top", 850), ("centre", 880), ("underside", 910)])
def test_a_mark_is_moved_to_the_top_by_the_edge_that_left_it(run: Run, edge: str, top: float) -> None:
    mark = f"{{kind: ghost-line, member: dado-rail, height: 850, edge: {edge}}}"
    assert line(run(room=room(mark))).top == pytest.approx(top)


def test_every_author_and_every_rule_of_the_trade_is_a_candidate(run: Run) -> None:
    rules = [one.rule for one in line(run()).candidates]
    for author in ("Vignola", "Palladio", "Gibbs", "Chambers", "Ware", "Scamozzi", "Perrault", "Mauclerc", "Benjamin"):
        assert any(rule.endswith(f"after {author}") for rule in rules)
    assert {"a fifth of the room height", "a quarter of the room height", "a third of the room height"} <= set(rules)


def test_it_is_said_that_the_fifth_gave_way_to_the_band(run: Run) -> None:
    ran = run(room="    height: 2400")
    says = next(one.says for one in ran.findings if one.rule == "heights/fifth-gives-way")
    assert "480 mm" in says
    assert "130 mm below" in says
    assert "3048 mm high" in says
    assert not [one for one in run(room="    height: 3200").findings if one.rule == "heights/fifth-gives-way"]


def test_an_assumed_author_is_shown_as_assumed(run: Run) -> None:
    from listel.plugins.heights import WallOrders

    orders = run().result(WallOrders).of("Room")
    assert orders is not None and orders.followed is not None
    assert orders.followed.author == "chambers"
    assert any(one.name == "author followed" and one.assumed for one in orders.grounds.inputs)
    chosen = run(tail="choices: {author: scamozzi}").result(WallOrders).of("Room")
    assert chosen is not None
    assert any(one.name == "author followed" and not one.assumed and one.line for one in chosen.grounds.inputs)


def test_a_wish_that_a_mark_overrules_is_said_and_a_departure_puts_it_first(run: Run) -> None:
    parts = {"room": room(GHOST), "trim": "    top: 900"}
    assert "heights/wanted-height-gives-way" in run(**parts).rules()
    departed = "departures: [{rule: heights/wanted-height-gives-way, reason: the client's wish, agreed: the client}]"
    assert line(run(**parts, tail=departed)).top == 900


def test_marks_that_disagree_are_a_caution_and_plugs_an_advice(run: Run) -> None:
    weights = {one.rule: one.weight for one in run(room=room(GHOST, PLUGS)).findings}
    assert weights["heights/marks-disagree"] == "caution"
    assert weights["heights/plugs-undated"] == "advice"


def test_a_mark_in_a_room_with_no_rail_is_an_advice_with_a_height(run: Run) -> None:
    ran = run(member="skirting", room=room(GHOST))
    assert "heights/mark-without-rail" in ran.rules()
    assert line(ran).top == 850
    assert line(ran).trim == ""


def test_nothing_to_go_by_is_a_hold(run: Run) -> None:
    ran = run(room="")
    assert {"heights/room-height-not-surveyed", "heights/height-undecided"} <= set(ran.rules())
    assert line(ran).top is None


def test_a_wish_outside_the_band_is_an_advice(run: Run) -> None:
    assert "heights/height-outside-band" in run(trim="    top: 1100").rules()


def test_the_room_height_is_the_mean_of_the_readings_or_of_floor_and_ceiling_tapes(run: Run) -> None:
    from listel.plugins.heights import WallOrders

    several = run(room="    height: [2710, {wall: A, at: 4000, height: 2690}]").result(WallOrders).of("Room")
    assert several is not None and several.height == 2700
    assert several.grounds.uncertainty == "readings from 2690 mm to 2710 mm"
    tapes = "[{at: 0, to-datum: 1000}]\n        ceiling: [{at: 0, to-datum: 1712}]"
    taped = run(room="", floor=tapes).result(WallOrders).of("Room")
    assert taped is not None and taped.height == 2712


def test_findings_that_rest_on_figures_name_a_source(run: Run) -> None:
    ran = run(
        room=room(GHOST, PLUGS), trim="    top: 900", openings="[{kind: door, at: 200, width: 800, lock-rail: 860}]"
    )
    assert_grounded(one for one in ran.findings if not one.says.startswith("Not surveyed"))
    assert all(one.grounds.sources for one in line(ran).candidates)


def test_lines_carry_the_survey_line(run: Run) -> None:
    chosen = next(one for one in line(run(trim="    top: 800")).candidates if one.chosen)
    assert chosen.grounds.inputs[0].line > 0


@pytest.mark.parametrize(
    ("parts", "why"),
    [
        ({"room": room(GHOST.replace("850", "40"))}, "reach below the floor"),
        ({"room": room(GHOST.replace("850", "2800"))}, "stand above the ceiling"),
        ({"trim": "    top: 2750"}, "stand above the ceiling"),
    ],
)
def test_a_ground_that_puts_the_rail_outside_the_room_is_told_and_set_aside(
    run: Run, parts: dict[str, str], why: str
) -> None:
    ran = run(**parts)
    assert line(ran).top == pytest.approx(675)
    told = [finding for finding in ran.findings if finding.rule == "heights/outside-the-room"]
    assert len(told) == 1
    assert why in told[0].says
    assert any(why in one.set_aside for one in line(ran).candidates)


def test_a_rail_that_no_ground_keeps_in_the_room_is_undecided(run: Run) -> None:
    ran = run(section="{height: 1500, projection: 25}")
    assert line(ran).top is None
    assert "heights/height-undecided" in ran.rules()


def test_a_firm_sets_no_rail_above_six_metres() -> None:
    top = settable(RailHeight)["top"]
    assert not top.unfit(6000) and top.unfit(6060)
