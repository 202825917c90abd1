"""Joints chosen with the boards, through the whole flow: what is handed over is what is set out, cut and claimed."""

from __future__ import annotations

import json
from itertools import pairwise, product
from random import Random
from typing import Any

import pytest

from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.plugins.cutting import CuttingList
from listel.plugins.setting_out import Joints, LongRun, SettingOut, WholeRuns

BRICK = {"kind": "lime-on-brick", "plaster": 18, "condition": "sound", "finish": "paper"}
LATH = {"kind": "lime-on-lath", "plaster": 22, "condition": "sound", "studs": {"centres": 400, "first": 150}}


def survey(lengths: tuple[float, ...], boards: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """A room of four square corners with a dado all round, mitred."""
    walls = [
        {
            "name": name,
            "length": length,
            "corner": {"kind": "internal", "angle": 90},
            "substrate": more.get("substrate", BRICK),
            **more.get("walls", {}).get(name, {}),
        }
        for name, length in zip("ABCD", lengths, strict=True)
    ]
    members = more.get("members", ("dado-rail",))
    return {
        "listel": 1,
        "invented": True,
        "job": {"title": "An invented room"},
        "rooms": [{"name": "R", "use": "reception", "extent": "whole", "height": 2700, "walls": walls}],
        "trim": [
            {
                "name": member,
                "member": member,
                "where": [{"room": "R", "walls": "all"}],
                "section": {"height": 60, "projection": 28},
                "internal": "mitre",
                **({"top": 900} if member == "dado-rail" else {}),
            }
            for member in members
        ],
        "stock": [{"for": member, **board} for member in members for board in boards],
        "cutting": {"kerf": 3, "end-trim": 10, **more.get("cutting", {})},
    }


def outcome(data: dict[str, Any]) -> Outcome:
    return examine(job_from_text(json.dumps(data)), load([]))


def stations_of(found: Outcome, run: LongRun) -> list[float]:
    """The joints as they stand in the pieces set out."""
    pieces = [p for p in found.sheet[SettingOut].pieces if (p.wall, p.trim) == (run.wall, run.trim)]
    assert [a.end for a, _ in pairwise(pieces)] == pytest.approx([b.start for _, b in pairwise(pieces)])
    return [piece.end for piece in pieces[:-1]]


def test_a_room_that_even_joints_make_of_ten_boards_takes_seven() -> None:
    """Boards of 3000 for 19980 mm of wall: seven hold it, six do not."""
    found = outcome(survey((4000, 5990, 4000, 5990), [{"length": 3000, "price": 10}]))
    (line,) = found.sheet[CuttingList].lines
    assert [(each.length, each.count) for each in line.bought] == [(3000, 7)]
    assert line.proven and line.cost == line.bound == 70
    assert line.claim == "it is proven that no plan with this few joints at these stations costs less"


def random_room(seed: int) -> dict[str, Any]:
    lots = Random(seed)
    lengths = tuple(float(lots.randrange(1500, 7500)) for _ in "AB") * 2
    boards = [
        {"length": mm, "price": round(mm * lots.uniform(4, 6) / 1000, 2)} for mm in lots.sample((2400, 3000, 3900), 2)
    ]
    radiator = {"kind": "radiator", "at": lengths[0] / 2, "height": 150, "width": 700, "depth": 600, "taken-off": True}
    more: dict[str, Any] = {"walls": {"A": {"fittings": [radiator]}}, "substrate": lots.choice((BRICK, LATH))}
    return survey(lengths, boards, members=("dado-rail", "picture-rail"), **more)


@pytest.mark.parametrize("seed", range(8))
def test_what_is_handed_over_is_what_is_set_out_and_claimed(seed: int) -> None:
    found = outcome(random_room(seed))
    whole, cuts = found.sheet[WholeRuns], found.sheet[CuttingList]
    chosen: dict[tuple[str, str], list[float]] = {}
    for run in whole.long:
        stations = chosen[run.wall, run.trim] = stations_of(found, run)
        pieces = [p for p in found.sheet[SettingOut].pieces if (p.wall, p.trim) == (run.wall, run.trim)]
        assert sum(piece.overall for piece in pieces) == pytest.approx(run.total + run.lap * len(stations))
        assert all(piece.overall <= run.longest + 1e-6 for piece in pieces)
        assert all(b - a >= min(run.least, 600) - 1e-6 for a, b in pairwise([run.start, *stations, run.end]))
        assert len(stations) == fewest(run)
        kind = next(each for each in run.places if set(stations) <= set(each.tiers[-1]))
        for tier in kind.tiers:
            if not set(stations) <= set(tier):
                assert fewest(run, tier) > len(stations), "a better place was passed over"
    for line in found.sheet[Joints].lines:
        of = next(each for each in cuts.lines if each.trim == line.trim)
        assert line.bound is not None and of.bound == line.bound <= of.cost + 1e-9
        assert of.proven == (of.cost == pytest.approx(line.bound))


def fewest(run: LongRun, stations: tuple[float, ...] | None = None) -> int:
    """The fewest joints, reached out from the left end as far as the longest piece goes; 99 where there is no way."""
    kinds = [stations] if stations is not None else [kind.tiers[-1] for kind in run.places]
    for some in kinds:
        at = [0.0, *sorted(run.along(place) for place in some), run.total]
        reach = {0.0}
        for joints in range(20):
            ahead = {
                b
                for a, b in product(reach, at)
                if b - a >= run.least - 1e-9
                and b - a + run.lap / 2 * ((a > 0) + (b < run.total)) <= run.longest + 1e-6
                and (b == run.total or b <= run.total - run.least + 1e-9)
            }
            if run.total in ahead:
                return joints
            reach = ahead
    return 99


def test_members_on_one_wall_are_not_jointed_above_each_other() -> None:
    data = survey((4000, 3000, 4000, 3000), [{"length": 3600, "price": 10}], members=("dado-rail", "picture-rail"))
    found = outcome(data)
    for wall in "AC":
        rails = [
            [
                at
                for run in found.sheet[WholeRuns].long
                if (run.wall, run.trim) == (wall, name)
                for at in stations_of(found, run)
            ]
            for name in ("dado-rail", "picture-rail")
        ]
        assert all(abs(one - other) >= 300 for one, other in product(*rails))
        assert all(rails)


def test_few_long_boards_are_used_before_joints_are_made_for_short_ones() -> None:
    """Four runs of 6 m take one joint each of boards of 4.2 m, two of boards of 2.4 m."""
    boards = [{"length": 2400, "price": 8}, {"length": 4200, "price": 16}]
    for there, joints in ((8, 4), (1, 8)):
        some = [boards[0], {**boards[1], "quantity": there}]
        found = outcome(survey((6000, 6000, 6000, 6000), some))
        assert len(found.sheet[SettingOut].pieces) == 4 + joints
        assert not found.sheet[CuttingList].lines[0].unmade


def test_spares_are_counted_when_joints_are_chosen() -> None:
    boards = [{"length": 3000, "price": 10}]
    free = outcome(survey((4000, 5990, 4000, 5990), boards, cutting={"spare": "5 %"})).sheet[CuttingList].lines[0]
    assert free.cost <= 110 and "with other joints" in free.claim and free.proven


def test_a_joint_lets_a_board_of_the_rack_in_where_that_saves_one_though_the_spare_is_longer() -> None:
    """Beside 2025 mm of the rack the other piece is longer than that of even joints, and so is the spare."""
    data = survey((4800, 1000, 1000, 1000), [{"length": 4800, "price": 26}], cutting={"spare": "5 %"})
    data["trim"][0] |= {"where": [{"room": "R", "walls": ["A"]}], "longest": 4700}
    data["rack"] = [
        {"for": "dado-rail", "name": "R3", "length": 2100, "defects": [{"from": 0, "to": 60, "kind": "split"}]}
    ]
    line = outcome(data).sheet[CuttingList].lines[0]
    assert line.cost == 52 and "R3" in {board.board for board in line.boards}
