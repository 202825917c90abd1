"""A whole house: what is made of it grows with its rooms, and nothing is lost on the way."""

from __future__ import annotations

import json
import re

import pytest
from invented_house import invented_house

from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.plugins.closure import Closures
from listel.plugins.cutting import CuttingList
from listel.plugins.setting_out import SettingOut
from listel.reports.statement import render

ROOMS = 3


def examined(rooms: int) -> Outcome:
    """A house of so many rooms, whose boards reach along every wall: joints are tried elsewhere."""
    survey = invented_house(rooms)
    for trim in survey["trim"]:
        trim["longest"] = 6200
    survey["stock"] = [{**board, "length": {3000: 4200, 4200: 6300}[board["length"]]} for board in survey["stock"]]
    return examine(job_from_text(json.dumps(survey)), load([]))


@pytest.fixture(scope="module")
def house() -> Outcome:
    """A house of three rooms, eighteen walls."""
    return examined(ROOMS)


def test_every_room_closes_and_every_stage_ran(house: Outcome) -> None:
    closures = house.sheet[Closures].lines
    assert [closure.room for closure in closures] == [room.name for room in house.job.rooms]
    assert all(closure.closed for closure in closures)
    assert [ran.stage for ran in house.ran if ran.fault] == []


def test_every_piece_is_cut_and_on_its_sheet(house: Outcome) -> None:
    labels = {piece.label for piece in house.sheet[SettingOut].pieces}
    cutting = house.sheet[CuttingList]
    assert {cut.piece for line in cutting.lines for board in line.boards for cut in board.cuts} == labels
    assert len(labels) > 3 * 6 * ROOMS
    sheets = render(house, readers="workshop")
    numbered = re.findall(r'<th scope="row"><span class="big">(\d+)</span></th>', sheets)
    assert numbered == [str(number) for number in range(1, len(labels) + 1)]
    assert sheets.count('class="leaf sheet-room') == ROOMS


def test_statement_draws_every_wall_once(house: Outcome) -> None:
    page = render(house)
    assert len(re.findall(r">wall [A-F]</text>", page)) == 6 * ROOMS
    assert all(f"Room {number}, plan" in page for number in range(1, ROOMS + 1))


def test_statement_grows_no_faster_than_the_house(house: Outcome) -> None:
    """Twice the rooms give at most twice the pages and findings, give or take what the dice do."""
    twice = examined(2 * ROOMS)
    assert len(twice.findings) < 2.2 * len(house.findings)
    assert len(render(twice)) < 2.2 * len(render(house))
